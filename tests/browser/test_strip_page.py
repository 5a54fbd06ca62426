"""A scrap of paper on a telephone: photographed, a corner dragged back to it, its curve drawn and counted, the next plan changed."""

import numpy as np
import pytest

from firstsheet.acts import calibrate_curve, own, plan
from firstsheet.book.store import Book
from tests.acts_calibrate import test_calibrate as known
from tests.browser.web_harness import DESK, PHONE, Served, boathouse, follow, press, seen_in_light
from tests.strips import judged

pytestmark = pytest.mark.browser


@pytest.fixture
def served(tmp_path):
    with Book.open(tmp_path / "book.sqlite") as book:
        boathouse(book)
        own.add_box(book, {"name": "D", "paper": "enlarging", "size": "12x16 in", "sheets": "25"})
        own.add_developer(book, {"name": "bought", "kind": "paper"})
        known.on_board(book)
    running = Served(tmp_path / "book.sqlite").start()
    yield running
    running.kill()


def seconds(page, served):
    page.goto(served.url)
    return float(page.inner_text(".answer .figures"))


def densities(page):
    """Density by step, of those that were read."""
    rows = [row.split("\n") for row in page.locator(".steps-seen li").all_inner_texts() if "not read" not in row]
    return {int(row[0]): float(row[1]) for row in rows}


def apart(one, other):
    """The most that steps read both times differ below 1.5; a step near the limit may be read once and be a bound the other time."""
    both = one.keys() & other.keys()
    assert len(both) >= max(len(one), len(other)) - 1
    return max(abs(one[n] - other[n]) for n in both if one[n] < 1.5)


def test_a_scrap_changes_the_next_plan(browser, served, monkeypatch):
    data, truth = known.picture(monkeypatch)
    wrong = []
    context = browser.new_context(viewport=PHONE)
    page = context.new_page()
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda m: wrong.append(m.text) if "Content Security" in m.text else None)
    before = seconds(page, served)
    follow(page, page.get_by_role("link", name="A step wedge first"))
    page.set_input_files("#picture", {"name": "scrap.jpg", "mimeType": "image/jpeg", "buffer": data})
    page.get_by_label("How many steps were given?").fill(str(truth.steps))
    page.get_by_label("darker: an ordinary paper").check()
    page.get_by_text("The printed card lies beside it").click()
    page.get_by_label("the card is in the picture").check()
    card = judged.said_card(truth)
    page.get_by_label("White", exact=True).fill(f"{card.white.density:.3f}")
    page.get_by_label("Black", exact=True).fill(f"{card.black.density:.3f}")
    page.get_by_label("Four greys, light to dark").fill(" ".join(f"{g.density:.3f}" for g in card.greys))
    press(page, "Read the strip")
    assert f"of {truth.steps} steps read" in page.inner_text("h1")
    assert page.locator("polygon.read").count() >= 10
    assert page.locator(".strip-seen img").evaluate("i => i.complete && i.naturalWidth > 0")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    first = densities(page)

    # a corner pulled off the strip by mouse, brought back by mouse and by keys: each step reads as before
    corner = page.locator(".corner").first
    at = corner.locator(".ring").bounding_box()
    x, y = at["x"] + at["width"] / 2, at["y"] + at["height"] / 2
    was = page.input_value("#f-corners")
    drag(page, (x, y), (x + 30, y + 18))
    moved = page.input_value("#f-corners")
    assert moved != was
    drag(page, (x + 30, y + 18), (x, y))
    back = np.array([float(v) for part in page.input_value("#f-corners").split() for v in part.split(",")])
    assert np.abs(back - [float(v) for part in was.split() for v in part.split(",")]).max() < 0.01
    corner.focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowLeft")
    press(page, "Read again")
    again = densities(page)
    assert apart(first, again) < 0.05

    page.get_by_label("What did each step get?").fill("nonsense")
    page.get_by_label("direct sun").check()
    press(page, "Draw the curve")
    assert "Try “1 2 4 8 s" in page.inner_text(".field.wrong")
    # each step half of what it was: P 1000
    page.get_by_label("What did each step get?").fill(known.EXPOSED_HALF)
    press(page, "Draw the curve")
    assert page.locator("svg.curve-plot").is_visible()
    assert "instead of" in page.inner_text(".changed")
    told = float(page.inner_text(".answer .figures"))
    page_url = page.url
    assert seconds(page, served) == before  # kept, and changes nothing yet
    page.goto(page_url)
    press(page, "Let it count in plans")
    assert "It counts in every plan" in page.inner_text("main")
    after = seconds(page, served)
    assert after == told
    assert after < before / 1.5
    context.close()
    assert not wrong


def drag(page, start, end):
    page.mouse.move(*start)
    page.mouse.down()
    page.mouse.move((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    page.mouse.move(*end)
    page.mouse.up()


@pytest.fixture
def pages(served, monkeypatch):
    """Every page of a strip, with one strip read and its curve drawn."""
    data, truth = known.picture(monkeypatch)
    with Book.open(served.book) as book:
        strip = known.read(book, data, truth).strip
        form = {k: v for k, v in known.SAID.items() if k not in ("densities", "density_sd")}
        curve = calibrate_curve.curve(book, strip, form, teach=False).curve
        assert plan.plan(book, {}).wanted_s > 0
    return [
        "/strips",
        "/strips?way=opal&first=1+s&factor=2&lux=12",
        "/strips?way=lamp&first=x",
        f"/strips/{strip}",
        f"/strips/curves/{curve}",
        "/strips/typed",
    ]


@pytest.mark.parametrize("light", ["sun", "red", "dark"])
def test_every_page_in_its_lights(browser, served, pages, light):
    seen_in_light(browser, served, pages, light)


def test_without_script_the_corners_are_typed(browser, served, pages):
    context = browser.new_context(viewport=DESK, java_script_enabled=False)
    page = context.new_page()
    page.goto(served.url + pages[3])
    before = densities(page)
    page.get_by_text("Without dragging: say the corners").click()
    page.get_by_label("Four corners, each from the left").fill("0.4,0.4 0.41,0.4 0.41,0.41 0.4,0.41")
    press(page, "Read again")
    assert page.locator(".problem").first.is_visible()
    page.goto(served.url + pages[3])
    press(page, "Read again")
    assert apart(before, densities(page)) < 0.05
    context.close()
