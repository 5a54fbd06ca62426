"""Two curves of one paper, as from two developers: speed, contrast and range of the second against the first."""

from __future__ import annotations

import math
from dataclasses import dataclass

from firstsheet.paper.curve import Curve
from firstsheet.paper.curve_points import Figure, log_range
from firstsheet.paper.curve_scene import compare


@dataclass(frozen=True, slots=True)
class Two:
    """The second against the first: how much faster [stop], the ratio of the slopes [1], the change of R [1]."""

    speed_stops: Figure
    contrast: Figure
    range_r: Figure


def two(first: Curve, second: Curve, same_exposures: bool = True) -> Two:
    """As `curve_scene.compare`, and R, 100 times the log range from S to T [ISO-6846], the second's less the first's.

    Where either strip shows no S or no T, the change of R is not told. Refusal for unlike curves.
    """
    c = compare(first, second, same_exposures)
    a, b = log_range(first), log_range(second)
    source = "R of the second less R of the first, unrounded"
    if a.value is None or b.value is None or a.log10_sd is None or b.log10_sd is None:
        return Two(c.speed_stops, c.contrast, Figure(None, None, None, "", source, None, a.missing or b.missing))
    assert a.low is not None
    assert a.high is not None
    assert b.low is not None
    assert b.high is not None
    change = 100 * (b.value - a.value)
    down = 100 * math.hypot(b.value - b.low, a.high - a.value)
    up = 100 * math.hypot(b.high - b.value, a.value - a.low)
    return Two(
        c.speed_stops,
        c.contrast,
        Figure(change, change - down, change + up, "", source, math.hypot(a.log10_sd, b.log10_sd)),
    )
