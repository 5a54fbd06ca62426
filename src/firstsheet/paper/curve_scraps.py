"""Small tests of a paper that need no whole curve: reciprocity from a pair or a series, and fog of an unknown box."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from firstsheet.answer import Z90
from firstsheet.paper.curve import Kind
from firstsheet.refusal import Problems, Refusal


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
    series: Sequence[EqualExposure], slope: float, slope_sd: float = 0.0, even_sd: float = 0.0
) -> Reciprocity:
    """r from two or more patches of equal exposure and unlike times. [Schwarzschild-1900]

    slope     dD/dlog H of the paper at these densities, signed: + negative-working, − positive-working
    even_sd   doubt of each patch's equal exposure [log10], such as of the lux or of an f-stop

    Effective exposure at equal I·t goes as t^(p−1): log H_eff = const − (1 − p)·log t, so D falls by
    slope·(1 − p) per decade of time. A straight line by weighted least squares gives 1 − p, and r = (1 − p)/p.
    Domain: times from 1 s up, where the law of `paper.reciprocity` speaks; a ratio of times of 4 or more.
    """
    found = Problems()
    for i, s in enumerate(series):
        if not (math.isfinite(s.time_s) and 1 <= s.time_s <= 1e6):
            found.add(f"series.{i}.time_s", s.time_s, "A time from 1 s up.", "Below one second no loss is counted.")
        if not math.isfinite(s.density):
            found.add(f"series.{i}.density", s.density, "A density.")
        if not (math.isfinite(s.density_sd) and s.density_sd > 0):
            found.add(f"series.{i}.density_sd", s.density_sd, "Above 0.")
    if not (math.isfinite(slope) and abs(slope) >= 0.2):
        found.add(
            "slope",
            slope,
            "A slope of 0.2 or more, either way.",
            "Place these patches in the mid-tones, not in toe or shoulder.",
        )
    if len(series) < 2:
        found.add("series", f"{len(series)} patches", "At least two patches of equal exposure.")
    found.raise_if_any()
    x = [math.log10(s.time_s) for s in series]
    if max(x) - min(x) < math.log10(4) - 1e-9:
        raise Refusal.one(
            "series",
            "times too near",
            "Times at least 1 to 4 apart.",
            "Close the lens by four stops and give sixteen times as long.",
        )
    weight = [1 / ((s.density_sd / slope) ** 2 + even_sd**2) for s in series]
    y = [s.density / slope for s in series]
    total = sum(weight)
    x0, y0 = (sum(w * v for w, v in zip(weight, values, strict=True)) / total for values in (x, y))
    lever = sum(w * (v - x0) ** 2 for w, v in zip(weight, x, strict=True))
    loss = -sum(w * (v - x0) * (z - y0) for w, v, z in zip(weight, x, y, strict=True)) / lever  # 1 − p
    if loss >= 0.8:
        raise Refusal.one(
            "series",
            "the long exposure shows almost nothing",
            "A loss that the law can hold.",
            "See that each patch had its light.",
        )
    loss_sd = math.hypot(1 / math.sqrt(lever), loss * slope_sd / slope)
    r, sd = loss / (1 - loss), loss_sd / (1 - loss) ** 2
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
