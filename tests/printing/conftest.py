"""A book with an invented box and developer; a bench with lamp and negative beside them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from firstsheet.acts import contact_kept, own
from firstsheet.book.store import Book

ROOM = {"focal": "600 mm", "f_number": "f/16", "coverage": "60°", "board_min": "610 mm", "board_max": "1200 mm", "length": "2.4 m", "width": "2 m", "height": "2.2 m"}


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with Book.open(tmp_path / "print.sqlite", now=lambda: datetime(2026, 6, 21, 20, 0, tzinfo=UTC)) as book:
        own.add_box(book, {"name": "D", "paper": "enlarging", "size": "12x16 in", "sheets": "50"})
        own.add_developer(book, {"name": "tray", "kind": "paper"})
        yield book


@pytest.fixture
def bench(book: Book) -> Book:
    own.add_camera(book, {"name": "boathouse", **ROOM})
    contact_kept.lamp(book, {"name": "phone", "height": "1 m", "times": "1 2 4 8 16 s", "black": "3"})
    contact_kept.negative(book, {"name": "boat", "clear": "0.60", "dense": "1.60"})
    return book
