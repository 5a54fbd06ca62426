"""The board's and the scrap's pages: red has no green or blue, targets are for fingers, a held button counts seconds."""

import re

import pytest

from firstsheet.acts import own, scrap_meter, wish
from firstsheet.book.store import Book
from tests.browser.web_harness import PHONE, Served, boathouse, highest, too_small

pytestmark = pytest.mark.browser
PATHS = ("/reflector?sun=40°&kind=silver", "/scrapmeter?seconds=40 s")


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    """An invented boathouse whose box has its tint."""
    where = tmp_path_factory.mktemp("board") / "book.sqlite"
    with Book.open(where) as book:
        boathouse(book)
        own.add_box(book, {"name": "D", "paper": "enlarging", "size": "12x16 in", "sheets": "25"})
        own.add_developer(book, {"name": "bought", "kind": "paper"})
        wish.say(book, {"reading": "EV 14", "light": "sun", "subject": "3 m"})
        scrap_meter.set_tint(book, {"seconds": "20 s", "reading": "60000 lx"})
    running = Served(where).start()
    yield running
    running.kill()


def opened(browser, served, light):
    context = browser.new_context(viewport=PHONE)
    context.add_cookies([{"name": "light", "value": light, "url": served.url}])
    return context, context.new_page()


def test_red_is_red_and_every_target_is_for_a_finger(browser, served):
    context, page = opened(browser, served, "red")
    for path in PATHS:
        page.goto(served.url + path)
        assert highest(page)[1:] == [0, 0], path
        assert not too_small(page), path
    context.close()


def test_held_twice_it_counts_the_seconds_between(browser, served):
    """Checked against the test's own waiting: a second and a half, give or take a slow machine."""
    context, page = opened(browser, served, "sun")
    page.goto(served.url + "/scrapmeter")
    button = page.locator("[data-count] button")
    button.wait_for(state="visible")
    for word in ("matches", "in the light"):
        button.scroll_into_view_if_needed()
        box = button.bounding_box()
        page.mouse.move(box["x"] + 40, box["y"] + 20)
        page.mouse.down()
        page.wait_for_function("word => document.querySelector('[data-count] button').textContent.includes(word)", arg=word)
        page.mouse.up()
        page.wait_for_timeout(1100)
    counted = page.locator("#f-seconds").input_value()
    assert re.fullmatch(r"[\d.]+ s", counted)
    assert 1.3 <= float(counted.split()[0]) <= 4.0
    context.close()


def test_a_stray_drop_counts_nothing(browser, served):
    context, page = opened(browser, served, "sun")
    page.goto(served.url + "/scrapmeter")
    button = page.locator("[data-count] button")
    button.wait_for(state="visible")
    button.click()
    page.wait_for_timeout(600)
    assert "in the light" in button.inner_text()
    context.close()
