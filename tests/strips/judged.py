"""Reads synthetic pictures and compares with their truth; used by the tests and by the benchmark."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from firstsheet.refusal import Refusal
from firstsheet.strips.card import CardSaid, Known
from firstsheet.strips.read import StripRead, read_strip

DEEPEST = 2.0  # steps up to this density count as readable


@dataclass
class Judged:
    kind: str
    refused: str = ""
    errors: np.ndarray = field(default_factory=lambda: np.zeros(0))  # of accepted readable steps
    true: np.ndarray = field(default_factory=lambda: np.zeros(0))
    sd: np.ndarray = field(default_factory=lambda: np.zeros(0))
    readable: int = 0
    count_right: bool = False
    bounds_wrong: int = 0
    read: StripRead | None = None

    def rms(self, low: float = 0.0, high: float = DEEPEST) -> float:
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
    out = Judged(truth.kind)
    # corners of the truth are not given: the picture is all there is
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
        zero = truth.densities.min()
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
        if readable[k]:
            errors.append(patch.density - d)
            true.append(truth.densities[k])
            sd.append(float(np.hypot(patch.sd, read.reference.sd)))  # absolute densities: the reference’s own doubt belongs to them
    out.errors, out.true, out.sd = np.array(errors), np.array(true), np.array(sd)
    return out
