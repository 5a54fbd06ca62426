"""A clock that is given, a book in a folder, one sheet in it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from firstsheet.book.store import Book


class Clock:
    """Each look is a second later than the one before."""

    def __init__(self) -> None:
        self.at = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.at += timedelta(seconds=1)
        return self.at


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "book.sqlite"


@pytest.fixture(params=["file", "memory"])
def book(request: pytest.FixtureRequest, path: Path, clock: Clock) -> Iterator[Book]:
    with Book.open(path, memory=request.param == "memory", now=clock) as opened:
        yield opened


@pytest.fixture
def sheet_id(book: Book) -> int:
    return book.add_sheet("47AC", {"time_s": 40.0})
