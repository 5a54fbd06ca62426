"""Several sheets on their page, as they are used: planned, begun, marked, late and planned anew; the program killed between; all three lights."""

import re
from datetime import UTC, datetime, timedelta

import pytest

from firstsheet.acts import several_kept as kept
from firstsheet.book.store import Book
from tests.browser.web_harness import DESK, PHONE, Served, highest, press, seen_in_light

pytestmark = pytest.mark.browser


@pytest.fixture
def served(tmp_path):
    served = Served(tmp_path / "book.sqlite").start()
    yield served
    served.kill()


def opened(browser, served, light, viewport=PHONE):
    context = browser.new_context(viewport=viewport)
    context.add_cookies([{"name": "light", "value": light, "url": served.url}])
    return context, context.new_page()


def begun(page, served):
    page.goto(f"{served.url}/several")
    page.fill("#f-sheets", "2 paper_negative; direct_positive")
    press(page, "Plan them")
    press(page, "Begin: times count from now")


@pytest.mark.parametrize("viewport", [PHONE, DESK], ids=["phone", "desk"])
def test_three_sheets_planned_begun_marked_and_gone_on_with_after_the_power_was_away(browser, served, viewport):
    context, page = opened(browser, served, "red", viewport)
    begun(page, served)
    assert re.search(r"/several/\d+$", page.url)
    press(page, "Begun now: sheet")
    place = page.url
    assert page.locator("summary", has_text="Begun already").count() == 1
    assert highest(page)[1:] == [0, 0]
    served.kill()
    served.start()
    page.goto(place)
    assert page.locator("summary", has_text="Begun already").count() == 1
    press(page, "Take back")
    assert page.locator("summary", has_text="Begun already").count() == 0
    assert page.evaluate("document.documentElement.scrollWidth") <= viewport["width"]
    context.close()


def test_late_the_page_says_so_and_plans_the_rest_from_now(browser, served):
    """Begun forty minutes ago; the first sheet went into the fixer in its turn and was forgotten there."""
    past = datetime.now(UTC) - timedelta(minutes=40)
    with Book.open(served.book, now=lambda: past) as book:
        number = kept.begin(book, {"sheets": "3 paper_negative"}).number
    with Book.open(served.book) as book:
        kept.mark(book, number, {"begin": "1 compose 0:00; 1 mount 2:00; 1 expose 2:40"})
    context, page = opened(browser, served, "red")
    page.goto(f"{served.url}/several/{number}")
    assert "longer in the fixer than it should be" in page.inner_text("main")
    assert "fixer" in page.inner_text("main .phrase >> nth=1")  # lifted first of all
    minutes, seconds = page.inner_text(".answer .figures").split(":")
    assert 40 * 60 <= int(minutes) * 60 + int(seconds) <= 45 * 60
    assert highest(page)[1:] == [0, 0]
    context.close()


def test_a_wet_finger_twice_marks_once(browser, served):
    context, page = opened(browser, served, "red")
    begun(page, served)
    before = page.content()
    press(page, "Begun now: sheet")
    page.go_back()
    page.wait_for_load_state()
    if page.content() == before:
        press(page, "Begun now: sheet")
    with Book.open(served.book) as book:
        assert len({m.key for m in kept.plan(book).marks}) == len(kept.plan(book).marks) >= 1
    context.close()


@pytest.mark.parametrize("light", ["sun", "red", "dark"])
def test_machines_find_nothing_on_it(browser, served, light):
    with Book.open(served.book) as book:
        number = kept.begin(book, {"sheets": "2 paper_negative; reversal_ra4"}).number
        first = kept.plan(book, number).work[0]
        kept.mark(book, number, {"begin": f"{first.sheet} {first.key}"})
    seen_in_light(browser, served, ["/several", "/several?sheets=3+paper_negative", f"/several/{number}"], light)
