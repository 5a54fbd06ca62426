"""Where a light or a box begins that was never tried: from what other lights and boxes have told, as far as they share what they share.

What a layer receives too much is the paper's own part (with the lens, the gels and the baths), and the light's by spectra. A box keeps its part from
light to light; the spectra are known but for one scale, for the layers' shapes are from memory; and each light has its own hour. All normal, so
that the neighbours' beliefs are drawn together exactly, and the order in which they are told does not matter.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from firstsheet.colour import learned
from firstsheet.colour.layers import Floats
from firstsheet.colour.learned import Belief

SAME_BENCH = 0.6  # share of the paper's part that two boxes have in common, one lens and one bench [1]: ours
SCALE_SD = 0.25  # of what spectra say that two lights lie apart [1]: shapes of the layers from memory
AROUND_SD = 0.04  # each layer, by what stands around and tints the light: leaves, walls [D]; ours
TELLS_LITTLE = 0.90  # a direction whose doubt a neighbour left so wide tells nothing; ours


@dataclass(frozen=True, slots=True)
class Place:
    """A box in a kind of light. excess (red, green, blue) without a pack before any sheet, by spectra [D]; beyond the same of the light where
    packs are mostly reported (sun) [D]; hour how the layers move with one sd of the light's colour [D]. All of shape (3). metered_sd: all layers, how this light is metered beside another [D]."""

    box: str
    light: str
    excess: Floats
    beyond: Floats
    hour: Floats
    metered_sd: float


def alone(place: Place) -> Belief:
    """Before any sheet of any box."""
    return Belief(place.excess, _shared(place, place))


def begin(here: Place, known: Sequence[tuple[Place, Belief]]) -> Belief:
    """The belief about `here` after what is believed of other places, each from its own sheets alone, its start being `alone`."""
    if not known:
        return alone(here)
    places = [here, *(p for p, _ in known)]
    mean = np.concatenate([p.excess for p in places])
    cov = np.block([[_shared(a, b) for b in places] for a in places])
    for n, (place, belief) in enumerate(known, 1):
        for row, told, noise in _evidence(alone(place), belief):
            h = np.zeros(len(mean))
            h[3 * n : 3 * n + 3] = row
            gain = cov @ h / (h @ cov @ h + noise)
            mean = mean + gain * (told - h @ mean)
            cov = cov - np.outer(gain, h @ cov)
    return Belief(mean[:3], 0.5 * (cov[:3, :3] + cov[:3, :3].T))


def _shared(a: Place, b: Place) -> Floats:
    """Covariance (3 × 3) of two places, or of one with itself [D²]."""
    same_light = a.light == b.light
    out: Floats = learned.PAPER * (1.0 if a.box == b.box else SAME_BENCH) + SCALE_SD**2 * np.outer(a.beyond, b.beyond)
    if a.box == b.box and same_light:
        out = out + np.outer(a.hour, a.hour) + AROUND_SD**2 * np.eye(3) + a.metered_sd**2
    return out


def _evidence(before: Belief, after: Belief) -> list[tuple[Floats, float, float]]:
    """What turned one belief into the other: directions (3), what each told [D], and its noise [D²]; the directions are told apart from each other."""
    root = np.linalg.inv(np.linalg.cholesky(before.cov))
    left, turned = np.linalg.eigh(root @ after.cov @ root.T)
    out = []
    for share, axis in zip(left, turned.T, strict=True):
        if 0.0 < share < TELLS_LITTLE:
            row = axis @ root
            out.append((row, float(row @ before.mean + row @ (after.mean - before.mean) / (1.0 - share)), float(share / (1.0 - share))))
    return out
