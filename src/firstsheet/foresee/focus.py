"""How sharp a touched area of a photo is, with its noise; and from several photos at several marks, where the board is sharpest.

Sharpness is the energy of the steps between neighbouring pixels, less what noise alone would give, over the square of the light
there: it does not depend on how long the photo was exposed. Only photos of one picture, taken alike, are compared.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from firstsheet.refusal import Problems, Refusal

Floats = NDArray[np.float32]
PATCH = 0.06  # radius of the touched area, of the shorter edge
SMOOTH = 2  # pixels averaged before steps are taken: grain and JPEG's own edges are smaller
FEWEST = 3
OWN_SHARE = 0.04  # of a sharpness, from photo to photo: the hand, the touch; ours
LEAST_OVER_NOISE = 2.0


@dataclass(frozen=True, slots=True)
class Sharp:
    """Sharpness of an area [1, relative] and its standard deviation; whether there is anything to see beyond noise."""

    value: float
    sd: float
    seen: bool


@dataclass(frozen=True, slots=True)
class Best:
    """Where the board is sharpest [mm on its scale], its doubt [mm]; `side` is "nearer" or "further" where it lies beyond the marks
    tried, else ""."""

    mark_mm: float
    sd_mm: float
    side: str


def sharpness(y: Floats, at: tuple[float, float]) -> Sharp:
    """Of the area about `at` (fractions from left and top). Refusal for a place outside, or one without light."""
    found = Problems()
    for axis, value in zip("xy", at, strict=True):
        if not (math.isfinite(value) and 0 <= value <= 1):
            found.add(f"at.{axis}", value, "From 0 to 1.", "Touch inside the photo.")
    found.raise_if_any()
    part = _smoothed(_part(y, at).astype(float))
    light = float(part.mean())
    if light < 0.002:
        raise Refusal.one("at", "black in the photo", "A place with light in it: the catch-light of an eye, an eyelash.", "Expose the photo longer.")
    noise = _noise_of(part)
    across, down = np.diff(part, axis=1), np.diff(part, axis=0)
    energy = float((across**2).mean() + (down**2).mean())
    floor = 4.0 * noise**2  # a step is the difference of two noisy pixels, and there are two directions
    many = part.size / 4.0
    sd = math.hypot(OWN_SHARE * energy, floor * math.sqrt(2.0 / many))
    value = max(energy - floor, 0.0)
    return Sharp(value / light**2, sd / light**2, value > LEAST_OVER_NOISE * floor * math.sqrt(2.0 / many) and value > 0.1 * floor)


def best(marks_mm: Sequence[float], seen: Sequence[Sharp]) -> Best:
    """The mark at which the area is sharpest, through at least three different ones.

    Blur grows in proportion to the way from focus, so that the energy of steps falls as 1/(1 + (x/w)²)^(3/2), near enough: its
    height, width and place are fitted, place and width by a table of trials.
    """
    x, v = np.asarray(marks_mm, dtype=float), np.array([s.value for s in seen])
    sd = np.maximum(np.array([s.sd for s in seen]), 1e-12)
    if len(x) != len(v) or len(set(x.tolist())) < FEWEST:
        raise Refusal.one("marks", len(set(x.tolist())), f"Photos at {FEWEST} or more different marks.", "One before, one at, one behind what looks sharp.")
    if not any(s.seen for s in seen):
        raise Refusal.one("at", "nothing but noise", "An area with an edge in it.", "Touch an eye, a collar, lettering; light it more.")
    low, high = float(x.min()), float(x.max())
    span = high - low
    places = np.linspace(low - 0.5 * span, high + 0.5 * span, 241)
    widths = span * np.geomspace(0.08, 4.0, 40)
    chi, _ = _fitted(x, v, sd, places, widths)
    weight = np.exp(-0.5 * (chi - chi.min()))
    by_place = weight.sum(axis=1)
    by_place /= by_place.sum()
    mean = float((places * by_place).sum())
    spread = float(math.sqrt((by_place * (places - mean) ** 2).sum()))
    side = "nearer" if mean < low else "further" if mean > high else ""
    return Best(mean, max(spread, 0.25 * span / 240), side)


def _fitted(x: NDArray[Any], v: NDArray[Any], sd: NDArray[Any], places: NDArray[Any], widths: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any]]:
    """Misfit for each place and width, its height the best there is, not below nothing."""
    shape = (1.0 + ((x[None, None, :] - places[:, None, None]) / widths[None, :, None]) ** 2) ** -1.5
    w = 1.0 / sd**2
    height = np.maximum((shape * v * w).sum(axis=2) / (shape**2 * w).sum(axis=2), 0.0)
    chi = ((v - height[:, :, None] * shape) ** 2 * w).sum(axis=2)
    return chi, height


def _part(y: Floats, at: tuple[float, float]) -> Floats:
    high, wide = y.shape
    reach = max(12, int(PATCH * min(high, wide)))
    row, col = int(min(at[1] * high, high - 1)), int(min(at[0] * wide, wide - 1))
    return y[max(row - reach, 0) : row + reach + 1, max(col - reach, 0) : col + reach + 1]


def _smoothed(part: NDArray[np.float64]) -> NDArray[np.float64]:
    high, wide = (n - n % SMOOTH for n in part.shape)
    return np.asarray(part[:high, :wide].reshape(high // SMOOTH, SMOOTH, wide // SMOOTH, SMOOTH).mean(axis=(1, 3)))


def _noise_of(part: NDArray[np.float64]) -> float:
    """Standard deviation of the noise, from what differs from its neighbours on both diagonals: a mask blind to slopes and edges [IMMERKAER-1996]."""
    a = part
    mask = a[:-2, :-2] - 2 * a[:-2, 1:-1] + a[:-2, 2:] - 2 * (a[1:-1, :-2] - 2 * a[1:-1, 1:-1] + a[1:-1, 2:]) + a[2:, :-2] - 2 * a[2:, 1:-1] + a[2:, 2:]
    return float(np.median(np.abs(mask))) / 0.6745 / 6.0
