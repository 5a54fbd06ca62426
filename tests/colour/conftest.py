"""An invented boathouse with a box of colour paper, planned in direct sun."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from firstsheet.acts import own, wish
from firstsheet.book.store import Book


@pytest.fixture
def book(tmp_path):
    with Book.open(tmp_path / "colour.sqlite", now=lambda: datetime(2026, 5, 9, 17, 0, tzinfo=UTC)) as b:
        own.add_camera(b, {"name": "boathouse", "focal": "600 mm", "f_number": "f/8", "stops": "8 11 16 22", "coverage": "60°", "board_min": "610 mm",
                           "board_max": "1200 mm", "length": "2.4 m", "width": "2 m", "height": "2.2 m"})  # fmt: skip
        own.add_box(b, {"name": "C", "paper": "ra4", "size": "12x16 in", "sheets": "25"})
        own.add_developer(b, {"name": "bought", "kind": "paper"})
        own.add_meter(b, {"name": "my meter", "kind": "hand"})
        wish.say(b, {"reading": "EV 13", "light": "sun", "subject": "3 m", "developer": "bought", "aperture": "f/8", "box": "C", "way": "reversal_ra4"})
        yield b
