"""What a word and a keeper say of a sheet's exposure, exactly, and the normal evidence that stands for it.

A person who says "a little dark" has seen something between the neighbouring words; one who keeps the sheet says that the
error was within the latitude. Neither is normal, and now and then a word is a slip. All this is weighed against what all other
sheets say, and replaced by the normal evidence that leaves the same mean and variance (`belief/expectation.py`). [MINKA-2001]
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet.exposure.latitude import normal_cdf

KEEPER_EDGE_SD = 0.10  # a keeper's limit is not a line [stop]; no source
POINTS = 161
WIDTH = 5.0  # of the prior on either side, in its standard deviations; 6e−7 of it is left out
SLIP = 0.02  # a word said of the wrong sheet or the wrong way round: any of WORDS, all alike; no source
WORDS = 9
KEPT_ANYWAY = 0.02  # kept or thrown away for something else, either alike; no source
OUTLIER = 0.02  # a strip or a patch read of the wrong thing; no source
OUTLIER_SD = 1.5  # and how far off it then lies [stop]; no source

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


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
        return float(p * _doubted(keep if self.kept else 1.0 - keep))

    def chances(self, errors: Floats) -> Floats:
        """`chance` of many errors at once."""
        import numpy as np

        p = cdf((self.high - errors) / self.eye_sd) - cdf((self.low - errors) / self.eye_sd)
        p = (1.0 - SLIP) * p + SLIP / WORDS
        if self.kept is None:
            return np.asarray(p)
        keep = cdf((self.latitude - np.abs(errors)) / KEEPER_EDGE_SD)
        return np.asarray(p * _doubted(keep if self.kept else 1.0 - keep))

    def to_json(self) -> list[object]:
        ends = [x if math.isfinite(x) else None for x in (self.low, self.high)]
        return [*ends, self.eye_sd, self.kept, self.latitude]

    @classmethod
    def from_json(cls, row: list[Any]) -> Look:
        low, high, eye_sd, kept, latitude = row
        return cls(-math.inf if low is None else low, math.inf if high is None else high, eye_sd, kept, latitude)


@dataclass(frozen=True, slots=True)
class Seen:
    """How a sheet was seen, unweighed: what a refit weighs anew.

    given     what it was given, as Σ coefficient·effect would have to be for that to be right [stop]
    retry_sd  the same settings twice [stop]; hand_sd, the hand on the cap [stop]
    look      the word and the keeping; None for a strip or a patch, which says `need` ± need_sd more than given [stop]
    """

    given: float
    retry_sd: float
    hand_sd: float
    look: Look | None
    need: float
    need_sd: float


def _doubted(keep: Any) -> Any:
    return (1.0 - KEPT_ANYWAY) * keep + KEPT_ANYWAY / 2.0


CDF_ENDS, CDF_STEP = 9.0, 0.002
_table: list[Any] = []


def cdf(z: Floats) -> Floats:
    """Φ(z) for many z [1]: the library's own at steps of 0.002 and straight lines between, within 2e−7."""
    import numpy as np

    if not _table:
        at = np.arange(-CDF_ENDS, CDF_ENDS + CDF_STEP / 2, CDF_STEP)
        _table.extend((at, np.array([normal_cdf(x) for x in at])))
    return np.asarray(np.interp(z, _table[0], _table[1]))


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
