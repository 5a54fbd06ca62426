"""A strip led by ear, in a browser: the sound runs alone, the screen is black, and what comes back is red."""

import pytest

from firstsheet.acts import expose, own, wish
from firstsheet.book.store import Book
from tests.browser.web_harness import PHONE, Served, highest

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    where = tmp_path_factory.mktemp("strip") / "book.sqlite"
    with Book.open(where) as book:
        own.add_camera(book, {"name": "boathouse", "focal": "600 mm", "f_number": "f/8", "stops": "f/11 f/16", "board_min": "620 mm",
                              "board_max": "1100 mm", "length": "2.4 m", "width": "2 m", "height": "2.1 m"})  # fmt: skip
        own.add_box(book, {"name": "D", "paper": "direct_positive", "size": "12x16 in", "sheets": "25"})
        own.add_developer(book, {"name": "coffee", "kind": "coffee"})
        own.add_meter(book, {"name": "my meter", "kind": "hand"})
        wish.say(book, {"light": "open_shade", "subject": "3 m", "reading": "EV 11"})
        code = expose.keep(book, strip=True).code
    running = Served(where).start()
    running.paths = [f"/book/{code}/expose", "/strips?way=lamp&first=2.5 s&count=4"]
    yield running
    running.kill()


@pytest.mark.parametrize("which", [0, 1])
def test_black_while_it_runs_and_red_after_a_hold(browser, served, which):
    context = browser.new_context(viewport=PHONE)
    page = context.new_page()
    page.goto(served.url + served.paths[which])
    begin = page.locator("[data-track]")
    begin.scroll_into_view_if_needed()
    begin.click()
    page.wait_for_selector(".covered")
    assert highest(page) == [0, 0, 0]
    page.mouse.move(200, 400)
    page.mouse.down()
    page.wait_for_timeout(400)
    page.mouse.up()
    page.wait_for_timeout(1800)
    assert highest(page) == [0, 0, 0]  # a touch is no hold
    served.kill()  # the sound needs the program no more
    page.mouse.down()
    page.wait_for_timeout(2300)
    page.mouse.up()
    page.wait_for_selector(".covered", state="detached")
    assert highest(page)[1:] == [0, 0]  # what comes back is red, in the light of the sun too
    assert page.inner_text("[data-track]") == "Hold to stop the sound"
    begin.click()
    assert page.inner_text("[data-told]") == "The sound runs."  # a drop does not stop it
    begin.click(delay=750)
    assert page.inner_text("[data-told]").startswith("Stopped")
    assert page.inner_text("[data-track]").startswith("Begin")
    context.close()
    served.start()


def test_the_page_in_red_and_for_machines(browser, served):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    for light in ("sun", "red"):
        context = browser.new_context(viewport=PHONE)
        context.add_cookies([{"name": "light", "value": light, "url": served.url}])
        page = context.new_page()
        for path in served.paths:
            page.goto(served.url + path)
            page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
            found = axe.run(page).response["violations"]
            assert not found, (path, light, [(v["id"], v["nodes"][0]["html"][:200]) for v in found])
            assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
            if light == "red":
                assert highest(page)[1:] == [0, 0]
        context.close()
