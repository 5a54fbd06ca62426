"""Opening the book for a command: by the quick reading path where only reading is needed, else whole."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book


@contextmanager
def book_at(said: str | None) -> Iterator[Book]:
    """The book for writing; made where there is none yet."""
    from firstsheet.book.store import Book

    with Book.open(said) as book:
        yield book


@contextmanager
def reader_for(said: str | None) -> Iterator[Reader]:
    """The book for reading, without the database toolkit where that can be done. Refusal "missing" if there is none."""
    from firstsheet.book import place

    where = place.resolve(said)
    if isinstance(where, Path) and not where.exists():
        hint = "It begins with the first thing you put in: firstsheet own camera …"
        raise Refusal.one("book", where, "A book that is there.", hint, "missing")
    if isinstance(where, Path):
        from firstsheet.book import quick

        with quick.reader(where) as reader:
            yield reader
        return
    with book_at(said) as book:
        yield book
