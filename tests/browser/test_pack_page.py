"""The filter pack: what is seen in words, the next pack, and its page in each light. The boathouse is invented."""

import pytest

from firstsheet.acts import own, wish
from firstsheet.book.store import Book
from tests.browser.web_harness import PHONE, Served, boathouse, highest, seen_in_light

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    where = tmp_path_factory.mktemp("pack") / "book.sqlite"
    with Book.open(where) as book:
        boathouse(book)
        own.add_box(book, {"name": "C", "paper": "ra4", "size": "12x16 in", "sheets": "25", "cost": "2 EUR"})
        own.add_developer(book, {"name": "bought", "kind": "paper"})
        own.add_meter(book, {"name": "my meter", "kind": "hand"})
        wish.say(book, {"reading": "EV 13", "light": "sun", "subject": "3 m", "way": "reversal_ra4"})
    running = Served(where).start()
    yield running
    running.kill()


def test_from_the_plan_to_the_pack_and_the_next(browser, served):
    context = browser.new_context(viewport=PHONE)
    page = context.new_page()
    page.goto(served.url)
    with page.expect_navigation():
        page.click("text=Filter pack")
    before = page.inner_text(".phrase.chance")
    page.click("text=what do you see")
    page.check("input[name=colour][value=blue]")
    page.check("input[name=much][value=clearly]")
    page.check("input[name=bright][value=right]")
    with page.expect_navigation():
        page.click("text=Tell it")
    assert page.inner_text(".phrase.chance") != before
    assert "clearly blue, right brightness" in page.inner_text("main")
    context.close()


@pytest.mark.parametrize("light", ["sun", "red", "dark"])
def test_the_page_in_its_light(browser, served, light):
    seen_in_light(browser, served, ["/pack?light=sun&seconds=20+s&patches=6"], light)


@pytest.mark.parametrize("light", ["sun", "red", "dark"])
def test_the_trays_of_a_colour_sheet_are_not_white(browser, served, light):
    context = browser.new_context(viewport=PHONE)
    page = context.new_page()
    page.goto(served.url + "/expose")
    assert "through" in page.inner_text("main")  # the pack is part of what is about to be kept
    if page.locator("text=No sun can enter").count():
        page.click("text=No sun can enter")
    else:
        page.click("main form button")
    page.wait_for_url("**/book/*/expose")
    assert "On the lens" in page.inner_text("main")
    code = page.url.split("/")[-2]
    page.click("text=Given as planned")
    context.add_cookies([{"name": "light", "value": light, "url": served.url}])
    page.goto(f"{served.url}/trays/{code}")
    page.wait_for_selector("html[data-ready]")
    assert highest(page)[1:] == [0, 0]
    assert page.get_attribute("html", "data-light") == "red"
    context.close()
