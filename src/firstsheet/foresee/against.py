"""The sheet that was foretold against the sheet that came: by how many stops they part, and how sure that is.

Both are brought to a coarse grid, so that a frame touched a little off does not count; places on a plateau of the curve, where
density tells no exposure, are left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from firstsheet.foresee import route
from firstsheet.foresee.picture import Floats
from firstsheet.refusal import Refusal

GRID = (48, 48)  # rows and columns on which the two are laid
EDGE_D = 0.12  # nearer to base or Dmax a place says nothing of exposure [D]; ours
LEAST_SHARE = 0.10  # of the picture must say something
SEARCH_STOPS = 4.0
OWN_SD = 0.15  # of the comparison itself: frame, uneven light, a photo's tone [stop]; ours
HUBER_D = 0.15


@dataclass(frozen=True, slots=True)
class Parted:
    """How the sheet differs from what was foretold.

    stops        as if it had got so much more light [stop]
    sd_stops     doubt of that
    density      mean difference in density, sheet less foretold [D]
    used         share of the picture that could be compared [1]
    left_over_d  what remains between the two once moved by `stops`, root mean square [D]
    """

    stops: float
    sd_stops: float
    density: float
    used: float
    left_over_d: float


def parted(light: Floats, chain: route.Chain, came: Floats) -> Parted:
    """light: foretold exposure over the mid-tone's; chain: how it was to come out; came: densities of the real sheet, same frame.

    Refusal where hardly any of it lies between base and Dmax, or the two have nothing in common.
    """
    log_rel = np.log10(_coarse(light))
    seen = -np.log10(np.maximum(_coarse(np.asarray(10.0**-came, dtype=np.float32)), 1e-4))
    tones = chain.tones
    tells = (seen > tones.base + EDGE_D) & (seen < tones.dmax - EDGE_D)
    used = float(tells.mean())
    if used < LEAST_SHARE:
        raise Refusal.one("photo", f"{used:.0%} of the sheet between white and black", "A sheet with tone in it.",
                          "It is nearly all white or all black: judge it in words.")  # fmt: skip
    told = route.sheet_density(chain, log_rel)
    # A frame that is not this picture has no likeness at all with what was foretold.
    if np.std(told[tells]) > 0.05 and np.std(seen[tells]) > 0.05:
        alike = float(np.corrcoef(told[tells], seen[tells])[0, 1])
        if alike < 0.3:
            raise Refusal.one("corners", "a picture that is not the one foretold", "The same picture in the same frame.",
                              "Touch the corners of the picture itself, from its top left, as it hangs upright.")  # fmt: skip
    at = np.arange(-SEARCH_STOPS, SEARCH_STOPS + 0.01, 0.05)
    cost = np.array([_huber(seen[tells] - route.sheet_density(chain.moved(s), log_rel)[tells]) for s in at])
    best = int(np.argmin(cost))
    stops = float(at[best])
    if 0 < best < len(at) - 1:
        low, mid, high = cost[best - 1 : best + 2]
        bend = low - 2 * mid + high
        stops += 0.05 * 0.5 * float((low - high) / bend) if bend > 0 else 0.0
    rest = seen[tells] - route.sheet_density(chain.moved(stops), log_rel)[tells]
    left = float(np.sqrt(np.mean(rest**2)))
    slope = np.abs(route.sheet_density(chain.moved(stops + 0.25), log_rel) - route.sheet_density(chain.moved(stops - 0.25), log_rel))[tells] / 0.5
    steep = max(float(np.mean(slope)), 0.05)
    few = max(tells.sum() / 25.0, 1.0)  # neighbouring places share what is off: a patch of five by five is one
    sd = math.hypot(OWN_SD, left / steep / math.sqrt(few), tones.contrast_sd * abs(stops))
    return Parted(stops, sd, float((seen - told)[tells].mean()), used, left)


def _coarse(plane: Floats) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """Means over a grid; a lens and an eye average light, not density."""
    fine = [-(-n // size) for n, size in zip(GRID, plane.shape, strict=True)]  # a picture of fewer pixels than places: each pixel more than once
    plane = plane.repeat(fine[0], axis=0).repeat(fine[1], axis=1)
    rows = np.linspace(0, plane.shape[0], GRID[0] + 1).astype(int)
    cols = np.linspace(0, plane.shape[1], GRID[1] + 1).astype(int)
    sums = np.add.reduceat(np.add.reduceat(plane.astype(float), rows[:-1], axis=0), cols[:-1], axis=1)
    return np.asarray(sums / np.outer(np.diff(rows), np.diff(cols)))


def _huber(off: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> float:
    size = np.abs(off)
    return float(np.mean(np.where(size < HUBER_D, 0.5 * size**2, HUBER_D * (size - 0.5 * HUBER_D))))
