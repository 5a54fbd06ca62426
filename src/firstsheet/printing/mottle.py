"""The grain of a paper base as a photo on a light shows it: how far even tones scatter, with the camera's own noise taken off, and what that prints as.

Sought where the picture is calmest: over small squares of the clearer half, each with its own slope taken out, those that scatter least. Detail only
adds, so where a picture has no calm place the figure is too large, never too small by that.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from firstsheet.paper.curve_points import FOOT_D, TOP_SHARE

Floats = NDArray[np.floating]
SQUARE_MM = 12.0  # of a square: mottle of paper is finer, a picture's tones mostly wider; ours
LEAST_PX, LEAST_SQUARES = 8, 24  # a square's side; squares there must be
CALM = 0.15  # share of squares taken as calm; ours
LEAST_BASE_D = 0.10  # what passes more is no paper: bare light inside the corners [D]; ours
COARSEST_MM = 0.75  # of a pixel on the negative: with larger ones mottle is averaged away; ours
SHOWN = 0.85  # of the scatter that lens, JPEG and the least squares leave; by synthetic photos of structure from 1 to 4 mm
LOW, HIGH = 0.7, 1.4  # of the figure: 9 in 10 of the same photos; wider clouds are taken for tones
WIDEST_MM = 4.0
USUAL_PAPER = (0.07, 1.90)  # base and Dmax of the paper printed on [D]; from memory


@dataclass(frozen=True, slots=True)
class Mottle:
    """sd [D], 9 in 10 between low and high; finest_mm the finest structure this photo shows."""

    sd: float
    low: float
    high: float
    finest_mm: float


def mottle(passed: Floats, px_mm: float, bare: tuple[Floats, ...] = ()) -> Mottle | None:
    """Scatter of the base in the calmest squares; None where pixels are too coarse or squares too few.

    passed  share of the bare light that passes, of the framed picture [height × width, 1];  px_mm: of a pixel [mm]
    bare    pieces of bare light at the same scale, any level: how the camera and the light scatter by themselves
    """
    side = max(LEAST_PX, round(SQUARE_MM / px_mm))
    if px_mm > COARSEST_MM:
        return None
    tones, scatter = _squares(passed, side)
    paper = tones >= LEAST_BASE_D
    tones, scatter = tones[paper], scatter[paper]
    clear = np.flatnonzero(tones <= np.median(tones)) if len(tones) else np.array([], int)
    if len(clear) < LEAST_SQUARES:
        return None
    calmest = clear[np.argsort(scatter[clear])[: max(4, round(CALM * len(clear)))]]
    calm, level = scatter[calmest], float(tones[calmest].mean())
    # the least of many scatter less than the most usual: of squares alike, as many as are taken, by what chance alone makes of them
    found = float(calm.mean()) / _least_of(side)
    noise = [float(np.median(v)) for v in (_squares(b / float(np.median(b)), min(side, *b.shape))[1] for b in bare if min(b.shape) >= LEAST_PX) if len(v)]
    own = min(noise, default=found) * 10.0**level  # counted light: scatter in log goes with one over the root of the light
    if not noise:  # how much of it is the camera's cannot be told
        whole = math.sqrt(found) / SHOWN
        return Mottle(whole / 2, 0.0, HIGH * whole, 2 * px_mm)
    sd = math.sqrt(max(found - own, 0.0)) / SHOWN
    floor = math.sqrt(own + 1e-6)
    return Mottle(sd, max(0.0, LOW * sd - floor), HIGH * sd + floor, 2 * px_mm)


def printed(sd: float, range_log: float) -> float:
    """What a scatter of the negative [D] prints as in the mid-tones of a paper of this range R/100 [log10]: times the slope of a logistic. [ISO-6846]"""
    base, dmax = USUAL_PAPER
    net = dmax - base
    reach = math.log((TOP_SHARE * dmax - base) / ((1 - TOP_SHARE) * dmax)) - math.log(FOOT_D / (net - FOOT_D))
    return sd * net / 4.0 * reach / range_log


def _squares(passed: Floats, side: int) -> tuple[Floats, Floats]:
    """Density and variance [D²] of every whole square, its own tilt and bow taken out."""
    d = -np.log10(np.maximum(passed, 1e-4))
    rows, cols = d.shape[0] // side, d.shape[1] // side
    tiles = d[: rows * side, : cols * side].reshape(rows, side, cols, side).swapaxes(1, 2).reshape(rows * cols, side * side)
    v, u = np.mgrid[-1 : 1 : side * 1j, -1 : 1 : side * 1j].reshape(2, -1)
    shape = np.linalg.qr(np.stack([np.ones_like(u), u, v, u * v, u * u, v * v], 1))[0]
    rest = tiles - (tiles @ shape) @ shape.T
    return tiles.mean(1), (rest**2).sum(1) / (side * side - 6)


def _least_of(side: int) -> float:
    """Mean of the least `CALM` of variances that differ by chance alone, of their mean; a quarter of the pixels tell, for mottle is wider than one."""
    free = max(4.0, side * side / 4.0)
    return float(1.0 - 1.554 * math.sqrt(2.0 / free))  # 1.554: mean of a normal's lowest 15 %
