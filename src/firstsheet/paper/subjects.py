"""Ordinary things before the lens: their reflectances, and how a photo's red, green and blue stand in for them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from firstsheet import tables
from firstsheet.light import spectrum as sp
from firstsheet.light.spectrum import GRID_NM, Spectrum
from firstsheet.paper import emulsion

# X, Y, Z under D65 to linear sRGB [IEC-61966-2-1]
TO_SRGB = ((3.2404542, -1.5371385, -0.4985314), (-0.9692660, 1.8760108, 0.0415560), (0.0556434, -0.2040259, 1.0572252))


@dataclass(frozen=True, slots=True)
class Subject:
    key: str
    words: str
    reflectance: Spectrum


@cache
def subjects() -> tuple[Subject, ...]:
    """All of the table, on the grid."""
    table = tables.load("subjects")
    nm = [float(v) for v in table["nm"]]
    return tuple(Subject(k, str(e["words"]), sp.on_grid(nm, e["reflectance"])) for k, e in table.items() if isinstance(e, dict))


def rgb(light: Spectrum, reflectance: Spectrum) -> tuple[float, float, float]:
    """Linear sRGB of a thing in this light, balanced so that white is (1, 1, 1); a little below 0 where sRGB does not reach."""
    big = [sp.total(light, reflectance, sp.bar(k)) / sp.total(light, sp.bar(k)) for k in ("x_bar", "y_bar", "z_bar")]
    white = (0.95047, 1.0, 1.08883)
    x, y, z = (b * w for b, w in zip(big, white, strict=True))
    a, b, c = (row[0] * x + row[1] * y + row[2] * z for row in TO_SRGB)
    return a, b, c


@cache
def rgb_weights(light: Spectrum, key: str, through: tuple[Spectrum, ...] = ()) -> tuple[float, float, float]:
    """Weights of a balanced photo's linear red, green and blue for what the emulsion receives, over white's; they sum to 1.

    Least squares over the table's things and over smooth made-up ones, none below 0. Three colours do not hold a spectrum: the
    error (root mean square, blue paper) is 0.2 stop for the things it was fitted to, 0.45 over 190 patches; one deep colour misses by 4.7.
    """
    import numpy as np

    s = emulsion.sensitivity(key)
    whole = sp.total(light, s, *through)
    rows, right = [], []
    for r in (*[t.reflectance for t in subjects()], *_made_up()):
        want = sp.total(light, r, s, *through) / whole
        scale = 1.0 / max(want, 0.03)
        rows.append([v * scale for v in rgb(light, r)])
        right.append(want * scale)
    a, b = np.array(rows), np.array(right)
    best, least = (0.0, 0.0, 1.0), math.inf
    # On the edge of the triangle as well as inside it: the sum is 1 and nothing is negative.
    for red in np.linspace(0, 1, 51):
        for green in np.linspace(0, 1 - red, 51):
            w = np.array([red, green, 1 - red - green])
            miss = float(((a @ w - b) ** 2).sum())
            if miss < least:
                best, least = (float(w[0]), float(w[1]), float(w[2])), miss
    return best


def _made_up() -> Sequence[Spectrum]:
    """Greys, slopes and soft bells all over the grid."""
    out: list[Spectrum] = [tuple(0.5 for _ in GRID_NM)]
    for middle in range(400, 681, 40):
        out.append(tuple(0.08 + 0.5 / (1 + math.exp(-(nm - middle) / 20.0)) for nm in GRID_NM))
        out.append(tuple(0.08 + 0.5 / (1 + math.exp((nm - middle) / 20.0)) for nm in GRID_NM))
        out.append(tuple(0.10 + 0.4 * math.exp(-0.5 * ((nm - middle) / 40.0) ** 2) for nm in GRID_NM))
    return out
