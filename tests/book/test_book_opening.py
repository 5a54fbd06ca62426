"""A book is made once, found again, and anything that is not one is refused without being touched."""

from __future__ import annotations

import os
import shutil
import sqlite3
import stat
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

import pytest

from firstsheet.book import place
from firstsheet.book.store import Book
from firstsheet.refusal import Refusal

NOBODY = 65534


def refused(where: object, **options: bool) -> Refusal:
    with pytest.raises(Refusal) as refusal:
        Book.open(where, **options)  # type: ignore[arg-type]
    assert str(where).rpartition("/")[2] in refusal.value.problems[0].asked
    return refusal.value


def test_the_place_is_said_by_the_environment(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.delenv("FIRSTSHEET_BOOK", raising=False)
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    # XDG Base Directory Specification: default $HOME/.local/share, relative paths are to be ignored.
    share = tmp_path / ".local/share/firstsheet/book.sqlite"
    assert place.resolve(None) == share
    monkeypatch.setenv("XDG_DATA_HOME", "relative")
    assert place.resolve(None) == share
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    assert place.resolve(None) == tmp_path / "data/firstsheet/book.sqlite"
    monkeypatch.setenv("FIRSTSHEET_BOOK", "~/elsewhere.sqlite")
    assert place.resolve(None) == tmp_path / "elsewhere.sqlite"
    assert place.resolve(f"sqlite:///{tmp_path}/a.sqlite") == tmp_path / "a.sqlite"
    assert place.resolve("postgresql://h/b") == "postgresql+psycopg://h/b"
    with pytest.raises(Refusal):
        place.resolve("mysql://h/b")


def test_a_new_book_is_in_a_folder_of_its_owner_only(tmp_path: Path) -> None:
    path = tmp_path / "share" / "firstsheet" / "book.sqlite"
    with Book.open(path) as book:
        book.set_setting("today", 1)
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700
    with Book.open(path, create=False) as book:
        assert book.get_setting("today") == 1


def test_a_strange_name_is_only_a_name(tmp_path: Path) -> None:
    path = tmp_path / "cahier n° 1?mode=memory&x=%20#.sqlite"
    with Book.open(path) as book:
        book.set_setting("today", 1)
    assert path.stat().st_size > 0


def test_no_book_and_none_to_be_made(path: Path) -> None:
    assert refused(path, create=False).kind == "book"
    assert not path.exists()
    path.touch()
    assert refused(path, create=False).kind == "book"
    Book.open(path).close()


@pytest.mark.parametrize("content", [b"a letter\n" * 200, b"\x00" * 5000, b"x"])
def test_a_file_that_is_not_a_database(path: Path, content: bytes) -> None:
    path.write_bytes(content)
    assert refused(path).kind == "book"
    assert path.read_bytes() == content


def test_the_database_of_another_program(path: Path) -> None:
    with closing(sqlite3.connect(path)) as conn:
        conn.execute("CREATE TABLE alembic_version (version_num TEXT)")
        conn.execute("INSERT INTO alembic_version VALUES ('0001')")
        conn.commit()
    before = path.read_bytes()
    assert "another program" in str(refused(path))
    with closing(sqlite3.connect(path)) as conn:
        assert conn.execute("SELECT name FROM sqlite_master").fetchall() == [("alembic_version",)]
    assert path.read_bytes() == before


def test_a_book_newer_than_the_program(path: Path) -> None:
    Book.open(path).close()
    with closing(sqlite3.connect(path)) as conn:
        conn.execute("UPDATE alembic_version SET version_num = '9999'")
        conn.commit()
    refusal = refused(path)
    assert refusal.kind == "book"
    assert "9999" in str(refusal)
    assert "newer program" in str(refusal)


def test_a_folder_or_a_place_below_a_file(tmp_path: Path) -> None:
    assert refused(tmp_path).kind == "book"
    (tmp_path / "file").write_text("x")
    assert refused(tmp_path / "file" / "below" / "book.sqlite").kind == "book"


@pytest.fixture
def as_nobody() -> Iterator[Path]:
    """An ordinary person's folder; root may write everywhere, so root becomes nobody for a moment."""
    folder = Path(tempfile.mkdtemp())
    was_root = os.geteuid() == 0
    if was_root:
        os.chown(folder, NOBODY, NOBODY)
        os.seteuid(NOBODY)
    try:
        yield folder
    finally:
        if was_root:
            os.seteuid(0)
        folder.chmod(0o700)
        shutil.rmtree(folder)


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="needs POSIX permissions")
def test_a_place_that_cannot_be_written(as_nobody: Path) -> None:
    path = as_nobody / "book.sqlite"
    Book.open(path).close()
    path.chmod(0o400)
    with Book.open(path) as book, pytest.raises(Refusal) as refusal:
        book.set_setting("today", 1)
    assert refusal.value.kind == "book"
    path.chmod(0o600)
    as_nobody.chmod(0o500)
    assert refused(as_nobody / "other.sqlite").kind == "book"
    assert refused(as_nobody / "below" / "other.sqlite").kind == "book"


def test_a_book_that_another_program_is_writing_in(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(place, "BUSY_MS", 50)
    with Book.open(path) as book, closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(Refusal) as refusal:
            book.set_setting("today", 1)
        assert refusal.value.kind == "busy"
        assert book.get_setting("today") is None  # reading goes on
        other.execute("ROLLBACK")
        book.set_setting("today", 1)
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("PRAGMA locking_mode=EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        other.execute("UPDATE setting SET wall = wall")
        assert refused(path).kind == "busy"


def test_many_threads_write_and_nothing_is_lost(book: Book, sheet_id: int) -> None:
    def deliver(n: int) -> None:
        for i in range(10):
            book.add_marks(sheet_id, [{"client_id": f"{n}-{i}", "kind": "k", "wall": "2026-11-25T09:00:00Z"}])
            book.marks(sheet_id)

    with ThreadPoolExecutor(6) as pool:
        list(pool.map(deliver, range(6)))
    assert len(book.marks(sheet_id)) == 60


def test_programs_that_begin_the_same_book_at_once(path: Path) -> None:
    program = (
        "import sys; from firstsheet.book.store import Book\n"
        "with Book.open(sys.argv[1]) as b: b.add_thing('box', sys.argv[2], {})"
    )
    running = [subprocess.Popen([sys.executable, "-c", program, str(path), str(n)]) for n in range(5)]
    assert [one.wait(30) for one in running] == [0] * 5
    with Book.open(path) as book:
        assert [row["name"] for row in book.things("box")] == list("01234")


def test_naming_the_store_does_not_load_the_database_library() -> None:
    """So that a command answers quickly; opening a current book does not load Alembic or the ORM."""
    program = (
        "import sys; from firstsheet.book.store import Book\n"
        "heavy = ('sqlalchemy', 'alembic', 'numpy'); assert not set(heavy) & set(sys.modules)\n"
        "b = Book.open(memory=True); b.current('box', 'attic'); b.close()\n"
        "assert not {'alembic', 'sqlalchemy.orm', 'numpy'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", program], check=True)
