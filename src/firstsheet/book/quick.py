"""The reading half of a SQLite book through the standard library alone: what a plan asked for in the cold needs.

The database toolkit takes longer to import than the whole answer takes. One test holds every method to the store's own.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from firstsheet.book import place, revisions
from firstsheet.refusal import Refusal

Row = dict[str, Any]
MOMENTS = ("wall", "kept")


@contextmanager
def reader(path: Path) -> Iterator[QuickReader]:
    """The book at `path` for reading. A book that is foreign, damaged or of another age is left to the store to judge."""
    with place.told(path):
        conn = sqlite3.connect(path, timeout=place.BUSY_MS / 1000, isolation_level=None)
        try:
            conn.execute("PRAGMA query_only=ON")
            if not _as_expected(conn):
                from firstsheet.book.store import Book

                Book.open(path).close()  # brings it up to date, or refuses with the reason
            conn.row_factory = sqlite3.Row
            yield QuickReader(conn)
        finally:
            conn.close()


def _as_expected(conn: sqlite3.Connection) -> bool:
    try:
        ours = conn.execute("PRAGMA application_id").fetchone()[0] == revisions.APPLICATION_ID
        return bool(ours) and conn.execute("SELECT version_num FROM alembic_version").fetchall() == [(revisions.HEAD,)]
    except sqlite3.DatabaseError:
        return False


class QuickReader:
    """Rows as the store gives them: plain dicts, bodies as data, moments aware and in UTC."""

    def __init__(self, conn: sqlite3.Connection) -> None:
        self._conn = conn

    def now(self) -> datetime:
        return datetime.now(UTC)

    def things(self, kind: str) -> list[Row]:
        newest = "SELECT max(id) FROM thing WHERE kind = ? GROUP BY name"
        return self._rows(f"SELECT * FROM thing WHERE id IN ({newest}) ORDER BY name", kind)

    def get_setting(self, key: str, default: Any = None) -> Any:
        rows = self._rows("SELECT * FROM setting WHERE key = ?", key)
        return rows[0]["body"] if rows else default

    def get_reading(self, reading_id: int) -> Row:
        return self._one("reading", reading_id, "SELECT * FROM reading WHERE id = ?", "A reading that is in the book.")

    def last_readings(self, n: int = 10) -> list[Row]:
        return self._rows("SELECT * FROM reading ORDER BY id DESC LIMIT ?", n)

    def get_sheet(self, code: str) -> Row:
        tidy = code.strip().upper()
        return self._one("sheet", tidy, "SELECT * FROM sheet WHERE code = ?", "The code of a sheet in the book.")

    def sheets(self, limit: int = 50, before: int | None = None) -> list[Row]:
        last = 2**62 if before is None else before
        return self._rows("SELECT * FROM sheet WHERE id < ? ORDER BY id DESC LIMIT ?", last, limit)

    def marks(self, sheet_id: int) -> list[Row]:
        return self._rows("SELECT * FROM mark WHERE sheet_id = ? ORDER BY id", sheet_id)

    def marks_of(self, sheet_ids: Sequence[int]) -> dict[int, list[Row]]:
        found: dict[int, list[Row]] = {i: [] for i in sheet_ids}
        for some in (sheet_ids[i : i + 500] for i in range(0, len(sheet_ids), 500)):
            held = ", ".join("?" * len(some))
            for row in self._rows(f"SELECT * FROM mark WHERE sheet_id IN ({held}) ORDER BY id", *some):
                found[row["sheet_id"]].append(row)
        return found

    def all_marks(self, kind: str | None = None, after: int = 0) -> list[Row]:
        if kind is None:
            return self._rows("SELECT * FROM mark WHERE id > ? ORDER BY id", after)
        return self._rows("SELECT * FROM mark WHERE id > ? AND kind = ? ORDER BY id", after, kind)

    def newest_posterior(self) -> Row | None:
        rows = self._rows("SELECT * FROM posterior ORDER BY id DESC LIMIT 1")
        return rows[0] if rows else None

    def _rows(self, statement: str, *values: object) -> list[Row]:
        return [_row(row) for row in self._conn.execute(statement, values)]

    def _one(self, what: str, asked: object, statement: str, allowed: str) -> Row:
        rows = self._rows(statement, asked)
        if not rows:
            raise Refusal.one(what, asked, allowed, "Look on its back." if what == "sheet" else "", "missing")
        return rows[0]


def _row(row: sqlite3.Row) -> Row:
    out: Row = dict(row)
    out["body"] = json.loads(out["body"])
    for name in MOMENTS:
        if out.get(name) is not None:
            out[name] = datetime.fromisoformat(out[name]).replace(tzinfo=UTC)
    return out
