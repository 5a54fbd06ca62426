"""Filters as transmittances on the grid of `spectrum`: colour correcting by density, converting by mireds, edge filters by wavelength.

Dyes differ by maker and fade; these are shapes in closed form, said to be so. A filter is written as the trade writes it: “30Y 20M”,
“+112 mired”, “yellow 0.7” (what it takes from blue), “cuts at 480 nm”, “ND 0.6”. Parts follow each other with a blank or “+”.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from firstsheet.light.spectrum import C2, GRID_NM, Spectrum
from firstsheet.refusal import Refusal

MOST_DENSITY = 4.0
WORDS = {"yellow": 480.0, "orange": 540.0, "red": 595.0}  # where such a filter lets half through [nm]: common practice, no source
_TWO_WAYS = re.compile(r"(?<![\d.])8[0-5] ?[bc](?![a-z])")  # units of blue or cyan, or a number of another filter, orange among them
_PART = re.compile(r"(?:(?:cc ?)?(?P<cc>\d+(?:\.\d+)?) ?(?:cc ?)?(?P<dye>[ymcrgb])(?![a-z]))|(?:(?P<mired>[+-]?\d+(?:\.\d+)?) ?mired)"
                   r"|(?:cuts? at (?P<cut>\d+(?:\.\d+)?) ?nm)|(?:nd ?(?P<nd>\d+(?:\.\d+)?))|(?P<word>yellow|orange|red)(?: (?P<d>\d+(?:\.\d+)?))?")  # fmt: skip


def dye(colour: str, density: float) -> Spectrum:
    """Transmittance [1] of a yellow (Y), magenta (M) or cyan (C) dye whose density is `density` where it is meant to be.

    What it takes elsewhere is stated: magenta 0.12 and cyan 0.08 of it in blue, cyan 0.10 in green. From memory, no source.
    """
    shape = _DYES[colour]
    return tuple(10.0 ** -(density * shape(float(nm))) for nm in GRID_NM)


def _fall(nm: float, middle: float, width: float) -> float:
    return 1.0 / (1.0 + math.exp((nm - middle) / width))


_DYES: dict[str, Callable[[float], float]] = {
    "Y": lambda nm: _fall(nm, 503.0, 7.0),
    "M": lambda nm: math.exp(-0.5 * ((nm - 545.0) / 30.0) ** 2) + 0.12 * _fall(nm, 490.0, 15.0),
    "C": lambda nm: 1.0 / (1.0 + math.exp(-(nm - 610.0) / 10.0)) + 0.10 * math.exp(-0.5 * ((nm - 545.0) / 30.0) ** 2) + 0.08 * _fall(nm, 490.0, 15.0),
}


def colour_correcting(yellow: float = 0.0, magenta: float = 0.0, cyan: float = 0.0) -> Spectrum:
    """A pack in CC units, a hundred to a density of 1. Domain: 0 to 400 each."""
    parts = [dye(k, v / 100.0) for k, v in (("Y", yellow), ("M", magenta), ("C", cyan)) if v]
    return stacked(*parts)


def converting(mired: float) -> Spectrum:
    """A filter that moves light by so many mireds, + to the yellow; 1 where it passes most between 400 and 700 nm."""
    raw = [math.exp(-C2 * mired * 1e-6 * 1e9 / nm) for nm in GRID_NM]
    top = max(v for v, nm in zip(raw, GRID_NM, strict=True) if 400 <= nm <= 700)
    return tuple(min(v / top, 1.0) for v in raw)


def edge(cut_nm: float, width_nm: float = 6.0, density: float = 2.5) -> Spectrum:
    """Lets through what is longer than `cut_nm`, half there; below it a density [D] of `density`."""
    floor = 10.0**-density
    return tuple(0.91 * (floor + (1.0 - floor) / (1.0 + math.exp(-(nm - cut_nm) / width_nm))) for nm in GRID_NM)


def grey(density: float) -> Spectrum:
    return tuple(10.0**-density for _ in GRID_NM)


def stacked(*parts: Spectrum) -> Spectrum:
    """Filters behind each other: transmittances multiply."""
    return tuple(math.prod(each) for each in zip(*parts, strict=True)) if parts else tuple(1.0 for _ in GRID_NM)


def read(text: str) -> Spectrum:
    """A filter as it is written. Refusal for what is no filter."""
    rest = " ".join(text.lower().replace("−", "-").replace("+", " +").split())
    if (two := _TWO_WAYS.search(rest)) and not rest[: two.start()].rstrip().endswith("cc"):
        raise Refusal.one("filter", text, "A filter that can be read one way only.", f"“CC{two[0].upper()}” if you mean colour correcting; else say its mireds.")
    parts: list[Spectrum] = []
    while rest:
        match = _PART.match(rest)
        if match is None:
            raise Refusal.one("filter", text, "“30Y 20M”, “+112 mired”, “yellow 0.7”, “cuts at 480 nm”, “ND 0.6”.", "Say what it takes, not a maker’s number.")
        parts.append(_one(match, text))
        rest = rest[match.end() :].lstrip(" +,")
    if not parts:
        raise Refusal.one("filter", text, "A filter.", "Try “yellow”.")
    return stacked(*parts)


def _one(m: re.Match[str], text: str) -> Spectrum:
    if m["cc"]:
        amount = float(m["cc"])
        if amount > 100.0 * MOST_DENSITY:
            raise Refusal.one("filter", text, f"At most {100 * MOST_DENSITY:.0f} CC.", "A hundred units are a density of 1.")
        pair = {"y": "Y", "m": "M", "c": "C", "r": "YM", "g": "YC", "b": "MC"}[m["dye"]]
        return stacked(*(dye(k, amount / 100.0) for k in pair))
    if m["mired"]:
        by = float(m["mired"])
        if abs(by) > 300:
            raise Refusal.one("filter", text, "From −300 to +300 mired.", "Daylight to lamp light is about +130.")
        return converting(by)
    if m["cut"]:
        cut = float(m["cut"])
        if not 380 <= cut <= 700:
            raise Refusal.one("filter", text, "A cut from 380 to 700 nm.", "A yellow one cuts near 480.")
        return edge(cut)
    density = float(m["nd"] or m["d"] or 2.5)
    if density > MOST_DENSITY:
        raise Refusal.one("filter", text, f"A density up to {MOST_DENSITY:g}.", "")
    return grey(density) if m["nd"] else edge(WORDS[m["word"]], 8.0, density)
