"""What a word and a keeper say of a sheet's exposure, exactly, and the normal evidence that stands for it.

A person who says "a little dark" has seen something between the neighbouring words; one who keeps the sheet says that the
error was within the latitude. Neither is normal, and now and then a word is a slip. All this is weighed against what was believed when the sheet was planned, and
replaced by the normal evidence that leaves the same mean and variance (assumed-density filtering). [MINKA-2001]
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from firstsheet.exposure.latitude import normal_cdf

KEEPER_EDGE_SD = 0.10  # a keeper's limit is not a line [stop]; no source
POINTS = 161
WIDTH = 5.0  # of the prior on either side, in its standard deviations; 6e−7 of it is left out
SLIP = 0.02  # a word said of the wrong sheet or the wrong way round: any of WORDS, all alike; no source
WORDS = 9


@dataclass(frozen=True, slots=True)
class Look:
    """One look at a sheet, about its error e = log2(light received / right light) [stop].

    low, high  e lies between these as seen [stop]; ±inf at the ends of the scale
    eye_sd     doubt of the eye [stop], > 0
    kept       whether it was kept; None where that was not said or had another reason
    latitude   |e| up to which a sheet is kept [stop], > 0
    """

    low: float
    high: float
    eye_sd: float
    kept: bool | None
    latitude: float

    def chance(self, error: float) -> float:
        """P(this word, and this keeping | e) [1]."""
        p = normal_cdf((self.high - error) / self.eye_sd) - normal_cdf((self.low - error) / self.eye_sd)
        p = (1.0 - SLIP) * p + SLIP / WORDS
        if self.kept is None:
            return p
        keep = normal_cdf((self.latitude - abs(error)) / KEEPER_EDGE_SD)
        return p * (keep if self.kept else 1.0 - keep)


def error_after(look: Look, mean: float, sd: float) -> tuple[float, float] | None:
    """Mean [stop] and variance [stop²] of the error after the look, from N(mean, sd²) before it; None where it could not be.

    Midpoint rule on POINTS points over ± WIDTH sd. Domain: sd > 0.
    """
    step = 2.0 * WIDTH / POINTS
    total = first = second = 0.0
    for i in range(POINTS):
        z = -WIDTH + (i + 0.5) * step
        w = math.exp(-0.5 * z * z) * look.chance(mean + z * sd)
        total += w
        first += w * z
        second += w * z * z
    if total < 1e-9:
        return None
    centre = first / total
    return mean + centre * sd, max(second / total - centre**2, 0.0) * sd**2


def right_after(look: Look, off: float, variance: float, noise_variance: float) -> tuple[float, float] | None:
    """The normal evidence about the right exposure that a look amounts to: (stops from what was expected, its sd) [stop].

    off             log2(given / expected right exposure) [stop]
    variance        of the right exposure as believed when the sheet was planned [stop²]
    noise_variance  of what this one sheet received, retry and hand [stop²]
    None where the look narrows nothing.
    """
    both = variance + noise_variance
    found = error_after(look, off, math.sqrt(both))
    if found is None or variance <= 0:
        return None
    mean, var = found
    gain = variance / both  # of the error, this part is the right exposure's
    moved = -gain * (mean - off)
    after = variance - gain * variance * (1.0 - var / both)
    information = 1.0 / after - 1.0 / variance
    if information <= 1e-6:
        return None
    return moved / after / information, information**-0.5
