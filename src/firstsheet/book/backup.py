"""Copies of a SQLite book, and putting one back. Nothing is ever overwritten or lost."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from firstsheet.book import place, revisions
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.book.store import Book

COUNTED = ("thing", "setting", "sitting", "picture", "reading", "sheet", "mark", "posterior")


@dataclass(frozen=True, slots=True)
class Copied:
    """A copy that was made and read back whole.

    path      where it is
    size      its length [bytes]
    counts    rows of each table in it
    replaced  restore only: where the book that was there before is kept now, if there was one
    """

    path: Path
    size: int
    counts: dict[str, int]
    replaced: Path | None = None


def backup(book: Book, dest: str | os.PathLike[str]) -> Copied:
    """Copy the book, also while it is in use, to a new file `dest`, and check the copy.

    Raises Refusal "book" if there is already something at `dest`, or if the book is not a SQLite file (a
    PostgreSQL book is backed up with the server's own tools).
    """
    if not isinstance(book.where, Path):
        hint = "Use the tools of the database server, such as pg_dump."
        raise place.refused(book.where, "A book that is a file.", hint)
    path = Path(dest).expanduser().absolute()
    _copy(book.where, path)
    return Copied(path, path.stat().st_size, examine(path)[1])


def restore(src: str | os.PathLike[str], dest: str | os.PathLike[str]) -> Copied:
    """Make the backup `src` the book at `dest`; a book already there is kept beside it under a dated name.

    The copy is examined, and brought up to date if it is older, before anything at `dest` is touched. Raises
    Refusal "book" if `src` is not a whole book of this program, "busy" while another program has `dest` open.
    """
    source, path = Path(src).expanduser().absolute(), Path(dest).expanduser().absolute()
    examine(source)
    if path.exists() and path.samefile(source):
        raise place.refused(source, "A backup that is another file than the book.", "Name both files.")
    place.make_room(path)
    arriving = _beside(path, "arriving")
    try:
        _copy(source, arriving)
        _bring_up_to_date(arriving)
        counts = examine(arriving)[1]
        _to_disk(arriving)
        replaced = _set_aside(path)
        os.replace(arriving, path)
        _to_disk(path)
    finally:
        for left in (arriving, *_companions(arriving)):
            left.unlink(missing_ok=True)
    return Copied(path, path.stat().st_size, counts, replaced)


def before_migration(path: Path, revision: str) -> Path:
    """Copy the book beside itself, named after the revision it has now. Returns where."""
    copy = _beside(path, f"before-{revision}")
    _copy(path, copy)
    return copy


def examine(path: Path, *, copy_of: Path | None = None) -> tuple[str, dict[str, int]]:
    """The revision and the row counts of the book in the file; Refusal if not whole, foreign or newer."""
    if not path.is_file():
        raise place.refused(path, "A file that is there.", "Check the path.")
    about = copy_of or path
    with place.told(about), closing(_open_to_read(path)) as conn:
        if conn.execute("PRAGMA application_id").fetchone()[0] != revisions.APPLICATION_ID:
            raise place.refused(about, "A book of this program.", "This belongs to another program.")
        found = [row[0] for row in conn.execute("PRAGMA integrity_check(10)")]
        if found != ["ok"]:
            raise place.refused(about, "A book that is whole.", f"It is damaged: {found[0]}. Use another copy.")
        revision = str(conn.execute("SELECT version_num FROM alembic_version").fetchone()[0])
        if revision not in revisions.REVISIONS:
            hint = f"It is at revision {revision}; install the newer program."
            raise place.refused(about, "A book not newer than the program.", hint)
        there = {row[0] for row in conn.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        counts = {
            name: int(conn.execute(f"SELECT count(*) FROM {name}").fetchone()[0]) for name in COUNTED if name in there
        }
    return revision, counts


def _open_to_read(path: Path) -> sqlite3.Connection:
    # Not mode=ro: a backup made elsewhere may still have its write-ahead log beside it, to be read with it.
    return sqlite3.connect(path, timeout=place.BUSY_MS / 1000, isolation_level=None)


def _copy(source: Path, dest: Path) -> None:
    """Copy page by page through SQLite, which sees a whole book even while another program writes."""
    with place.told(dest):
        try:
            # Made by us or not at all: two programs cannot both take the name.
            os.close(os.open(dest, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        except FileExistsError as error:
            hint = "Nothing was overwritten; choose another name."
            raise place.refused(dest, "A name that is free.", hint) from error
        except OSError as error:
            raise place.refused(dest, "A place that can be written.", f"{error.strerror}.") from error
        try:
            with closing(_open_to_read(source)) as old, closing(sqlite3.connect(dest)) as new:
                with place.told(source):
                    old.backup(new)
                # One file, with no log beside it, is easier to carry away and harder to part.
                new.execute("PRAGMA journal_mode=DELETE")
            examine(dest, copy_of=source)
            _to_disk(dest)
        except BaseException:
            dest.unlink(missing_ok=True)
            raise


def _bring_up_to_date(path: Path) -> None:
    if examine(path)[0] != revisions.HEAD:
        from firstsheet.book import migrate

        migrate.to_head(path, copy_first=False)
        _fold(path)


def _fold(path: Path) -> None:
    """Bring the write-ahead log into the file; Refusal "busy" while any other program has it open."""
    with place.told(path), closing(_open_to_read(path)) as conn:
        conn.execute("PRAGMA journal_mode=DELETE")


def _set_aside(path: Path) -> Path | None:
    """Give what is at `path`, with its log, a second name, so that it can be opened again as it was."""
    if not path.exists():
        return None
    try:
        _fold(path)
    except Refusal as refusal:
        if refusal.kind == "busy":
            raise
    except sqlite3.Error:
        pass  # damaged: set aside as it is
    aside = _beside(path, "replaced")
    for old, new in zip(_companions(path), _companions(aside), strict=True):
        if old.exists():
            os.replace(old, new)
    try:
        os.link(path, aside)  # then the new book takes the old name in one step, and there is always one there
    except OSError:
        os.replace(path, aside)
    return aside


def _companions(path: Path) -> tuple[Path, Path, Path]:
    a, b, c = (path.with_name(path.name + tail) for tail in ("-wal", "-shm", "-journal"))
    return a, b, c


def _beside(path: Path, why: str) -> Path:
    """A free name beside the book: book.sqlite.before-0001-20261125T093000123456Z.sqlite."""
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%fZ")
    return path.with_name(f"{path.name}.{why}-{stamp}.sqlite")


def _to_disk(path: Path) -> None:
    """Wait until the file and its name are on the disk."""
    for what in (path, path.parent):
        try:
            handle = os.open(what, os.O_RDONLY)
        except OSError:
            continue  # a folder cannot be opened on Windows, where the name needs no wait
        try:
            os.fsync(handle)
        except OSError:
            if what is path:
                raise
        finally:
            os.close(handle)
