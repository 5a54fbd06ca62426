"""How a strip is made so that it can be read: what to put before the lens, how the cover moves, what each step then got.

A strip is read by densities only where all of it saw one even tone; a strip across a subject is judged by eye only.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from firstsheet.refusal import Problems, Refusal

Way = Literal["even tone", "opal", "lamp", "tablet", "subject"]
TABLET_STEP = 0.15  # density from step to step of a 21-step tablet, nominal [SS0514]; true ones stray, most in the dark
TABLET_FIRST = 0.05  # from memory
SQRT2 = math.sqrt(2)
MOST_FALL_STOPS = (
    3.0  # between any two readings of lux along one strip: more is no even light but a slip of the pen; ours
)
ENDS = "Both ends and the middle between them, three readings above 0 lx."

SAID: dict[Way, tuple[str, ...]] = {
    "even tone": (
        "Fill the whole field with one even tone: a matt grey card, evenly lit, out of focus, well beyond the edges.",
        "Read lux on the board where the strip lies, at its middle and both ends.",
    ),
    "opal": (
        "Lay opal glass or two sheets of tracing paper over the lens; point it at open sky or a lit white wall, never at the sun.",
        "Read lux on the board where the strip lies, at its middle and both ends: opal does not take the fall-off away.",
    ),
    "lamp": (
        "Lay the paper flat under a lamp far enough away to be even; read lux on it at its middle and both ends.",
        "The lamp's kind of light is part of the answer: paper that sees mostly blue is slower by a lamp than by day.",
    ),
    "tablet": (
        "Emulsion to emulsion under the step tablet, glass on top, one exposure under even light; nothing moves.",
        "The tablet's own densities, if known, go before the nominal 0.15 a step.",
    ),
    "subject": (
        "A strip across a subject sees another tone in every step: judge it by eye, which step looks right. It gives no curve.",
    ),
}
CAUTION = (
    "Keep the sun out of the lens: behind it, it sets fire. Lamps and their leads stay away from trays and wet hands."
)


@dataclass(frozen=True, slots=True)
class CoverMove:
    """Uncover (or cover) so that `open_steps` steps see light, then expose for `time_s` [s]."""

    open_steps: int
    time_s: float


@dataclass(frozen=True, slots=True)
class StripPlan:
    """exposures_lxs   what each step gets, least first [lx·s], fall-off divided out as measured
    log_steps   log10 of one exposure over the one before
    moves       the cover's schedule, in order; empty for a tablet
    readable    False where the strip is for the eye only
    """

    way: Way
    exposures_lxs: tuple[float, ...]
    log_steps: tuple[float, ...]
    moves: tuple[CoverMove, ...]
    said: tuple[str, ...]
    readable: bool


def plan_strip(
    way: Way, *, steps: int, factor: float = SQRT2, first_s: float = 1.0, lux: tuple[float, ...] | None = None
) -> StripPlan:
    """Schedule and exposures of a strip made by uncovering less and less.

    steps     3 … 40
    factor    of exposure from step to step: √2 or 2 by custom; above 1, up to 4
    first_s   the least exposed step's time [s]
    lux       on the board along the strip: one reading for all, or one for each step, least exposed first [lx].
              None: exposures are given relative to 1 lx
    """
    found = Problems()
    if way not in SAID:
        found.add("way", way, "One of: " + ", ".join(SAID) + ".")
    if not 3 <= steps <= 40:
        found.add(
            "steps", steps, "From 3 to 40.", "Seven steps of a stop, or thirteen of half a stop, span most papers."
        )
    if not 1 < factor <= 4:
        found.add("factor", factor, "Above 1, up to 4.", "Half a stop is 1.414, a stop is 2.")
    if not 0 < first_s < 1e6:
        found.add("first_s", first_s, "A time above nothing.")
    if lux is not None and (len(lux) not in (1, steps) or not all(0 < v < 1e7 for v in lux)):
        found.add(
            "lux",
            _listed(lux),
            f"One reading, three (both ends and the middle between them), or {steps}; each above 0 lx.",
            "Read the meter on the board, the least exposed end first.",
        )
    found.raise_if_any()
    if way == "tablet":
        return tablet_strip(first_s, (lux or (1.0,))[0], [TABLET_FIRST + TABLET_STEP * k for k in range(steps)])
    level = list(lux or (1.0,))
    level = level * steps if len(level) == 1 else level
    total = [first_s * factor**k for k in range(steps)]
    exposures = [t * e for t, e in zip(total, level, strict=True)]
    _refuse_uneven(level)
    if any(b <= a for a, b in itertools.pairwise(exposures)):
        raise Refusal.one(
            "lux", _listed(level), "Lux by which every step gets more than the one before.",
            "The light falls off faster than the steps rise: a larger factor, or the least exposed end where it is dimmest.",
        )  # fmt: skip
    moves = [CoverMove(steps, first_s)] + [CoverMove(steps - k, total[k] - total[k - 1]) for k in range(1, steps)]
    return _plan(way, exposures, tuple(moves))


def tablet_strip(time_s: float, lux: float, densities: list[float]) -> StripPlan:
    """Contact print of a step tablet: H = E·t·10^−D, densest step first. Transmission densities [density]."""
    if len(densities) < 3 or any(not 0 <= d <= 6 for d in densities):
        raise Refusal.one("densities", densities, "Three or more, each 0 to 6.", "They stand on the tablet's sheet.")
    return _plan("tablet", sorted(time_s * lux * 10**-d for d in densities), ())


def steps_between(lux_ends: tuple[float, float, float], steps: int) -> tuple[float, ...]:
    """Lux at every step's middle from readings at one end, the middle and the other end: log-quadratic through them [lx]."""
    if any(not 0 < v < 1e7 for v in lux_ends):
        raise Refusal.one("lux", _listed(lux_ends), ENDS)
    _refuse_uneven(lux_ends)
    a, b, c = (math.log(v) for v in lux_ends)
    out = []
    for k in range(steps):
        t = 2 * (k + 0.5) / steps - 1  # −1 … 1 from end to end
        out.append(math.exp(b + t * (c - a) / 2 + t * t * ((a + c) / 2 - b)))
    return tuple(out)


def _refuse_uneven(lux: Sequence[float]) -> None:
    if math.log2(max(lux) / min(lux)) > MOST_FALL_STOPS:
        allowed = f"Readings along one strip within {MOST_FALL_STOPS:g} stops of each other."
        raise Refusal.one(
            "lux", _listed(lux), allowed, "Read again; light so uneven is no even tone: move the lamp away."
        )


def _listed(lux: Sequence[float]) -> str:
    return " ".join(f"{v:g}" for v in lux)


def _plan(way: Way, exposures: list[float], moves: tuple[CoverMove, ...]) -> StripPlan:
    logs = tuple(math.log10(b / a) for a, b in itertools.pairwise(exposures))
    return StripPlan(way, tuple(exposures), logs, moves, (*SAID[way], CAUTION), way != "subject")
