"""The least light that fogs: how little, added to a sheet, changes one of its tones.

Bare paper hides light that a picture shows: on a tone already on the slope of the curve a fraction of the threshold is seen. Sought is the
least added exposure that changes any tone by a difference that shows, over the whole curve.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
FLAT_D = 1e-7  # from one point to the next [D]
SHOWS_D = 0.04
"""A difference in density that shows side by side: the step of point S [ISO-6846] taken for it; ours."""


def most_change(log_h: Sequence[float] | Array, density: Sequence[float] | Array, added_h: float) -> float:
    """The largest change of density that `added_h` makes anywhere on the curve, on unexposed paper too [D].

    log_h, density  a curve, log H rising [log10]; added_h in the same unit as 10^log_h
    """
    h, d = np.asarray(log_h, dtype=float), np.asarray(density, dtype=float)
    more = np.interp(np.log10(10.0**h + added_h), h, d)
    bare = abs(float(np.interp(math.log10(added_h), h, d)) - float(d[0])) if added_h > 0 else 0.0
    return max(float(np.max(np.abs(more - d))), bare)


def least_added(log_h: Sequence[float] | Array, density: Sequence[float] | Array, shows_d: float = SHOWS_D) -> float:
    """The least added exposure that changes some tone by `shows_d`, in the unit of 10^log_h. ValueError where none does."""
    h, d = _sloping(np.asarray(log_h, dtype=float), np.asarray(density, dtype=float))
    low, high = h[0] - 6.0, h[-1]
    if most_change(h, d, 10.0**high) < shows_d:
        raise ValueError("no exposure changes this curve so much")
    for _ in range(32):
        middle = (low + high) / 2
        low, high = (middle, high) if most_change(h, d, 10.0**middle) < shows_d else (low, middle)
    return float(10.0**high)


def _sloping(h: Array, d: Array) -> tuple[Array, Array]:
    """The part of a curve that changes at all, with a point beyond either end: its plateaus may be long."""
    moving = np.flatnonzero(np.abs(np.diff(d)) > FLAT_D)
    if not len(moving):
        return h, d
    first, last = max(int(moving[0]) - 1, 0), min(int(moving[-1]) + 3, len(h))
    return h[first:last], d[first:last]


def bare_added(log_h: Sequence[float] | Array, density: Sequence[float] | Array, shows_d: float = SHOWS_D) -> float:
    """The same on paper that saw nothing: its threshold, in the unit of 10^log_h."""
    d = np.abs(np.asarray(density, dtype=float) - density[0])
    return float(10.0 ** np.interp(shows_d, np.maximum.accumulate(d), np.asarray(log_h, dtype=float)))
