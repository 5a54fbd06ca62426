"""What is known: how fast each box is, what each developer, light, meter and lens does, before and after your sheets."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet import wording
from firstsheet.acts import learn, own
from firstsheet.acts import plan as planning
from firstsheet.acts.plan import known_now
from firstsheet.acts.wish import wish
from firstsheet.belief import prior
from firstsheet.belief.effects import Effect, group_of
from firstsheet.paper.response import way_of
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.door import Form
    from firstsheet.acts.reader import Reader

LEAST_MOVE = 0.01  # from which a sheet is named [stop]
LEAST_TOLD = 0.05  # from which its size is told to a tenth [stop]


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
    """One source of past misses: its share of their mean square, 9 in 10 between low and high [1]; its size [stop].

    helps  what makes it smaller
    """

    group: str
    share: float
    low: float
    high: float
    size_stops: float
    words: str
    helps: str


@dataclass(frozen=True, slots=True)
class MovedBy:
    """What one sheet did to a number [stop]: more time or a slower box (+), less or a faster one (−), with it than without it.

    sheet      its code; "" for a comparison of meters, a scrap or a curve, which `name` tells
    without_s  the seconds of the plan without it [s]; None where the number is a box's speed
    """

    sheet: str
    name: str
    stops: float
    without_s: float | None
    words: str


@dataclass(frozen=True, slots=True)
class Why:
    """Every sheet that moved a number, most first; less than 0.01 stop is left out.

    of           "box": how fast this box is in this way of working; "plan": the seconds of the next sheet
    headline     the number in words
    wanted_s     of a plan, what the chain asks for [s]; None for a box
    mean_stops   how far all of them together have moved it from where it began [stop]; sd_stops: its doubt now
    """

    of: str
    box: str
    way: str
    headline: str
    wanted_s: float | None
    mean_stops: float
    sd_stops: float
    moved: tuple[MovedBy, ...]


HELPS = {
    "how fast this box is": "A test strip or a step wedge from this box: a quarter of a sheet tells more than a whole one.",
    "what this developer does to it": "A wedge in this developer; the same dilution, time and temperature every time.",
    "the kind of light": "Say the kind of light anew when it changes; a strip in this light tells what the meter cannot.",
    "the meter": "Compare it once with another on the same tone; read at the same place, in the same way.",
    "the lens": "Read the light on the board, where the face falls: lens and extension are then in the reading.",
    "this reading": "Read twice, just before the sheet, at the face.",
    "long exposures": "A wider stop keeps the time short; a strip at the long time tells this paper’s loss.",
    "the same settings twice": "What is left when all is known: one count for the cap, fresh bath, the same rocking.",
    "a bath that tires": "Fresh developer sooner, or a longer time by the first appearance of the image.",
}  # common practice, no source
HELPS_ELSE = "Change one thing at a time."


def misses(reader: Reader) -> tuple[Missed, ...]:
    """Where the misses came from, largest share first; nothing before two judged sheets."""
    rows = learn.observations(reader)
    if not rows:
        return ()
    import numpy as np

    from firstsheet.belief import accounts, whole

    found = accounts.misses(whole.understand(rows), np.random.default_rng(0))
    return tuple(
        Missed(s.group, s.share, s.low, s.high, s.sd_stops, f"{s.group}: {s.share:.0%}, 9 in 10 between {s.low:.0%} and {s.high:.0%}",
               HELPS.get(s.group, HELPS_ELSE))
        for s in found
    )  # fmt: skip


def why(reader: Reader, code: str | None = None, form: Form | None = None) -> Why:
    """Why a box stands where it does: of the sheet with this code, or of the plan of this form over what was said before."""
    if code:
        planned = reader.get_sheet(code)["body"]["plan"]
        return why_box(reader, str(planned["box"]), str(planned["way"]))
    w = wish(reader, form)
    return why_box(reader, w.box.name, w.way)


def why_box(reader: Reader, name: str, way: str | None = None) -> Why:
    """Why this box stands where it does, in a way of working it can go (the paper's first where none is said)."""
    from firstsheet import tables

    box = own.one(reader, "box", name)
    ways: list[str] = tables.load("papers")[box.body["paper"]]["ways"]
    if way is not None and way not in ways:
        raise Refusal.one("way", way, "One of: " + ", ".join(ways) + ".", f"They are what box {box.name} can become.")
    way = way or ways[0]
    effects = prior.speed_effects(way, box.name, box.body)
    mean, variance = known_now(reader).predict(effects)
    ei = _ei(prior.starting_speed(way, box.body).ei, mean)
    began = sum(e.coefficient * e.mean for e in effects)
    moved = _moved(reader, effects, None)
    return Why("box", box.name, way, f"EI {ei:.2g}", None, mean - began, math.sqrt(variance), moved)


def why_plan(reader: Reader, form: Form | None = None) -> Why:
    """Why the next sheet gets the seconds it gets: every sheet, comparison or scrap that moved them.

    Raises Refusal where no plan can be made yet, with everything that is missing.
    """
    w = wish(reader, form)
    now = known_now(reader)
    s = planning.chosen(reader, w, now)
    began = sum(e.coefficient * e.mean for e in s.felt)
    mean, variance = now.predict(s.felt)
    at = "under the lamp" if s.aperture is None else f"at {wording.f_number(s.aperture)}"
    moved = _moved(reader, s.felt, s.wanted_s)
    headline = f"{wording.seconds(s.wanted_s)} {at}"
    return Why("plan", w.box.name, w.way, headline, s.wanted_s, mean - began, math.sqrt(variance), moved)


def _moved(reader: Reader, effects: Sequence[Effect], wanted_s: float | None) -> tuple[MovedBy, ...]:
    rows = learn.observations(reader)
    if not rows:
        return ()
    from firstsheet.belief import accounts, whole

    found = accounts.moved(whole.understand(rows), effects)
    return tuple(_moved_by(reader, name, stops, wanted_s) for name, stops in found if abs(stops) >= LEAST_MOVE)


def _moved_by(reader: Reader, name: str, stops: float, wanted_s: float | None) -> MovedBy:
    code = learn.code_of(reader, name)
    which = f"sheet {code}" if code else _in_words(name)
    size = wording.stops(stops) if abs(stops) >= LEAST_TOLD else "less than 0.1 stop"
    if wanted_s is None:
        return MovedBy(code, name, stops, None, f"{which}: {size}, {'slower' if stops > 0 else 'faster'}")
    without = wanted_s * 2.0**-stops
    words = f"{which}: {size}, {'more' if stops > 0 else 'less'} time; without it {wording.seconds(without)}"
    return MovedBy(code, name, stops, without, words)


def _in_words(name: str) -> str:
    """The name of a comparison or scrap, with the way of working at its end in words."""
    from firstsheet import tables

    what, comma, way = name.rpartition(", ")
    found = tables.load("ways").get(way)
    return f"{what}, {found['words']}" if comma and isinstance(found, dict) else name


def _met(effects: list[Effect], keys: tuple[str, ...]) -> bool:
    return any(e.key.startswith("kind:") and e.key in keys for e in effects)


def _ei(ei: float, need_stops: float) -> float:
    return float(ei * 2.0**-need_stops)
