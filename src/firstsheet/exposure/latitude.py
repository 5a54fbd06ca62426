"""From a doubt in stops to a chance of a keeper and a range of seconds."""

from __future__ import annotations

import math

from firstsheet.answer import Z50, Z90


def normal_cdf(z: float) -> float:
    """Φ(z) [1]."""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


def keeper_chance(sd_stops: float, latitude_stops: float, off_stops: float = 0.0) -> float:
    """P(|error| ≤ latitude) for a normal error with standard deviation sd and centre off [all in stops].

    Domain: sd ≥ 0, latitude > 0. off is what the shutter or hand cannot give exactly.
    """
    if sd_stops <= 0:
        return 1.0 if abs(off_stops) <= latitude_stops else 0.0
    up = normal_cdf((latitude_stops - off_stops) / sd_stops)
    down = normal_cdf((-latitude_stops - off_stops) / sd_stops)
    return up - down


def spread_s(centre_s: float, sd_stops: float) -> dict[str, tuple[float, float]]:
    """The central 50 % and 90 % ranges of the right exposure time [s], log-normal about its median."""
    return {
        "range50_s": (centre_s * 2.0 ** (-Z50 * sd_stops), centre_s * 2.0 ** (Z50 * sd_stops)),
        "range90_s": (centre_s * 2.0 ** (-Z90 * sd_stops), centre_s * 2.0 ** (Z90 * sd_stops)),
    }
