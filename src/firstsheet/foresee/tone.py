"""A paper's tones as a table: density against log exposure, there and back, and what lies on a plateau.

Measured from this box and developer where a curve of them is kept, else a curve that stands in, said so and doubted more.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from firstsheet.paper import response
from firstsheet.paper.curve_points import FOOT_D
from firstsheet.refusal import Refusal

Array = NDArray[np.float64]
STOP = math.log10(2.0)
EDGE_D = 0.02  # nearer than this to a plateau log H is not sought [D]: noise of the picture would choose it
HEAD_D = 0.06  # above this below Dmax a photo tells no detail [D]: glare and eight bits; ours
FEWEST = 8
MEASURED_SD = 0.10  # of the log H scale of a measured curve against this sheet [1]: baths differ; ours
FIGURES_SD = 0.15  # the same where only its range, base and Dmax are kept [1]; ours
MEASURED_END_SD = 0.05  # of its base and Dmax [D]; ours

# What stands in for a paper nobody measured: base, Dmax [D], log range from S to T [log10], doubt of that range [1], doubt
# of the ends [D]. R 100 is a paper of middle grade, a direct positive is a little harder, reversal on colour paper much.
# Common practice, no source.
STAND_INS = {
    "paper_negative": (0.07, 1.90, 1.00, 0.30, 0.12),
    "contact_print": (0.07, 1.90, 1.00, 0.30, 0.12),
    "direct_positive": (0.07, 1.90, 0.90, 0.30, 0.15),
    "reversal_bw": (0.07, 1.90, 0.90, 0.35, 0.20),
    "reversal_ra4": (0.10, 2.00, 0.65, 0.35, 0.20),
}


@dataclass(frozen=True, slots=True, eq=False)
class Tones:
    """Density by reflection at rising log H. Monotone; which way is the way's own (`paper.response.sense`).

    log_h, density  the table [log10, D]
    contrast_sd     doubt of its log H scale [1]: a step of s stops is known to s times this
    end_sd          doubt of base and Dmax [D]
    measured        whether it is this box in this developer
    words           what it is, for the person
    """

    log_h: Array = field(repr=False)
    density: Array = field(repr=False)
    sense: int
    contrast_sd: float
    end_sd: float
    measured: bool
    words: str

    @property
    def base(self) -> float:
        return float(self.density.min())

    @property
    def dmax(self) -> float:
        return float(self.density.max())

    def log_h_of(self, density: Array) -> Array:
        """log H of a density, clamped EDGE_D inside base and Dmax [log10]."""
        held = np.clip(density, self.base + EDGE_D, self.dmax - EDGE_D)
        rising = slice(None, None, self.sense)
        return np.asarray(np.interp(held, self.density[rising], self.log_h[rising]))

    def density_of(self, log_h: Array) -> Array:
        """Density at log H [D]; past the table its ends."""
        return np.asarray(np.interp(log_h, self.log_h, self.density))

    def change(self, density: Array, stops: float) -> Array:
        """How much denser a place of this density would be with `stops` more exposure [D]. 0 for 0.

        Over the last EDGE_D before a plateau the change fades to nothing: what is on it, or beyond as a card is, stays.
        """
        held = np.clip(density, self.base + EDGE_D, self.dmax - EDGE_D)
        moved = self.density_of(self.log_h_of(density) + stops * STOP) - held
        inside = np.minimum(density - self.base, self.dmax - density) / EDGE_D
        return np.asarray(moved * np.clip(inside, 0.0, 1.0))

    def white(self, density: Array) -> NDArray[np.bool_]:
        """Blown white: no different from bare paper, its true log H unknown."""
        return np.asarray(density < self.base + FOOT_D)

    def black(self, density: Array) -> NDArray[np.bool_]:
        """Dead black: no different from Dmax, its true log H unknown."""
        return np.asarray(density > self.dmax - HEAD_D)


def stand_in(way: str) -> Tones:
    """A curve for a way of working whose paper was never measured: a logistic between base and Dmax. No source."""
    base, dmax, log_range, doubt, end_sd = STAND_INS[way if way in STAND_INS else "paper_negative"]
    words = f"a curve that stands in for this paper (about R {100 * log_range:.0f}, common practice, no source)"
    return Tones(*_logistic(way, base, dmax, log_range), response.sense(way), doubt, end_sd, False, words)


def of_figures(way: str, base: float, dmax: float, log_range: float, words: str) -> Tones:
    """The curve of a box of which base, Dmax [D] and the log range from S to T [log10] are known: a logistic through them.

    Refusal where these cannot be of a paper.
    """
    if not (base >= -0.1 and base + 0.5 <= dmax <= 4.0 and 0.2 <= log_range <= 3.0):
        raise Refusal.one(
            "curve",
            f"base {base:g}, Dmax {dmax:g}, R {100 * log_range:g}",
            "The figures of a paper.",
            "Measure it again.",
        )
    return Tones(*_logistic(way, base, dmax, log_range), response.sense(way), FIGURES_SD, MEASURED_END_SD, True, words)


def _logistic(way: str, base: float, dmax: float, log_range: float) -> tuple[Array, Array]:
    """log H and density of a logistic whose range from S, 0.04 above base, to T, 90 % of Dmax, is this [ISO-6846]."""
    net = dmax - base
    scale = log_range / (_logit((0.9 * dmax - base) / net) - _logit(FOOT_D / net))
    log_h = np.linspace(-12.0, 12.0, 4801) * scale
    return log_h, base + net * 0.5 * (1.0 + np.tanh(0.5 * response.sense(way) * log_h / scale))


def measured(
    log_h: Sequence[float], density: Sequence[float], way: str, words: str, end_sd: Sequence[float] | None = None
) -> Tones:
    """The curve measured of this box in this developer, from its table.

    log_h, density  at least eight points, log H rising [log10], density by reflection [D]
    end_sd          doubt of base and Dmax as the strip left them [D], the larger counts; None, what is usual

    Refusal where it is no such table, shows no change, or runs against the way of working.
    """
    sense = response.sense(way)
    h, d = np.asarray(log_h, dtype=float), np.asarray(density, dtype=float)
    fits = h.ndim == 1 and h.shape == d.shape and len(h) >= FEWEST and bool(np.all(np.isfinite(h) & np.isfinite(d)))
    if not fits or not bool(np.all(np.diff(h) > 0)):
        raise Refusal.one("curve", "no table of log H and density", f"At least {FEWEST} points, log H rising.",
                          "Measure the strip again.")  # fmt: skip
    up = np.maximum.accumulate(d if sense > 0 else d[::-1])  # a table rounded to hundredths may step back by one
    d = up if sense > 0 else up[::-1]
    if d.max() - d.min() < 0.5 or sense * (density[-1] - density[0]) <= 0:
        raise Refusal.one("curve", "a curve of another paper", "A curve that runs as this way of working does.",
                          "Check which paper the strip was of.")  # fmt: skip
    return Tones(h, d, sense, MEASURED_SD, max([MEASURED_END_SD, *(end_sd or ())]), True, words)


def _logit(f: float) -> float:
    return math.log(f / (1.0 - f))
