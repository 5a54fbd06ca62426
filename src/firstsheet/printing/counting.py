"""A person's own counting: how long their second is, how much it wanders, and what that is worth in stops."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from firstsheet.refusal import Refusal

COUNTS = 10
WANDER = 0.08  # of a counted second from one time to the next, nothing measured [1]; ours, no source
PRIOR_GOES = 2.0  # what that weighs against own goes; chosen
SWITCH_SD_S = 0.15  # on and off with a switch or a card; common practice, no source


@dataclass(frozen=True, slots=True)
class Counting:
    """second_s: how long one count lasts [s]; wander: its relative standard deviation from one time to the next [1]; goes: from how many."""

    second_s: float = 1.0
    wander: float = WANDER
    goes: int = 0


def measured(took_s: Sequence[float]) -> Counting:
    """From the time ten counts took [s], once or more often. Refusal outside 5 to 20 s."""
    if not took_s or any(not 5 <= t <= 20 for t in took_s):
        raise Refusal.one(
            "took",
            " ".join(f"{t:g}" for t in took_s),
            "What ten counts took, from 5 to 20 s each time.",
            "Try “9.4 s; 9.8 s; 9.1 s”.",
        )
    each = [t / COUNTS for t in took_s]
    n = len(each)
    mean = sum(each) / n
    spread = sum((e / mean - 1) ** 2 for e in each)
    wander = math.sqrt((PRIOR_GOES * WANDER**2 + spread) / (PRIOR_GOES + n - 1) * (1 + 1 / n))
    return Counting(mean, wander, n)


def counts_for(own: Counting, time_s: float) -> int:
    """Whole counts nearest to the time, by this person's second; at least 1."""
    return max(1, round(time_s / own.second_s))


def off_stops(own: Counting, time_s: float) -> float:
    """How far those whole counts lie from the time [stop]: known before it is given, + more light."""
    return math.log2(counts_for(own, time_s) * own.second_s / time_s)


def error_stops(own: Counting, time_s: float) -> float:
    """Doubt of a counted time [stop]: rounding to a whole count, the wandering second, and the switch."""
    sd = math.sqrt((own.wander * time_s) ** 2 + SWITCH_SD_S**2 + own.second_s**2 / 12)
    return math.log2(1 + sd / time_s)
