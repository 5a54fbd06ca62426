"""Keep the book safe: copy it away, bring a copy back. Nothing that is replaced is lost."""

from __future__ import annotations

from typing import TYPE_CHECKING

from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.book.backup import Copied
    from firstsheet.book.store import Book


def backup(book: Book, dest: str) -> Copied:
    """Copy the open book to a new file and check the copy. Refuses to write over anything."""
    from firstsheet.book import backup as copies

    if not dest.strip():
        raise Refusal.one("dest", dest, "A file name for the copy.", "Try “book-2026-05-03.sqlite”.")
    return copies.backup(book, dest)


def restore(src: str, dest: str) -> Copied:
    """Make a copy the book again. The book that was there is kept beside it under a dated name."""
    from firstsheet.book import backup as copies

    return copies.restore(src, dest)
