"""The figures of a curve as words, rounded to what they are worth."""

from __future__ import annotations

import math

from firstsheet import wording
from firstsheet.acts.calibrate_curve import CurveAnswer, Named
from firstsheet.acts.calibrate_teach import NextPlan


def figure_row(f: Named) -> dict[str, str]:
    """Its words, its value with the 9-in-10 range, its source or what was missing."""
    if f.value is None:
        bound = (
            f"at least {_value(f, f.low)}"
            if f.low is not None
            else f"at most {_value(f, f.high)}"
            if f.high is not None
            else ""
        )
        return {"words": f.words, "value": f"not reached{', ' + bound if bound else ''}", "range": "", "why": f.missing}
    low_high = (
        f"{_value(f, f.low, False)} to {_value(f, f.high, False)}" if f.low is not None and f.high is not None else ""
    )
    shown = f"{f.rounded:g}" if f.rounded is not None else _value(f, f.value)
    return {"words": f.words, "value": shown, "range": f"9 in 10: {low_high}" if low_high else "", "why": ""}


def _value(f: Named, x: float | None, unit: bool = True) -> str:
    if x is None:
        return ""
    if f.unit == "D":
        return density(x)
    if f.key == "iso_r":
        return f"{x:.0f}"
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
    return f"{x:.2f}".replace("-", wording.MINUS)


def figures(x: float, n: int) -> str:
    """To so many figures, never in powers of ten."""
    if x <= 0:
        return "0"
    places = n - 1 - math.floor(math.log10(x))
    return f"{round(x, places):.{max(places, 0)}f}"
