"""How likely a person is to say a word of a print: colour and size as regions of the plane of casts, each with soft edges.

A word is a region, not a point: “slightly green” is said of all that lies nearer to it than to any other word. No cast is a word too, and tells
that the cast is small. Edges are soft by the error of the eye and by what differs from sheet to sheet.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from firstsheet.colour.layers import LUMINANCE, Floats

SIZE_SD, EYE_SD = 0.25, 0.03  # of the size; of each layer whatever the size, sheet to sheet within [D]: ours
LIGHT_SD = 0.2  # of brightness, whatever its size [stop]; ours
_STEP, _HALF = 0.005, 0.75  # the plane is laid out so finely, and so far [D]
_SHAPE = math.sqrt(2.0 / 3.0)  # length in the plane of a cast of 1 in one or two layers
_NODES = np.array([-2.3344, -0.7420, 0.7420, 2.3344])  # Gauss-Hermite for a normal, four nodes: closed form
_SHARES = np.array([0.0459, 0.4541, 0.4541, 0.0459])


def plane(states: Floats) -> Floats:
    """States (n, 3) in the plane of casts (n, 2): brightness apart, red along the first axis, towards yellow along the second."""
    r, g, b = states.T
    return np.stack([(2 * r - g - b) / math.sqrt(6.0), (g - b) / math.sqrt(2.0)], -1)


def colour(states: Floats, shape: tuple[float, float, float], size: float, sizes: tuple[float, ...], hues: int) -> Floats:
    """Chance (n) that a cast of this colour and size [D] is said; size 0 is “no cast”."""
    at = plane(states)
    tables = _tables(tuple(sizes), hues)
    if size:
        u = plane(np.array([shape], float))[0]
        u = u / np.hypot(*u)
        at = np.stack([at @ u, at @ np.array([-u[1], u[0]])], -1)
    table = tables[(0.0, *sizes).index(size)]
    out = np.zeros(len(at))
    for node, share in zip(_NODES, _SHARES, strict=True):
        out += share * _read(table, at * math.exp(SIZE_SD * node))
    return out + 1e-5


def bright(states: Floats, stops: float, classes: tuple[float, ...]) -> Floats:
    """Chance (n) that this brightness [stop] is said, of these in rising order; the outer two have no end."""
    here = states @ LUMINANCE / math.log10(2.0)
    sd = np.hypot(LIGHT_SD, SIZE_SD * here)
    k = classes.index(stops)
    low = (stops + classes[k - 1]) / 2 if k else -math.inf
    high = (stops + classes[k + 1]) / 2 if k + 1 < len(classes) else math.inf
    return below((high - here) / sd) - below((low - here) / sd) + 1e-5


def below(z: Floats) -> Floats:
    """Share of a normal below z, by a logistic of a cubic, within 2e-4: from memory, checked against the error function."""
    t = np.clip(z, -8.0, 8.0)
    out: Floats = 1.0 / (1.0 + np.exp(-t * (1.5976 + 0.070565 * t * t)))
    return out


@lru_cache(maxsize=4)
def _tables(sizes: tuple[float, ...], hues: int) -> Floats:
    """For no cast, then each size along the first axis: how far a place in the plane belongs to it (words, m, m)."""
    line = np.arange(-_HALF, _HALF + _STEP / 2, _STEP)
    x, y = np.meshgrid(line, line, indexing="ij")
    words = [(0.0, 0.0, 0.0)] + [(s, s * _SHAPE * math.cos(a), s * _SHAPE * math.sin(a)) for s in sizes for a in 2 * math.pi * np.arange(hues) / hues]
    nearest = np.argmin([(x - u) ** 2 + (y - v) ** 2 for _, u, v in words], 0)
    reach = np.arange(-round(3 * EYE_SD / _STEP), round(3 * EYE_SD / _STEP) + 1) * _STEP
    soft = np.exp(-0.5 * (reach / EYE_SD) ** 2)
    soft /= soft.sum()
    out = []
    for k in [0, *(1 + hues * i for i in range(len(sizes)))]:
        inside = (nearest == k).astype(float)
        for axis in (0, 1):
            inside = np.apply_along_axis(lambda row: np.convolve(np.pad(row, len(reach) // 2, "edge"), soft, "valid"), axis, inside)
        out.append(inside)
    return np.array(out)


def _read(table: Floats, at: Floats) -> Floats:
    """Between the four places around each point; what lies beyond is read at the edge in its own direction."""
    far = np.maximum(np.abs(at).max(-1) / (_HALF - 2 * _STEP), 1.0)
    p = (at / far[:, None] + _HALF) / _STEP
    i = np.floor(p).astype(int)
    f, g = (p - i).T
    i, j = i.T
    out: Floats = (table[i, j] * (1 - f) + table[i + 1, j] * f) * (1 - g) + (table[i, j + 1] * (1 - f) + table[i + 1, j + 1] * f) * g
    return out
