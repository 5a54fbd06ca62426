"""The demonstration: complete, quick, repeatable, and honest about its hidden truth."""

from __future__ import annotations

import math
import statistics
import time
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from firstsheet import Book, scenario, tables
from firstsheet.belief.effects import Effect
from tests.cli.conftest import Command


def test_it_is_whole_and_quick(command: Command, tmp_path: Path) -> None:
    began = time.perf_counter()
    done = command("demo", "--no-serve", "--into", str(tmp_path / "demo"))
    assert time.perf_counter() - began < 60
    assert done.code == 0
    assert "invented" in done.out
    assert "Traceback" not in done.out
    (folder,) = (tmp_path / "demo").iterdir()
    for drawing in folder.glob("*.svg"):
        ET.parse(drawing)
    assert {p.name for p in folder.iterdir()} >= {
        "book.sqlite",
        "scene.jpg",
        "room.svg",
        "chain.svg",
        "known-D-paper_negative.svg",
    }
    with Book.open(folder / "book.sqlite") as book:
        assert [m["kind"] for m in book.all_marks("finished")] == ["finished"] * 3
        assert len(book.all_marks("judged")) == 3


def test_the_doubt_narrows_and_nothing_is_overwritten(command: Command, tmp_path: Path) -> None:
    first = command("demo", "--no-serve", "--into", str(tmp_path), "--json").data
    again = command("demo", "--no-serve", "--into", str(tmp_path), "--json").data
    sds = [s["sd_stops"] for s in first["sheets"]]
    assert sds == sorted(sds, reverse=True)
    assert first["invented"] is True
    assert first["folder"] != again["folder"]
    assert [s["hidden_error_stops"] for s in first["sheets"]] == pytest.approx(
        [s["hidden_error_stops"] for s in again["sheets"]], abs=0.02
    )


def test_the_truth_is_drawn_from_where_belief_begins() -> None:
    """Laws: over many seeds the hidden effect has the stated mean and spread; the same name gives the same draw."""
    effect = Effect("box:X", 1.0, 0.3, 0.4)
    draws = [scenario.Hidden(seed).effect(effect, 1) for seed in range(2000)]
    assert statistics.mean(draws) == pytest.approx(0.3, abs=4 * 0.4 / math.sqrt(2000))
    assert statistics.stdev(draws) == pytest.approx(0.4, rel=0.08)
    assert scenario.Hidden(5).effect(effect, 1) == scenario.Hidden(5).effect(effect, 3)
    reading = Effect("reading:7", 1.0, 0.0, 0.2)
    assert scenario.Hidden(5).effect(reading, 1) != scenario.Hidden(5).effect(reading, 2)


def test_the_nearest_word() -> None:
    for key, row in tables.load("seen").items():
        assert scenario.nearest_word(float(row["tone"])) == key


def test_a_page_is_served_unless_not_wanted(command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from firstsheet.cli import keeping

    served = []
    monkeypatch.setattr(
        keeping, "serve_page", lambda book, port, lan, host=None: served.append((str(book.where), port, lan))
    )
    assert command("demo", "--into", str(tmp_path)).code == 0
    assert served[0][0].startswith(str(tmp_path))
    assert command("page", "--lan", "--port", "9000").code == 0
    assert served[1][1:] == (9000, True)
