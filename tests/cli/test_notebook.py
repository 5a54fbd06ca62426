"""A notebook kept elsewhere, brought in from the command line: looked at, refused, kept. Invented rows."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import Command

HEAD = "day;clock;box;distance (m);EV;light;f;seconds;border;result;kept"
ROWS = (
    "2026-05-03;14:00;D;3;EV 11;sun;16;4;white;too dark;no",
    "2026-05-04;11:00;D;3,2;EV 10,5;overcast;16;3;white;bit dark;no",
)
MAP = {"day": "date", "clock": "time", "box": "box", "distance (m)": "subject", "EV": "reading", "light": "light",
       "f": "aperture", "seconds": "given", "border": "border", "result": "seen", "kept": "kept"}  # fmt: skip
MAPPED = [part for column, field in MAP.items() for part in ("--map", f"{column}={field}")]


@pytest.fixture
def table(tmp_path: Path) -> str:
    at = tmp_path / "my notebook.csv"
    at.write_text("\n".join((HEAD, *ROWS)), encoding="utf-8")
    return str(at)


def test_looked_at_then_kept_once(begun: Command, table: str) -> None:
    said = [table, *MAPPED, "--default", "zone=UTC", "--default", "words=bit dark = a_little_dark"]
    looked = begun("notebook", *said, "--json")
    assert looked.data["ready"] is True, looked.out
    assert begun("sheets", "--json").data == []
    assert begun("notebook", *said, "--keep", "--json").data["count"] == 2
    assert begun("known", "--json").data["sheets"] == 2
    assert begun("notebook", *said, "--keep", "--json").data["skipped_identical"] == 2


def test_a_word_nobody_knows_is_told_with_its_row(begun: Command, table: str) -> None:
    done = begun("notebook", table, *MAPPED)
    assert done.code == 2
    assert "row 3" in done.out
    assert "bit dark" in done.out
    assert begun("notebook", table, *MAPPED, "--keep").code == 2
    assert begun("sheets", "--json").data == []
    assert begun("notebook", table, "--map", "nothing").code == 2


def test_what_is_missing_everywhere_is_told_once_with_what_to_say(begun: Command, table: str) -> None:
    without = [part for pair in MAP.items() if pair[1] != "border" for part in ("--map", "=".join(pair))]
    done = begun("notebook", table, *without, "--default", "words=bit dark = a_little_dark")
    told = " ".join(done.out.split())
    assert "1 thing is not understood" in told
    assert told.count("rows 2, 3, border") == 1
    assert "--default border=…" in told


def test_rows_are_left_out_and_keys_are_told_with_what_to_type(begun: Command, table: str) -> None:
    done = begun("notebook", table, *MAPPED)
    assert "--leave-out" in done.out
    assert begun("notebook", table, *MAPPED, "--leave-out", "3").code == 0
    assert begun("notebook", table, *MAPPED, "--leave-out", "3", "--keep", "--json").data["count"] == 1
    wrong = begun("notebook", table, "--map", "nothing", "--default", "neither", "--json")
    assert [p["where"] for p in wrong.data["refused"]] == ["map", "default"]
