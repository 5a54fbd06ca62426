"""Bringing an older book up to date, after putting a copy beside it. Only this module imports Alembic."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from firstsheet.book import place, revisions
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from sqlalchemy import Connection

SCRIPTS = Path(__file__).with_name("migrations")


def to_head(where: Path | str, *, copy_first: bool = True) -> Path | None:
    """Run the migrations the book lacks, all or none. A SQLite book is copied beside itself first.

    Returns where the copy is. Raises Refusal "book" when a migration fails; the book is then as it was.
    """
    from firstsheet.book import backup, opening

    copy: Path | None = None
    # Tables may be rebuilt on the way, so references are not held row by row but checked at the end.
    engine = place.engine_for(where, hold_references=False)
    try:
        with place.told(where), engine.begin() as conn:
            place.take_turn(conn)
            found = opening.revision_of(conn, where)
            if found == revisions.HEAD:
                return None
            if isinstance(where, Path) and copy_first:
                copy = backup.before_migration(where, found or "empty")
            run(conn, revisions.HEAD)
            _check_references(conn, where)
    except Refusal:
        raise
    except Exception as error:
        kept = f" A copy is at {copy}." if copy else ""
        hint = f"The update failed ({type(error).__name__}: {error}); the book is as it was.{kept}"
        raise place.refused(where, "A book that can be brought up to date.", hint) from error
    finally:
        engine.dispose()
    return copy


def run(conn: Connection, revision: str) -> None:
    """Run the scripts up to `revision` in the open transaction of `conn`; the caller commits."""
    from alembic import command

    command.upgrade(config(conn), revision)


def config(conn: Connection | None = None) -> Any:
    """Alembic's configuration, made in code: the scripts are inside the package and there is no ini file."""
    from alembic.config import Config

    made = Config()
    made.set_main_option("script_location", str(SCRIPTS).replace("%", "%%"))
    made.set_main_option("path_separator", "os")
    made.attributes["connection"] = conn
    return made


def _check_references(conn: Connection, where: Path | str) -> None:
    if conn.dialect.name != "sqlite":
        return
    broken = conn.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
    if broken:
        hint = "The update was undone and the book is as it was; keep it and ask for help."
        raise place.refused(where, f"A book whose rows belong together ({len(broken)} do not).", hint)
