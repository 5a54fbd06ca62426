"""One evening's arithmetic by hand, against the public door and against the command line's JSON.

By hand, from the incident meter's own equation t = C·N²/(E·S) [ISO-2720] and the square law of extension (1 + m)² [SS0512]:

    board     v = f·u/(u − f) = 1000·4000/3000 = 1333.33 mm,  m = f/(u − f) = 1000/3000 = 0.33333
    lens      f/11 acts as 11·(1 + m) = 14.667;  2·log2(1.33333) = 0.830 stop
    meter     C 250, E 10 000 lx, S = EI 6:  t = 250·14.667²/(10 000·6) = 0.8963 s
    filter    density 0.90: factor 10^0.9 = 7.943;  0.8963·7.943 = 7.119 s
    long      p 0.86, above one second: 7.119^(1/0.86) = 9.80 s   [Schwarzschild-1900]
"""

from __future__ import annotations

import json
import math
import subprocess
import sys
from pathlib import Path

import pytest

import firstsheet
from firstsheet.paper import reciprocity

CAMERA = {
    "name": "boathouse", "focal": "1000 mm", "f_number": "f/11", "board_min": "1000 mm", "board_max": "1500 mm",
    "length": "3 m", "width": "2.2 m", "height": "2.4 m", "shutter": "shutter",
    "speeds": "1/8 1/4 1/2 1 2 4 8",
}  # fmt: skip
BOX = {"name": "D", "paper": "enlarging", "size": "16x20 in", "sheets": "25", "ei": "6"}
SAID = {"light": "sun", "subject": "4 m", "aperture": "f/11", "reading": "10000 lx", "how": "incident"}


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A book with the example's camera, box and ordinary paper developer."""
    at = tmp_path / "a book.sqlite"
    with firstsheet.Book.open(at) as book:
        firstsheet.own.add_camera(book, CAMERA)
        firstsheet.own.add_box(book, BOX)
        firstsheet.own.add_developer(book, {"name": "ordinary", "kind": "paper"})
    return at


def from_python(path: Path, **more: str) -> dict:
    with firstsheet.Book.open(path) as book:
        return firstsheet.to_json(firstsheet.plan(book, SAID | more))


def from_command_line(path: Path, **more: str) -> dict:
    options = [part for key, value in (SAID | more).items() for part in (f"--{key}", value)]
    done = subprocess.run(
        [sys.executable, "-m", "firstsheet.cli.main", "--book", str(path), "plan", "--json", *options],
        capture_output=True, text=True, encoding="utf-8", check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.mark.parametrize("answers", [from_python, from_command_line], ids=["import", "command line"])
def test_the_example(path: Path, answers) -> None:
    bare = answers(path)
    assert bare["board_mm"] == pytest.approx(1333.33, abs=0.01)
    assert bare["magnification"] == pytest.approx(0.33333, abs=1e-5)
    extension = next(link for link in bare["chain"] if link["key"] == "extension")
    assert extension["stops"] == pytest.approx(0.830, abs=5e-4)
    assert 11 * 2 ** (extension["stops"] / 2) == pytest.approx(14.667, abs=5e-4)
    # Mid-tone L = K·E/C and H = 0.65·L·t/N² = 8.125/EI make K cancel: t = C·N²/(E·EI), if each factor is charged once.
    assert 2 ** bare["nominal_log2_s"] == pytest.approx(0.8963, abs=5e-4)

    filtered = answers(path, filter="0.9")
    assert 2 ** filtered["nominal_log2_s"] == pytest.approx(7.119, abs=5e-3)
    lost = next(link for link in filtered["chain"] if link["key"] == "filter")
    assert 2 ** lost["stops"] == pytest.approx(7.943, abs=5e-4)


def test_long_exposures_last() -> None:
    """7.119^(1/0.86): ln 7.119 = 1.96277; ×1.162791 = 2.28229; e^ = 9.80."""
    assert reciprocity.corrected_s(7.119, 1 / 0.86 - 1) == pytest.approx(9.80, abs=5e-3)


def test_in_sun_with_the_reference_developer_nothing_else_is_added_in_the_middle(path: Path) -> None:
    """Sun and an ordinary developer are what the speed is stated for: their links shift nothing, they only add doubt."""
    bare = from_python(path)
    by_key = {link["key"]: link for link in bare["chain"]}
    assert by_key["dev"]["stops"] == 0
    assert "light" not in by_key
    assert bare["wanted_s"] == pytest.approx(0.8963, abs=5e-4)  # below one second long exposures ask nothing


def test_both_doors_give_the_same_answer(path: Path) -> None:
    """All but the age of the reading, which each takes when it is asked, and the doubt that grows with it."""
    a, b = from_python(path), from_command_line(path)
    for key in set(a) - {
        "reading_age_s",
        "sd_stops",
        "range50_s",
        "range90_s",
        "keeper_chance",
        "doubts",
        "strip",
        "advice",
        "shared",
        "chain",
    }:
        assert a[key] == b[key], key
    assert math.isclose(a["sd_stops"], b["sd_stops"], abs_tol=1e-3)
