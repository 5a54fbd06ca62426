"""A scene's tones laid on the curve, and two curves of one strip compared."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from firstsheet.answer import Z90
from firstsheet.paper.curve import Curve, same_kind
from firstsheet.paper.curve_model import quantile
from firstsheet.paper.curve_points import FOOT_D, TOP_SHARE, Figure, gamma, mid_place, summary
from firstsheet.refusal import Refusal

Fate = Literal["holds", "white", "black", "unknown"]
STOP = math.log10(2.0)


@dataclass(frozen=True, slots=True)
class ToneLaid:
    """One tone of the scene on the sheet.

    log_h     its exposure [log10 lx·s]
    density   middle and ends of the 90 % range [D]; None outside the steps of the strip
    fate      "holds" detail; "white" no different from bare paper; "black" no different from Dmax; "unknown"
    chance    of that fate, 0 to 1; None where unknown
    seen      whether the strip has steps there
    """

    name: str
    log_h: float
    density: tuple[float, float, float] | None
    fate: Fate
    chance: float | None
    seen: bool


def lay(curve: Curve, mid_log_h: float, tones: Mapping[str, float]) -> list[ToneLaid]:
    """Where the tones of a scene fall.

    mid_log_h  exposure of the mid-tone [log10 lx·s]
    tones      name → brighter (+) or darker (−) than the mid-tone [stop]

    Detail is held between 0.04 above base+fog and 90 % of the net Dmax, the end points of the ISO range [ISO-6846].
    Past the ends of the strip no density is told; a tone past an end that is already bare or full stays so.
    """
    bad = [n for n, stops in tones.items() if not math.isfinite(stops)]
    if bad or not math.isfinite(mid_log_h):
        raise Refusal.one("tones", ", ".join(bad) or "mid-tone", "Finite numbers of stops from the mid-tone.")
    return [_laid(curve, name, mid_log_h + stops * STOP) for name, stops in tones.items()]


def _laid(curve: Curve, name: str, log_h: float) -> ToneLaid:
    low, high = curve.span
    seen = low - 1e-9 <= log_h <= high + 1e-9
    draws = curve.draws
    at = draws.density(curve.to_u(np.array([min(max(log_h, low), high)])))[:, 0]
    white = float(np.sum(draws.weight[at - draws.base < FOOT_D]))
    black = float(np.sum(draws.weight[at - draws.base > TOP_SHARE * draws.rise]))
    chances: dict[Fate, float] = {"white": white, "black": black, "holds": max(1 - white - black, 0.0)}
    if not seen:
        toward: Fate = "black" if (log_h > high) == (curve.sense > 0) else "white"
        if chances[toward] < 0.5:
            return ToneLaid(name, log_h, None, "unknown", None, False)
        return ToneLaid(name, log_h, None, toward, chances[toward], False)
    fate = max(chances, key=lambda f: chances[f])
    d = [quantile(at, draws.weight, q) for q in (0.5, 0.05, 0.95)]
    return ToneLaid(name, log_h, (d[0], d[1], d[2]), fate, chances[fate], True)


@dataclass(frozen=True, slots=True)
class Compared:
    """The second curve against the first: how much faster [stop], the ratio of the slopes."""

    speed_stops: Figure
    contrast: Figure


def compare(first: Curve, second: Curve, same_exposures: bool = True) -> Compared:
    """Two curves of the same paper, as from two developers on two strips of one exposure.

    same_exposures  True: the doubt shared by all log H is shared by both and falls out; False: it counts twice
    Speed is compared at the mid-tone; contrast is the ratio of the slopes there. Refusal for unlike curves.
    """
    same_kind(first, second)
    if first.sense != second.sense:
        raise Refusal.one("sense", "negative- with positive-working", "Two curves that run the same way.")
    if not same_exposures and first.absolute != second.absolute:
        raise Refusal.one("absolute", "one relative, one in lx·s", "Two strips whose exposures are on one scale.")
    a, b = mid_place(first), mid_place(second)
    both = 0.0 if same_exposures else math.hypot(first.common_log_h_sd, second.common_log_h_sd)
    source = "second against first, at the mid-tone"
    if not (a.reached and b.reached):
        why = a.missing or b.missing
        return Compared(
            Figure(None, None, None, "stop", source, None, why), Figure(None, None, None, "", source, None, why)
        )
    xa = summary(a.log_h, first.draws.weight)
    xb = summary(b.log_h, second.draws.weight)
    faster = (xa[1] - xb[1]) / STOP
    # independent doubts added in quadrature, side by side: the lower end of a difference meets the upper of the other
    down, up = (
        math.hypot(xa[1] - xa[0], xb[2] - xb[1], both * Z90),
        math.hypot(xa[2] - xa[1], xb[1] - xb[0], both * Z90),
    )
    sd = math.hypot(xa[3], xb[3], both)
    speed = Figure(faster, faster - down / STOP, faster + up / STOP, "stop", source, sd)
    return Compared(speed, _ratio(gamma(first), gamma(second), "slope of the second over the first, at the mid-tone"))


def _ratio(a: Figure, b: Figure, source: str) -> Figure:
    la, lb = _logs(a), _logs(b)
    if la is None or lb is None:
        return Figure(None, None, None, "", source, None, a.missing or b.missing)
    down = math.hypot(la[2] - la[1], lb[1] - lb[0])
    up = math.hypot(la[1] - la[0], lb[2] - lb[1])
    mid = lb[1] - la[1]
    return Figure(10**mid, 10 ** (mid - down), 10 ** (mid + up), "", source, (down + up) / (2 * Z90))


def _logs(figure: Figure) -> tuple[float, float, float] | None:
    if figure.value is None or figure.low is None or figure.high is None:
        return None
    low, mid, high = (math.log10(max(x, 1e-6)) for x in (figure.low, figure.value, figure.high))
    return low, mid, high
