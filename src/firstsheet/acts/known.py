"""What is known: how fast each box is, what each developer, light, meter and lens does, before and after your sheets."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet.acts import own
from firstsheet.acts.plan import known_now
from firstsheet.belief import prior
from firstsheet.belief.effects import Effect, group_of
from firstsheet.paper.response import way_of

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader


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


def _met(effects: list[Effect], keys: tuple[str, ...]) -> bool:
    return any(e.key.startswith("kind:") and e.key in keys for e in effects)


def _ei(ei: float, need_stops: float) -> float:
    return float(ei * 2.0**-need_stops)
