"""The same by command: read, read again, drawn; refusals and their exit codes."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from . import test_calibrate as known
from .asking import asking


@pytest.fixture
def ask(tmp_path, monkeypatch, capsys):
    return asking(tmp_path, monkeypatch, capsys)


def test_a_strip_by_command(ask, tmp_path, monkeypatch):
    data, truth = known.picture(monkeypatch)
    (tmp_path / "scrap.jpg").write_bytes(data)
    read = json.loads(ask("strip", "read", "scrap.jpg", "--steps", str(truth.steps), "--json"))
    assert len(read["patches"]) == truth.steps
    number = str(read["strip"])
    assert "steps read" in ask("strip", "again", number, "--steps", str(truth.steps))
    drawn = ask("strip", "curve", number, "--exposures", known.EXPOSED, "--light", "tungsten", "--draw", "curve.svg")
    assert "ISO P" in drawn
    assert (tmp_path / "curve.svg").read_text().startswith("<svg")
    ask("strip", "curve", number, "--exposures", known.EXPOSED, "--light", "tungsten", "--draw", "curve.svg", code=2)


def test_typed_by_command_as_json(ask):
    got = json.loads(
        ask("strip", "curve", "--densities", known.TYPED, "--exposures", known.EXPOSED, "--light", "tungsten", "--json")
    )
    p = next(f for f in got["figures"] if f["key"] == "iso_p")
    assert p["rounded"] == 500
    assert got["taught"]
    assert "1 observation" in ask("known")


def test_refusals_have_their_codes(ask):
    assert "from 3 to 40" in ask("strip", "make", "--steps", "99", code=2)
    told = json.loads(ask("strip", "curve", "--exposures", "1 2", "--densities", "0.1", "--json", code=2))
    assert {p["where"] for p in told["refused"]} >= {"light", "densities", "exposures"}
    ask("strip", "curve", "77", "--exposures", "1 2", code=3)
    ask("strip", "curve", "x", code=3)
    ask("strip", "read", "nothing.jpg", code=3)


def test_a_cold_command_loads_nothing_heavy():
    code = "import sys; import firstsheet.cli.striping; print([m for m in ('numpy', 'PIL', 'sqlalchemy', 'fastapi') if m in sys.modules])"
    assert (
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip() == "[]"
    )


def test_curves_listed_counted_and_taken_back_by_command(ask):
    typed = ("strip", "curve", "--densities", known.TYPED, "--light", "tungsten", "--json")
    assert "No curve was drawn yet" in ask("strip", "curves")
    made = json.loads(ask(*typed, "--exposures", known.EXPOSED, "--look"))["curve"]
    (row,) = json.loads(ask("strip", "curves", "--json"))
    assert (row["number"], row["state"], row["box"]) == (made, "waits", "D")
    assert json.loads(ask("strip", "count", str(made), "--json"))["taught"]
    assert "counts in plans" in ask("strip", "curves")
    assert "1 observation" in ask("known")
    back = json.loads(ask("strip", "take-back", str(made), "--json"))  # by the number it had first
    assert back["dropped"]
    assert not back["taught"]
    assert "taken back" in ask("strip", "curves", "--box", "D")
    assert json.loads(ask("strip", "curves", "--box", "other", "--json")) == []
    assert "strip curves" in " ".join(ask("strip", "count", "x", code=3).split())
    ask("strip", "take-back", "77", code=3)


def test_a_curve_of_steps_alone_is_taken_back_and_had_again(ask):
    made = json.loads(
        ask("strip", "curve", "--densities", known.TYPED, "--light", "tungsten", "--exposures", "steps of √2", "--json")
    )["curve"]
    assert "the speed is not" in ask("strip", "count", str(made), code=2)
    assert "curve of" not in ask(
        "strip", "count", str(made), code=2
    )  # named by what it is of, not by its place in the book
    ask("strip", "take-back", str(made))
    again = json.loads(ask("strip", "count", str(made), "--json"))
    assert not again["dropped"]
    assert not again["taught"]
    assert json.loads(ask("strip", "curves", "--json"))[0]["state"] == "shape"
