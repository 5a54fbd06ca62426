"""What `contrast` and `flash` print, for the test of docs/json.md."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

SECTIONS = ["contrast", "flash", "flash dose", "ways line"]


def answers(ask: Callable[..., Any]) -> dict[str, Any]:
    """A box with a typed curve, so that the flash is told; and one whose threshold was counted on a scrap."""
    xs = [-1.2 + 0.1 * i for i in range(28)]
    ask("own", "box", "contrasty", "--paper", "enlarging", "--size", "8x10 in", "--sheets", "5", "--cost", "3 EUR")
    said = ("--box", "contrasty", "--developer", "coffee")
    ask("strip", "curve", *said, "--light", "sun", "--meter", "mine", "--exposures", " ".join(f"{10**x:.4f}" for x in xs) + " lx·s",
        "--densities", " ".join(f"{0.06 + 2.04 / (1 + math.exp(-5.55 * (x - 0.459))):.3f}" for x in xs))  # fmt: skip
    return {
        "contrast": ask("contrast", "--range", "6", *said),
        "flash": ask("flash", "found", "--times", "1 2 4 8 s", "--shows", "3", "--under", "lamp", *said),
        "flash dose": ask("flash", "dose", "--lux", "0.2", *said),
        "ways line": ask("ways", "line", "reversal_bw"),
    }
