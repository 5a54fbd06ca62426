"""The contact print's pages, from lamp and negative to the plan, at phone and desk and in each light. All names are invented."""

import pytest

from firstsheet.acts import contact_kept, own
from firstsheet.book.store import Book
from tests.browser.web_harness import PHONE, Served, boathouse, seen_in_light

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    where = tmp_path_factory.mktemp("contact") / "book.sqlite"
    with Book.open(where) as book:
        boathouse(book)
        own.add_box(book, {"name": "D", "paper": "enlarging", "size": "12x16 in", "sheets": "25"})
        own.add_developer(book, {"name": "tray", "kind": "paper"})
        contact_kept.lamp(book, {"name": "phone", "height": "1 m", "times": "1 2 4 8 16 s", "black": "3"})
        contact_kept.negative(book, {"name": "boat", "clear": "0.60", "dense": "1.60"})
    running = Served(where).start()
    yield running
    running.kill()


@pytest.mark.parametrize("light", ["sun", "red", "dark"])
def test_the_pages_in_their_light(browser, served, light):
    asked = "/contact?facing=together&glass=yes&back_print=no&range=R+110&sheet=12x16+in"
    seen_in_light(browser, served, ["/contact", asked, "/contact/lamp", "/contact/negative"], light)


def test_from_the_bench_to_the_plan(browser, served):
    context = browser.new_context(viewport=PHONE)
    page = context.new_page()
    page.goto(served.url + "/contact?facing=together&glass=no&back_print=no&range=R+100")
    with page.expect_navigation():
        page.click("text=Plan this print")
    words = page.inner_text("main")
    assert "phone" in words
    assert "boat" in words
    assert "what does the meter say" not in words
    context.close()
