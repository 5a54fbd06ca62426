"""One browser for each module of page tests."""

import pytest

from tests.browser.web_harness import chromium


@pytest.fixture(scope="module")
def browser():
    with chromium() as opened:
        yield opened
