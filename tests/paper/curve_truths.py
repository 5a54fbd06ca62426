"""Invented papers whose curves are known in closed form or from a table, and strips made of them with noise.

None of these shapes is the shape the fit is written in, but the logistic, which is there to be no worse.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from firstsheet.paper.curve import StepSeen

Array = NDArray[np.float64]
Shape = Callable[[Array], Array]  # net density from 0 to 1, rising with log exposure

_ERF = np.vectorize(math.erf)


def _normal(z: Array) -> Array:
    return np.asarray(0.5 * (1 + _ERF(z / math.sqrt(2))))


def logistic(x: Array) -> Array:
    return np.asarray(1 / (1 + np.exp(-x)))


def gompertz(x: Array) -> Array:
    """Abrupt toe, long shoulder."""
    return np.asarray(np.exp(-np.exp(-np.clip(x, -30, 30))))


def long_toe(x: Array) -> Array:
    """Long toe, abrupt shoulder."""
    return 1 - gompertz(-x)


def two_emulsions(x: Array) -> Array:
    """A fast soft and a slow hard emulsion coated together: two error functions of unlike width."""
    return 0.4 * _normal((x + 0.6) / 1.5) + 0.6 * _normal((x - 0.4) / 0.8)


# An S-curve as a table of net density by steps of log H, straight-line part and all; drawn by hand.
_TABLE = np.array([0, 0.004, 0.012, 0.035, 0.085, 0.18, 0.32, 0.475, 0.63, 0.765, 0.87, 0.935, 0.97, 0.988, 0.996, 1.0])


def tabulated(x: Array) -> Array:
    """Monotone cubic through the table [Fritsch-1980], one step of the table per 0.5 of x."""
    at = np.clip((x + 3.6) / 0.5, 0, len(_TABLE) - 1)
    rise = np.diff(_TABLE)
    tangent = np.concatenate([[0.0], 2 * rise[1:] * rise[:-1] / (rise[1:] + rise[:-1]), [0.0]])
    i = np.minimum(at.astype(int), len(_TABLE) - 2)
    t = at - i
    left, right = _TABLE[i], _TABLE[i + 1]
    return np.asarray(left * (1 + 2 * t) * (1 - t) ** 2 + right * t * t * (3 - 2 * t)
                      + tangent[i] * t * (1 - t) ** 2 - tangent[i + 1] * t * t * (1 - t))  # fmt: skip


SHAPES: dict[str, Shape] = {"logistic": logistic, "gompertz": gompertz, "long_toe": long_toe,
                            "two_emulsions": two_emulsions, "tabulated": tabulated}  # fmt: skip


def _soft(z: Array) -> Array:
    return np.logaddexp(0, z)


def straight_corners(x: Array) -> Array:
    """A straight line with tight corners at both ends."""
    return np.asarray((_soft(6 * (x + 1)) - _soft(6 * (x - 1))) / 12)


def straight_then_soft(x: Array) -> Array:
    """A tight toe, a short straight line, an exponential shoulder."""
    return np.asarray(1 - np.exp(-1.2 * _soft(5 * x) / 5))


def creeping(x: Array) -> Array:
    """Ends never flat: they creep to base and Dmax as 1/x²."""
    return np.asarray(0.5 + 0.5 * x / np.sqrt(1 + x * x))


def shelf(x: Array) -> Array:
    """Two equal emulsions so far apart that the middle is a shelf."""
    return 0.5 * logistic(1.6 * (x + 1.6)) + 0.5 * logistic(1.6 * (x - 1.6))


# Not looked at while the priors of the fit were chosen, but for the length ELL: the first two ordinary, the others odd.
ODD: dict[str, Shape] = {
    "straight_corners": straight_corners,
    "straight_then_soft": straight_then_soft,
    "creeping": creeping,
    "shelf": shelf,
}


@dataclass(frozen=True)
class Truth:
    """D = base + rise·shape((±log H − place)/width): the sign is `sense`."""

    shape: Shape
    base: float
    rise: float
    place: float
    width: float
    sense: int

    def density(self, log_h: Array) -> Array:
        return self.base + self.rise * self.shape((self.sense * log_h - self.place) / self.width)

    def log_h(self, fraction: float) -> float:
        """Where the net density is this share of its range, by bisection."""
        low, high = -40.0, 40.0
        for _ in range(80):
            mid = 0.5 * (low + high)
            below = float(self.shape(np.array([mid]))[0]) < fraction
            low, high = (mid, high) if below else (low, mid)
        return self.sense * (self.place + self.width * 0.5 * (low + high))

    @property
    def mid(self) -> float:
        return self.log_h(0.60 / self.rise if self.sense > 0 else 0.5)

    @property
    def threshold(self) -> float:
        return self.log_h(0.04 / self.rise if self.sense > 0 else 1 - 0.04 / self.rise)

    @property
    def range_r(self) -> float:
        return 100 * abs(self.log_h(0.9) - self.log_h(0.04 / self.rise))


def paper(rng: np.random.Generator, shape: Shape, sense: int) -> Truth:
    """A paper of any grade: R from 60 to 150, base+fog 0.03 to 0.15, net range 1.6 to 2.1."""
    rise = rng.uniform(1.6, 2.1)
    unit = Truth(shape, rng.uniform(0.03, 0.15), rise, 0.0, 1.0, sense)
    width = rng.uniform(60, 150) / unit.range_r
    return Truth(shape, unit.base, rise, rng.uniform(-1, 2), width, sense)


def strip(
    rng: np.random.Generator, truth: Truth, count: int, spacing: float, noise: float, whole: bool = False
) -> list[StepSeen]:
    """Steps from somewhere before the toe; `whole` makes them span the curve from plateau to plateau."""
    rises = (truth.log_h(0.04 / truth.rise), truth.log_h(0.9))
    span = spacing * (count - 1)
    if whole:
        middle = 0.5 * sum(rises) + rng.uniform(-0.5, 0.5) * spacing
    else:
        middle = 0.5 * sum(rises) + rng.uniform(-0.5, 0.5) * max(span - abs(rises[1] - rises[0]), 0.8)
    log_h = middle + spacing * (np.arange(count) - 0.5 * (count - 1))
    read = truth.density(log_h) + noise * rng.standard_normal(count)
    return [StepSeen(float(x), float(d), noise) for x, d in zip(log_h, read, strict=True)]
