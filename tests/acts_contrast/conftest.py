"""A book of an invented boathouse: a camera, a negative box, a graded one and a direct positive one; a curve where a test asks for it."""

from __future__ import annotations

import math
import tomllib
from datetime import UTC, datetime
from pathlib import Path

import pytest

from firstsheet.acts import calibrate_curve, own
from firstsheet.book.store import Book

FORM = tomllib.loads((Path(__file__).parents[2] / "authorities/sensitometry/cases.toml").read_text())["closed_form_curve"]
X = [round(-1.2 + 0.1 * i, 3) for i in range(28)]


def density(x: float) -> float:
    return float(FORM["base"] + FORM["rise"] / (1 + math.exp(-FORM["k"] * (x - FORM["x0"]))))


@pytest.fixture
def book(tmp_path):
    with Book.open(tmp_path / "contrast.sqlite", now=lambda: datetime(2026, 6, 21, 15, 0, tzinfo=UTC)) as b:
        own.add_camera(b, {"name": "boathouse", "focal": "600 mm", "f_number": "f/8", "stops": "8 11 16 22", "coverage": "60°", "board_min": "610 mm",
                           "board_max": "1200 mm", "length": "2.4 m", "width": "2 m", "height": "2.2 m"})  # fmt: skip
        for name, paper in (("D", "enlarging"), ("G", "graded"), ("P", "direct_positive")):
            own.add_box(b, {"name": name, "paper": paper, "size": "12x16 in", "sheets": "25", "cost": "6"})
        own.add_developer(b, {"name": "bought", "kind": "paper"})
        own.add_meter(b, {"name": "my meter", "kind": "hand"})
        yield b


def drawn(book, box="D", way="paper_negative", developer="bought"):
    """The closed-form curve typed in, mirrored at its middle for a positive."""
    sense = -1 if way == "direct_positive" else 1
    xs = X if sense > 0 else sorted(2 * float(FORM["x0"]) - x for x in X)
    given = [density(x if sense > 0 else 2 * float(FORM["x0"]) - x) for x in xs]
    calibrate_curve.curve(book, None, {
        "box": box, "developer": developer, "way": way, "light": "sun", "meter": "my meter", "timing": "timer",
        "exposures": " ".join(f"{10**x:.5f}" for x in xs) + " lx·s", "densities": " ".join(f"{d:.3f}" for d in given),
    })  # fmt: skip
