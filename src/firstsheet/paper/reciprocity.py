"""Schwarzschild's law at long times, one-sided: it may lengthen an exposure, never shorten it. [Schwarzschild-1900]"""

from __future__ import annotations

import math

T_REF_S = 1.0


def stops_above_reference(metered_s: float) -> float:
    """log2(t/1 s) where t exceeds 1 s, else 0 [stop]. The lever arm of the reciprocity coefficient."""
    return max(0.0, math.log2(metered_s / T_REF_S)) if metered_s > 0 else 0.0


def corrected_s(metered_s: float, r: float) -> float:
    """Time to give [s] for a metered time [s]: t^(1/p) above one second, with r = 1/p − 1 ≥ 0.

    Domain: metered_s > 0. A negative r, which would shorten the exposure, counts as 0.
    """
    return float(metered_s * 2.0 ** (max(0.0, r) * stops_above_reference(metered_s)))


def metered_stops_from_given(given_s: float, r: float) -> float:
    """The inverse lever arm [stop]: for a time given [s], how far above 1 s its metered time stands."""
    return stops_above_reference(given_s) / (1.0 + max(0.0, r))
