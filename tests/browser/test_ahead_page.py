"""A photo of the board in → seconds and picture out → one stop more → exposed → the sheet's photo in → both compared, the plan changed.

The board and the sheet are made by a forward model of their own (tests/acts_ahead/test_ahead.py): synthetic.
"""

import pytest

from firstsheet.acts import own, wish
from firstsheet.book.store import Book
from tests.acts_ahead import test_ahead as made
from tests.browser.test_versions_page import machine_finds_nothing
from tests.browser.web_harness import DESK, PHONE, Served, boathouse, follow, highest, press, seen_in_light, touch_photo

pytestmark = pytest.mark.browser


@pytest.fixture
def served(tmp_path):
    where = tmp_path / "book.sqlite"
    with Book.open(where) as book:
        boathouse(book, "f/16")
        own.add_box(book, {"name": "D", "paper": "direct_positive", "size": "8x10 in", "sheets": "25"})
        own.add_developer(book, {"name": "bought", "kind": "paper"})
        own.add_meter(book, {"name": "my meter", "kind": "hand"})
        wish.say(book, {"light": "open_shade", "subject": "3 m", "reading": "EV 11", "sitter": "stroke"})
    running = Served(where).start()
    yield running
    running.kill()


def opened(browser, served, viewport, light="sun"):
    context = browser.new_context(viewport=viewport)
    context.add_cookies([{"name": "light", "value": light, "url": served.url}])
    return context, context.new_page()


def sent(page, data):
    page.set_input_files("#photo", {"name": "photo.jpg", "mimeType": "image/jpeg", "buffer": data})


def to_result(page, served):
    page.goto(f"{served.url}/board")
    follow(page, page.get_by_role("link", name="Read the board from a photo"))
    sent(page, made.board_photo())
    press(page, "Take it in")
    page.fill("#f-aperture", "f/16")
    page.fill("#f-lux", "2")
    page.check("input[value=face_light]")
    touch_photo(page, 1 - made.FACE[0], 1 - made.FACE[1])
    page.wait_for_function("document.getElementById('ahead').naturalWidth > 0")


def shade(page):
    """Mean code of the drawn sheet."""
    return page.evaluate("""async () => { const i = document.getElementById('ahead'); await i.decode();
        const c = document.createElement('canvas'); c.width = 24; c.height = 30; const g = c.getContext('2d'); g.drawImage(i, 0, 0, 24, 30);
        const d = g.getImageData(0, 0, 24, 30).data; let s = 0; for (let k = 0; k < d.length; k += 4) s += d[k]; return s / 720; }""")


@pytest.mark.parametrize("viewport", [PHONE, DESK], ids=["phone", "desk"])
def test_from_the_board_to_the_next_plan(browser, served, viewport):
    context, page = opened(browser, served, viewport)
    to_result(page, served)
    assert "s at f/16" in page.inner_text(".first .phrase")
    assert "2 lx" in page.inner_text(".first .phrase")
    machine_finds_nothing(page, viewport)
    before = shade(page)
    page.locator("#stops").fill("1")
    assert page.inner_text("#stops-words") == "1.0 stop more light"
    page.wait_for_function("document.getElementById('ahead').src.includes('stops=1')")
    assert shade(page) > before + 10  # a direct positive grows lighter
    page.locator("#preflash").fill("1")
    assert page.inner_text("#preflash-words") == "100 % of the threshold"
    page.check("input[name=filter][value=yellow]")
    page.locator("#notes", has_text="costs this paper").wait_for()
    assert page.inner_text("[data-figure=preflash]") == "100 %"
    assert page.locator("#curve").evaluate("i => i.decode().then(() => i.naturalWidth > 0)")
    machine_finds_nothing(page, viewport)
    press(page, "Plan this sheet by it")
    seconds = page.inner_text(".answer .figures")
    page.goto(f"{served.url}/expose")
    press(page, "go on")
    code = page.url.split("/book/")[1].split("/")[0]
    page.goto(f"{served.url}/ahead/1?of=board&tone=face_light&face={1 - made.FACE[0]},{1 - made.FACE[1]}&lux=2&aperture=f%2F16")
    press(page, f"Keep this with sheet {code}")
    assert page.url.endswith(f"/book/{code}/expose")
    press(page, "Given as planned")
    page.goto(f"{served.url}/bench/{code}/foretold")
    sent(page, made.result_photo(0.8))
    page.check("input[name=wet][value=no]")
    press(page, "Hold it against")
    touch_photo(page, *map(float, made.WHITE.split(",")))
    for corner in made.CORNERS.split():
        touch_photo(page, *map(float, corner.split(",")))
    assert "lighter than foretold" in page.inner_text(".verdict")
    assert page.locator("img.five").evaluate("i => i.decode().then(() => i.naturalWidth > 0)")
    machine_finds_nothing(page, viewport)
    page.check("input[name=border][value=black]")
    press(page, "Learn from it")
    page.goto(served.url)
    assert page.inner_text(".answer .figures") != seconds
    context.close()


@pytest.mark.parametrize("light", ["sun", "red", "dark"])
def test_the_pages_in_their_light(browser, served, light):
    seen_in_light(browser, served, ["/ahead", "/focus", "/colour?light=open_shade&filter=yellow"], light)


def test_in_red_no_picture_is_shown(browser, served):
    context, page = opened(browser, served, PHONE)
    to_result(page, served)
    where = page.url
    context.close()
    context, page = opened(browser, served, PHONE, "red")
    page.goto(where)
    assert highest(page)[1:] == [0, 0]
    assert page.locator("main img").count() == 0
    context.close()


def test_the_head_is_measured_by_touches(browser, served):
    """The sheet fills the photo: 8 × 10 in. Chin and crown a fifth of its height apart are 51 mm."""
    context, page = opened(browser, served, PHONE)
    page.goto(f"{served.url}/ahead")
    sent(page, made.board_photo())
    press(page, "Take it in")
    follow(page, page.get_by_role("link", name="Measure in it"))
    for at in ((0.004, 0.004), (0.996, 0.004), (0.996, 0.996), (0.004, 0.996)):
        touch_photo(page, *at)
    machine_finds_nothing(page, PHONE)
    follow(page, page.get_by_role("link", name="The head"))
    for at in ((0.5, 0.70), (0.5, 0.50)):
        touch_photo(page, *at)
    assert "Head on the sheet: 51 mm" in page.inner_text("p.phrase")
    context.close()
