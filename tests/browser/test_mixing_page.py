"""The mix card in a browser: large at arm's length, nothing but red under the red lamp, nothing at all in the dark, no side scrolling."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from tests.browser.web_harness import DESK, PHONE, Served, chromium

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    served = Served(tmp_path_factory.mktemp("mix") / "book.sqlite").start()
    yield served
    served.kill()


def pixels(page):
    return Image.open(io.BytesIO(page.screenshot())).convert("RGB")


def test_from_the_shelf_to_the_card(served):
    with chromium() as browser:
        context = browser.new_context(viewport=PHONE)
        page = context.new_page()
        page.goto(f"{served.url}/mix/recipe/coffee")
        page.fill("#f-tray", "300x400 mm")
        page.fill("#f-have", "soda crystals; vitamin C tablets 500 mg")
        page.click("text=What do I weigh?")
        assert "175" in page.inner_text("ol.weigh")
        page.click("text=Mix this")
        page.click("text=One number at a time")
        page.get_by_role("link", name="Begin", exact=True).click()
        page.get_by_role("link", name="Next", exact=True).click()
        figure = page.locator(".one .figures")
        assert figure.inner_text() == "175"
        assert figure.bounding_box()["height"] > 100  # a reading distance of an arm and more
        button = page.get_by_role("link", name="Next", exact=True).bounding_box()
        assert button["y"] + button["height"] < PHONE["height"] - 60  # above the bar, without scrolling
        assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
        card = page.url
        context.add_cookies([{"name": "light", "value": "red", "url": served.url}])
        page.goto(card)
        red = pixels(page).getextrema()
        assert red[0][1] > 200
        assert red[1][1] == red[2][1] == 0
        context.add_cookies([{"name": "light", "value": "dark", "url": served.url}])
        page.goto(card)
        assert [high for _, high in pixels(page).getextrema()] == [0, 0, 0]
        context.add_cookies([{"name": "light", "value": "sun", "url": served.url}])
        page.set_viewport_size(DESK)
        page.goto(card)
        assert page.evaluate("document.documentElement.scrollWidth") == DESK["width"]
        page.goto(card.split("/card")[0] + "/print")
        assert "Use by" in page.inner_text(".label")
        assert len(page.pdf()) > 5000
        context.close()
