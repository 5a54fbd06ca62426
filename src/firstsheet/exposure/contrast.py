"""The range of a scene against the range of a paper: what each way out buys in stops, what it costs, and which to take.

A keeper here is a sheet that holds both ends: with exposure off by e, no more than the way's latitude of the scene is lost past either end of the paper. The spare room on
each side is half of what the paper has over the scene, so with S the scene's range, R the paper's and b what an option buys

    P = P(|e| ≤ (R + b − S)/2 + latitude),  e ~ N(0, sd), R + b − S normal too.

For S = R and nothing bought this is the plan's own chance of a keeper.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from firstsheet.exposure.latitude import keeper_chance
from firstsheet.refusal import Problems

NODES = 41  # places at which the room to spare is weighed
REACH = 3.5  # in standard deviations, to both sides
NEAR = 0.05  # chances so near one another count as one: then the cheaper
LOST = 0.05  # what is left to lose of a scene that fits [stop]


@dataclass(frozen=True, slots=True)
class Range:
    """Stops between the ends of a scene, or of what a paper tells apart, and their standard deviation [stop]."""

    stops: float
    sd: float


@dataclass(frozen=True, slots=True)
class Way:
    """One thing that may be done.

    buys     range gained and its doubt [stop]
    light    how much longer the exposure becomes, and its doubt [stop]
    minutes  of the evening, once, and with each sheet
    costs    money with each sheet, in the box's currency
    """

    key: str
    buys: Range
    light: Range
    minutes: float
    sheet_minutes: float
    costs: float = 0.0


@dataclass(frozen=True, slots=True)
class Weighed:
    """What became of one way: the scene's stops that find no room (0 where all do), the chance of a keeper, money per keeper where known."""

    key: str
    lost_stops: float
    keeper: float
    cost_per_keeper: float | None


def keeper(room: Range, exposure_sd: float, latitude: float) -> float:
    """P(|e| ≤ room/2 + latitude) [1], the room itself normal.

    room         the paper's range with what was bought, less the scene's [stop]; below zero it does not fit
    exposure_sd  doubt of the exposure [stop], ≥ 0
    latitude     of the way of working [stop], > 0
    """
    if room.sd <= 0:
        return _at(room.stops, exposure_sd, latitude)
    places = [REACH * (2.0 * i / (NODES - 1) - 1.0) for i in range(NODES)]
    weights = [math.exp(-0.5 * z * z) for z in places]
    each = (w * _at(room.stops + z * room.sd, exposure_sd, latitude) for z, w in zip(places, weights, strict=True))
    return sum(each) / sum(weights)


def _at(room: float, sd: float, latitude: float) -> float:
    half = 0.5 * room + latitude
    return keeper_chance(sd, half) if half > 0 else 0.0


def weigh(scene: Range, paper: Range, ways: Sequence[Way], *, exposure_sd: float, latitude: float, sheet_cost: float | None = None) -> list[Weighed]:  # fmt: skip
    """Every way weighed, in the order given. exposure_sd, latitude [stop]; sheet_cost in money.

    Refusal for a range that is none. What a way does to the light is unsure too, and adds to the exposure's doubt.
    """
    found = Problems()
    for name, r in (("scene", scene), ("paper", paper)):
        if not (math.isfinite(r.stops) and 0 < r.stops <= 20 and 0 <= r.sd <= 10):
            found.add(name, f"{r.stops:g} stops", "A range from above 0 to 20 stops.", "Read the brightest and the darkest tone that must hold detail.")  # fmt: skip
    found.raise_if_any()
    out = []
    for w in ways:
        room = Range(paper.stops + w.buys.stops - scene.stops, math.hypot(paper.sd, w.buys.sd, scene.sd))
        p = keeper(room, math.hypot(exposure_sd, w.light.sd), latitude)
        money = (sheet_cost + w.costs) / p if sheet_cost is not None and p > 0.01 else None
        out.append(Weighed(w.key, max(0.0, -room.stops), p, money))
    return out


def together(one: Way, other: Way) -> Way:
    """Two ways at once: what they buy, cost and leave in doubt adds."""
    return Way(
        f"{one.key}+{other.key}", Range(one.buys.stops + other.buys.stops, math.hypot(one.buys.sd, other.buys.sd)),
        Range(one.light.stops + other.light.stops, math.hypot(one.light.sd, other.light.sd)),
        one.minutes + other.minutes, one.sheet_minutes + other.sheet_minutes, one.costs + other.costs,
    )  # fmt: skip


def best(weighed: Sequence[Weighed], ways: Sequence[Way]) -> str:
    """Key of the way to take: of those whose chance is within 0.05 of the best, the one of fewest minutes, then of least light."""
    top = max(w.keeper for w in weighed)
    by_key = {w.key: w for w in ways}
    close = [by_key[w.key] for w in weighed if w.keeper >= top - NEAR]
    return min(close, key=lambda w: (w.minutes + w.sheet_minutes, w.light.stops, w.costs)).key
