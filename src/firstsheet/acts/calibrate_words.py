"""The figures of a curve as words, rounded to what they are worth."""

from __future__ import annotations

import math

from firstsheet import wording
from firstsheet.acts.calibrate_curve import CurveAnswer, Named
from firstsheet.acts.calibrate_teach import NextPlan
from firstsheet.quantities import written


def figure_row(f: Named) -> dict[str, str]:
    """Its words, its value with the 9-in-10 range, its source or what was missing."""
    if f.value is None:
        bound = (
            f"at least {_value(f, f.low, end=-1)}"
            if f.low is not None
            else f"at most {_value(f, f.high, end=1)}"
            if f.high is not None
            else ""
        )
        return {"words": f.words, "value": f"not reached{', ' + bound if bound else ''}", "range": "", "why": f.missing}
    low_high = (
        f"{_value(f, f.low, False, -1)} to {_value(f, f.high, False, 1)}" if f.low is not None and f.high is not None else ""
    )
    shown = written(f.rounded) if f.rounded is not None else _value(f, f.value)
    return {"words": f.words, "value": shown, "range": f"9 in 10: {low_high}" if low_high else "", "why": ""}


def _value(f: Named, x: float | None, unit: bool = True, end: int = 0) -> str:
    """`end` −1 or +1: the low or the high end of a range, which a standard's coarse steps never draw in."""
    if x is None:
        return ""
    if f.unit == "D":
        return density(x)
    if f.key == "iso_r":
        tens = x / 10 - 1e-9 * end
        return f"{10 * (math.floor(tens) if end < 0 else math.ceil(tens) if end > 0 else math.floor(tens + 0.5)):.0f}"
    if f.key == "slope":
        return f"{x:.1f}"
    return figures(x, 2) + (f" {f.unit}" if unit and f.unit else "")


def next_words(n: NextPlan, stands: bool) -> str:
    """What the plan of now becomes, each at its own stop; "" where there is none to compare."""
    if n.before_s is None or n.after_s is None:
        return ""
    before, after = (
        wording.seconds(t) + (f" at {wording.f_number(stop)}" if stop else "")
        for t, stop in ((n.before_s, n.before_aperture), (n.after_s, n.after_aperture))
    )
    counts = "The next plan" if stands else "If it counted, the next plan"
    return f"{counts}: {after} instead of {before}." if after != before else f"{counts} stays at {after}."


def speed_words(a: CurveAnswer) -> str:
    """How fast it measured against what the box was taken to be; "" where it sets no speed."""
    if a.faster_stops is None or a.sd_stops is None:
        return ""
    told = wording.stops_apart(a.faster_stops)
    side = "as fast as" if told.startswith("0.0") else f"{told} {'faster' if a.faster_stops > 0 else 'slower'} than"
    return f"For this light and developer it measured {side} box {a.box} was taken to be at first, {wording.stops_pm(a.sd_stops)}, the meter apart."


def density(x: float) -> str:
    """Two decimals, with the sign −; no minus before nothing."""
    return f"{round(x, 2) + 0.0:.2f}".replace("-", wording.MINUS)


def figures(x: float, n: int) -> str:
    """To so many figures, never in powers of ten."""
    if x <= 0:
        return "0"
    places = n - 1 - math.floor(math.log10(x))
    return f"{round(x, places):.{max(places, 0)}f}"
