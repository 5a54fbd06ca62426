"""The program served from a process of its own that can be killed, a browser, and a photo of known light."""

import contextlib
import io
import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request

import pytest
from PIL import Image, ImageDraw

from firstsheet.acts import own

FLAGS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 800}


def boathouse(book, f_number="f/8"):
    """The invented camera most page tests stand in."""
    own.add_camera(book, {"name": "boathouse", "focal": "600 mm", "f_number": f_number, "board_min": "620 mm", "board_max": "1100 mm",
                          "length": "2.4 m", "width": "2 m", "height": "2.1 m"})  # fmt: skip


class Served:
    """`firstsheet` on one port of this machine; killed without warning, as a power cut would."""

    def __init__(self, book):
        self.book = str(book)
        with socket.socket() as s:
            s.bind(("127.0.0.1", 0))
            self.port = s.getsockname()[1]
        self.process = None

    @property
    def url(self):
        return f"http://localhost:{self.port}"

    def start(self):
        code = f"from firstsheet.web.serve import serve; serve({self.book!r}, port={self.port})"
        self.process = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.DEVNULL)
        for _ in range(200):
            with contextlib.suppress(OSError), urllib.request.urlopen(f"{self.url}/favicon.ico", timeout=1):
                return self
            time.sleep(0.05)
        raise AssertionError("the program did not start")

    def kill(self):
        if self.process:
            self.process.kill()
            self.process.wait()
            self.process = None


@contextlib.contextmanager
def chromium():
    sync_api = pytest.importorskip("playwright.sync_api")
    path = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if not path:
        pytest.skip("no Chromium")
    with sync_api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        yield browser
        browser.close()


def photo(f_number=2.0, time_s=1 / 125, iso=100, data=True):
    """A sitter drawn in flat tones, the face at code 118 of sRGB, with the exposure data of a camera, or (`data`) without."""
    exif = Image.Exif()
    ifd = exif.get_ifd(0x8769)
    for tag, value in ((0x829D, f_number), (0x829A, time_s), (0x8827, iso)) if data else ():
        ifd[tag] = value
    picture = Image.new("RGB", (1600, 1200), (90, 100, 95))
    draw = ImageDraw.Draw(picture)
    draw.ellipse((600, 200, 1000, 760), fill=(118, 118, 118))
    draw.rectangle((500, 760, 1100, 1200), fill=(50, 52, 60))
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=95, exif=exif.tobytes())
    return out.getvalue()


def press(page, words, exact=False):
    """Touch this button and wait for the page that answers: read at once, the old page or none at all would be judged."""
    follow(page, page.get_by_role("button", name=words, exact=exact).first)


def follow(page, place):
    """Touch what leads elsewhere and wait until its page is whole."""
    with page.expect_navigation():
        place.click()


def touch_photo(page, across, down):
    """A finger on the photo shown, at these shares of its width and height, and wait for the page that answers."""
    photo = page.locator("input.touch")
    box = photo.bounding_box()
    with page.expect_navigation():
        photo.click(position={"x": across * box["width"], "y": down * box["height"]})


def highest(page):
    """The highest red, green and blue of any pixel of the page."""
    image = Image.open(io.BytesIO(page.screenshot(full_page=True))).convert("RGB")
    return [high for _, high in image.getextrema()]


def brightest_patch(page, wide, high):
    """The highest mean red of any patch of this size [px] of the page, 0 to 255."""
    image = Image.open(io.BytesIO(page.screenshot(full_page=True))).convert("RGB").getchannel("R")
    means = image.resize((image.width // wide, image.height // high), Image.Resampling.BOX)
    return means.getextrema()[1]


TARGETS = "button:visible:not(.heard), a.row:visible, a.act:visible, label.pick:visible, summary:visible, main a:visible:not(.heard)"
# A link with words beside it in its line may be as narrow as its word, and is as high to the finger as any.
ALONE = "a => getComputedStyle(a).display !== 'inline' || ![...a.parentElement.childNodes].some((n) => n.nodeType === 3 && n.data.trim())"


def too_small(page):
    """What a finger would miss on this page: words, width and height [px] of targets under 44 px."""
    out = []
    for one in page.locator(TARGETS).all():
        box = one.bounding_box()
        link = one.evaluate("a => a.matches('a')")
        if box["height"] < 43.9 or (link and box["width"] < 43.9 and one.evaluate(ALONE)):
            out.append((one.inner_text(), round(box["width"]), round(box["height"])))
    return out


def seen_in_light(browser, served, pages, light):
    """Each page on a phone and a desk in this light: machines find nothing, nothing is too wide or too small to touch; in red no
    green or blue, in the dark no light at all, and nothing that opens a window of the system's own."""
    import pytest

    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    for viewport in (PHONE, DESK):
        context = browser.new_context(viewport=viewport)
        context.add_cookies([{"name": "light", "value": light, "url": served.url}])
        page = context.new_page()
        for path in pages:
            page.goto(served.url + path)
            page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
            found = axe.run(page).response["violations"]
            assert not found, (path, light, [(v["id"], v["nodes"][0]["html"][:200]) for v in found])
            assert page.evaluate("document.documentElement.scrollWidth") <= viewport["width"], path
            if light == "red":
                assert highest(page)[1:] == [0, 0], path
                assert page.locator("select, input[type=file], input.touch, dialog").count() == 0, path
            if light == "dark":
                assert highest(page) == [0, 0, 0], path
            assert not too_small(page), path
        context.close()
