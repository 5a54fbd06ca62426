"""A clock that is given, a book in a folder, one sheet in it.

With $FIRSTSHEET_TEST_POSTGRESQL (the address of a database that may be written in) the same tests run there too, each
in a schema of its own that is removed afterwards.
"""

from __future__ import annotations

import os
import uuid
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import create_engine

from firstsheet.book import place
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


SERVER = os.environ.get("FIRSTSHEET_TEST_POSTGRESQL")


@pytest.fixture
def postgresql() -> Iterator[str]:
    """The address of an empty schema."""
    if not SERVER:
        pytest.skip("FIRSTSHEET_TEST_POSTGRESQL is not set")
    schema = f"t{uuid.uuid4().hex}"
    engine = create_engine(str(place.resolve(SERVER)))
    with engine.begin() as conn:
        conn.exec_driver_sql(f"CREATE SCHEMA {schema}")
    yield f"{SERVER}?options=-csearch_path%3D{schema}"
    with engine.begin() as conn:
        conn.exec_driver_sql(f"DROP SCHEMA {schema} CASCADE")
    engine.dispose()


@pytest.fixture(params=["file", "memory", *(["postgresql"] if SERVER else [])])
def book(request: pytest.FixtureRequest, path: Path, clock: Clock) -> Iterator[Book]:
    where = request.getfixturevalue("postgresql") if request.param == "postgresql" else path
    with Book.open(where, memory=request.param == "memory", now=clock) as opened:
        yield opened


@pytest.fixture
def sheet_id(book: Book) -> int:
    return book.add_sheet("47AC", {"time_s": 40.0})
