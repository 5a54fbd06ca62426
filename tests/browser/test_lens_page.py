"""The hand's taps timed on the page, what is printed at true size, and every page of lens and room in its light."""

import re
import zlib

import pytest

from firstsheet.acts import own, wish
from firstsheet.book.store import Book
from tests.browser.web_harness import PHONE, Served, highest, too_small

pytestmark = pytest.mark.browser
CAMERA = {
    "name": "boathouse", "focal": "600 mm", "f_number": "f/8", "stops": "f/11 f/16", "board_min": "620 mm", "board_max": "1100 mm",
    "length": "2.4 m", "width": "2 m", "height": "2.1 m", "coverage": "60°",
}  # fmt: skip
PAGES = ("lens", "lens/barrel?length=12+cm&front=8+cm", "fits", "sharp?time=4+s", "even", "drawing", "distances?head=9+cm", "marks")


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    where = tmp_path_factory.mktemp("lens") / "book.sqlite"
    with Book.open(where) as book:
        own.add_camera(book, CAMERA)
        own.add_box(book, {"name": "D", "paper": "direct_positive", "size": "12x16 in", "sheets": "25"})
        wish.say(book, {"subject": "3 m"})
    served = Served(where).start()
    yield served
    served.kill()


def in_light(browser, url, light):
    context = browser.new_context(viewport=PHONE)
    context.add_cookies([{"name": "light", "value": light, "url": url}])
    return context.new_page()


def test_ten_taps_are_timed_and_answered(served, browser):
    page = in_light(browser, served.url, "sun")
    page.goto(f"{served.url}/room/lens/hand")
    for _ in range(5):
        page.locator("#tap").dispatch_event("pointerdown")
        page.wait_for_timeout(300)
        page.locator("#tap").dispatch_event("pointerup")
    times = [float(t) for t in page.input_value("#f-taps").split()]
    assert len(times) == 5
    assert all(0.28 <= t <= 1.5 for t in times)
    page.fill("#f-wanted", "0.5 s")
    with page.expect_navigation():
        page.get_by_role("button", name="Reckon").click()
    assert "Your hand: ±" in page.inner_text("main")


def test_in_red_nothing_but_red_and_in_the_dark_nothing(served, browser):
    for light in ("red", "dark"):
        page = in_light(browser, served.url, light)
        for path in PAGES:
            page.goto(f"{served.url}/room/{path}")
            assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"], path
            red, green, blue = highest(page)
            assert green == blue == 0, path
            assert (red >= 200) == (light == "red"), path


def test_machines_and_fingers_find_nothing(served, browser):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    page = in_light(browser, served.url, "sun")
    for path in PAGES:
        page.goto(f"{served.url}/room/{path}")
        found = axe.run(page).response["violations"]
        assert not found, (path, [(v["id"], v["nodes"][0]["html"][:200]) for v in found])
        assert not too_small(page), path


def test_the_ruler_prints_at_true_size(served, browser, tmp_path):
    """The check line of 100 mm is 283.46 points long in the printed page, to a twentieth of a millimetre."""
    page = in_light(browser, served.url, "sun")
    page.goto(f"{served.url}/room/ruler/print")
    pdf = page.pdf(prefer_css_page_size=True)
    streams = []
    for found in re.finditer(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL):
        try:
            streams.append(zlib.decompress(found[1]).decode("latin-1"))
        except zlib.error:
            continue
    text = next(s for s in streams if "10 30 m" in s)
    outer = float(re.search(r"([\d.]+) 0 0 -[\d.]+ 0 [\d.]+ cm", text)[1])
    inner = float(re.findall(r"([\d.]+) 0 0 [\d.]+ [\d.]+ [\d.]+ cm", text[: text.index("10 30 m")])[-1])
    assert "110 30 l" in text
    assert 100 * outer * inner == pytest.approx(100 / 25.4 * 72, abs=0.14)
