"""Sheets to a neutral colour print, against hidden truths: the tool by words, by a photographed grey, with a masked sheet; a stepper; an oracle.

Run: python -m bench.colour_packs [truths [seed]]. What is hidden: offsets of the layers, their slopes, each light's colour, gels up to 10 % faded, casts
said with error. Neutral: chroma of the grey patch at most 9 and brightness within a third of a stop. First one light, whose truths are 0.42 or half as wide
as the belief; then a new box through four lights, each begun from those before, whose light colours are as believed, or off by twice as much.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from firstsheet.acts import pack_known
from firstsheet.colour import cast, layers, learned, neighbours, pack, ring, weigh
from firstsheet.colour.learned import Belief

GREEN, BLUE = 0.80, 1.60  # before any sheet, daylight [D]
SHEET_CAST, SHEET_LIGHT = 0.02, 0.04  # noise of one sheet, log10 exposure
WORD_SIZE, WORD_CC = 0.25, 0.025  # error of what is said: share of the size; of each layer whatever the size [D]
MOST = 12
LIGHTS = ("sun", "open_shade", "overcast", "tungsten")


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


Player = Callable[[Truth, np.random.Generator, np.ndarray, Belief], tuple[int, np.ndarray, list[weigh.Sheet]]]


def tool(how: str) -> Player:
    """Of a light: sheets until neutral, where it aimed last, and what was told, the neutral sheet with it."""

    def play(t: Truth, rng: np.random.Generator, _: np.ndarray, start: Belief) -> tuple[int, np.ndarray, list[weigh.Sheet]]:
        aim, sheets = start.mean, []
        for n in range(1, MOST + 1):
            now = pack.of_gels(aim, layers.NOMINAL)
            changes: tuple[ring.Change, ...] = ((0.0, 0.0, 0.0, 0.0),)
            if how == "mask" and n == 1:
                changes = ring.choose(start, layers.NOMINAL, (now.real, now.log_time), 6)
            for k, (p, log_time) in enumerate(ring.packs(now.real, now.log_time, changes)):
                state = come(t, p, log_time, rng)
                seen = (by_photo(state, t, rng) if how != "words" else None) or (in_words(state, rng) if k == 0 else None)
                if seen is not None:
                    sheets.append(weigh.Sheet(p, log_time, seen))
                if k == 0 and neutral(state, t):
                    return n, aim, sheets
            aim = weigh.weigh(start, layers.NOMINAL, sheets)[1]
        return MOST, aim, sheets

    return play


def stepper(t: Truth, rng: np.random.Generator, begin: np.ndarray, _: Belief) -> tuple[int, np.ndarray, list[weigh.Sheet]]:
    """From `begin`, 10 units against the cast seen and at most a third of a stop against the brightness, a sheet at a time."""
    start = pack.of_gels(begin, layers.NOMINAL)
    p, log_time = start.real, start.log_time
    n = 0
    while n < MOST:
        n += 1
        state = come(t, p, log_time, rng)
        if neutral(state, t):
            break
        seen = in_words(state, rng)
        change = np.array(cast.change(seen))
        if np.abs(change).max() > 0:
            p = pack.without_neutral([a + b for a, b in zip(p, 10 * np.sign(change), strict=True)])
        log_time -= math.copysign(min(abs(layers.luminance(seen.state)), 0.1), layers.luminance(seen.state))
    return n, layers.NOMINAL @ np.array(p) - log_time, []


def oracle(t: Truth, rng: np.random.Generator, *_: object) -> tuple[int, np.ndarray, list[weigh.Sheet]]:
    real = pack.level(t.offset, t.gels * layers.NOMINAL)
    n = 1
    while n < MOST and not neutral(come(t, real.real, real.log_time, rng), t):
        n += 1
    return n, t.offset, []


PLAYERS: dict[str, Player] = {"stepper": stepper, "oracle": oracle, "words": tool("words"), "photo": tool("photo"), "mask": tool("mask")}


def run(truths: int = 300, seed: int = 1, wide: float = 1.0) -> dict[str, np.ndarray]:
    """Sheets to neutral in one light (truths) of each player, over the same truths."""
    rng = np.random.default_rng(seed)
    ts = [truth(rng, wide) for _ in range(truths)]
    start = learned.prior(GREEN, BLUE)
    return {name: np.array([play(t, np.random.default_rng([seed, i]), start.mean, start)[0] for i, t in enumerate(ts)]) for name, play in PLAYERS.items()}


def box(rng: np.random.Generator, places: list[neighbours.Place], off: float = 1.0) -> list[Truth]:
    """One box in each light. off: how far the lights are from what spectra say, as a share of what is believed."""
    paper, scale = rng.multivariate_normal(np.zeros(3), learned.PAPER), off * neighbours.SCALE_SD * rng.normal()
    slope, gels = 1.6 * np.exp(rng.normal(0, 0.12, 3)), 1 - 0.10 * rng.random()
    out = []
    for p in places:
        hour = p.hour * rng.normal() + neighbours.AROUND_SD * rng.normal(0, 1, 3) + p.metered_sd * rng.normal()
        out.append(Truth(p.excess + paper + scale * p.beyond + off * hour, slope, gels))
    return out


def run_box(truths: int = 300, seed: int = 1, off: float = 1.0, players: Sequence[str] = tuple(PLAYERS)) -> dict[str, np.ndarray]:
    """Sheets to neutral (truths, lights) of each player: a new box in one light after another, each begun from those before."""
    rng = np.random.default_rng(seed)
    places = [pack_known.place_of("new", k) for k in LIGHTS]
    boxes = [box(rng, places, off) for _ in range(truths)]
    out = {}
    for name in players:
        play = PLAYERS[name]
        took = np.zeros((truths, len(LIGHTS)))
        for i, each in enumerate(boxes):
            chance = np.random.default_rng([seed, i])
            known: list[tuple[neighbours.Place, Belief]] = []
            begin = places[0].excess
            for k, (place, t) in enumerate(zip(places, each, strict=True)):
                took[i, k], found, sheets = play(t, chance, begin, neighbours.begin(place, known))
                if sheets:
                    known.append((place, weigh.weigh(neighbours.alone(place), layers.NOMINAL, sheets, weigh.PLAIN)[0]))
                # who steps goes on from the pack just found, moved by what spectra say
                begin = found + places[min(k + 1, len(places) - 1)].excess - place.excess
        out[name] = took
    return out


def held(truths: int, seed: int, off: float = 1.0) -> tuple[float, float]:
    """How often the stated 90 % of yellow and of magenta hold the pack that would be right with these gels, told by words: before the first
    sheet of a light, and after its last."""
    rng = np.random.default_rng(seed)
    places = [pack_known.place_of("new", k) for k in LIGHTS]
    before, after = [], []
    for i in range(truths):
        chance, known = np.random.default_rng([seed, i]), []
        for place, t in zip(places, box(rng, places, off), strict=True):
            start = neighbours.begin(place, known)
            sheets = PLAYERS["words"](t, chance, place.excess, start)[2]
            right = pack.level(t.offset, t.gels * layers.NOMINAL)
            for belief, within in ((start, before), (weigh.weigh(start, layers.NOMINAL, sheets)[0], after)):
                off_by, cov = layers.NOMINAL @ np.array(right.real) - belief.mean, belief.pack_cov()
                within += [abs(100 * (off_by[k] - off_by[0])) < 1.645 * math.sqrt(v) for k, v in ((2, cov[0]), (1, cov[2]))]
            known.append((place, weigh.weigh(neighbours.alone(place), layers.NOMINAL, sheets, weigh.PLAIN)[0]))
    return float(np.mean(before)), float(np.mean(after))


def said(took: np.ndarray) -> str:
    each = took.mean(1) if took.ndim > 1 else took
    lights = "  (" + ", ".join(f"{k} {v:.2f}" for k, v in zip(LIGHTS, took.mean(0), strict=True)) + ")" if took.ndim > 1 else ""
    return f"{each.mean():.2f} ± {each.std() / math.sqrt(len(each)):.2f} sheets{lights}"


if __name__ == "__main__":
    truths, seed = (int(v) for v in (*sys.argv[1:3], *("300", "1")[len(sys.argv) - 1 :]))
    worlds: dict[str, dict[str, np.ndarray]] = {
        "one light, as far from the belief as makes ten units a step take about 3.7 sheets": run(truths, seed, 0.42),
        "one light, half as wide as the belief": run(truths, seed, 0.5),
        "a new box through sun, shade, cloud and lamp, per light": run_box(truths, seed),
        "the same, lights twice as far from spectra as believed": run_box(truths, seed, 2.0),
    }
    for words, found in worlds.items():
        print(words)
        for name, took in found.items():
            print(f"  {name:8} {said(took)}, {took.mean() / found['stepper'].mean():.2f} of the stepper")
    for off in (1.0, 2.0):
        start, end = held(truths, seed, off)
        print(f"stated 90 % of yellow and magenta, lights {off:.0f} x as far as believed: {100 * start:.0f} % held before a light's first sheet, {100 * end:.0f} % after its last")
