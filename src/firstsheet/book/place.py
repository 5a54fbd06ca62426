"""Where the book is, and how a connection to it is made. SQLAlchemy is imported only inside."""

from __future__ import annotations

import json
import os
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from firstsheet.book import revisions
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

BUSY_MS = 5000
MEMORY = ":memory:"


def default_path() -> Path:
    """The file the book is kept in when nobody says otherwise: in the place for a person's data."""
    home = Path.home()
    if sys.platform == "darwin":
        base = home / "Library" / "Application Support"
    elif sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or home / "AppData" / "Local")
    else:
        # A relative XDG_DATA_HOME is to be ignored (XDG Base Directory Specification).
        said = Path(os.environ.get("XDG_DATA_HOME", ""))
        base = said if said.is_absolute() else home / ".local" / "share"
    return base / "firstsheet" / "book.sqlite"


def resolve(url_or_path: str | os.PathLike[str] | None) -> Path | str:
    """A Path for a SQLite book, or the URL of a PostgreSQL one with its driver named."""
    said = os.fspath(url_or_path or os.environ.get("FIRSTSHEET_BOOK") or default_path())
    scheme, found, rest = said.partition("://")
    if not found:
        return _file(said)
    dialect = scheme.partition("+")[0]
    if dialect == "sqlite" and rest.startswith("/"):
        return _file(rest[1:])
    if dialect in ("postgresql", "postgres"):
        return f"postgresql+psycopg://{rest}"
    hint = "Give a path such as “book.sqlite”."
    raise Refusal.one("book", f"{scheme}://…", "A file's path, or a postgresql:// address.", hint, "book")


def _file(said: str) -> Path:
    path = Path(said).expanduser().absolute()
    try:
        path.exists()
    except OSError as error:
        raise Refusal.one(
            "book", f"{said[:60]}…", "A path this system can have.", f"{error.strerror}.", "book"
        ) from error
    return path


def connect(path: Path | str, hold_references: bool = True) -> sqlite3.Connection:
    """A connection whose commits survive the loss of power, and whose triggers see every deletion."""
    conn = sqlite3.connect(path, timeout=BUSY_MS / 1000, isolation_level=None, check_same_thread=False)
    try:
        # recursive_triggers: without it INSERT OR REPLACE deletes a row and no DELETE trigger hears of it.
        # fullfsync: on macOS a plain fsync leaves the data in the disk's own cache.
        conn.executescript(
            f"PRAGMA foreign_keys={hold_references:d}; PRAGMA recursive_triggers=ON; "
            "PRAGMA synchronous=FULL; PRAGMA fullfsync=ON;"
        )
        if path != MEMORY and conn.execute("PRAGMA journal_mode").fetchone() != ("wal",) and _ours(conn):
            conn.execute("PRAGMA journal_mode=WAL")
    except BaseException:
        conn.close()
        raise
    return conn


def _ours(conn: sqlite3.Connection) -> bool:
    """Whether it is a book or still empty: not a byte of another program's database is to be changed."""
    if conn.execute("PRAGMA application_id").fetchone() == (revisions.APPLICATION_ID,):
        return True
    return conn.execute("SELECT 1 FROM sqlite_master").fetchone() is None


def _dumps(value: Any) -> str:
    # Escapes, not UTF-8: then NUL and lone surrogates inside a body survive on both databases.
    return json.dumps(value, allow_nan=False, separators=(",", ":"))


def engine_for(where: Path | str, *, hold_references: bool = True) -> Engine:
    """An engine for a Path, for MEMORY or for a PostgreSQL URL. It refuses numbers JSON cannot say."""
    from sqlalchemy import create_engine, event
    from sqlalchemy.pool import QueuePool, StaticPool

    if isinstance(where, str) and where != MEMORY:
        return create_engine(where, json_serializer=_dumps, pool_pre_ping=True)
    pool = StaticPool if where == MEMORY else QueuePool
    engine = create_engine(
        "sqlite://", creator=lambda: connect(where, hold_references), poolclass=pool, json_serializer=_dumps
    )

    @event.listens_for(engine, "begin")
    def _(conn: Any) -> None:
        # A writer takes its turn at once: a reader that later turns writer would be refused without waiting.
        reading = conn.get_execution_options().get("reading", False)
        conn.exec_driver_sql("BEGIN" if reading else "BEGIN IMMEDIATE")

    return engine


def as_reader(conn: Connection) -> Connection:
    """The connection for a transaction that only reads, and sees everything as of one moment."""
    if conn.dialect.name == "postgresql":
        return conn.execution_options(isolation_level="REPEATABLE READ")
    return conn.execution_options(reading=True)


def take_turn(conn: Connection) -> None:
    """Wait until no other transaction writes: ids then come in the order of keeping, as they do in SQLite."""
    if conn.dialect.name == "postgresql":
        conn.exec_driver_sql(f"SELECT pg_advisory_xact_lock({revisions.APPLICATION_ID})")


def shown(where: Path | str) -> str:
    """The place in words, never with a password."""
    if isinstance(where, Path) or where == MEMORY:
        return str(where)
    from sqlalchemy import make_url

    return make_url(where).render_as_string(hide_password=True)


def make_room(path: Path) -> None:
    """Make the folder of a new book, readable by its owner only."""
    if path.parent.is_dir():
        return
    try:
        path.parent.parent.mkdir(parents=True, exist_ok=True)
        path.parent.mkdir(mode=0o700, exist_ok=True)
    except OSError as error:
        hint = f"{error.strerror}: choose another place."
        raise refused(path, "A folder that can be made and written in.", hint) from error


@contextmanager
def told(where: Path | str) -> Iterator[None]:
    """Turn what the database says into a Refusal a person can act on; errors of ours pass unchanged."""
    try:
        yield
    except sqlite3.Error as error:
        refusal = _refusal(where, error)
        if refusal is None:
            raise
        raise refusal from error
    except Exception as error:
        original = getattr(error, "orig", None)
        refusal = _refusal(where, original) if isinstance(original, Exception) else None
        if refusal is None:
            raise
        raise refusal from error


def refused(where: Path | str, allowed: str, hint: str, kind: str = "book") -> Refusal:
    """A Refusal about the book as a whole."""
    return Refusal.one("book", shown(where), allowed, hint, kind)


def _refusal(where: Path | str, error: Exception) -> Refusal | None:
    said = str(error).lower()
    if "locked" in said or "busy" in said or "lock timeout" in said:
        hint = "Another program is writing in it; try again in a moment."
        return refused(where, "One writer at a time.", hint, "busy")
    if "not a database" in said or "malformed" in said:
        return refused(where, "A book that is whole.", "This is not one, or it is damaged; restore a backup.")
    if "readonly" in said or "unable to open" in said or "read-only" in said:
        hint = "Check that you may write to the file and its folder, or choose another place."
        return refused(where, "A place that can be read and written.", hint)
    if "disk is full" in said or "disk full" in said or "disk i/o" in said:
        return refused(where, "Room on a disk that works.", "Nothing of this was kept; make room.")
    if type(error).__name__ == "OperationalError" and not isinstance(error, sqlite3.Error):
        return refused(where, "A database server that answers.", "Is it running, is the address right?")
    return None
