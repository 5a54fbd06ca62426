"""Every page in its three lights: read by machine (axe), red only, black only, nothing wider than the telephone."""

import pytest

from firstsheet.acts import expose, judge, mixing_baths, own, ways, wish
from firstsheet.acts import photo as photos
from firstsheet.book.store import Book
from tests.browser.web_harness import DESK, PHONE, Served, brightest_patch, highest, photo, too_small

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    """A book with a judged sheet, one in the dark, a strip, and photos with and without exposure data."""
    where = tmp_path_factory.mktemp("lights") / "book.sqlite"
    with Book.open(where) as book:
        own.add_camera(book, {"name": "boathouse", "focal": "600 mm", "f_number": "f/8", "stops": "f/11 f/16", "board_min": "620 mm",
                              "board_max": "1100 mm", "length": "2.4 m", "width": "2 m", "height": "2.1 m"})  # fmt: skip
        own.add_box(
            book, {"name": "D", "paper": "direct_positive", "size": "12x16 in", "sheets": "25", "cost": "4.20 EUR"}
        )
        own.add_developer(book, {"name": "coffee", "kind": "coffee"})
        own.add_meter(book, {"name": "my meter", "kind": "hand"})
        wish.say(book, {"light": "open_shade", "subject": "3 m", "reading": "EV 11", "sitter": "the cox"})
        codes = [expose.keep(book).code, expose.keep(book).code, expose.keep(book, strip=True).code]
        for code in codes:
            expose.expose(book, code, {})
        judge.judge(
            book, codes[0], {"border": "black", "seen": "too_dark", "faults": "moved", "note": "a cloud"}, photo()
        )
        again = expose.keep(book).code
        expose.expose(book, again, {})
        judge.judge(book, again, {"border": "black", "seen": "a_little_dark"})
        kept = photos.take_in(book, photo())
        spot = photos.spot(book, kept.picture, {"x": 0.5, "y": 0.4})
        silent = photos.take_in(book, photo(data=False))
        wish.say(book, {"reading": "EV 10.7"})
        ways.copy(book, {"name": "mine", "of": "direct_positive"})
        mixing_baths.open_bath(book, {"name": "dev", "kind": "developer_coffee", "volume": "2 l", "temperature": "18 C"})
        for shown in ("40 s", "52 s"):
            mixing_baths.through(book, {"bath": "dev", "appeared": shown})
    running = Served(where).start()
    running.paths = [
        "/", "/say/light", "/say/subject", "/say/reading", "/say/aperture", "/say/box", "/say/way", f"/photos/{kept.picture}", f"/photos/{silent.picture}",
        f"/readings/{spot.reading}", "/expose", f"/book/{codes[1]}/expose", f"/book/{codes[2]}/expose", "/board", "/board?head=1 m", "/trays",
        "/bench", f"/bench/{codes[1]}", f"/bench/{codes[2]}", "/book", f"/book/{codes[0]}", "/book/known", "/book/misses", "/why", "/why?box=D", "/worth", "/strips", "/strips/card", "/notebook", "/mix", "/mix/recipe/coffee", "/mix/recipe/coffee?volume=2 l", "/mix/substances/hydroquinone", "/mix/check", "/mix/own", "/mix/thin", "/mix/bath", "/mix/bath/dev", "/own", "/own/camera", "/own/box",
        "/ways", "/ways/way?name=mine", "/ways/way?name=reversal_ra4", "/ways/step?name=mine&step=fix", "/warmth", "/warmth?temperature=16 C", f"/warmth/{codes[1]}",
        "/light", "/link", "/in", "/nowhere",
    ]  # fmt: skip
    yield running
    running.kill()


def opened(browser, served, light, viewport):
    context = browser.new_context(viewport=viewport)
    context.add_cookies([{"name": "light", "value": light, "url": served.url}])
    return context, context.new_page()


def unfold(page):
    page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")


@pytest.mark.parametrize("viewport", [PHONE, DESK], ids=["phone", "desk"])
@pytest.mark.parametrize("light", ["sun", "red", "dark"])
def test_machines_find_nothing_and_nothing_is_too_wide(browser, served, light, viewport):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    context, page = opened(browser, served, light, viewport)
    for path in served.paths:
        page.goto(served.url + path)
        unfold(page)
        found = axe.run(page).response["violations"]
        assert not found, (path, light, [(v["id"], v["nodes"][0]["html"][:200]) for v in found])
        assert page.evaluate("document.documentElement.scrollWidth") <= viewport["width"], (path, light)
    context.close()


@pytest.mark.parametrize("viewport", [PHONE, DESK], ids=["phone", "desk"])
def test_red_pages_are_red_only(browser, served, viewport):
    context, page = opened(browser, served, "red", viewport)
    for path in served.paths:
        page.goto(served.url + path)
        unfold(page)
        red, green, blue = highest(page)
        assert (green, blue) == (0, 0), path
        assert red >= 200, path  # and it can be read
        assert page.locator("select, input[type=file], dialog").count() == 0, path
    page.goto(served.url + "/say/subject")
    page.focus("#value")
    page.keyboard.type("3 m")
    page.keyboard.press("Control+a")
    page.hover("button >> nth=0")
    assert highest(page)[1:] == [0, 0]
    context.close()


@pytest.mark.parametrize("viewport", [PHONE, DESK], ids=["phone", "desk"])
def test_no_large_thing_is_bright_in_red(browser, served, viewport):
    """A patch as large as a thumb, 40 by 24 px, lights hands and paper: its mean stays under two thirds of full red. Ours, no source."""
    context, page = opened(browser, served, "red", viewport)
    for path in ("/", "/board", "/colour", "/why", "/room/fits"):
        page.goto(served.url + path)
        unfold(page)
        assert brightest_patch(page, 40, 24) < 170, path
        assert highest(page)[1:] == [0, 0], path
    context.close()


def test_dark_pages_are_black_until_touched_twice(browser, served):
    context, page = opened(browser, served, "dark", PHONE)
    for path in served.paths:
        page.goto(served.url + path)
        assert highest(page) == [0, 0, 0], path
    page.goto(served.url + "/board")
    page.mouse.click(200, 700)
    assert highest(page) == [0, 0, 0]
    page.mouse.click(200, 100)
    assert highest(page) == [0, 0, 0]
    page.mouse.click(200, 700)
    page.wait_for_url("**/board")
    assert page.get_attribute("html", "data-light") == "red"
    context.close()


def test_fingers_find_every_target(browser, served):
    """Rows, buttons and links that a finger must hit are at least 44 px high (WCAG 2.2, 2.5.5), those that stand alone as wide."""
    context, page = opened(browser, served, "sun", PHONE)
    for path in [*served.paths, "/book?before=1", "/scraps/999999"]:
        page.goto(served.url + path)
        unfold(page)
        assert not too_small(page), path
        for one in page.locator("nav a:visible").all():
            assert one.bounding_box()["height"] >= 43.9, (path, one.inner_text())
    context.close()
