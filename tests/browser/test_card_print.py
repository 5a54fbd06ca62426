"""The card on paper: one page, at true size, nothing else on it."""

import re

import pytest

from firstsheet.book.store import Book
from tests.browser.web_harness import DESK, Served, chromium

pytestmark = pytest.mark.browser
PX_PER_MM = 96 / 25.4  # CSS: 1 in is 96 px and 25.4 mm


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_card_prints_on_one_page_at_true_size(tmp_path, paper):
    where = tmp_path / "book.sqlite"
    Book.open(where).close()
    served = Served(where).start()
    try:
        with chromium() as browser:
            page = browser.new_page(viewport=DESK)
            page.goto(served.url + "/strips/card/print")
            page.emulate_media(media="print")
            ruler = page.locator(".ruler").bounding_box()
            assert ruler["width"] == pytest.approx(100 * PX_PER_MM, rel=0.002)
            assert not page.locator(".only-seen").is_visible()
            pdf = page.pdf(format=paper, print_background=False)
            assert len(re.findall(rb"/Type\s*/Page\b", pdf)) == 1
    finally:
        served.kill()
