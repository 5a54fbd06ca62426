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
