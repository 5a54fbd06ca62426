"""Sheets to a neutral colour print, against hidden truths: the tool by words, by a photographed grey, with a masked sheet; a stepper; an oracle.

Run: python -m bench.colour_packs [truths [seed]]. What is hidden: offsets of the layers, their slopes, the light's colour, gels 10 % faded, casts said
with error. Neutral: chroma of the grey patch at most 9 and brightness within a third of a stop.
"""

from __future__ import annotations

import math
import sys
from dataclasses import dataclass, replace

import numpy as np

from firstsheet.colour import cast, layers, learned, pack, ring, weigh

GREEN, BLUE = 0.80, 1.60  # before any sheet, daylight [D]
SHEET_CAST, SHEET_LIGHT = 0.02, 0.04  # noise of one sheet, log10 exposure
WORD_SIZE, WORD_CC = 0.25, 0.025  # error of what is said: share of the size; of each layer whatever the size [D]
MOST = 12
AB_PER_D = 60.0  # chroma for a unit of density between layers at a mid-grey: a step of 0.1 is near 6


@dataclass
class Truth:
    """offset [D] of each layer in this light, its slope, how much of each gel is left [1]."""

    offset: np.ndarray
    slope: np.ndarray
    gels: float


def truth(rng: np.random.Generator, wide: float = 1.0) -> Truth:
    """wide: the truths' spread as a share of the belief's own."""
    believed = learned.prior(GREEN, BLUE)
    return Truth(rng.multivariate_normal(believed.mean, believed.cov * wide**2), 1.6 * np.exp(rng.normal(0, 0.12, 3)), 1 - 0.10 * rng.random())


def come(t: Truth, p: tuple[float, float, float], log_time: float, rng: np.random.Generator) -> np.ndarray:
    """What each layer really received too much [D]."""
    noise = rng.normal(0, SHEET_LIGHT) + rng.normal(0, SHEET_CAST, 3)
    return t.offset - t.gels * layers.NOMINAL @ np.array(p) + log_time + noise


def lab(state: np.ndarray, slope: np.ndarray) -> tuple[float, float]:
    """Chroma and stops of brightness of the 18 % grey: its reflectances as linear sRGB through CIELAB [CIE-15]."""
    density = np.clip(layers.GREY_DENSITY - slope * state, 0.05, 2.2)
    rgb = 10.0**-density
    xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]) @ rgb / np.array([0.9505, 1.0, 1.089])
    f = np.where(xyz > 0.008856, np.cbrt(xyz), 7.787 * xyz + 16 / 116)
    return float(np.hypot(500 * (f[0] - f[1]), 200 * (f[1] - f[2]))), layers.luminance(state) / math.log10(2)


def neutral(state: np.ndarray, t: Truth) -> bool:
    chroma, stops = lab(state, t.slope)
    return chroma <= 9 and abs(stops) <= 1 / 3


def in_words(state: np.ndarray, rng: np.random.Generator) -> cast.Seen:
    """The nearest class of words to what is seen with an error: colour, how much, how bright."""
    seen = state * np.exp(rng.normal(0, WORD_SIZE)) + rng.normal(0, WORD_CC, 3)
    stops = layers.luminance(seen) / math.log10(2)
    bright = min(cast.BRIGHT, key=lambda k: abs(cast.BRIGHT[k] - stops))
    tint = seen - layers.luminance(seen)
    choices = [("neutral", "clearly"), *((c, m) for c in cast.COLOURS for m in cast.HOW_MUCH)]

    def apart(c: tuple[str, str]) -> float:
        other = np.array(cast.said(*c).state)
        return float(((tint - tint.mean() - other + other.mean()) ** 2).sum())

    return cast.said(*min(choices, key=apart), bright)


def by_photo(state: np.ndarray, t: Truth, rng: np.random.Generator) -> cast.Seen | None:
    density = layers.GREY_DENSITY - t.slope * state + rng.normal(0, 0.02, 3)
    rgb = 10.0 ** -np.clip(density, 0.05, 2.2)
    try:
        return cast.measured((float(rgb[0]), float(rgb[1]), float(rgb[2])), (1.0, 1.0, 1.0))
    except Exception:
        return None


def tool(t: Truth, rng: np.random.Generator, how: str) -> int:
    start = learned.prior(GREEN, BLUE)
    aim, sheets = start.mean, []
    for n in range(1, MOST + 1):
        now = pack.of_gels(aim, layers.NOMINAL)
        changes: tuple[ring.Change, ...] = ((0.0, 0.0, 0.0, 0.0),)
        if how == "mask" and n == 1:
            changes = ring.choose(start, layers.NOMINAL, (now.real, now.log_time), 6)
        for k, (p, log_time) in enumerate(ring.packs(now.real, now.log_time, changes)):
            state = come(t, p, log_time, rng)
            if k == 0 and neutral(state, t):
                return n
            seen = (by_photo(state, t, rng) if how != "words" else None) or (in_words(state, rng) if k == 0 else None)
            if seen is not None:
                sheets.append(weigh.Sheet(p, log_time, seen))
        aim = weigh.weigh(start, layers.NOMINAL, sheets)[1]
    return MOST


def stepper(t: Truth, rng: np.random.Generator) -> int:
    """The prior pack, then 10 units against the cast seen and a third of a stop against the brightness, a sheet at a time; 20 for a strong cast."""
    start = pack.of_gels(np.array([0.0, GREEN, BLUE]), layers.NOMINAL)
    p, log_time = start.real, start.log_time
    for n in range(1, MOST + 1):
        state = come(t, p, log_time, rng)
        if neutral(state, t):
            return n
        seen = in_words(state, rng)
        change = np.array(cast.change(seen))
        if np.abs(change).max() > 0:
            p = pack.without_neutral([a + b for a, b in zip(p, 10 * np.sign(change), strict=True)])
        log_time -= math.copysign(min(abs(layers.luminance(seen.state)), 0.1), layers.luminance(seen.state))
    return MOST


def oracle(t: Truth, rng: np.random.Generator) -> int:
    real = pack.level(t.offset, t.gels * layers.NOMINAL)
    for n in range(1, MOST + 1):
        if neutral(come(t, real.real, real.log_time, rng), t):
            return n
    return MOST


def run(truths: int = 300, seed: int = 1, wide: float = 1.0) -> dict[str, tuple[float, float]]:
    """Mean sheets to neutral of each player over the same truths, and its standard error."""
    out = {}
    players = {"stepper": stepper, "oracle": oracle} | {k: (lambda t, rng, k=k: tool(t, rng, k)) for k in ("words", "photo", "mask")}
    for name, player in players.items():
        rng = np.random.default_rng(seed)
        ts = [truth(rng, wide) for _ in range(truths)]
        took = [player(replace(t), np.random.default_rng([seed, i])) for i, t in enumerate(ts)]
        out[name] = float(np.mean(took)), float(np.std(took) / math.sqrt(truths))
    return out


if __name__ == "__main__":
    truths, seed = (int(v) for v in (*sys.argv[1:3], *("300", "1")[len(sys.argv) - 1 :]))
    for wide, words in ((1.0, "a light never tried, as wide as the belief"), (0.5, "half as wide: a new batch, or a neighbour's pack")):
        print(words)
        for name, (sheets, error) in run(truths, seed, wide).items():
            print(f"  {name:8} {sheets:.2f} ± {error:.2f} sheets")
