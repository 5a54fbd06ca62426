"""Which revisions of the book this program knows. Kept apart so that opening a book needs no Alembic."""

from __future__ import annotations

# Oldest first; the last is what this program writes. A test compares them with the migration scripts.
REVISIONS: tuple[str, ...] = ("0001",)
HEAD = REVISIONS[-1]

# Written in the header of a SQLite book ("fsht"), so that another program's database is never taken for one.
APPLICATION_ID = 0x66736874
