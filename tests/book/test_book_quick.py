"""The quick reading path gives what the store gives, row for row: two implementations held to one another."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from firstsheet.book.quick import reader
from firstsheet.book.store import Book
from firstsheet.refusal import Refusal


def test_every_method_gives_what_the_store_gives(tmp_path: Path) -> None:
    path = tmp_path / "book.sqlite"
    with Book.open(path) as book:
        for name, stops in (("one", 1), ("two", 2), ("one", 3)):
            book.add_thing("camera", name, {"f": stops})
        book.set_setting("today", {"camera": "one", "at": "f/8 ½ ✓"})
        readings = [book.add_reading({"ev": ev}) for ev in (11.5, 12.0)]
        sheets = [book.add_sheet(book.new_code(), {"plan": {"time_s": t}}) for t in (1.0, 2.5)]
        wall = datetime(2026, 5, 3, 9, 30, 1, 250000, tzinfo=UTC)
        book.add_marks(sheets[0], [
            {"client_id": "a", "kind": "exposed", "wall": wall, "elapsed_s": None, "body": {"given_s": 1.0}},
            {"client_id": "b", "kind": "begun", "wall": wall, "elapsed_s": 0.0, "body": {}},
        ])  # fmt: skip
        book.put_posterior(0, {"keys": ["box:D"], "mean": [0.5]})
        code = book.get_sheet(book.sheets(1)[0]["code"])["code"]
        with reader(path) as quick:
            assert quick.things("camera") == book.things("camera")
            assert quick.get_setting("today") == book.get_setting("today")
            assert quick.get_setting("none", 4) == book.get_setting("none", 4)
            assert quick.get_reading(readings[0]) == book.get_reading(readings[0])
            assert quick.last_readings(1) == book.last_readings(1)
            assert quick.get_sheet(code.lower()) == book.get_sheet(code)
            assert quick.sheets() == book.sheets()
            assert quick.sheets(1, before=sheets[1]) == book.sheets(1, before=sheets[1])
            assert quick.marks(sheets[0]) == book.marks(sheets[0])
            assert quick.marks_of(sheets) == book.marks_of(sheets) == {n: book.marks(n) for n in sheets}
            assert quick.marks_of([]) == book.marks_of([]) == {}
            assert quick.all_marks() == book.all_marks()
            assert quick.all_marks("begun", after=1) == book.all_marks("begun", after=1)
            assert quick.newest_posterior() == book.newest_posterior()
            for of in (book, quick):
                with pytest.raises(Refusal) as refused:
                    of.get_sheet("XXXX")
                assert refused.value.kind == "missing"


def test_what_is_no_book_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "other.sqlite"
    path.write_text("A notebook, in words.\n" * 200)
    with pytest.raises(Refusal) as refused, reader(path):
        pass
    assert refused.value.kind == "book"
