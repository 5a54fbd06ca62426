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


def beyond(sd_stops: float, reach_stops: float) -> tuple[float, float]:
    """Chance that a normal error lies further out than ± reach [1], and its variance once it is known to lie so, on which
    side too: the truncated normal's, σ²(1 + aλ − λ²), a = reach/σ, λ = φ(a)/Φ(−a) [stop²].

    Domain: sd ≥ 0, reach > 0 [stop].
    """
    if sd_stops <= 0 or reach_stops > 8.0 * sd_stops:
        return 0.0, 0.0
    a = reach_stops / sd_stops
    tail = normal_cdf(-a)
    hazard = math.exp(-0.5 * a * a) / math.sqrt(2.0 * math.pi) / tail
    return 2.0 * tail, max(0.0, sd_stops**2 * (1.0 + a * hazard - hazard**2))


def spread_s(centre_s: float, sd_stops: float) -> dict[str, tuple[float, float]]:
    """The central 50 % and 90 % ranges of the right exposure time [s], log-normal about its median."""
    return {
        "range50_s": (centre_s * 2.0 ** (-Z50 * sd_stops), centre_s * 2.0 ** (Z50 * sd_stops)),
        "range90_s": (centre_s * 2.0 ** (-Z90 * sd_stops), centre_s * 2.0 ** (Z90 * sd_stops)),
    }
