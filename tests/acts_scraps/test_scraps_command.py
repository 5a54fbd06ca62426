"""The same by command: told, listed, taken back; refusals and their exit codes."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from tests.acts_calibrate.asking import asking

from .conftest import curve_form
from .strips_photo import COLOURS, photo, said

SOFT = {"base": 0.14, "rise": 1.60, "k": 3.6, "m": 0.62}


@pytest.fixture
def ask(tmp_path, monkeypatch, capsys):
    asked = asking(tmp_path, monkeypatch, capsys)
    asked("own", "developer", "brew", "--kind", "coffee")
    asked(
        "say",
        "--box",
        "D",
        "--developer",
        "bought",
        "--light",
        "sun",
        "--reading",
        "0.05 lx on the board",
        "--aperture",
        "f/8",
    )
    return asked


def curve(ask, **more):
    form = curve_form(**more)
    return ask(
        "strip", "curve", *[w for k, v in form.items() for w in (f"--{k.replace('_', '-')}", v)], "--look", "--json"
    )


def test_long_exposures_by_command(ask):
    assert "No scrap has told anything yet" in ask("scraps")
    curve(ask)
    words = ("scraps", "reciprocity", "--given", "1 s at f/8, 64 s at f/64", "--densities", "0.85 0.55")
    looked = ask(*words, "--look")
    assert "If it counted, the next plan" in looked
    told = json.loads(ask(*words, "--json"))
    assert told["stands"]
    assert told["exponent_low"] < told["exponent"] < told["exponent_high"]
    number = str(told["number"])
    assert f"Long exposures, box D, {told['day']}: 1/p {told['exponent']:.2f}" in ask("scraps", "--box", "D")
    assert "measured on scraps of box D" in " ".join(ask("plan").split())
    assert "taken back" in ask("scraps", "take-back", number)
    assert "measured on scraps" not in " ".join(ask("plan").split())
    assert "counts." in ask("scraps", "count", number)


def test_two_developers_by_command(ask, tmp_path):
    first = json.loads(curve(ask))["curve"]
    second = json.loads(curve(ask, developer="brew", **SOFT))["curve"]
    shown = " ".join(ask("scraps", "developers", str(first), str(second), "--draw", "two.svg").split())
    assert shown.startswith("Coffee developer looks like a drink and is alkaline.")
    assert "0.6 stop slower than bought" in shown
    assert (tmp_path / "two.svg").read_text().startswith("<svg")
    number = str(json.loads(ask("scraps", "--json"))[0]["number"])
    (tmp_path / "both.jpg").write_bytes(photo(COLOURS))
    places = [w for k, v in said().items() for w in (f"--{k.replace('_', '-')}", v)]
    stained = " ".join(ask("scraps", "stain", number, "both.jpg", *places).split())
    assert "CIE L*a*b*, D50, 2° observer" in stained
    assert "warm, towards yellow" in stained
    ask("scraps", "stain", number, "both.jpg", "--white", "9,9", code=2)
    ask("scraps", "stain", number, "none.jpg", code=3)
    ask("scraps", "developers", str(first), str(first), code=2)
    ask("scraps", "developers", str(first), "999", code=3)
    assert "0.6 stop slower than bought" in " ".join(ask("scraps", "developers", "bought", "brew").split())


def test_refusals_have_their_codes(ask):
    told = json.loads(
        ask("scraps", "reciprocity", "--given", "soon", "--matched", "4 x", "--pace", "9", "--json", code=2)
    )
    assert {p["where"] for p in told["refused"]} >= {"given", "matched", "pace"}
    ask("scraps", "take-back", "77", code=3)
    ask("scraps", "count", "x", code=3)


def test_a_cold_command_loads_nothing_heavy():
    code = "import sys; import firstsheet.cli.scraps, firstsheet.acts.setting; print([m for m in ('numpy', 'PIL', 'sqlalchemy', 'fastapi') if m in sys.modules])"
    assert (
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip() == "[]"
    )


def test_fog_by_command(ask, tmp_path):
    shown = " ".join(ask("scraps", "fog", "--fixed", "0.06", "--developed", "0.18").split())
    assert "fog 0.12 D" in shown
    assert "The whites are grey" in shown
    assert "rinse fifteen minutes" in shown
    (tmp_path / "both.jpg").write_bytes(photo(COLOURS))
    told = json.loads(
        ask(
            "scraps",
            "fog",
            "--photo",
            "both.jpg",
            "--white",
            "0.5,0.5",
            "--fixed-at",
            "0.2,0.25",
            "--developed-at",
            "0.8,0.25",
            "--json",
        )
    )
    assert told["by"] == "a photo beside a white"
    assert "is fogged" in " ".join(ask("plan").split()) or told["word"] in ("none", "not told apart")
    assert len(json.loads(ask("scraps", "--json"))) == 1  # the same day anew
    ask("scraps", "fog", code=2)
    ask("scraps", "fog", "--photo", "none.jpg", code=3)


def test_both_readings_by_command(ask, tmp_path):
    layer = ("--reflection", "0.06 1.02 1.46 1.96", "--transmission", "0.58 1.05 1.33 1.63")
    shown = " ".join(ask("scraps", "readings", *layer, "--draw", "both.svg").split())
    assert "A lamp and wet hands do not meet" in shown
    assert "Measured from 0.00 to 1.90" in shown
    assert (tmp_path / "both.svg").read_text().startswith("<svg")
    number = str(json.loads(ask("scraps", "--json"))[0]["number"])
    (row,) = json.loads(ask("scraps", "through", number, "0.96", "--json"))
    assert row["transmission"] == pytest.approx(0.47, abs=0.015)
    assert "with its base" in ask("scraps", "through", number, "1.02", "--from-white")
    assert "from 0.00 to 1.90" in ask("scraps", "through", number, "3", code=2)
    ask("scraps", "through", "99", "1", code=3)
    ask("scraps", "readings", "--reflection", "x", code=2)
