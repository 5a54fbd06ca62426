"""What a shutter or a hand can really give."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

HAND_SD_S = 0.15  # opening and closing a cap on a spoken count; common practice, no source
SHUTTER_SD_STOPS = 0.05  # a mechanical shutter from one release to the next; common practice, no source
SHUTTER_APART_STOPS = 0.6  # speeds a stop apart leave no time further than half a stop from one of them
PRIOR_TAPS = 2.0  # what the customary figure weighs against own taps; chosen
HAND_LEAST_S = 1.0  # below this a cap is a gamble: stop down instead; common practice, no source


@dataclass(frozen=True, slots=True)
class Giving:
    """Seconds that can be given, how far off the wanted ones they are, and how surely they are given.

    time_s     what to give [s]
    off_stops  log2(time_s / wanted) [stop]
    sd_stops   timing doubt [stop]
    how        in words
    """

    time_s: float
    off_stops: float
    sd_stops: float
    how: str


@dataclass(frozen=True, slots=True)
class Hand:
    """A hand's own timing, learned from taps.

    late_s  how much longer than counted it leaves the lens open, on the average [s]; below zero: shorter
    sd_s    from one time to the next [s]
    taps    how many it was learned from; 0 is the customary hand
    """

    late_s: float = 0.0
    sd_s: float = HAND_SD_S
    taps: int = 0


def hand_from(wanted_s: float, given_s: Sequence[float]) -> Hand:
    """A hand from the times it gave where `wanted_s` was counted [s]; at least three. The customary doubt counts as two taps."""
    errors = [g - wanted_s for g in given_s]
    n = len(errors)
    late = sum(errors) / n
    spread = sum((e - late) ** 2 for e in errors)
    sd = math.sqrt((PRIOR_TAPS * HAND_SD_S**2 + spread) / (PRIOR_TAPS + n - 1) * (1 + 1 / n))
    return Hand(late, sd, n)


def giving(wanted_s: float, shutter: str, speeds_s: Sequence[float], own: Hand = Hand()) -> Giving:
    """The nearest that this shutter ("cap", "flap", "lamp" or "shutter" with its speeds [s]) can give. Domain: wanted_s > 0.

    Shorter than its shortest speed nothing can be given; longer than its longest, a hand holds it open where that is nearer.
    """
    by_hand = _by_hand(wanted_s, shutter, own)
    if shutter == "shutter" and speeds_s:
        nearest = min(speeds_s, key=lambda s: abs(math.log2(s / wanted_s)))
        off = math.log2(nearest / wanted_s)
        by_hand_is_nearer = wanted_s > max(speeds_s) and abs(off) > math.hypot(by_hand.off_stops, by_hand.sd_stops)
        if wanted_s < min(speeds_s) or (abs(off) <= SHUTTER_APART_STOPS and not by_hand_is_nearer):
            return Giving(nearest, off, SHUTTER_SD_STOPS, "by the shutter")
    return by_hand


def _by_hand(wanted_s: float, shutter: str, own: Hand) -> Giving:
    """On a spoken count, to the fraction of a second that can be counted."""
    step = 0.1 if wanted_s < 4 else 0.5 if wanted_s < 20 else 1.0 if wanted_s < 120 else 5.0
    rounded = max(step, round(wanted_s / step) * step)
    sd = math.log2(1.0 + own.sd_s / rounded)
    how = {"flap": "by a hand flap", "lamp": "by the lamp’s switch", "shutter": "by the shutter, held open"}.get(shutter, "by lens cap")
    return Giving(rounded, math.log2(rounded / wanted_s), sd, how)


def choose_stop(seconds_at: dict[float, float], shutter: str, speeds_s: Sequence[float] = ()) -> float:
    """The widest stop whose time the shutter can give; by hand at least a second, else the smallest stop there is.

    seconds_at  time wanted at each f-number [s]; speeds_s, a mechanical shutter's, whose shortest may be half a stop too long
    """
    least = min(speeds_s) / math.sqrt(2.0) if shutter == "shutter" and speeds_s else HAND_LEAST_S
    for n in sorted(seconds_at):
        if seconds_at[n] >= least:
            return n
    return max(seconds_at)


@dataclass(frozen=True, slots=True)
class Steps:
    """How a test strip is divided: `count` steps, the finest of `paces` [stop] that reaches `reach` standard deviations to either side."""

    count: int
    paces: tuple[float, ...]
    reach: float


# A board is far and a step is covered by hand in the dark: few and coarse. Under a lamp the strip is at hand, and a print asks for fractions.
ON_BOARD = Steps(4, (0.5, 1.0), 1.0 / 0.45)
UNDER_LAMP = Steps(5, (1 / 4, 1 / 3, 1 / 2, 1.0), 1.5)


def strip_pace_stops(sd_stops: float, steps: Steps = ON_BOARD) -> float:
    """From one step of a test strip to the next [stop]; the coarsest where none reaches."""
    return next((p for p in steps.paces if steps.count / 2.0 * p >= steps.reach * sd_stops), steps.paces[-1])


def strip_reach_stops(sd_stops: float, steps: Steps = ON_BOARD) -> float:
    """How far on either side of the plan a strip still has a step within half a pace [stop]."""
    return steps.count / 2.0 * strip_pace_stops(sd_stops, steps)


def strip_times_s(centre_s: float, sd_stops: float, steps: Steps = ON_BOARD) -> tuple[float, ...]:
    """Exposure times [s] of a test strip about the plan: the whole exposure that each step gets, shortest first."""
    pace = strip_pace_stops(sd_stops, steps)
    first = -(steps.count - 1) / 2.0 * pace
    return tuple(centre_s * 2.0 ** (first + i * pace) for i in range(steps.count))
