"""`firstsheet day` as typed: the place once, then the day; a drawing; the place forgotten."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from xml.etree import ElementTree

import pytest

from firstsheet.cli.main import main

CAMERA = ("own", "camera", "boathouse", "--focal", "600 mm", "--f-number", "f/8", "--board-min", "620 mm", "--board-max", "1100 mm",
          "--length", "2.4 m", "--width", "2 m", "--height", "2 m")  # fmt: skip


def test_a_place_is_typed_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = ("--book", str(tmp_path / "b.sqlite"))
    assert main([*book, *CAMERA]) == 0
    assert main([*book, "day"]) == 3
    assert "degrees" in capsys.readouterr().err
    assert main([*book, "day", "--place", "52 N 0 E", "--zone", "CET", "--faces", "S", "--date", "2026-06-21"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("The lens looks north (0°): the sun can enter it 05:40 to")
    assert said.index("Never look into the lens") < said.index("Sunrise 05:39, sunset 22:23")
    assert "For seconds: box." in said
    assert main([*book, "day", "--date", "2026-12-21", "--drawing", str(tmp_path / "d.svg"), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["lens"]["spans"] == []
    assert found["rise"].startswith("2026-12-21T09:05")
    ElementTree.parse(tmp_path / "d.svg")
    assert main([*book, "day", "--forget"]) == 0
    assert main([*book, "day"]) == 3


def test_wrong_words_are_told_together(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = ("--book", str(tmp_path / "b.sqlite"))
    main([*book, *CAMERA])
    assert main([*book, "day", "--place", "52 13", "--zone", "XX", "--faces", "upwards"]) == 2
    told = capsys.readouterr().err
    assert all(f"{word}:" in told for word in ("place", "zone", "faces"))


def test_expose_asks_first_in_the_hours_of_the_sun(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """At the pole in its summer the sun stands all day; a lens that nobody said the way of may see it at any hour."""
    book = ("--book", str(tmp_path / "b.sqlite"))
    main([*book, *CAMERA])
    main([*book, "own", "box", "D", "--paper", "enlarging", "--size", "12x16 in", "--sheets", "9"])
    main([*book, "own", "developer", "tray"])
    main([*book, "say", "--light", "sun", "--subject", "3 m", "--reading", "EV 13"])
    north = datetime.now(UTC).month in range(4, 9)
    if datetime.now(UTC).month in (3, 9):
        pytest.skip("near the equinox the sun is at the horizon of both poles")
    assert main([*book, "day", "--place", f"90 {'N' if north else 'S'} 0 E", "--zone", "UTC"]) == 0
    capsys.readouterr()
    assert main([*book, "expose"]) == 2
    told = capsys.readouterr().err
    assert "Never look into the lens" in told
    assert "--sun-seen" in told
    assert main([*book, "expose", "--sun-seen"]) == 0
