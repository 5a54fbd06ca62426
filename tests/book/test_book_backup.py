"""A copy is whole or it is not there; a restore loses nothing, not even what it replaces."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from firstsheet.book import place
from firstsheet.book.backup import Copied, backup, examine, restore
from firstsheet.book.store import Book
from firstsheet.refusal import Refusal


def fill(book: Book, code: str, marks: int) -> None:
    sheet = book.add_sheet(code, {})
    book.add_picture("image/png", bytes(range(256)) * 400, {})
    book.add_marks(
        sheet,
        [{"client_id": f"{code}{i}", "kind": "k", "wall": "2026-11-25T09:00:00Z"} for i in range(marks)],
    )


@pytest.fixture
def used(path: Path) -> Iterator[Book]:
    with Book.open(path) as book:
        fill(book, "4444", 500)
        yield book


@pytest.fixture
def copied(used: Book, tmp_path: Path) -> Copied:
    return backup(used, tmp_path / "copy.sqlite")


def names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def test_a_copy_of_a_book_in_use(used: Book, copied: Copied) -> None:
    assert copied.size == copied.path.stat().st_size > 100_000
    assert copied.counts == {
        "thing": 0,
        "setting": 0,
        "sitting": 0,
        "picture": 1,
        "reading": 0,
        "sheet": 1,
        "mark": 500,
        "posterior": 0,
    }
    with Book.open(copied.path) as copy:
        assert copy.all_marks() == used.all_marks()
        assert copy.get_picture(1) == used.get_picture(1)


def test_a_copy_is_one_file(copied: Copied) -> None:
    assert [name for name in names(copied.path.parent) if name.startswith("copy")] == ["copy.sqlite"]
    assert copied.path.read_bytes()[18:20] == b"\x01\x01"  # SQLite file format, 1.3: 1 is not write-ahead


def test_a_copy_never_writes_over_anything(used: Book, tmp_path: Path) -> None:
    other = tmp_path / "letter.txt"
    other.write_text("dear crew")
    with pytest.raises(Refusal) as refusal:
        backup(used, other)
    assert refusal.value.kind == "book"
    assert other.read_text() == "dear crew"
    with pytest.raises(Refusal):
        backup(used, tmp_path / "no such folder" / "copy.sqlite")
    with Book.open(memory=True) as season, pytest.raises(Refusal):
        backup(season, tmp_path / "season.sqlite")


def test_a_copy_made_while_another_thread_writes_is_whole(used: Book, tmp_path: Path) -> None:
    stop = threading.Event()

    def write() -> None:
        n = 0
        while not stop.is_set():
            marks = [{"client_id": f"w{n + i}", "kind": "w", "wall": "2026-11-25T09:00:00Z"} for i in range(10)]
            used.add_marks(1, marks)
            n += 10

    writer = threading.Thread(target=write)
    writer.start()
    try:
        copies = [backup(used, tmp_path / f"copy{n}.sqlite") for n in range(5)]
    finally:
        stop.set()
        writer.join()
    assert all(one.counts["mark"] % 10 == 0 for one in copies)


def test_a_restore_keeps_what_it_replaces(used: Book, copied: Copied, path: Path) -> None:
    fill(used, "7777", 3)
    used.close()
    restored = restore(copied.path, path)
    assert restored.counts == copied.counts
    assert restored.replaced is not None
    assert restored.replaced.name.startswith("book.sqlite.replaced-")
    with Book.open(path) as book:
        assert len(book.all_marks()) == 500
    with Book.open(restored.replaced) as before:
        assert len(before.all_marks()) == 503
    assert examine(copied.path)[1] == copied.counts  # the backup is still there


def test_a_restore_where_there_was_no_book(copied: Copied, tmp_path: Path) -> None:
    restored = restore(copied.path, tmp_path / "new" / "book.sqlite")
    assert restored.replaced is None
    assert names(restored.path.parent) == ["book.sqlite"]
    with Book.open(restored.path) as book:
        assert len(book.all_marks()) == 500


def test_a_restore_over_a_damaged_book_keeps_that_too(used: Book, copied: Copied, path: Path) -> None:
    used.close()
    path.write_bytes(b"spilled" * 1000)
    restored = restore(copied.path, path)
    assert restored.replaced is not None
    assert restored.replaced.read_bytes() == b"spilled" * 1000
    assert examine(path)[1] == copied.counts


def test_a_restore_waits_for_nobody_to_have_the_book_open(
    used: Book, copied: Copied, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(place, "BUSY_MS", 50)
    fill(used, "7777", 3)
    with pytest.raises(Refusal) as refusal:
        restore(copied.path, path)
    assert refusal.value.kind == "busy"
    assert len(used.all_marks()) == 503
    assert [name for name in names(path.parent) if "arriving" in name or "replaced" in name] == []


def damage_page(path: Path) -> None:
    """Write over the middle of the file, as a failing card does."""
    with path.open("r+b") as file:
        file.seek(path.stat().st_size // 8192 * 4096)
        file.write(b"\xa5" * 4096)


def cut_short(path: Path) -> None:
    with path.open("r+b") as file:
        file.truncate(path.stat().st_size // 2)


def make_newer(path: Path) -> None:
    with closing(sqlite3.connect(path)) as conn:
        conn.execute("UPDATE alembic_version SET version_num = '9999'")
        conn.commit()


def make_foreign(path: Path) -> None:
    path.unlink()
    with closing(sqlite3.connect(path)) as conn:
        conn.execute("CREATE TABLE mark (id INTEGER)")
        conn.commit()


def make_text(path: Path) -> None:
    path.write_text("a list of addresses\n" * 99)


def make_empty(path: Path) -> None:
    path.write_bytes(b"")


@pytest.mark.parametrize(
    "spoil", [damage_page, cut_short, make_newer, make_foreign, make_text, make_empty, Path.unlink]
)
def test_a_backup_that_is_not_a_whole_book_changes_nothing(
    used: Book, copied: Copied, path: Path, spoil: object
) -> None:
    assert callable(spoil)
    spoil(copied.path)
    used.close()
    before, listed = path.read_bytes(), names(path.parent)
    with pytest.raises(Refusal) as refusal:
        restore(copied.path, path)
    assert refusal.value.kind == "book"
    assert path.read_bytes() == before
    assert names(path.parent) == listed


def test_no_copy_is_left_of_a_damaged_book(used: Book, path: Path, tmp_path: Path) -> None:
    used.close()
    damage_page(path)
    with Book.open(path) as book, pytest.raises(Refusal) as refusal:
        backup(book, tmp_path / "copy.sqlite")
    assert refusal.value.problems[0].asked == str(path)
    assert not (tmp_path / "copy.sqlite").exists()


def test_a_book_is_not_restored_onto_itself(used: Book, path: Path, tmp_path: Path) -> None:
    used.close()
    (tmp_path / "link.sqlite").symlink_to(path)
    for source in (path, tmp_path / "link.sqlite"):
        with pytest.raises(Refusal):
            restore(source, path)
    assert examine(path)[1]["mark"] == 500
