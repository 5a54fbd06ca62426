"""What is known: how fast each box is, what each developer, light, meter and lens does, before and after your sheets."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet.acts import learn, own
from firstsheet.acts.plan import known_now
from firstsheet.belief import prior
from firstsheet.belief.effects import Effect, group_of
from firstsheet.paper.response import way_of

if TYPE_CHECKING:
    from firstsheet.acts.door import Form
    from firstsheet.acts.reader import Reader

LEAST_MOVE = 0.01  # of a box's speed, from which a sheet is named [stop]


@dataclass(frozen=True, slots=True)
class BoxKnown:
    """One box's exposure index before any of its sheets and now, each with the ends of its 90 % range [EI]."""

    box: str
    way: str
    way_words: str
    basis: str
    source: str
    ei_began: float
    ei_began_low: float
    ei_began_high: float
    ei_now: float
    ei_low: float
    ei_high: float
    moved_stops: float
    sd_began_stops: float
    sd_stops: float


@dataclass(frozen=True, slots=True)
class EffectKnown:
    """One shared effect now: stops more light that it asks for, its doubt [stop]."""

    key: str
    group: str
    words: str
    mean_stops: float
    sd_stops: float


@dataclass(frozen=True, slots=True)
class Known:
    sheets: int
    boxes: tuple[BoxKnown, ...]
    effects: tuple[EffectKnown, ...]


def known(reader: Reader) -> Known:
    """Everything the judged sheets have taught, box by box and effect by effect."""
    from firstsheet import tables

    now = known_now(reader)
    boxes = []
    for box in own.owned(reader, "box"):
        for way in tables.load("papers")[box.body["paper"]]["ways"]:
            effects = prior.speed_effects(way, box.name, box.body)
            if way != tables.load("papers")[box.body["paper"]]["ways"][0] and not _met(effects, now.keys):
                continue
            speed = prior.starting_speed(way, box.body)
            mean, variance = now.predict(effects)
            sd, began = math.sqrt(variance), math.sqrt(sum(e.sd**2 for e in effects))
            boxes.append(
                BoxKnown(
                    box.name, way, way_of(way)["words"], speed.basis, speed.source,
                    speed.ei, _ei(speed.ei, 1.645 * began), _ei(speed.ei, -1.645 * began),
                    _ei(speed.ei, mean), _ei(speed.ei, mean + 1.645 * sd), _ei(speed.ei, mean - 1.645 * sd),
                    mean, began, sd,
                )
            )  # fmt: skip
    rows = []
    for i, key in enumerate(now.keys):
        if not key.startswith(("kind:", "reading:")):
            name = key.partition(":")[2].replace("|", " with box ").replace("_", " ")
            rows.append(EffectKnown(key, group_of(key), name, now.mean[i], math.sqrt(now.cov[i][i])))
    return Known(now.observations, tuple(boxes), tuple(rows))


@dataclass(frozen=True, slots=True)
class Missed:
    """One source of past misses: its share of their mean square, 9 in 10 between low and high [1]; its size [stop]."""

    group: str
    share: float
    low: float
    high: float
    size_stops: float
    words: str


@dataclass(frozen=True, slots=True)
class MovedBy:
    """What one sheet did to a box's speed: stops slower (+) or faster (−) with it than without it [stop].

    sheet  its code; "" for a comparison of meters, a scrap or a curve, which `name` tells
    """

    sheet: str
    name: str
    stops: float
    words: str


@dataclass(frozen=True, slots=True)
class Why:
    """Every sheet that moved the speed of this box in this way of working, most first; less than 0.01 stop is left out."""

    box: str
    way: str
    mean_stops: float
    sd_stops: float
    moved: tuple[MovedBy, ...]


def misses(reader: Reader) -> tuple[Missed, ...]:
    """Where the misses came from, largest share first; nothing before two judged sheets."""
    rows = learn.observations(reader)
    if not rows:
        return ()
    import numpy as np

    from firstsheet.belief import accounts, whole

    found = accounts.misses(whole.understand(rows), np.random.default_rng(0))
    return tuple(
        Missed(s.group, s.share, s.low, s.high, s.sd_stops, f"{s.group}: {s.share:.0%}, 9 in 10 between {s.low:.0%} and {s.high:.0%}")
        for s in found
    )  # fmt: skip


def why(reader: Reader, code: str | None = None, form: Form | None = None) -> Why:
    """Why a box stands where it does: of the sheet with this code, or of the plan of this form over what was said before."""
    if code:
        planned = reader.get_sheet(code)["body"]["plan"]
        way, name = str(planned["way"]), str(planned["box"])
        body = next((b.body for b in own.owned(reader, "box") if b.name == name), {})
    else:
        from firstsheet.acts.wish import wish

        w = wish(reader, form)
        way, name, body = w.way, w.box.name, w.box.body
    effects = prior.speed_effects(way, name, body)
    mean, variance = known_now(reader).predict(effects)
    rows = learn.observations(reader)
    moved: list[MovedBy] = []
    if rows:
        from firstsheet.belief import accounts, whole

        for row, stops in accounts.moved(whole.understand(rows), effects):
            if abs(stops) >= LEAST_MOVE:
                moved.append(_moved_by(reader, row, stops))
    return Why(name, way, mean, math.sqrt(variance), tuple(moved))


def _moved_by(reader: Reader, name: str, stops: float) -> MovedBy:
    code = learn.code_of(reader, name)
    which = f"sheet {code}" if code else name
    return MovedBy(code, name, stops, f"{which}: {abs(stops):.2f} stop {'slower' if stops > 0 else 'faster'}")


def _met(effects: list[Effect], keys: tuple[str, ...]) -> bool:
    return any(e.key.startswith("kind:") and e.key in keys for e in effects)


def _ei(ei: float, need_stops: float) -> float:
    return float(ei * 2.0**-need_stops)
