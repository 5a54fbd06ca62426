"""A book with an invented box and developer."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from firstsheet.acts import own
from firstsheet.book.store import Book


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with Book.open(tmp_path / "print.sqlite", now=lambda: datetime(2026, 6, 21, 20, 0, tzinfo=UTC)) as book:
        own.add_box(book, {"name": "D", "paper": "enlarging", "size": "12x16 in", "sheets": "50"})
        own.add_developer(book, {"name": "tray", "kind": "paper"})
        yield book
