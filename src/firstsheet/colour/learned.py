"""What is believed of three layers in one kind of light: a Gaussian on log exposures, drawn together by every judged sheet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from firstsheet.colour.cast import Seen
from firstsheet.colour.layers import SEEN, Floats

SPEED_SD = 0.30  # a stop: the plan's own doubt of the red layer [D]
GREEN_SD, BLUE_SD = 0.35, 0.45  # spread of packs practitioners report [D]: forum, few
SHEET_LIGHT_SD, SHEET_CAST_SD = 0.05, 0.03  # from sheet to sheet [D]; ours
FADED = 0.05  # share of a gel's density that may be missing; ours


@dataclass(frozen=True, slots=True)
class Belief:
    """mean (3) and cov (3 × 3) of what each layer receives too much without a pack, log10 [D]."""

    mean: Floats
    cov: Floats

    def sd(self) -> Floats:
        out: Floats = np.sqrt(np.diag(self.cov))
        return out

    def pack_cov(self) -> tuple[float, float, float]:
        """Doubt of yellow and magenta (yellow², both, magenta²) [CC²]: blue and green beside red."""
        beside = np.array([[-1.0, 0.0, 1.0], [-1.0, 1.0, 0.0]])
        c = 1e4 * beside @ self.cov @ beside.T
        return float(c[0, 0]), float(c[0, 1]), float(c[1, 1])


def _paper() -> Floats:
    """Doubt of the paper's own part, with lens, gels and baths (3 × 3) [D²]."""
    cov = np.full((3, 3), SPEED_SD**2)
    both = 0.6 * GREEN_SD * BLUE_SD  # the colour of the light moves both, blue the more
    cov[1:, 1:] += np.array([[GREEN_SD**2, both], [both, BLUE_SD**2]])
    return cov


PAPER = _paper()


def prior(green: float, blue: float) -> Belief:
    """Before any sheet. green, blue: how much more than red those layers receive, log10 [D]."""
    return Belief(np.array([0.0, green, blue]), PAPER)


def learn(belief: Belief, matrix: Floats, pack: Any, log_time: float, seen: Seen) -> Belief:
    """The belief after a sheet through `pack` [CC] with `log_time` (log10 of seconds over those without a pack)."""
    filtered = matrix @ np.asarray(pack, float)
    told = SEEN @ (np.array(seen.state) + filtered - log_time)
    noise = noise_of(seen, filtered, belief, log_time)
    gain = belief.cov @ SEEN.T @ np.linalg.inv(SEEN @ belief.cov @ SEEN.T + noise)
    mean = belief.mean + gain @ (told - SEEN @ belief.mean)
    keep = np.eye(3) - gain @ SEEN
    cov = keep @ belief.cov @ keep.T + gain @ noise @ gain.T
    return Belief(mean, 0.5 * (cov + cov.T))


def noise_of(seen: Seen, filtered: Floats, belief: Belief, log_time: float) -> Floats:
    """Doubt of what a sheet tells (3 × 3) [D²]: how it was seen, sheet to sheet, and what gels lack between this pack and the next."""
    to_come = belief.mean - filtered + log_time
    gels: Floats = (FADED * (to_come - to_come.mean())) ** 2
    out: Floats = np.diag([seen.light_sd**2 + SHEET_LIGHT_SD**2, *[seen.cast_sd**2 + SHEET_CAST_SD**2] * 2]) + SEEN @ np.diag(gels) @ SEEN.T
    return out
