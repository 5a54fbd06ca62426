"""Contrast and the routes in their lights, read by machine, for fingers, and without script."""

import pytest

from firstsheet.acts import expose, own, wish
from firstsheet.book.store import Book
from tests.acts_contrast.conftest import drawn
from tests.browser.web_harness import PHONE, Served, boathouse, highest, too_small

pytestmark = pytest.mark.browser
PATHS = ("/contrast?range=6", "/contrast?lux=0.1", "/ways/way?name=reversal_bw", "/ways/way?name=reversal_ra4")


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    """An invented boathouse, a box whose curve was typed in."""
    where = tmp_path_factory.mktemp("contrast") / "book.sqlite"
    with Book.open(where) as book:
        boathouse(book)
        own.add_box(book, {"name": "D", "paper": "enlarging", "size": "12x16 in", "sheets": "25", "cost": "6 EUR"})
        own.add_developer(book, {"name": "bought", "kind": "paper"})
        own.add_meter(book, {"name": "my meter", "kind": "hand"})
        wish.say(book, {"reading": "EV 11", "light": "sun", "subject": "3 m", "box": "D", "developer": "bought", "way": "paper_negative"})
        drawn(book)
        wish.say(book, {"way": "reversal_bw"})
        code = expose.keep(book).code
        expose.expose(book, code)
        wish.say(book, {"way": "paper_negative"})
    running = Served(where).start()
    running.sheet = code
    yield running
    running.kill()


def opened(browser, served, light, script=True):
    context = browser.new_context(viewport=PHONE, java_script_enabled=script)
    context.add_cookies([{"name": "light", "value": light, "url": served.url}])
    return context, context.new_page()


@pytest.mark.parametrize(("light", "paths"), [("sun", PATHS[:1]), ("red", PATHS[1:3])])
def test_machines_find_nothing_and_fingers_find_all(browser, served, light, paths):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    context, page = opened(browser, served, light)
    for path in paths:
        page.goto(served.url + path)
        page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
        assert not axe.run(page).response["violations"], path
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
        assert not too_small(page)
    context.close()


def test_red_is_red_and_dark_is_black(browser, served):
    for light, most in (("red", [255, 0, 0]), ("dark", [0, 0, 0])):
        context, page = opened(browser, served, light)
        for path in PATHS:
            page.goto(served.url + path)
            assert all(found <= allowed for found, allowed in zip(highest(page), most, strict=True)), (light, path)
        context.close()


def test_the_twelve_trays_of_a_reversal_stand_on_the_telephone(browser, served):
    context, page = opened(browser, served, "red")
    page.goto(f"{served.url}/trays/{served.sheet}")
    assert page.locator(".trays li").count() == 12
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert "permanganate" in page.locator("main").inner_text().lower()
    assert all(found <= allowed for found, allowed in zip(highest(page), [255, 0, 0], strict=True))
    context.close()


def test_without_script_a_flash_is_planned_and_its_caution_stands_first(browser, served):
    context, page = opened(browser, served, "sun", script=False)
    page.goto(served.url + "/contrast?lux=0.1")
    assert page.locator(".caution").bounding_box()["y"] < page.locator(".answer").bounding_box()["y"]
    with page.expect_navigation():
        page.get_by_text("Plan the next sheet with a flash").click()
    assert "To be flashed" in page.locator("main").inner_text()
    context.close()
