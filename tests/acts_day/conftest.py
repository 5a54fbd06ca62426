"""A book with an invented camera room, box and developer, at an invented boathouse, and a clock that is told the time."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from firstsheet.acts import day_place, own
from firstsheet.book.store import Book


class Clock:
    def __init__(self) -> None:
        self.now = datetime(2026, 6, 21, 15, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def bare(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.open(tmp_path / "day.sqlite", now=clock) as book:
        yield book


@pytest.fixture
def book(bare: Book) -> Book:
    own.add_camera(bare, {
        "name": "boathouse", "focal": "600 mm", "f_number": "f/8", "stops": "8 11 16", "board_min": "620 mm", "board_max": "1100 mm",
        "length": "2.4 m", "width": "2 m", "height": "2 m",
    })  # fmt: skip
    own.add_box(bare, {"name": "D", "paper": "enlarging", "size": "12x16 in", "sheets": "50"})
    own.add_developer(bare, {"name": "tray", "kind": "paper"})
    day_place.say(bare, {"place": "52 N 0 E", "zone": "CET", "faces": "S"})
    return bare
