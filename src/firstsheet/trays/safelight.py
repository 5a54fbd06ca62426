"""How long paper may lie under a lamp, or out of its box: cover steps at doubling times, and what a comparison of them allows.

Pure: no clock, no book. The published test [K-4] gives a sheet steps of light both before and after a flash to a light grey, and the
longest step without a visible difference on either is the limit. Paper that was never flashed hides what a lamp does: that part alone
passes nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from firstsheet.refusal import Refusal
from firstsheet.tables import load
from firstsheet.trays.process import Process

MARGIN = 0.5  # of the longest time without a difference; common practice, no source: lamps, filters and eyes differ from day to day
FIRST_S = 60.0  # the first step of [K-4]: 1, 3 and 7 min, which is 1, 2 and 4 min more each time
LEAST_STEPS, MOST_STEPS = 3, 7
GREY_D = 0.35  # above base+fog: the middle of the 0.25 to 0.50 that [K-4] asks for
REPEAT_DAYS = 182  # common practice, no source: twice a year, and whenever lamp, filter, distance or paper change
LONGEST_S = 4 * 3600.0


def openings(needed_s: float) -> tuple[float, ...]:
    """How long each of the doubling openings lasts [s], so that half of all of them is at least `needed_s` [s], where seven reach that far.

    After each one the next part of the strip is covered. ValueError for a time that is not above 0.

    >>> openings(200.0)
    (60.0, 120.0, 240.0)
    """
    if not 0 < needed_s < math.inf:
        raise ValueError(f"not a time above 0 s: {needed_s!r}")
    count = math.ceil(math.log2(needed_s / MARGIN / FIRST_S + 1) - 1e-9)
    return tuple(FIRST_S * 2**i for i in range(min(MOST_STEPS, max(LEAST_STEPS, count))))


def totals(each_s: Sequence[float]) -> tuple[float, ...]:
    """What each part has had when it is covered [s].

    >>> totals((60.0, 120.0, 240.0))
    (60.0, 180.0, 420.0)
    """
    return tuple(math.fsum(each_s[: i + 1]) for i in range(len(each_s)))


def limit_s(tested_s: Sequence[float], first_seen_s: float | None) -> float:
    """The longest tested time that shows no difference [s]; 0 where the shortest shows one already.

    first_seen_s  the shortest time at which a difference was seen [s]; None for none. A longer step that looks clean again is not believed
    """
    return max((t for t in tested_s if first_seen_s is None or t < first_seen_s), default=0.0)


def both_limit_s(tested_s: Sequence[float], before_s: float | None, after_s: float | None) -> float:
    """The limit of the whole test [s]: the lesser of lamp before the flash and lamp after it [K-4]."""
    return min(limit_s(tested_s, before_s), limit_s(tested_s, after_s))


def safe_s(longest_clean_s: float) -> float:
    """What is called safe [s]: half of the longest time without a visible difference."""
    return MARGIN * longest_clean_s


def lay_s(needed_s: float) -> float:
    """How long scraps of a leak test lie [s], whole minutes, so that half of it covers `needed_s` [s]. Refusal beyond four hours."""
    asked = 60.0 * math.ceil(needed_s / MARGIN / 60.0 - 1e-9)
    if not 0 < asked <= LONGEST_S:
        raise Refusal.one("needed", f"{needed_s:g} s", "Above 0 and at most two hours out of the box.", "Plan a shorter exposure, or load at the last moment.")  # fmt: skip
    return asked


def loading_s() -> tuple[float, float]:
    """Box open to sheet on the board, and board to the first tray [s]."""
    several = load("processes")["several"]
    return float(several["mount"]["seconds"]), float(several["carry"]["seconds"])


def red_s(process: Process, exposure_s: float) -> float:
    """How long this run's paper is under the red lamp [s]: loading, its exposure beside the lamp, carrying, and every step of it that allows
    no more than red, drains included; 0 for paper that bears none."""
    if any(s.light == "none" for s in process.steps):
        return 0.0
    return sum(loading_s()) + exposure_s + sum(s.seconds + s.drain_s for s in process.steps if s.light == "red")


def out_of_box_s(process: Process, exposure_s: float) -> float:
    """How long a sheet can be fogged by the room [s]: loading, exposure, carrying, and every step until white light is allowed."""
    return sum(loading_s()) + exposure_s + sum(s.seconds + s.drain_s for s in process.steps if s.light != "white")
