"""A scrap of the paper as its own meter: it darkens by light alone, and the seconds to a kept tint tell the light as the paper sees it.

Light times seconds to one tint is a constant of this paper and this tint, as in the printers' tint meters of old (common practice, no
source). It is found once, beside a reading; afterwards the seconds alone are a reading in that same light's lux. Left out: darkening
that lags in weak light (under 0.1 stop between 10 s and 10 min, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from firstsheet.refusal import Problems, Refusal

SHORTEST_S, LONGEST_S = 4.0, 3600.0
MATCH_SD_STOPS = 0.25
"""One match of a tint by eye, 15 to 20 %: common practice, no source."""
HAND_SD_S = 0.7
"""Starting and stopping a count by hand: ours, no source."""
PRINTS_OUT_SD_STOPS = 0.2
"""Paper darkens by violet and what lies beyond it; the sheet that is developed sees blue, and green some. From one daylight to another,
after the constant has been found in one of them; and damp and warmth, which hasten it. From memory."""


@dataclass(frozen=True, slots=True)
class Counted:
    """Several counts in one light: their mean [s], in stops, and its doubt [stop]."""

    mean_s: float
    sd_stops: float
    n: int


@dataclass(frozen=True, slots=True)
class Constant:
    """Light times seconds to the tint [lx·s] and its doubt [stop]."""

    lx_s: float
    sd_stops: float


def counted(seconds: Sequence[float]) -> Counted:
    """Counts of one light, each 4 s to an hour [s], at most 20. Doubt: the greater of what a match is worth and what they disagree by."""
    p = Problems()
    if not 1 <= len(seconds) <= 20:
        p.add("seconds", f"{len(seconds)} counts", "From one count to twenty.", "Try “42 s; 45 s”.")
    for s in seconds:
        if not SHORTEST_S <= s <= LONGEST_S:
            p.add("seconds", f"{s:g} s", "From 4 s to an hour.", "In strong light keep a darker tint, in weak light a paler one.")
    p.raise_if_any()
    n = len(seconds)
    logs = [math.log2(s) for s in seconds]
    mean = sum(logs) / n
    one = sum(MATCH_SD_STOPS**2 + (HAND_SD_S / s / math.log(2)) ** 2 for s in seconds) / n
    apart = sum((x - mean) ** 2 for x in logs) / (n - 1) if n > 1 else 0.0
    return Counted(2.0**mean, math.sqrt(max(one, apart) / n), n)


def constant(light_lx: float, light_sd_stops: float, count: Counted) -> Constant:
    """The constant from a reading [lx], with its doubt [stop], and the count beside it."""
    if not (math.isfinite(light_lx) and light_lx > 0):
        raise Refusal.one("reading", f"{light_lx:g} lx", "Light above nothing.", "Read the meter again.")
    return Constant(light_lx * count.mean_s, math.hypot(light_sd_stops, count.sd_stops))


def light_lx(of: Constant, count: Counted) -> float:
    """Light as the paper sees it, in lux of the light in which the constant was found [lx]."""
    return of.lx_s / count.mean_s


def reading_sd(of: Constant, count: Counted, lasting_sd: float) -> float:
    """Doubt of one such reading [stop]. lasting_sd: what is carried as the meter's own, shared by all its readings; more of the constant's doubt than that stays here."""
    more = max(0.0, of.sd_stops**2 - lasting_sd**2)
    return math.sqrt(count.sd_stops**2 + PRINTS_OUT_SD_STOPS**2 + more)
