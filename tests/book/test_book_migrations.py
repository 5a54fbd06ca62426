"""The scripts make what the program makes; an older book is copied, then brought up to date."""

from __future__ import annotations

import re
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import Engine

from firstsheet.book import migrate, place, revisions
from firstsheet.book.backup import examine, restore
from firstsheet.book.store import Book
from firstsheet.book.tables import metadata
from firstsheet.refusal import Refusal

NEXT = """
import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    op.add_column("sitting", sa.Column("place", sa.Text()))
    op.execute("UPDATE sitting SET place = 'boathouse'")
    {then}
"""


def schema(engine: Engine) -> dict[str, str]:
    """What SQLite keeps of every table, index and trigger, but for spaces."""
    with engine.connect() as conn:
        rows = conn.exec_driver_sql("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL").fetchall()
    return {name: re.sub(r"\s", "", sql) for name, sql in rows}


@pytest.fixture
def migrated(path: Path) -> Engine:
    engine = place.engine_for(path)
    with engine.begin() as conn:
        migrate.run(conn, "head")
    return engine


def test_the_scripts_make_what_the_program_makes(migrated: Engine) -> None:
    with Book.open(memory=True) as season:
        assert schema(season.engine) == schema(migrated)
        with season.looking() as mine, migrated.connect() as theirs:
            for pragma in ("PRAGMA application_id", "SELECT version_num FROM alembic_version"):
                assert mine.exec_driver_sql(pragma).scalar() == theirs.exec_driver_sql(pragma).scalar()


def test_alembic_finds_no_difference_either(migrated: Engine) -> None:
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    with migrated.connect() as conn:
        assert compare_metadata(MigrationContext.configure(conn), metadata) == []


def test_the_revisions_named_are_those_of_the_scripts() -> None:
    from alembic.script import ScriptDirectory

    scripts = ScriptDirectory.from_config(migrate.config())
    assert scripts.get_heads() == [revisions.HEAD]
    assert tuple(one.revision for one in reversed(list(scripts.walk_revisions()))) == revisions.REVISIONS


def test_a_migrated_book_is_opened_without_more_ado(migrated: Engine, path: Path) -> None:
    migrated.dispose()
    with Book.open(path) as book:
        sheet = book.add_sheet("4444", {})
        book.add_marks(sheet, [{"client_id": "a", "kind": "k", "wall": book.now()}])
        assert len(book.marks(sheet)) == 1
    assert list(path.parent.glob("*before*")) == []


@pytest.fixture
def older(path: Path) -> Path:
    with Book.open(path) as book:
        book.add_sitting("the crew of the eight", {})
        sheet = book.add_sheet("4444", {})
        book.add_marks(sheet, [{"client_id": "a", "kind": "k", "wall": book.now()}])
    return path


def a_newer_program(monkeypatch: pytest.MonkeyPatch, folder: Path, then: str = "pass") -> None:
    """The program as it may be one day, with one more revision."""
    scripts = folder / "scripts"
    shutil.copytree(migrate.SCRIPTS, scripts, ignore=shutil.ignore_patterns("__pycache__"))
    (scripts / "versions" / "0002_next.py").write_text(NEXT.format(then=then))
    monkeypatch.setattr(migrate, "SCRIPTS", scripts)
    monkeypatch.setattr(revisions, "REVISIONS", ("0001", "0002"))
    monkeypatch.setattr(revisions, "HEAD", "0002")


def test_an_older_book_is_copied_and_brought_up_to_date(
    older: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    a_newer_program(monkeypatch, tmp_path)
    for _ in range(2):  # the second time there is nothing to do
        with Book.open(older) as book, book.looking() as conn:
            assert conn.exec_driver_sql("SELECT place FROM sitting").scalar() == "boathouse"
            assert len(book.all_marks()) == 1
    (copy,) = older.parent.glob("book.sqlite.before-0001-*.sqlite")
    assert examine(copy)[0] == "0001"
    assert examine(copy)[1]["mark"] == 1
    with closing(sqlite3.connect(older)) as conn, pytest.raises(sqlite3.IntegrityError):
        conn.execute("DELETE FROM mark")


@pytest.mark.parametrize("then", ["raise ZeroDivisionError", "op.execute('nonsense')"])
def test_an_update_that_fails_leaves_the_book_as_it_was(
    older: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, then: str
) -> None:
    with monkeypatch.context() as newer:
        a_newer_program(newer, tmp_path, then)
        with pytest.raises(Refusal) as refusal:
            Book.open(older)
    assert refusal.value.kind == "book"
    assert "before-0001" in str(refusal.value)
    assert len(list(older.parent.glob("*before-0001*.sqlite"))) == 1
    with Book.open(older) as book, book.looking() as conn:
        assert "place" not in [row[1] for row in conn.exec_driver_sql("PRAGMA table_info(sitting)")]
        assert len(book.all_marks()) == 1


def test_an_update_that_breaks_references_is_undone(
    older: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as newer:
        a_newer_program(
            newer,
            tmp_path,
            "op.execute('UPDATE sitting SET id = 9'); op.execute('INSERT INTO sheet "
            "(code, sitting_id, body, wall) VALUES (1, 77, 1, 1)')",
        )
        with pytest.raises(Refusal, match="belong together"):
            Book.open(older)
    with Book.open(older) as book:
        assert len(book.sheets()) == 1


def test_an_older_backup_is_brought_up_to_date_when_restored(
    older: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    a_newer_program(monkeypatch, tmp_path)
    restored = restore(older, tmp_path / "new" / "book.sqlite")
    assert examine(restored.path)[0] == "0002"
    assert examine(older)[0] == "0001"
    assert sorted(p.name for p in restored.path.parent.iterdir()) == ["book.sqlite"]
