"""Bringing an older book up to date, after putting a copy beside it. Only this module imports Alembic."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from firstsheet.book import place, revisions

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

SCRIPTS = Path(__file__).with_name("migrations")


def to_head(where: Path | str, engine: Engine, *, copy_first: bool = True) -> None:
    """Run the migrations the book lacks, all or none. A SQLite book is copied beside itself first.

    Raises Refusal "book" when one fails; the book is then as it was.
    """
    from firstsheet.book import backup, opening

    # Tables may be rebuilt, so references are checked afterwards instead of row by row.
    with engine.connect() as conn:
        if conn.dialect.name == "sqlite":
            conn.exec_driver_sql("COMMIT")
            conn.exec_driver_sql("PRAGMA foreign_keys=OFF")
            conn.exec_driver_sql("BEGIN IMMEDIATE")
        try:
            found = opening.revision_of(conn, where)
            if found == revisions.HEAD:
                return
            if isinstance(where, Path) and copy_first:
                backup.before_migration(where, found or "empty")
            run(conn, revisions.HEAD)
            _check_references(conn, where)
            conn.commit()
        finally:
            # This connection must not be used again: its foreign keys are off.
            conn.invalidate()


def run(conn: Connection, revision: str) -> None:
    """Run the scripts up to `revision` on an open transaction; the caller commits."""
    from alembic import command

    command.upgrade(config(conn), revision)


def config(conn: Connection | None = None) -> Any:
    """Alembic's configuration, made in code: the scripts are inside the package and there is no ini file."""
    from alembic.config import Config

    made = Config()
    made.set_main_option("script_location", str(SCRIPTS).replace("%", "%%"))
    made.attributes["connection"] = conn
    return made


def _check_references(conn: Connection, where: Path | str) -> None:
    if conn.dialect.name != "sqlite":
        return
    broken = conn.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
    if broken:
        hint = "The update was undone and the book is as it was; keep it and ask for help."
        raise place.refused(where, f"A book whose rows belong together ({len(broken)} do not).", hint)
