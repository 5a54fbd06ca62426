"""Which four or six patches on one masked sheet teach most about the pack, by what is expected to be left in doubt."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from firstsheet.colour import cast, learned
from firstsheet.colour.layers import SEEN, SLOPE, SLOPE_SD, Floats, through
from firstsheet.colour.learned import Belief
from firstsheet.refusal import Refusal

Change = tuple[float, float, float, float]  # yellow, magenta [CC], cyan [CC], stops of time
OFFERED: tuple[Change, ...] = (
    (0, 0, 0, 1.0), (0, 0, 0, -1.0), (30, 0, 0, 0), (-30, 0, 0, 0), (0, 30, 0, 0), (0, -30, 0, 0),
    (30, 30, 0, 0), (-30, -30, 0, 0), (50, 0, 0, 0), (-50, 0, 0, 0), (60, 40, 0, 0), (-60, -40, 0, 0),
)  # fmt: skip
RIM_MM, WINDOW_MM, LEAST_WINDOW_MM = 10.0, 120.0, 15.0  # black between two windows; the largest and the smallest window: ours
GREY_SPREAD = 0.45  # a layer's grey further off than this is near white or black and tells little [D]; ours


def choose(belief: Belief, matrix: Floats, at: tuple[tuple[float, float, float], float], n: int = 4, offered: Sequence[Change] = OFFERED) -> tuple[Change, ...]:
    """The centre and the n − 1 changes around it that leave least doubt on average. n 4 or 6; none asks for less than no filter.

    at  the centre's pack [CC] and log10 time; offered  the changes there are
    """
    if n not in (4, 6):
        raise Refusal.one("patches", n, "4 or 6 patches.", "Four are larger and easier to read; six reach further.")
    centre, log_time = at
    can = [c for c in offered if all(p + d >= 0 for p, d in zip(centre, c[:3], strict=True))]
    if len(can) < n - 1:
        raise Refusal.one("patches", n, f"{len(can) + 1} packs that differ, with these gels.", "Fewer patches, or more gels: 10, 20 and 40 of yellow and magenta make most.")
    truths = _truths(belief)
    inside = np.linalg.inv(belief.cov)
    told = {c: [_information(t, belief, matrix, (centre, log_time), c) for t in truths] for c in [(0.0, 0.0, 0.0, 0.0), *can]}
    start = told[(0.0, 0.0, 0.0, 0.0)]

    def left(chosen: tuple[Change, ...]) -> float:
        total = sum(float(np.trace(np.linalg.inv(inside + start[i] + sum(told[c][i] for c in chosen)))) for i in range(len(truths)))
        return total / len(truths)

    best = min(combinations(can, n - 1), key=left)
    return ((0.0, 0.0, 0.0, 0.0), *best)


def packs(centre: tuple[float, float, float], log_time: float, changes: tuple[Change, ...]) -> list[tuple[tuple[float, float, float], float]]:
    """Each patch's pack [CC] and log10 time."""
    return [((centre[0] + y, centre[1] + m, centre[2] + c), log_time + s * float(np.log10(2.0))) for y, m, c, s in changes]


def windows(n: int, width_mm: float, height_mm: float) -> list[tuple[float, float, float, float]]:
    """Left, top, width, height [mm] of each patch's window on the sheet, row by row: one size, small enough to print at true size, in the middle of its part."""
    across, down = (2, 2) if n == 4 else ((3, 2) if width_mm > height_mm else (2, 3))
    part = width_mm / across, height_mm / down
    wide, high = (min(v - RIM_MM, WINDOW_MM) for v in part)
    if min(wide, high) < LEAST_WINDOW_MM:
        raise Refusal.one("box", f"{width_mm:.0f} × {height_mm:.0f} mm", f"Windows of at least {LEAST_WINDOW_MM:.0f} mm.", "Take 4 patches, or a larger sheet.")
    return [(part[0] * (k % across) + (part[0] - wide) / 2, part[1] * (k // across) + (part[1] - high) / 2, wide, high) for k in range(n)]


def _truths(belief: Belief) -> list[Floats]:
    root = np.linalg.cholesky(belief.cov)
    return [belief.mean, *(belief.mean + s * 1.5 * root[:, k] for k in range(3) for s in (1.0, -1.0))]


def _information(truth: Floats, belief: Belief, matrix: Floats, given: tuple[tuple[float, float, float], float], c: Change) -> Floats:
    ((pack, log_time),) = packs(given[0], given[1], (c,))
    state = through(truth, matrix, pack, log_time)
    off = float(state.max() - state.min())
    far = float(np.abs(state).max()) / GREY_SPREAD
    seen = cast.Seen((0.0, 0.0, 0.0), 0.03 + 0.3 * far**4, float(np.hypot(0.02, SLOPE_SD / SLOPE * off)) + 0.3 * far**4, "")
    noise = learned.noise_of(seen, matrix @ np.array(pack), belief, log_time)
    out: Floats = SEEN.T @ np.linalg.inv(noise) @ SEEN
    return out
