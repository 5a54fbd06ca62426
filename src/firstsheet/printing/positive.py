"""The positive of a negative: how much light each place lets onto the printing paper, and which way round the print hangs.

log H = log H_T + log10(t/t_T) − D_T, with H_T the exposure of full black, 90 % of Dmax [ISO-6846], and t_T the seconds that give it to bare paper.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from firstsheet.paper.curve_points import FOOT_D, TOP_SHARE

Floats = NDArray[np.float64]


def ends(log_h: Floats, density: Floats) -> tuple[float, float]:
    """log H of the first grey S and of full black T on a printing paper's curve [log10]. Table: log H and density [D], both rising."""
    base, dmax = float(density[0]), float(density[-1])
    first, black = np.interp([base + FOOT_D, TOP_SHARE * dmax], density, log_h)
    return float(first), float(black)


def rule_log(clear_d: float, dense_d: float, range_log: float, first: str) -> float:
    """log10 of the seconds a rule gives over those that blacken bare paper: "shadows" puts the clearest tone on T, "highlights" the densest on S."""
    return clear_d if first == "shadows" else dense_d - range_log


def on_paper(passed: NDArray[np.floating], time_log: float, black_log_h: float) -> Floats:
    """log H behind each place of the negative [log10].

    passed  share of light that passes [1], > 0;  time_log: log10 of the seconds over those that blacken bare paper
    """
    return np.asarray(black_log_h + time_log + np.log10(passed), dtype=float)


def mirrored(side: str, facing: str) -> bool:
    """Whether the print shows left and right of this photo exchanged: seen from the emulsion and printed emulsion to emulsion it does.

    side    what lay toward the camera, "emulsion" or "back";  facing: the sheets "together" (emulsion to emulsion) or "apart"
    """
    return (side == "emulsion") == (facing == "together")


def stops(time_log: float) -> float:
    """log10 as stops."""
    return time_log / math.log10(2.0)
