"""The day's page in its three lights, without script, and on one sheet of paper."""

import re

import pytest

from firstsheet.acts import day_place, own, wish
from firstsheet.book.store import Book
from tests.browser.web_harness import DESK, PHONE, Served, boathouse, highest, too_small

pytestmark = pytest.mark.browser
JUNE = "/day?date=2026-06-21"


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    """A book with an invented boathouse whose lens looks north."""
    where = tmp_path_factory.mktemp("day") / "book.sqlite"
    with Book.open(where) as book:
        boathouse(book)
        own.add_box(book, {"name": "D", "paper": "enlarging", "size": "12x16 in", "sheets": "25"})
        own.add_developer(book, {"name": "tray", "kind": "paper"})
        wish.say(book, {"subject": "3 m"})
        day_place.say(
            book, {"place": "52 N 0 E", "zone": "CET", "faces": "S", "around": "wall from E to SSE, 12 paces, 3 m high"}
        )
    running = Served(where).start()
    yield running
    running.kill()


def opened(browser, served, light, script=True, size=PHONE):
    context = browser.new_context(viewport=size, java_script_enabled=script)
    context.add_cookies([{"name": "light", "value": light, "url": served.url}])
    return context, context.new_page()


@pytest.mark.parametrize(
    ("light", "path", "size"),
    [("sun", JUNE, PHONE), ("red", JUNE, PHONE), ("sun", "/day?date=32", PHONE), ("red", "/day?date=32", PHONE), ("sun", JUNE, DESK), ("red", JUNE, DESK)],
)
def test_machines_find_nothing_and_fingers_find_all(browser, served, light, path, size):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    context, page = opened(browser, served, light, size=size)
    page.goto(served.url + path)
    page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
    assert not axe.run(page).response["violations"]
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
    assert not too_small(page)
    context.close()


def test_red_is_red_and_dark_is_black(browser, served):
    for light, most in (("red", [255, 0, 0]), ("dark", [0, 0, 0])):
        context, page = opened(browser, served, light)
        page.goto(served.url + JUNE)
        assert all(found <= allowed for found, allowed in zip(highest(page), most, strict=True))
        context.close()


def test_without_script_the_sun_in_the_lens_is_first_and_another_day_is_a_touch_away(browser, served):
    context, page = opened(browser, served, "sun", script=False)
    page.goto(served.url + JUNE)
    caution = page.locator(".caution")
    assert caution.inner_text().startswith("Never look into the lens")
    assert caution.bounding_box()["y"] < page.locator("h1").bounding_box()["y"]
    with page.expect_navigation():
        page.get_by_text("The day after").click()
    assert page.locator("h1").inner_text() == "22 June 2026"
    context.close()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_prints_on_one_page(browser, served, paper):
    page = browser.new_page(viewport=DESK)
    page.goto(served.url + JUNE)
    assert len(re.findall(rb"/Type\s*/Page\b", page.pdf(format=paper))) == 1
    page.emulate_media(media="print")
    assert not page.locator("nav").is_visible()
    page.close()
