"""Filter packs: never a neutral part, from a state to the pack that levels it, and what owned gels can make."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from firstsheet.colour.layers import LUMINANCE, Floats, through
from firstsheet.refusal import Refusal

DYES = ("Y", "M", "C")
PAIRS = ((0, 1), (0, 2), (1, 2))
MOST_CC = 400.0
MOST_GELS = 14
GRID_CC = 5


@dataclass(frozen=True, slots=True)
class Gel:
    """One gel: its dye, what is written on it [CC], and what it was measured to be [CC]; the same where nothing was measured."""

    dye: str
    written: float
    real: float


@dataclass(frozen=True, slots=True)
class Pack:
    """A pack as put on. written and real (yellow, magenta, cyan) [CC]; log_time log10 of seconds over those without a pack; left_cc cast left."""

    written: tuple[float, float, float]
    real: tuple[float, float, float]
    log_time: float
    left_cc: float
    gels: tuple[Gel, ...] = ()


def without_neutral(pack: Sequence[float]) -> tuple[float, float, float]:
    """The pack less what is the same in all three: that part only costs light. Domain: CC of any sign."""
    y, m, c = pack
    grey = min(y, m, c)
    return y - grey, m - grey, c - grey


def in_words(pack: Sequence[float]) -> str:
    """“150Y + 75M”; “no filter” where there is none."""
    return " + ".join(f"{v:.0f}{d}" for v, d in zip(pack, DYES, strict=True) if v >= 0.5) or "no filter"


def level(state: Floats, matrix: Floats) -> Pack:
    """The pack without neutral part that levels a state, and the time with it; two dyes and time answer three layers exactly."""
    best: Pack | None = None
    for a, b in PAIRS:
        use = np.column_stack([matrix[:, a], matrix[:, b], -np.ones(3)])
        found = np.linalg.solve(use, state)
        if found[0] < -1e-9 or found[1] < -1e-9:
            continue
        cc = [0.0, 0.0, 0.0]
        cc[a], cc[b] = max(float(found[0]), 0.0), max(float(found[1]), 0.0)
        if best is None or found[2] < best.log_time:
            real = (cc[0], cc[1], cc[2])
            best = Pack(real, real, float(found[2]), 0.0)
    if best is None or max(best.real) > MOST_CC:
        raise Refusal.one("pack", "", f"A light that at most {MOST_CC:.0f} CC can level.", "Change the light, or start from another pack.")
    return best


def of_gels(state: Floats, matrix: Floats, gels: Sequence[Gel] | None = None) -> Pack:
    """The nearest pack of owned gels (of 5-CC steps where none are said): least cast left, brightness held by time; never three dyes."""
    makes = [_sums([g for g in gels if g.dye == d]) for d in DYES] if gels is not None else [_steps()] * 3
    best: tuple[float, Pack] | None = None
    for a, b in PAIRS:
        pa, pb = np.array(list(makes[a])), np.array(list(makes[b]))
        if not len(pa) or not len(pb):
            continue
        left = state[:, None, None] - matrix[:, a][:, None, None] * pa[None, :, None] - matrix[:, b][:, None, None] * pb[None, None, :]
        light = np.tensordot(LUMINANCE, left, 1)
        cast = ((left - light) ** 2).sum(0)
        # of two as good, the one that costs less light
        i, j = np.unravel_index(int(np.argmin(cast + 1e-9 * (pa[:, None] + pb[None, :]))), cast.shape)
        if best is None or cast[i, j] < best[0] - 1e-12:
            real, used = [0.0, 0.0, 0.0], (*makes[a][float(pa[i])], *makes[b][float(pb[j])])
            real[a], real[b] = float(pa[i]), float(pb[j])
            written = [sum(g.written for g in used if g.dye == d) for d in DYES] if gels is not None else real
            now = left[:, i, j]
            pack = Pack((written[0], written[1], written[2]), (real[0], real[1], real[2]), -float(light[i, j]), 100.0 * float(now.max() - now.min()), used)
            best = float(cast[i, j]), pack
    assert best is not None
    return best[1]


def doubts(cov: Floats, matrix: Floats, pack: Sequence[float]) -> tuple[float, float, float]:
    """Sd of yellow, magenta, cyan [CC] of the pack that levels a state whose covariance is `cov` [D²]; 0 for the dye left out of `pack`."""
    a, b = next(pair for pair in PAIRS if all(pack[k] < 0.5 or k in pair for k in range(3)))
    solve = np.linalg.inv(np.column_stack([matrix[:, a], matrix[:, b], -np.ones(3)]))
    spread = np.sqrt(np.diag(solve @ cov @ solve.T))
    out = [0.0, 0.0, 0.0]
    out[a], out[b] = float(spread[0]), float(spread[1])
    return out[0], out[1], out[2]


def left(state: Floats, matrix: Floats, pack: Pack) -> Floats:
    """What is left too much in each layer behind a pack and its time [D]."""
    return through(state, matrix, pack.real, pack.log_time)


def read_gels(text: str) -> tuple[Gel, ...]:
    """“10Y 20Y 40Y=36 20M”: what is written on each gel, and after = what it was measured to be. Refusal for what is no gel."""
    out: list[Gel] = []
    for word in text.replace(",", " ").upper().replace("CC", "").split():
        written, _, real = word.partition("=")
        try:
            dyes = {"R": "YM", "G": "YC", "B": "MC"}.get(written[-1], written[-1])
            cc = float(written[:-1])
            measured = float(real) if real else cc
        except (ValueError, IndexError):
            raise Refusal.one("gels", word, "Gels as “10Y 20Y 40M=36”.", "A number, then Y, M, C, R, G or B; after = what it measured.") from None
        if not set(dyes) <= set(DYES) or not 0 < cc <= MOST_CC or not 0 < measured <= MOST_CC:
            raise Refusal.one("gels", word, f"Up to {MOST_CC:.0f} CC of Y, M, C, R, G or B.", "Write “20Y” for twenty yellow.")
        if len(dyes) > 1:
            raise Refusal.one("gels", word, "Yellow, magenta and cyan gels.", f"Write it as its two: “{cc:.0f}{dyes[0]} {cc:.0f}{dyes[1]}”, if you own those.")
        out.append(Gel(dyes, cc, measured))
    for d in DYES:
        if sum(g.dye == d for g in out) > MOST_GELS:
            raise Refusal.one("gels", f"more than {MOST_GELS} of {d}", f"At most {MOST_GELS} gels of one colour.", "Leave out the ones never used.")
    if not out:
        raise Refusal.one("gels", text, "At least one gel.", "Try “10Y 20Y 40Y 80Y 10M 20M 40M 10C”.")
    return tuple(out)


def _steps() -> Mapping[float, tuple[Gel, ...]]:
    return {float(v): () for v in range(0, round(MOST_CC) + 1, GRID_CC)}


def _sums(gels: Sequence[Gel]) -> dict[float, tuple[Gel, ...]]:
    """Every density these make, each by the fewest gels: every gel is two surfaces more."""
    out: dict[float, tuple[Gel, ...]] = {0.0: ()}
    for g in gels:
        for total, used in list(out.items()):
            key = round(total + g.real, 3)
            if key <= MOST_CC and (key not in out or len(out[key]) > len(used) + 1):
                out[key] = (*used, g)
    keys = sorted(out)
    # densities closer than half a unit are one density
    drop = {b if len(out[b]) >= len(out[a]) else a for a, b in pairwise(keys) if b - a < 0.5 and a > 0}
    return {k: out[k] for k in keys if k not in drop}
