"""A sheet's whole life on a telephone: a photo as the meter, the trays through a power cut, and a better next plan."""

import json
import time
import urllib.request

import pytest

from firstsheet.acts import own
from firstsheet.book.store import Book
from firstsheet.trays.process import process_for
from tests.browser.web_harness import DESK, PHONE, Served, follow, photo, press, touch_photo

pytestmark = pytest.mark.browser
STEPS = process_for("direct_positive", "coffee", "ortho").steps
CAMERA = {
    "What do you call it?": "boathouse", "Focal length": "600 mm", "Widest stop": "f/8", "Board to lens, nearest": "620 mm",
    "Board to lens, furthest": "1100 mm", "The room inside": "2.4 m", "Width": "2 m", "Height": "2.1 m",
}  # fmt: skip


@pytest.fixture
def served(tmp_path):
    running = Served(tmp_path / "book.sqlite").start()
    yield running
    running.kill()


@pytest.fixture
def phone(browser, served):
    wrong = []
    context = browser.new_context(viewport=PHONE)
    page = context.new_page()
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda m: wrong.append(m.text) if "Content Security" in m.text else None)
    yield page
    context.close()
    assert not wrong


def say(page, row, option):
    page.locator(f'a[href="/say/{row}"]').last.click()
    page.get_by_role("button", name=option).first.click()


def hold(page, ms=700):
    page.hover("#act")
    page.mouse.down()
    page.clock.run_for(ms)
    page.mouse.up()


def pass_time(page, seconds):
    page.clock.fast_forward(round(seconds * 1000))
    page.clock.run_for(300)


def all_in_book(page):
    for _ in range(150):
        if page.inner_text("#book").startswith("All in the book."):
            return
        page.clock.run_for(1000)
        page.wait_for_timeout(30)
    raise AssertionError(page.inner_text("#book"))


def asked(served, path):
    with urllib.request.urlopen(f"{served.url}{path}") as answer:
        return json.load(answer)


def first_pages(page, served):
    page.goto(served.url)
    for label, words in CAMERA.items():
        page.get_by_label(label).first.fill(words)
    press(page, "Keep this camera")
    page.get_by_label("What do you call it?").fill("D")
    page.get_by_label("direct positive paper").check()
    page.get_by_label("Width and height of a sheet").fill("12x16 in")
    page.get_by_label("Sheets in it").fill("25")
    press(page, "Keep this box")
    page.get_by_label("What do you call it?").fill("coffee")
    page.get_by_label("home-made coffee developer").check()
    press(page, "Keep this developer")
    page.get_by_label("What do you call it?").fill("my meter")
    page.get_by_label("hand-held exposure meter").check()
    press(page, "Keep this meter")


def inside(page, selector):
    """Whether it can be seen at once, above the five words."""
    box = page.locator(selector).first.bounding_box()
    nav = page.locator("nav").bounding_box()
    return (
        box
        and box["y"] >= 0
        and box["y"] + box["height"] <= nav["y"]
        and box["x"] >= 0
        and box["x"] + box["width"] <= PHONE["width"]
    )


def test_a_whole_life(phone, served):
    page = phone
    first_pages(page, served)
    say(page, "light", "open shade")
    follow(page, page.locator('a[href="/say/subject"]'))
    page.get_by_label("Write it").fill("3 m")
    press(page, "Say it")
    follow(page, page.locator('a[href="/say/reading"]'))
    page.set_input_files("#photo", {"name": "sitter.jpg", "mimeType": "image/jpeg", "buffer": photo()})
    press(page, "Use this photo")
    page.get_by_label("a face, mid skin").check()
    touch_photo(page, 0.5, 0.4)
    assert "cd/m²" in page.inner_text("h1")
    page.get_by_label("Your meter says").fill("EV 8")
    press(page, "Remember the difference")
    assert "It is remembered" in page.inner_text("main")
    follow(page, page.get_by_role("link", name="Use it"))

    # the first screen holds the answer, its range, the chance and both actions
    for selector in (".answer .figures", ".stop-scale", ".chance", 'a[href="/expose"]', 'a[href="/expose?strip=1"]'):
        assert inside(page, selector), selector
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    rows = [r.bounding_box()["height"] for r in page.locator(".said .row").all()]
    assert len(rows) <= 4
    assert min(rows) >= 60
    before = float(page.inner_text(".answer .figures"))

    follow(page, page.get_by_role("link", name="Expose sheet 1"))
    assert page.locator(".caution").bounding_box()["y"] < 200
    press(page, "No sun can enter: go on")
    code = page.inner_text(".bigcode")
    assert len(code) == 4
    page.clock.install()
    press(page, "Given as planned")
    page.wait_for_selector("html[data-ready]")

    # the run; the power goes after the developer, and comes back when all is done
    page.click("#begin")
    for number, step in enumerate(STEPS):
        pass_time(page, step.seconds)
        hold(page)
        pass_time(page, step.drain_s)
        if number == 0:
            all_in_book(page)
            served.kill()
    page.wait_for_selector("#book:has-text('waiting for the book')")
    served.start()
    all_in_book(page)
    if page.locator("#act").is_visible():
        hold(page)
    for _ in range(100):  # the page says “all in the book” of the marks before until this one is on its own disk
        kept = asked(served, f"/api/sheets/{code}")["marks"]
        if any(m["kind"] == "finished" for m in kept):
            break
        time.sleep(0.1)
    all_in_book(page)
    run = [m for m in kept if m["kind"] in ("begun", "lifted", "finished")]
    assert [m["kind"] for m in run] == ["begun", *["lifted"] * len(STEPS), "finished"]
    assert len({m["id"] for m in kept}) == len(kept)

    page.goto(f"{served.url}/bench")
    page.locator(f'a[href="/bench/{code}"]').click()
    page.get_by_label("Black", exact=True).check()
    page.get_by_label("too dark", exact=True).check()
    page.get_by_label("dry", exact=True).check()
    page.get_by_label("not kept").check()
    page.set_input_files("#picture", {"name": "sheet.jpg", "mimeType": "image/jpeg", "buffer": photo()})
    press(page, "Judge it so")
    assert "instead of" in page.inner_text(".changed")
    follow(page, page.get_by_role("link", name="The next sheet"))
    # a direct positive that came out too dark had too little light
    assert float(page.inner_text(".answer .figures")) > before
    page.goto(f"{served.url}/book/{code}")
    assert page.locator("img.print").evaluate("i => i.complete && i.naturalWidth > 0")
    press(page, "Take the judgement back")
    page.goto(served.url)
    assert float(page.inner_text(".answer .figures")) == before


def test_without_script(browser, served):
    """A light, a distance, a reading, the answer and its reasons, all without script."""
    with Book.open(served.book) as book:
        _ = [own.add_camera(book, {"name": "b", "focal": "600 mm", "f_number": "f/8", "board_min": "620 mm", "board_max": "1100 mm",
                                   "length": "2.4 m", "width": "2 m", "height": "2.1 m"}),
             own.add_box(book, {"name": "D", "paper": "direct_positive", "size": "12x16 in", "sheets": "9"}),
             own.add_developer(book, {"name": "c", "kind": "coffee"})]  # fmt: skip
    context = browser.new_context(viewport=DESK, java_script_enabled=False)
    page = context.new_page()
    page.goto(served.url)
    say(page, "light", "overcast")
    follow(page, page.locator('a[href="/say/subject"]'))
    page.get_by_label("Write it").fill("3 m")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    say(page, "reading", "heavy cloud")
    page.wait_for_load_state()
    assert page.locator(".answer").is_visible(), page.inner_text("main")
    page.locator("summary", has_text="every step").click()
    assert page.locator(".chain .bar").count() > 5
    context.close()
