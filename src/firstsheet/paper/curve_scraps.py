"""Small tests of a paper that need no strip of their own: reciprocity from a pair or a series, and fog of an unknown box."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet.answer import Z90
from firstsheet.refusal import Problems, Refusal

if TYPE_CHECKING:
    from firstsheet.paper.curve import Curve, Kind

LEAST_SLOPE = 0.2  # dD/dlog H under which a density tells nothing of exposure
LEAST_RATIO = 4.0  # of the longest time to the shortest
MOST_LOSS = 0.8  # 1 − p beyond which no paper is
OUTSIDE = 0.05  # chance of lying on a plateau from which a density is no longer placed on its curve


@dataclass(frozen=True, slots=True)
class Reciprocity:
    """r = 1/p − 1 of Schwarzschild's law and its standard deviation; consistent with `paper.reciprocity`.

    shown  whether the loss stands clear of its doubt (r above 1.645 sd); a negative r is told as measured
    """

    r: float
    sd: float
    shown: bool


@dataclass(frozen=True, slots=True)
class EqualExposure:
    """One patch of a series given equal I·t [lx·s]: its time [s], its density [D] and the doubt of that [D]."""

    time_s: float
    density: float
    density_sd: float = 0.02


def reciprocity(
    series: Sequence[EqualExposure],
    slope: float,
    slope_sd: float = 0.0,
    even_sd: float = 0.0,
    timed_share: float = 0.0,
) -> Reciprocity:
    """r from two or more patches of equal exposure and unlike times. [Schwarzschild-1900]

    slope        dD/dlog H of the paper at these densities, signed: + negative-working, − positive-working
    even_sd      doubt of each patch's equal exposure [log10], such as of the lux or of an f-stop
    timed_share  how much of the slope's own log H was given as time beyond a second [0 … 1]: that part lost as well

    Effective exposure at equal I·t goes as t^(p−1): log H_eff = const − (1 − p)·log t, so D falls by
    slope·(1 − p) per decade of time. A straight line by weighted least squares gives 1 − p, and r = (1 − p)/p.
    Domain: times from 1 s up, where the law of `paper.reciprocity` speaks; a ratio of times of 4 or more.
    """
    found = _times(series)
    if not (math.isfinite(slope) and abs(slope) >= LEAST_SLOPE):
        found.add(
            "slope",
            slope,
            "A slope of 0.2 or more, either way.",
            "Place these patches in the mid-tones, not in toe or shoulder.",
        )
    found.raise_if_any()
    x = _spread(series)
    loss, sd = _line(x, [s.density / slope for s in series], [(s.density_sd / slope) ** 2 + even_sd**2 for s in series])
    return _law(loss, math.hypot(sd, loss * slope_sd / slope), timed_share)


def reciprocity_on_curve(
    curve: Curve,
    series: Sequence[EqualExposure],
    given: Sequence[float],
    even_sd: Sequence[float],
    timed_share: float = 0.0,
) -> Reciprocity:
    """r from densities laid back on the paper's own curve, toe and shoulder and all. [Schwarzschild-1900]

    given    log10 of each patch's I·t, of which only differences count: they need not be quite equal
    even_sd  doubt of each of them [log10]
    Every density is placed on each draw of the curve, so that what the curve does not know widens r as it should.
    Refusal for times as in `reciprocity`, and for a density that lies on base or Dmax, where the curve is flat.
    """
    import numpy as np

    found = _times(series)
    found.raise_if_any()
    x = _spread(series)
    draws = curve.draws
    rows, sds = [], []
    for i, s in enumerate(series):
        at = [curve.to_log_h(draws.at_fraction((s.density + d - draws.base) / draws.rise)) for d in (-0.02, 0.0, 0.02)]
        lost = float(draws.weight[~np.isfinite(at[0] + at[2])].sum())
        steep = 0.04 / max(abs(float(np.nanmedian(at[2] - at[0]))), 1e-9) if lost < 1 else 0.0
        if lost > OUTSIDE or steep < LEAST_SLOPE:
            found.add(f"series.{i}.density", f"{s.density:.2f}", "A density between this paper’s white and its black.",
                      "Make the scraps again in mid-grey.")  # fmt: skip
        rows.append(at[1])
        sds.append(s.density_sd / max(steep, 1e-9))
    found.raise_if_any()
    y = np.stack(rows) - np.asarray(given)[:, None]
    there = np.isfinite(y).all(axis=0)
    weight = draws.weight[there] / draws.weight[there].sum()
    variances = [sd**2 + e**2 for sd, e in zip(sds, even_sd, strict=True)]
    losses = np.array([_line(x, column.tolist(), variances)[0] for column in y[:, there].T])
    loss = float(weight @ losses)
    by_curve = math.sqrt(float(weight @ (losses - loss) ** 2))
    return _law(loss, math.hypot(_line(x, [0.0] * len(x), variances)[1], by_curve), timed_share)


def reciprocity_by_match(
    series: Sequence[EqualExposure],
    pace: float,
    given: Sequence[float],
    even_sd: Sequence[float],
    timed_share: float = 0.0,
) -> Reciprocity:
    """r from the step of one strip that each scrap matches by eye; `density` and its doubt are then places on the strip [step].

    pace   exposure from one step of the strip to the next [1]
    given, even_sd, timed_share as in `reciprocity_on_curve`; a strip timed step by step beyond a second has share 1
    """
    found = _times(series)
    if not (math.isfinite(pace) and 1.02 <= pace <= 4.0):
        found.add("pace", pace, "A factor above 1, up to 4.", "√2 is half a stop, 2 a stop.")
    found.raise_if_any()
    step = math.log10(pace)
    y = [s.density * step - g for s, g in zip(series, given, strict=True)]
    variances = [(s.density_sd * step) ** 2 + e**2 for s, e in zip(series, even_sd, strict=True)]
    return _law(*_line(_spread(series), y, variances), timed_share)


def _times(series: Sequence[EqualExposure]) -> Problems:
    """What is wrong with the patches themselves."""
    found = Problems()
    for i, s in enumerate(series):
        if not (math.isfinite(s.time_s) and 1 <= s.time_s <= 1e6):
            found.add(f"series.{i}.time_s", s.time_s, "A time from 1 s up.", "Below one second no loss is counted.")
        if not math.isfinite(s.density):
            found.add(f"series.{i}.density", s.density, "A density.")
        if not (math.isfinite(s.density_sd) and s.density_sd > 0):
            found.add(f"series.{i}.density_sd", s.density_sd, "Above 0.")
    if len(series) < 2:
        found.add("series", f"{len(series)} patches", "At least two patches of equal exposure.")
    return found


def _spread(series: Sequence[EqualExposure]) -> list[float]:
    """log10 of the times; refuses those too near each other."""
    x = [math.log10(s.time_s) for s in series]
    if max(x) - min(x) < math.log10(LEAST_RATIO) - 1e-9:
        raise Refusal.one(
            "series",
            "times too near",
            "Times at least 1 to 4 apart.",
            "Close the lens by four stops and give sixteen times as long.",
        )
    return x


def _line(x: Sequence[float], y: Sequence[float], variances: Sequence[float]) -> tuple[float, float]:
    """Minus the slope of the weighted straight line through (x, y), and its standard deviation."""
    weight = [1 / v for v in variances]
    total = sum(weight)
    x0, y0 = (sum(w * v for w, v in zip(weight, values, strict=True)) / total for values in (x, y))
    lever = sum(w * (v - x0) ** 2 for w, v in zip(weight, x, strict=True))
    return -sum(w * (v - x0) * (z - y0) for w, v, z in zip(weight, x, y, strict=True)) / lever, 1 / math.sqrt(lever)


def _law(loss: float, loss_sd: float, timed_share: float) -> Reciprocity:
    """From the loss per decade, on an axis of which `timed_share` lost as well, to r.

    On an untimed axis loss = 1 − p and r = loss/(1 − loss); on one all timed beyond a second it is r itself.
    """
    whole = 1 - (1 - timed_share) * loss
    if loss >= MOST_LOSS or whole <= 0:
        raise Refusal.one(
            "series",
            "the long exposure shows almost nothing",
            "A loss that the law can hold.",
            "See that each patch had its light.",
        )
    r, sd = loss / whole, loss_sd / whole**2
    return Reciprocity(r, sd, r > Z90 * sd)


@dataclass(frozen=True, slots=True)
class Patch:
    """A density read off unexposed paper, with its doubt [D]."""

    density: float
    density_sd: float = 0.02
    kind: Kind = "reflection"


@dataclass(frozen=True, slots=True)
class Fogged:
    """Fog: what development adds to unexposed paper [D], its 90 % range, a word for it and a sentence."""

    fog: float
    low: float
    high: float
    word: str
    sentence: str


# Where one word gives way to the next [D]; common practice, no source: 0.04 is the least that is told from white.
_WORDS = (
    (0.04, "none", "Fixed-only and developed look alike: no fog to see. It tells nothing of lost speed: make a strip."),
    (
        0.10,
        "slight",
        "The whites are a little veiled: usable, paler than it was. A restrainer in the developer may clear it.",
    ),
    (0.25, "clear", "The whites are grey: fit for tests and for dark pictures, not for a portrait in light tones."),
    (math.inf, "heavy", "The paper is fogged through: keep it for practice and for trying out the trays."),
)


def box_fog(fixed_only: Patch, developed: Patch) -> Fogged:
    """The test of an old or unknown box: two unexposed pieces in the dark, one only fixed, one developed and fixed.

    Negative-working paper. Where the two cannot be told apart, the sentence says so and how small a fog was looked for.
    """
    found = Problems()
    for name, p in (("fixed_only", fixed_only), ("developed", developed)):
        if not (math.isfinite(p.density) and -0.2 <= p.density <= 6):
            found.add(f"{name}.density", p.density, "A density from −0.2 to 6.")
        if not (math.isfinite(p.density_sd) and 0 < p.density_sd <= 1):
            found.add(f"{name}.density_sd", p.density_sd, "Above 0, up to 1.")
    if fixed_only.kind != developed.kind:
        found.add(
            "developed.kind",
            developed.kind,
            f"The same as the other: {fixed_only.kind}.",
            "Reflection and transmission are two scales.",
        )
    found.raise_if_any()
    fog = developed.density - fixed_only.density
    sd = math.hypot(fixed_only.density_sd, developed.density_sd)
    low, high = fog - Z90 * sd, fog + Z90 * sd
    if high < -0.02:
        raise Refusal.one("developed", f"{developed.density:.2f}, paler than {fixed_only.density:.2f}", "The developed piece is not the paler.",
                          "The two were taken one for the other, or the fixed-only piece was not fixed out.")  # fmt: skip
    if low <= 0 and high >= _WORDS[0][0]:
        return Fogged(
            fog,
            low,
            high,
            "not told apart",
            f"The two pieces cannot be told apart; a fog up to {max(high, 0):.2f} D could hide. Read them more closely, side by side.",
        )
    word, sentence = next((w, s) for limit, w, s in _WORDS if fog < limit)
    return Fogged(fog, low, high, word, sentence)


@dataclass(frozen=True, slots=True)
class FogDrift:
    """How fast fog rises [D a year] and its standard deviation; whether that stands clear of its doubt."""

    per_year: float
    sd: float
    shown: bool


LEAST_SPAN_YEARS = 30 / 365.25  # between the first and the last test, under which no drift is told


def fog_drift(tests: Sequence[tuple[float, float, float]]) -> FogDrift | None:
    """A straight line by weighted least squares through (year, fog [D], its sd [D]); None for fewer than two, or within a month."""
    if len(tests) < 2 or max(t[0] for t in tests) - min(t[0] for t in tests) < LEAST_SPAN_YEARS:
        return None
    minus, sd = _line([t[0] for t in tests], [t[1] for t in tests], [t[2] ** 2 for t in tests])
    return FogDrift(-minus, sd, abs(minus) > Z90 * sd)
