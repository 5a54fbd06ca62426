"""A photo as a meter, with a finger on a phone and a mouse at a desk: places touched and named, the range drawn, in its lights."""

import numpy as np
import pytest

from firstsheet.acts import expose, meters, own, photo, wish
from firstsheet.book.store import Book
from tests.browser.web_harness import DESK, PHONE, Served, boathouse, follow, highest, press, too_small, touch_photo
from tests.light.pictures import as_file, exif_bytes, srgb_code

pytestmark = pytest.mark.browser
SIZES = {"phone": PHONE, "desk": DESK}


def scene():
    """Top row: two stops over mid-tone, one over, four under; below mid-tone; at the foot clipped. f/2, 1/500 s, ISO 100."""
    y = np.full((900, 1200), 0.18)
    y[:300, :400], y[:300, 400:800], y[:300, 800:], y[600:] = 0.72, 0.36, 0.18 / 16, 1.0
    return as_file(np.repeat(srgb_code(y)[:, :, None], 3, 2), "JPEG", exif_bytes(2.0, 1 / 500, 100))


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    where = tmp_path_factory.mktemp("meter") / "book.sqlite"
    with Book.open(where) as book:
        boathouse(book)
        own.add_box(book, {"name": "D", "paper": "enlarging", "size": "12x16 in", "sheets": "25"})
        own.add_developer(book, {"name": "tray", "kind": "paper"})
        own.add_meter(book, {"name": "hand", "kind": "hand"})
        own.add_meter(book, {"name": "old meter", "kind": "hand"})
        wish.say(book, {"subject": "3 m", "light": "open_shade"})
        picture = photo.take_in(book, scene()).picture
        photo.spots(book, picture, {"points": "0.5,0.15 face_light face; 0.85,0.15 other dark hair"})
        meters.compare(book, {"readings": "old meter: EV 11.5; hand: EV 11"})
        expose.keep(book)
    running = Served(where).start()
    yield running
    running.kill()


def touch(page, tone, name, x, y):
    """Choose what lies there, name it, and put the finger on it: x and y are shares of the photo as shown."""
    page.locator(f'input[name="tone"][value="{tone}"]').check()
    page.get_by_label("Its name").fill(name)
    touch_photo(page, x, y)


@pytest.mark.parametrize("size", SIZES)
def test_places_are_touched_and_the_range_stands_on_the_paper(browser, served, size):
    """0.36 at f/2, 1/500 s, ISO 100: (10/0.65)·4·500/100·2 = 615 cd/m² [ISO 12232]; shirt to hair 0.72/(0.18/16) = 6 stops."""
    context = browser.new_context(viewport=SIZES[size])
    context.add_cookies([{"name": "light", "value": "sun", "url": served.url}])
    page = context.new_page()
    page.goto(served.url + "/say/reading")
    page.locator('input[type="file"]').first.set_input_files({"name": "scene.jpg", "mimeType": "image/jpeg", "buffer": scene()})
    if "/photos/" not in page.url:
        with page.expect_navigation():
            page.locator('form.upload button').first.click()
    at = page.url
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size]["width"]
    touch(page, "other", "sky", 0.5, 0.9)
    assert "100% clipped" in page.locator("main").inner_text()
    touch(page, "face_light", "face", 0.5, 0.15)
    value = float(page.locator("h1").inner_text().split()[0])
    assert value == pytest.approx(615, rel=0.02)
    for tone, name, x in (("other", "shirt", 0.15), ("other", "her hair", 0.85)):
        follow(page, page.get_by_text("Touch another place"))
        assert page.url == at
        touch(page, tone, name, x, 0.15)
    assert "leaves the exposure alone" in page.locator("main").inner_text()
    follow(page, page.get_by_text("The range on the paper"))
    words = page.locator("main").inner_text()
    assert "The scene spans 6." in words or "The scene spans 5.9" in words
    assert "her hair: 4.0 stop under mid-tone, blown white" in words
    assert page.locator("svg.tone-scale").bounding_box()["width"] > 250
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size]["width"]
    press(page, "Leave out shirt")
    assert "shirt" not in page.locator("main").inner_text()
    press(page, "Keep with sheet 1")
    assert "Kept with sheet" in page.locator("main").inner_text()
    context.close()


@pytest.mark.parametrize("light", ["sun", "red"])
@pytest.mark.parametrize("path", ["/photos/1", "/readings/1", "/readings/2", "/range", "/meters"])
def test_machines_find_nothing_and_fingers_find_all(browser, served, light, path):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    context = browser.new_context(viewport=PHONE)
    context.add_cookies([{"name": "light", "value": light, "url": served.url}])
    page = context.new_page()
    page.goto(served.url + path)
    page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
    assert not axe.run(page).response["violations"]
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert not too_small(page)
    context.close()


@pytest.mark.parametrize(("light", "most"), [("red", [255, 0, 0]), ("dark", [0, 0, 0])])
def test_red_is_red_and_dark_is_black(browser, served, light, most):
    context = browser.new_context(viewport=PHONE)
    context.add_cookies([{"name": "light", "value": light, "url": served.url}])
    page = context.new_page()
    page.goto(served.url + "/range")
    assert all(found <= allowed for found, allowed in zip(highest(page), most, strict=True))
    context.close()
