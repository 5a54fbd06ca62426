"""All told sheets weighed together: fixed points spread over the belief, each as likely as what was said of every sheet, and where to aim.

Words are regions and a grey may lie beyond what paper shows, so that no single Gaussian step holds them; the Gaussian of `learned` is only where the
points are laid at first. The slope of the paper at its mid-tone is a fourth unknown, told by greys of several packs.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from firstsheet.colour import cast, classes, learned
from firstsheet.colour.cast import Seen
from firstsheet.colour.layers import GREY_DENSITY, SEEN, SLOPE, Floats
from firstsheet.colour.learned import Belief

POINTS = 1500  # and their mirror images
SLOPE_SD, UNEQUAL = 0.25, 0.10  # doubt of the common slope; of each layer's own, as a share: ours
# spread and share of the belief's heaps: a light is often nearer to what was believed than its doubt says, and now and then far beyond, so that what is
# said plainly of a sheet is not overruled by what was believed before it: ours
HEAPS = ((0.5, 0.50), (1.0, 0.45), (3.0, 0.05))
PLAIN = ((1.0, 1.0),)
SHEET_SD, COMMON_SD, READ_SD = 0.03, 0.045, 0.02  # each layer, all layers, the reading of a photo [D]: ours
# the look that passes as neutral: brightness, green, blue [D]; the aim is where most of the belief lies within it
PASSES: Floats = np.array([0.10, 0.05, 0.085])


@dataclass(frozen=True, slots=True)
class Sheet:
    """A told sheet: pack (yellow, magenta, cyan) [CC], log_time log10 of seconds over those without a pack, and what was seen."""

    pack: tuple[float, float, float]
    log_time: float
    seen: Seen


def weigh(start: Belief, matrix: Floats, sheets: Sequence[Sheet], heaps: Sequence[tuple[float, float]] = HEAPS) -> tuple[Belief, Floats]:
    """The belief after all sheets, and the state (3) [D] to set the pack for: where a neutral print is likeliest. Same input, same answer."""
    if not sheets:
        return start, start.mean
    rough = start
    for s in sheets:
        rough = learned.learn(rough, matrix, s.pack, s.log_time, s.seen)
    mean, cov = np.append(rough.mean, SLOPE), np.zeros((4, 4))
    cov[:3, :3], cov[3, 3] = 1.5 * rough.cov, SLOPE_SD**2
    z = _points()
    for sharp in (0.5, 1.0, 1.0, 1.0):
        x = mean + z @ np.linalg.cholesky(1.6 * cov + 1e-7 * np.eye(4)).T
        states, slopes = x[:, :3], np.clip(x[:, 3], 0.8, 2.6)
        logs = _before(start, states, x[:, 3], heaps) + sum(_told(states, slopes, matrix, s) for s in sheets) + 0.5 * (z**2).sum(1)
        w = np.exp(sharp * (logs - logs.max()))
        w /= w.sum()
        mean = w @ x
        off = x - mean
        cov = (w[:, None] * off).T @ off + 1e-8 * np.eye(4)
    return Belief(mean[:3], cov[:3, :3]), _aim(states, w, mean[:3])


def _aim(states: Floats, w: Floats, start: Floats) -> Floats:
    """Uphill from the mean to where most of the belief passes as neutral."""
    aim = start
    for _ in range(8):
        near = w * np.exp(-0.5 * ((((states - aim) @ SEEN.T) / PASSES) ** 2).sum(1))
        if near.sum() <= 1e-12:  # nothing is near its own mean: two heaps far apart; the mean has to do
            break
        aim = near @ states / near.sum()
    return aim


def _before(start: Belief, states: Floats, slopes: Floats, heaps: Sequence[tuple[float, float]]) -> Floats:
    off = states - start.mean
    far = np.einsum("ni,ij,nj->n", off, np.linalg.inv(start.cov), off)
    dense = sum(share * np.exp(-0.5 * far / spread**2) / spread**3 for spread, share in heaps)
    out: Floats = np.log(dense + 1e-300) - 0.5 * ((slopes - SLOPE) / SLOPE_SD) ** 2
    return out


def _told(states: Floats, slopes: Floats, matrix: Floats, sheet: Sheet) -> Floats:
    """Log likelihood (n) of one sheet."""
    here = states - matrix @ np.asarray(sheet.pack, float) + sheet.log_time
    seen = sheet.seen
    if seen.said:
        colour, much, bright = seen.said
        size = 0.0 if colour == "neutral" else cast.HOW_MUCH[much] / 100.0
        sizes = tuple(v / 100.0 for v in cast.HOW_MUCH.values())
        hue = classes.colour(here, cast.COLOURS.get(colour, (0, 0, 0)), size, sizes, len(cast.COLOURS))
        return np.log(hue) + np.log(classes.bright(here, cast.BRIGHT[bright], tuple(cast.BRIGHT.values())))
    if seen.density:
        return _grey(here, slopes, np.array(seen.density))
    off = (here - np.array(seen.state)) @ SEEN.T
    out: Floats = -0.5 * ((off / np.array([math.hypot(seen.light_sd, COMMON_SD), *[math.hypot(seen.cast_sd, SHEET_SD)] * 2])) ** 2).sum(1)
    return out


def _grey(here: Floats, slopes: Floats, density: Floats) -> Floats:
    """A grey's three densities; one at the paper's white or black only says on which side it lies."""
    s = slopes[:, None]
    shown = GREY_DENSITY - s * here
    own = (s * SHEET_SD) ** 2 + READ_SD**2 + (s * UNEQUAL * here) ** 2
    common = (slopes * COMMON_SD) ** 2
    inside = (density > cast.LEAST_D) & (density < cast.MOST_D)
    off = density - shown
    weight = inside / own
    total, pull = weight.sum(1), (weight * off).sum(1)
    out: Floats = -0.5 * ((weight * off**2).sum(1) - pull**2 / (total + 1 / common)) - 0.5 * (np.log(own) * inside).sum(1) - 0.5 * np.log1p(common * total)
    for k in np.flatnonzero(~inside):
        sd = np.sqrt(own[:, k] + common)
        beyond = cast.LEAST_D - shown[:, k] if density[k] <= cast.LEAST_D else shown[:, k] - cast.MOST_D
        out += np.log(classes.below(beyond / sd) + 1e-6)
    return out


@lru_cache(maxsize=1)
def _points() -> Floats:
    """Fixed points with mean 0 and unit spread exactly, so that the same sheets always give the same pack."""
    z = np.random.default_rng(7).standard_normal((POINTS, 4))
    z = np.vstack([z, -z])
    out: Floats = z @ np.linalg.inv(np.linalg.cholesky(np.cov(z.T))).T
    return out
