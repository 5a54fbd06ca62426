"""Reads synthetic pictures, fits the curve, and compares both with their truth; used by the tests and by the benchmark."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from firstsheet.acts import calibrate_curve, calibrate_parts
from firstsheet.paper.curve import StepSeen, fit
from firstsheet.paper.curve_iso import exposure_index, iso_range
from firstsheet.paper.curve_points import Figure, threshold
from firstsheet.refusal import Refusal
from firstsheet.strips.card import CardSaid, Known
from firstsheet.strips.read import StripRead, read_strip

DEEPEST = 2.0  # steps up to this density count as readable


@dataclass
class Held:
    """One figure of a curve beside its truth; `spanned`: the exposures given lie on both sides of its points."""

    figure: Figure
    truth: float
    spanned: bool

    @property
    def holds(self) -> bool:
        f = self.figure
        return (f.low is None or f.low <= self.truth) and (f.high is None or self.truth <= f.high)

    @property
    def bounded(self) -> bool:
        return not self.figure.reached and (self.figure.low is not None or self.figure.high is not None)


@dataclass
class Judged:
    """errors, true, sd are of every accepted step (a density, not a bound) to DEEPEST, reflections and all; readable and
    accepted count only the steps that can be read, neither burnt out nor under a reflection."""

    kind: str
    refused: str = ""
    errors: np.ndarray = field(default_factory=lambda: np.zeros(0))
    true: np.ndarray = field(default_factory=lambda: np.zeros(0))
    sd: np.ndarray = field(default_factory=lambda: np.zeros(0))
    readable: int = 0
    accepted: int = 0
    count_right: bool = False
    bounds_wrong: int = 0
    read: StripRead | None = None
    no_curve: str = ""
    held: dict[str, Held] = field(default_factory=dict)

    def rms(self, low: float = -1.0, high: float = DEEPEST) -> float:
        inside = (self.true > low) & (self.true <= high)
        return float(np.sqrt((self.errors[inside] ** 2).mean())) if inside.any() else float("nan")


def said_card(truth, *, black=True, greys=True) -> CardSaid | None:
    """What a person would say of the card in the picture, each figure with its own error already in it."""
    if truth.card_said is None:
        return None
    c = truth.card_said
    told = tuple(Known(float(v), 0.015) for v in c[1:5]) if greys else (None,) * 4
    return CardSaid(Known(float(c[0]), 0.005), Known(float(c[5]), 0.015) if black else None, told)


def judge(data: bytes, truth, *, black=True, greys=True, taken=None, count=True) -> Judged:
    """Corners of the truth are not given: the picture is all there is."""
    out = Judged(truth.kind)
    steps = truth.steps if count else None
    sense = "negative" if truth.sense > 0 else "positive"
    readable = (truth.densities <= DEEPEST) & (truth.clipped < 0.05) & ~truth.spoiled
    out.readable = int(readable.sum())
    try:
        read = read_strip(data, steps=steps, sense=sense, card=said_card(truth, black=black, greys=greys), taken=taken)
    except Refusal as refusal:
        out.refused = refusal.problems[0].asked
        return out
    out.read = read
    out.count_right = read.proposed_steps == truth.steps
    if read.reference.kind == "card":
        zero = 0.0
    elif read.reference.kind == "border":
        zero = truth.border_density
    else:
        seen = [
            (p.density, truth.densities[k]) for k, p in enumerate(read.patches[: truth.steps]) if p.density is not None
        ]
        zero = min(seen)[1] if seen else 0.0  # above the lightest of those that were read
    errors, true, sd = [], [], []
    for k, patch in enumerate(read.patches[: truth.steps]):
        d = truth.densities[k] - zero
        if patch.density is None:
            continue
        if patch.censored is not None:
            slack = 0.03 + 2 * (patch.sd or 0.0)
            wrong = d < patch.density - slack if patch.censored == "at_least" else d > patch.density + slack
            out.bounds_wrong += bool(wrong)
            continue
        out.accepted += bool(readable[k])
        if truth.densities[k] <= DEEPEST:
            errors.append(patch.density - d)
            true.append(truth.densities[k])
            sd.append(
                float(np.hypot(patch.sd, read.reference.sd))
            )  # absolute densities: the reference’s own doubt belongs to them
    out.errors, out.true, out.sd = np.array(errors), np.array(true), np.array(sd)
    return out


def drawn(out: Judged, truth) -> Judged:
    """The curve of what was read, its steps made as `firstsheet strip curve` makes them, and its figures beside the truth."""
    read = out.read
    if read is None:
        return out
    given = calibrate_parts.Exposures(tuple(10.0**truth.log_h), (0.0,) * truth.steps, True, None)
    seen = [(k, p) for k, p in enumerate(read.patches[: truth.steps]) if p.density is not None]
    steps = calibrate_parts.steps_of(
        [calibrate_parts.read_off(p.density, p.sd, p.censored, p.shared) for _, p in seen], given, [k for k, _ in seen]
    )
    if read.reference.kind == "border":
        steps.append(StepSeen(-math.inf, 0.0, calibrate_curve.BORDER_SD))
    try:
        curve = fit(steps, truth.sense)
    except Refusal as refusal:
        out.no_curve = (
            refusal.problems[0].asked if isinstance(refusal.problems[0].asked, str) else refusal.problems[0].where
        )
        return out
    paper, first, last = truth.paper, truth.log_h[0], truth.log_h[-1]
    s, t = paper.ends
    out.held = {
        "P": Held(
            exposure_index(curve, "mid" if truth.sense > 0 else "falling"),
            8.125 / 10**paper.mid,
            first <= paper.mid <= last,
        ),
        "R": Held(iso_range(curve).exact, 100 * (t - s), first <= s and t <= last),
        "threshold": Held(threshold(curve), 10**paper.threshold, first <= paper.threshold <= last),
    }
    return out
