"""Opening a book: made if new, brought up to date if older, refused if foreign or newer."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from firstsheet.book import place, revisions

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

# SQLite, "Database File Format", 1.2.1: every database begins so.
SQLITE_START = b"SQLite format 3\x00"


def open_engine(where: Path | str, *, create: bool) -> Engine:
    """An engine on a book at the newest revision. Raises Refusal "book" or "busy"."""
    if isinstance(where, Path):
        _look_at_file(where, create)
    try:
        engine = place.engine_for(where)
    except ModuleNotFoundError as error:
        hint = 'Install it with: pip install "firstsheet[postgres]".'
        raise place.refused(where, "PostgreSQL needs a driver.", hint) from error
    try:
        with place.told(where):
            _bring_to_head(where, engine, create)
    except BaseException:
        engine.dispose()
        raise
    return engine


def revision_of(conn: Connection, where: Path | str) -> str | None:
    """The revision of the book behind `conn`; None if the database is empty; Refusal if foreign."""
    from sqlalchemy import inspect

    if conn.dialect.name == "sqlite":
        # One look without SQLAlchemy's inspection, which costs more than the rest of opening.
        listed = conn.exec_driver_sql("SELECT name FROM sqlite_master WHERE type = 'table'")
        names = {row[0] for row in listed}
        mine = conn.exec_driver_sql("PRAGMA application_id").scalar() == revisions.APPLICATION_ID
    else:
        names = set(inspect(conn).get_table_names())
        mine = {"alembic_version", "sheet", "mark"} <= names
    if not names:
        return None
    if not mine or "alembic_version" not in names:
        hint = "It belongs to another program; nothing was changed. Choose another place."
        raise place.refused(where, "A book of this program.", hint)
    found = conn.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
    if found not in revisions.REVISIONS:
        hint = f"It is at revision {found}, this program knows {revisions.HEAD}; install the newer program."
        raise place.refused(where, "A book not newer than the program.", hint)
    return str(found)


def _look_at_file(path: Path, create: bool) -> None:
    if path.is_dir():
        raise place.refused(path, "A file.", "This is a folder; name a file in it.")
    try:
        with path.open("rb") as file:
            start = file.read(len(SQLITE_START))
    except FileNotFoundError:
        start = b""
    except OSError as error:
        hint = f"{error.strerror}; choose another place."
        raise place.refused(path, "A file that can be read.", hint) from error
    if start == SQLITE_START:
        return
    if start:
        # SQLite itself would take a very short file for an empty database, and write over it.
        hint = "This is another kind of file; choose another place."
        raise place.refused(path, "A book of this program.", hint)
    if not create:
        raise place.refused(path, "A book that is there.", "Check the path, or begin a new one.")
    place.make_room(path)


def _bring_to_head(where: Path | str, engine: Engine, create: bool) -> None:
    from firstsheet.book import tables

    with engine.connect().execution_options(reading=True) as conn, conn.begin():
        found = revision_of(conn, where)
    if found == revisions.HEAD:
        return
    if found is None:
        if not create:
            raise place.refused(where, "A book that is there.", "This is empty; begin a new one.")
        with engine.begin() as conn:
            place.take_turn(conn)
            # Asked again, now that nobody else can write: two programs may have begun the same book at once.
            if revision_of(conn, where) is None:
                tables.create(conn)
        return
    from firstsheet.book import migrate

    migrate.to_head(where)
