"""What is written stays: not by good manners but because the database refuses."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy.exc import DBAPIError

from firstsheet.book.store import Book
from firstsheet.book.tables import APPEND_ONLY

CHANGES = [change for name in APPEND_ONLY for change in (f"UPDATE {name} SET body = '{{}}'", f"DELETE FROM {name}")]


@pytest.fixture
def full(book: Book, sheet_id: int) -> Book:
    book.add_thing("box", "attic", {"n": 1})
    picture = book.add_picture("image/png", b"1", {"n": 1})
    book.add_reading({"n": 1}, picture_id=picture)
    book.add_marks(sheet_id, [{"client_id": "a", "kind": "k", "wall": book.now(), "body": {"n": 1}}])
    return book


@pytest.mark.parametrize("change", CHANGES)
def test_no_update_and_no_delete(full: Book, change: str) -> None:
    with pytest.raises(DBAPIError, match="what is written stays"), full.begin() as conn:
        conn.exec_driver_sql(change)
    assert full.all_marks()[0]["body"] == {"n": 1}


def test_replacing_is_deleting_too(full: Book) -> None:
    """SQLite, "REPLACE": delete triggers fire for it only if recursive triggers are on."""
    if full.engine.dialect.name != "sqlite":
        pytest.skip("SQLite only")
    replace = (
        "INSERT OR REPLACE INTO mark (id, client_id, sheet_id, kind, wall, kept, body) "
        "SELECT id, client_id, sheet_id, kind, wall, kept, '{}' FROM mark"
    )
    with pytest.raises(DBAPIError, match="what is written stays"), full.begin() as conn:
        conn.exec_driver_sql(replace)
    assert full.all_marks()[0]["body"] == {"n": 1}


def test_another_program_is_refused_too(path: Path) -> None:
    with Book.open(path) as book:
        sheet = book.add_sheet("4444", {})
        book.add_marks(sheet, [{"client_id": "a", "kind": "k", "wall": book.now()}])
    with closing(sqlite3.connect(path)) as conn:
        with pytest.raises(sqlite3.IntegrityError, match="what is written stays"):
            conn.execute("DELETE FROM mark")
        with pytest.raises(sqlite3.IntegrityError, match="what is written stays"):
            conn.execute("UPDATE mark SET kind = 'other'")


def test_references_are_held(book: Book) -> None:
    orphan = (
        "INSERT INTO mark (client_id, sheet_id, kind, wall, kept, body) "
        "VALUES ('a', 9, 'k', '2026-11-25', '2026-11-25', '{}')"
    )
    with pytest.raises(DBAPIError, match=r"(?i)foreign key"), book.begin() as conn:
        conn.exec_driver_sql(orphan)


def test_a_commit_waits_for_the_disk(path: Path) -> None:
    """SQLite, "PRAGMA synchronous": in WAL mode FULL (2) survives the loss of power, NORMAL (1) may not."""
    with Book.open(path) as book, book.looking() as conn:
        assert conn.exec_driver_sql("PRAGMA synchronous").scalar() == 2
        assert conn.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
        assert conn.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
        assert conn.exec_driver_sql("PRAGMA busy_timeout").scalar() == 5000
