"""The seconds of a contact print, and the grade its negative asks for.

With H_T the exposure of full black and R the paper's range, shadows first puts the clearest tone on H_T, highlights first the densest on
H_S = H_T/10^(R/100) [ISO-6846]. Where the negative's range is R/100 both are one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from firstsheet.printing.negative import Negative
from firstsheet.refusal import Refusal

# Log exposure range of each grade, soft to hard: upper end of the hardest is the lower end of the next (from memory of the 1966 appendix).
GRADES = ((5, 0.50, 0.65), (4, 0.65, 0.80), (3, 0.80, 0.95), (2, 0.95, 1.15), (1, 1.15, 1.40), (0, 1.40, 1.70))


@dataclass(frozen=True, slots=True)
class Seconds:
    """time_s to give [s]; shadows_s and highlights_s by either rule [s]; sd_stops [stop]; range_d the negative's [D]; over_d: that less the paper's [D]."""

    time_s: float
    shadows_s: float
    highlights_s: float
    sd_stops: float
    range_d: float
    over_d: float


def grade_for(range_d: float) -> int | None:
    """The grade whose range holds this negative's [D]; None outside 0.50 to 1.70."""
    return next((g for g, low, high in GRADES if low <= range_d < high), None)


def range_of(grade: float) -> float:
    """The middle of a grade's range [log10]; of a half grade half-way between its neighbours'. Refusal outside 0 to 5."""
    middles = {g: (low + high) / 2 for g, low, high in GRADES}
    low, high = math.floor(grade), math.ceil(grade)
    if low in middles and high in middles:
        return middles[low] + (grade - low) * (middles[high] - middles[low])
    raise Refusal.one("grade", grade, "A grade from 0 to 5.", "Or the paper's R, as on its data sheet: “R 110”.")


def seconds(black_s: float, sd_stops: float, negative: Negative, range_log: float, first: str) -> Seconds:
    """Seconds under a lamp that blackens bare paper in `black_s` [s], sd_stops its doubt [stop].

    range_log  the paper's range R/100 [log10];  first: "shadows" or "highlights", the tone that is put where it belongs
    """
    shadows = black_s * 10.0**negative.clear_d
    highlights = black_s * 10.0 ** (negative.dense_d - range_log)
    sd = math.hypot(sd_stops, negative.sd_d * math.log2(10.0))
    return Seconds(
        shadows if first == "shadows" else highlights,
        shadows,
        highlights,
        sd,
        negative.range_d,
        negative.range_d - range_log,
    )
