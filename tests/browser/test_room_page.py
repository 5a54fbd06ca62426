"""The chair dragged on the plan: the board follows, by finger and by keys; without script a form does it; on paper it is one page."""

import re

import pytest

from firstsheet.acts import day_place, own, wish
from firstsheet.book.store import Book
from tests.browser.web_harness import DESK, PHONE, Served, press, seen_in_light

pytestmark = pytest.mark.browser
CAMERA = {
    "name": "boathouse", "focal": "600 mm", "f_number": "f/8", "stops": "f/11 f/16", "board_min": "620 mm", "board_max": "1100 mm",
    "length": "2.4 m", "width": "2 m", "height": "2.1 m", "coverage": "60°",
}  # fmt: skip
ON_ONE_PAGE = rb"/Type\s*/Page\b"


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    where = tmp_path_factory.mktemp("room") / "book.sqlite"
    with Book.open(where) as book:
        own.add_camera(book, CAMERA)
        own.add_box(book, {"name": "D", "paper": "enlarging", "size": "12x16 in", "sheets": "25"})
        wish.say(book, {"subject": "3 m"})
        day_place.say(book, {"place": "52 N 0 E", "zone": "CET", "faces": "S"})
    served = Served(where).start()
    yield served
    served.kill()


def board_x(page):
    return page.locator("#chair-plan .board-moves .sheet").bounding_box()["x"]


def drag(page, by):
    box = page.locator("#chair").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    for i in range(1, 6):
        page.mouse.move(x + by * i / 5, y)
    page.mouse.up()


def board_mm(page):
    return float(re.search(r"board (\d+) mm", page.inner_text("#chair-said"))[1])


@pytest.mark.parametrize("viewport", [PHONE, DESK])
def test_the_board_follows_the_chair(served, browser, viewport):
    page = browser.new_page(viewport=viewport)
    page.goto(f"{served.url}/room/drawing")
    page.locator("#chair").scroll_into_view_if_needed()
    handle = page.locator("#chair").bounding_box()
    assert min(handle["width"], handle["height"]) >= 44
    assert page.locator("#chair-plan .chair-moves").bounding_box()["x"] > handle["x"]
    before = board_x(page)
    drag(page, -40)  # nearer: the board goes back, away from the lens
    assert board_mm(page) > 755
    assert board_x(page) < before - 0.5
    assert page.locator("#chair").bounding_box()["y"] == pytest.approx(handle["y"], abs=0.6)  # nothing jumps under the finger
    near = float(page.input_value("#f-subject").removesuffix(" m"))
    assert 1.3 < near < 3
    assert 1 / board_mm(page) == pytest.approx(1 / 600 - 1 / (near * 1000), abs=1e-5)  # thin lens, by hand
    drag(page, 60)  # further than it was: the board comes nearer the lens than it stood
    assert board_mm(page) < 750
    assert board_x(page) > before
    assert page.evaluate("document.documentElement.scrollWidth") <= viewport["width"]
    page.reload()
    assert "Board 750 mm" in page.inner_text("#chair-said")  # nothing was stored
    page.close()


def test_a_finger_moves_it_and_not_the_page(served, browser):
    context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
    page = context.new_page()
    page.goto(f"{served.url}/room/drawing")
    page.locator("#chair").scroll_into_view_if_needed()
    box, scrolled = page.locator("#chair").bounding_box(), page.evaluate("scrollY")
    x, y = box["x"] + 24, box["y"] + 24
    finger = context.new_cdp_session(page)
    finger.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
    for i in range(1, 5):
        finger.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [{"x": x - 10 * i, "y": y - 20 * i}]})
    finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    assert board_mm(page) > 755
    assert page.evaluate("scrollY") == scrolled
    context.close()


def test_keys_move_it_and_only_a_button_keeps_it(served, browser):
    page = browser.new_page(viewport=DESK)
    page.goto(f"{served.url}/room/drawing")
    page.focus("#chair")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowLeft")
    assert "Chair 2.90 m" in page.get_attribute("#chair", "aria-valuetext")
    page.keyboard.press("Home")
    assert board_mm(page) == pytest.approx(1080, abs=1)  # 600·1350/750: the first round distance that the slide's end, 1100 mm, allows
    page.keyboard.press("End")
    assert page.get_attribute("#chair", "aria-valuenow") == page.get_attribute("#chair", "aria-valuemax")
    page.fill("#f-subject", "2.9 m")
    press(page, "Draw it there")
    assert "sitter 2.90 m" in page.inner_text("main")
    press(page, "Say it for this sheet")
    assert "Said for this sheet." in page.inner_text("main")
    page.goto(f"{served.url}/room/drawing")
    assert "sitter 2.90 m" in page.inner_text("main")
    page.fill("#f-subject", "3 m")
    press(page, "Draw it there")
    press(page, "Say it for this sheet")
    page.close()


def test_without_script_the_form_moves_it(served, browser):
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{served.url}/room/drawing")
    assert page.locator("#chair").count() == 0
    assert not page.locator("#chair-how").is_visible()
    page.fill("#f-subject", "2 m")
    press(page, "Draw it there")
    assert "Board 857 mm" in page.inner_text("main")  # 600·2000/1400
    context.close()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_drawings_print_on_one_page(served, browser, paper):
    page = browser.new_page(viewport=DESK)
    page.goto(f"{served.url}/room/drawing")
    drag(page, -30)
    assert len(re.findall(ON_ONE_PAGE, page.pdf(format=paper))) == 1
    page.goto(f"{served.url}/room/drawing/print")
    assert len(re.findall(ON_ONE_PAGE, page.pdf(prefer_css_page_size=True))) == 1
    page.close()


@pytest.mark.parametrize("light", ["sun", "red", "dark"])
def test_in_every_light(served, browser, light):
    seen_in_light(browser, served, ["/room/drawing", "/room/dark?walls=wood&lux=0.5", "/day?date=2026-06-21"], light)
