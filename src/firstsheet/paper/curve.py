"""The characteristic curve of a paper, fitted to the steps of a strip: D(log H) with its doubt.

What a strip does not show is not told: each figure drawn from the curve says when it was not reached. Densities by
reflection (to look at) and by transmission (to print through) are two curves of one paper and are never mixed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from firstsheet.paper import curve_model as model
from firstsheet.paper.curve_model import Array, Data, Draws, quantile
from firstsheet.refusal import Problems, Refusal

Kind = Literal["reflection", "transmission"]
KINDS = ("reflection", "transmission")
FEWEST_STEPS = 5
STANDS_OFF = 3.5  # standard deviations from the curve at which a step is named
LEAST_SCATTER = 0.7
D_MOST = 6.0
LOG_H_MOST = 12.0


@dataclass(frozen=True, slots=True)
class StepSeen:
    """One step of a strip.

    log_h       log10 of its exposure, H in lx·s or relative; −inf for paper that saw no light (the masked border),
                +inf for paper fully fogged on purpose
    log_h_sd    doubt of log_h that is this step's own [log10], ≥ 0
    density     as read [D]
    density_sd  doubt of it [D], > 0
    censored    None, or "at_least" / "at_most" where the instrument or the words ran out ("all black")
    shared      doubt that it has in common with the other steps of its picture, by cause [D]; not in density_sd. Signs say which
                steps err to the same side
    """

    log_h: float
    density: float
    density_sd: float
    log_h_sd: float = 0.0
    censored: Literal["at_least", "at_most"] | None = None
    shared: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """A fitted curve. Made by `fit`.

    sense           +1 negative-working (more light, more density), −1 positive-working
    kind            "reflection" or "transmission"
    absolute        True where log H is of lx·s, False where only differences of log H are known
    steps           what it was fitted to, in order of log H
    common_log_h_sd doubt shared by all log H, such as the lux of the lamp [log10]
    scatter         how many times more the steps scatter about the curve than they were said to; below 1 only where they were
                    read from a picture, for then what they share is not in their own doubt
    stand_off       places in `steps` further than 3.5 standard deviations from the curve
    """

    sense: int
    kind: Kind
    absolute: bool
    steps: tuple[StepSeen, ...]
    common_log_h_sd: float
    scatter: float
    stand_off: tuple[int, ...]
    centre: float = field(repr=False)
    draws: Draws = field(repr=False)

    @property
    def span(self) -> tuple[float, float]:
        """Least and greatest log H of the steps that measure [log10]; outside it nothing was seen."""
        seen = [s.log_h for s in self.steps if s.censored is None and math.isfinite(s.log_h)]
        return min(seen), max(seen)

    def density(self, log_h: Sequence[float] | Array) -> tuple[Array, Array, Array]:
        """Density at each log H: middle, and the ends of the 90 % range [D]. Monotone in log H by construction."""
        all_draws = self.draws.density(self.to_u(np.asarray(log_h, dtype=float)))
        mid, low, high = (model.band(all_draws, self.draws.weight, q) for q in (0.5, 0.05, 0.95))
        return mid, low, high

    def to_u(self, log_h: Array) -> Array:
        """log H to the fit's own axis, along which density rises."""
        return np.asarray(self.sense * (log_h - self.centre))

    def to_log_h(self, u: Array) -> Array:
        """The inverse of `to_u`."""
        return np.asarray(self.sense * u + self.centre)

    def known_level(self, end: Literal["base", "dmax"]) -> tuple[float, float]:
        """Middle and half the 90 % range of base+fog or Dmax [D], measured or not."""
        x = self.draws.base if end == "base" else self.draws.base + self.draws.rise
        low, mid, high = (quantile(x, self.draws.weight, q) for q in (0.05, 0.5, 0.95))
        return mid, 0.5 * (high - low)


def fit(steps: Sequence[StepSeen], sense: int, *, kind: Kind = "reflection", absolute: bool = True,
        common_log_h_sd: float = 0.0) -> Curve:  # fmt: skip
    """The curve through these steps, in some tens of milliseconds.

    steps            at least five, three or more of them measured at a finite log H
    sense            +1 negative-working, −1 positive-working
    absolute         whether log H is of lx·s
    common_log_h_sd  doubt shared by all log H [log10]

    Refusal for steps that cannot be (all problems at once), that show no change, or that run against `sense`.
    Where the steps scatter more than they were said to, all their doubts are widened by that much; where steps of a picture
    scatter less, theirs are narrowed.
    """
    steps = tuple(sorted(steps, key=lambda s: s.log_h))
    _check(steps, sense, kind, common_log_h_sd)
    seen = [s.log_h for s in steps if math.isfinite(s.log_h)]
    centre = sum(seen) / len(seen)
    data = _data(steps, sense, centre)
    _check_change(data)
    more, residual = model.scatter(data)
    own = np.array([len(s.shared) > 0 for s in steps])
    more = max(1.0 if not own.any() else LEAST_SCATTER, more)
    times = np.where(own, more, max(1.0, more))
    data = replace(data, d_sd=data.d_sd * np.where(data.side == 0, times, 1.0))
    off = tuple(int(i) for i in np.flatnonzero(np.abs(residual) > STANDS_OFF))
    return Curve(sense, kind, absolute, steps, common_log_h_sd, more, off, centre, model.posterior(data))


def same_kind(*curves: Curve) -> None:
    """Refusal unless all curves are of one kind."""
    if len({c.kind for c in curves}) > 1:
        raise Refusal.one("kind", " with ".join(c.kind for c in curves),
                          "Reflection and transmission densities are two scales.",
                          "Read both strips the same way, or measure the relation of the two first.")  # fmt: skip


def _data(steps: tuple[StepSeen, ...], sense: int, centre: float) -> Data:
    sides = {None: 0, "at_least": 1, "at_most": -1}
    return Data(
        u=np.array([sense * (s.log_h - centre) for s in steps]),
        u_sd=np.array([s.log_h_sd for s in steps]),
        d=np.array([s.density for s in steps]),
        d_sd=np.array([s.density_sd for s in steps]),
        side=np.array([sides[s.censored] for s in steps]),
        shared=_shared(steps),
    )


def _shared(steps: tuple[StepSeen, ...]) -> Array:
    """Doubts that steps share [n × causes, D]; a cause that moves no step is left out."""
    many = max(len(s.shared) for s in steps)
    table = np.array([[*s.shared, *([0.0] * (many - len(s.shared)))] for s in steps]).reshape(len(steps), many)
    return np.asarray(table[:, table.any(axis=0)])


def _check(steps: tuple[StepSeen, ...], sense: int, kind: str, common_sd: float) -> None:
    found = Problems()
    if sense not in (1, -1):
        found.add("sense", sense, "+1 negative-working or −1 positive-working.")
    if kind not in KINDS:
        found.add("kind", kind, "“reflection” or “transmission”.")
    if not (math.isfinite(common_sd) and 0 <= common_sd <= 1):
        found.add("common_log_h_sd", common_sd, "From 0 to 1.", "0.1 is a third of a stop.")
    for i, s in enumerate(steps):
        if math.isnan(s.log_h) or (math.isfinite(s.log_h) and abs(s.log_h) > LOG_H_MOST):
            found.add(
                f"steps.{i}.log_h", s.log_h, "A logarithm of an exposure from −12 to 12.", "Not the exposure itself."
            )
        if not (math.isfinite(s.log_h_sd) and 0 <= s.log_h_sd <= 1):
            found.add(f"steps.{i}.log_h_sd", s.log_h_sd, "From 0 to 1.")
        if not (math.isfinite(s.density) and -0.5 <= s.density <= D_MOST):
            found.add(f"steps.{i}.density", s.density, f"A density from −0.5 to {D_MOST:g}.")
        if not (math.isfinite(s.density_sd) and 0.0005 <= s.density_sd <= 2):
            found.add(
                f"steps.{i}.density_sd", s.density_sd, "From 0.0005 to 2.", "A careful reading is worth ±0.01 to ±0.02."
            )
        if not all(math.isfinite(x) and abs(x) <= 2 for x in s.shared):
            found.add(f"steps.{i}.shared", s.shared, "Each from −2 to 2.")
        if s.censored not in (None, "at_least", "at_most"):
            found.add(f"steps.{i}.censored", s.censored, "Nothing, “at_least” or “at_most”.")
    measured = {s.log_h for s in steps if s.censored is None and math.isfinite(s.log_h)}
    if len(steps) < FEWEST_STEPS or len(measured) < 3:
        found.add("steps", f"{len(steps)} steps, {len(measured)} of them measured",
                  f"At least {FEWEST_STEPS} steps, 3 or more measured at different exposures.",
                  "Give the strip more steps, from one that stays white to one that is as dark as it gets.")  # fmt: skip
    found.raise_if_any()


def _check_change(data: Data) -> None:
    """Refuses steps of one tone, and steps that change the other way."""
    there = np.isfinite(data.u) & (data.side == 0)
    u, d, weight = data.u[there], data.d[there], 1 / data.d_sd[there] ** 2
    u0, d0 = np.average(u, weights=weight), np.average(d, weights=weight)
    lean = float(np.sum(weight * (u - u0) * (d - d0)))
    sure = lean / math.sqrt(float(np.sum(weight * (u - u0) ** 2)))  # in standard deviations
    if sure < -4:
        raise Refusal.one("steps", "more light gives the other tone", "Steps that follow the way of working.",
                          "Check which end of the strip had most light, and whether this paper is positive-working.")  # fmt: skip
    if sure < 4:
        raise Refusal.one("steps", "all of one tone", "Steps that change from light to dark.",
                          "Nothing can be told from this strip: give steps further apart, the middle one in mid-grey.")  # fmt: skip
