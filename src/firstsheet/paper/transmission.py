"""From density by reflection to density by transmission of one paper, measured on pairs, and nothing beyond them.

Light seen by reflection passes an image layer more than twice, the white base sending it back and forth, and a paper
negative prints by what passes once. No law is assumed: a monotone curve is drawn through the pairs [Fritsch-1980].
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from firstsheet.answer import Z90
from firstsheet.paper.curve_model import Array
from firstsheet.refusal import Problems, Refusal

FEWEST_PAIRS = 3
FLATTEST = 0.02  # D_T per D_R below which reflection no longer tells transmission apart
DRAWS = 200
BETWEEN = 0.04  # share of a gap between two pairs by which the true relation may stray from the curve drawn; judgement


@dataclass(frozen=True, slots=True)
class Pair:
    """One patch read both ways: densities [D] and their doubts [D]."""

    reflection: float
    transmission: float
    reflection_sd: float = 0.02
    transmission_sd: float = 0.02


@dataclass(frozen=True, slots=True, eq=False)
class Relation:
    """D_T as a function of D_R for one paper, between the palest and the darkest pair. Made by `measure`."""

    knots: Array
    draws: Array

    @property
    def limits(self) -> tuple[float, float]:
        """Least and greatest D_R for which the relation was measured [D]."""
        return float(self.knots[0]), float(self.knots[-1])

    def transmission(self, reflection: float) -> tuple[float, float, float]:
        """D_T: middle, and the ends of its 90 % range [D]. Refusal outside the limits."""
        low, high = self.limits
        if not (math.isfinite(reflection) and low - 1e-9 <= reflection <= high + 1e-9):
            raise Refusal.one("reflection", f"{reflection:.2f}", f"This paper was measured both ways from {low:.2f} to {high:.2f}.",
                              "Read more patches both ways: by reflection, and over a light table.")  # fmt: skip
        at = min(max(reflection, low), high)
        x = np.array([_cubic(self.knots, row, at) for row in self.draws])
        middle = float(np.median(x))
        i = min(max(int(np.searchsorted(self.knots, at)) - 1, 0), len(self.knots) - 2)
        gap = self.knots[i + 1] - self.knots[i]
        t = (at - self.knots[i]) / gap
        rise = float(np.median(self.draws[:, i + 1] - self.draws[:, i]))
        stray = BETWEEN * rise * 4 * t * (1 - t)
        reach = Z90 * math.hypot(float(np.std(x)), stray)
        return middle, middle - reach, middle + reach


def measure(pairs: Sequence[Pair]) -> Relation:
    """The relation through at least three pairs of different density. Refusal, all problems at once.

    Readings that fall where they should rise are pooled with their neighbours, weighted by their doubts (isotonic
    regression [Barlow-1972]); where they fall by more than four standard deviations, the pairs are refused.
    """
    rows = sorted(pairs, key=lambda p: (p.reflection, p.transmission))
    found = Problems()
    for i, p in enumerate(rows):
        for name, value, low, high in (("reflection", p.reflection, -0.2, 4.0), ("transmission", p.transmission, -0.2, 6.0),
                                       ("reflection_sd", p.reflection_sd, 0.0, 0.5), ("transmission_sd", p.transmission_sd, 0.0, 0.5)):  # fmt: skip
            if not (math.isfinite(value) and low <= value <= high):
                found.add(f"pairs.{i}.{name}", value, f"From {low:g} to {high:g}.".replace("-", "−"))
    if len({round(p.reflection, 3) for p in rows}) < FEWEST_PAIRS:
        found.add("pairs", f"{len(rows)} pairs", f"At least {FEWEST_PAIRS} pairs of different density.",
                  "Read a pale, a middle and a dark patch both ways.")  # fmt: skip
    found.raise_if_any()
    x, y, sd = _merged(rows)
    level = _isotonic(y, 1 / sd**2)
    worst = int(np.argmax(np.abs(level - y) / sd))
    if abs(level - y)[worst] > 4 * sd[worst]:
        raise Refusal.one("pairs", f"{x[worst]:.2f} by reflection, {y[worst]:.2f} by transmission",
                          "Density by transmission rises with density by reflection.",
                          "Read this patch again; see that both readings are of one patch.")  # fmt: skip
    noise = np.random.default_rng(47).standard_normal((DRAWS // 2, len(x)))
    noise = np.vstack([noise, -noise])
    return Relation(x, np.stack([_isotonic(level + row * sd, 1 / sd**2) for row in noise]))


def _merged(rows: Sequence[Pair]) -> tuple[Array, Array, Array]:
    """Pairs of one D_R as one; the doubt of D_R counted in D_T by the local slope."""
    x: list[float] = []
    y: list[float] = []
    weight: list[float] = []
    spread = rows[-1].reflection - rows[0].reflection
    slope = max((rows[-1].transmission - rows[0].transmission) / spread, FLATTEST)
    for p in rows:
        w = 1 / max(p.transmission_sd**2 + (slope * p.reflection_sd) ** 2, 1e-6)
        if x and p.reflection - x[-1] < 1e-3:
            y[-1] = (y[-1] * weight[-1] + p.transmission * w) / (weight[-1] + w)
            weight[-1] += w
        else:
            x.append(p.reflection)
            y.append(p.transmission)
            weight.append(w)
    return np.array(x), np.array(y), 1 / np.sqrt(np.array(weight))


def _isotonic(y: Array, weight: Array) -> Array:
    """The nearest rising sequence, by pooling adjacent violators."""
    blocks: list[list[float]] = []  # value, weight, count
    for v, w in zip(y.tolist(), weight.tolist(), strict=True):
        blocks.append([v, w, 1])
        while len(blocks) > 1 and blocks[-2][0] > blocks[-1][0]:
            b, a = blocks.pop(), blocks.pop()
            total = a[1] + b[1]
            blocks.append([(a[0] * a[1] + b[0] * b[1]) / total, total, a[2] + b[2]])
    return np.concatenate([np.full(int(n), v) for v, _, n in blocks])


def _cubic(x: Array, y: Array, at: float) -> float:
    """Monotone piecewise cubic with harmonic-mean tangents."""
    h, rise = np.diff(x), np.diff(y) / np.diff(x)
    tangent = np.zeros_like(y)
    tangent[0], tangent[-1] = rise[0], rise[-1]
    for k in range(1, len(y) - 1):
        left, right = rise[k - 1], rise[k]
        if left * right > 0:
            a, b = 2 * h[k] + h[k - 1], h[k] + 2 * h[k - 1]
            tangent[k] = (a + b) / (a / left + b / right)
    i = min(max(int(np.searchsorted(x, at)) - 1, 0), len(h) - 1)
    t = (at - x[i]) / h[i]
    return float(y[i] * (1 + 2 * t) * (1 - t) ** 2 + y[i + 1] * t * t * (3 - 2 * t)
                 + h[i] * (tangent[i] * t * (1 - t) ** 2 - tangent[i + 1] * t * t * (1 - t)))  # fmt: skip
