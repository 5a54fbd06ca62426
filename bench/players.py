"""Who photographs the season: the tool through its acts, and the yardsticks."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from world import BOXES, DEVELOPERS, MOST_SHEETS, WAY, Outcome, Sitting, World, begun_log2_s

from firstsheet import tables
from firstsheet.acts import own
from firstsheet.acts.expose import expose, keep
from firstsheet.acts.judge import judge
from firstsheet.acts.wish import say
from firstsheet.belief.effects import Effect
from firstsheet.book.store import Book
from firstsheet.exposure.hand import giving
from firstsheet.paper import reciprocity
from firstsheet.paper.response import need_from_tone

NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Made:
    """One sheet as made: sitting, which of the sitting's sheets, error [stop], kept, the keeper chance stated (tool only)."""

    sitting: int
    sheet: int
    error: float
    kept: bool
    stated: float | None = None


@dataclass(frozen=True, slots=True)
class Place:
    """What a sitting asks of everybody: the right time and the time the tables begin with [log2 s], the plan's own effects."""

    sitting: Sitting
    right: float
    begun: float
    nominal: float
    shared: list[Effect]


def describe(book: Book) -> None:
    """What the practitioner owns."""
    own.add_camera(book, {"name": "boathouse", "focal": "600 mm", "f_number": "f/32", "coverage": "60°", "board_min": "610 mm",
                          "board_max": "1200 mm", "length": "2.4 m", "width": "2 m", "height": "2.2 m"})  # fmt: skip
    for name in BOXES:
        own.add_box(book, {"name": name, "paper": "enlarging", "size": "12x16 in", "sheets": "1000"})
    for name, kind in zip(DEVELOPERS, ("paper", "coffee"), strict=True):
        own.add_developer(book, {"name": name, "kind": kind})
    own.add_meter(book, {"name": "my meter", "kind": "hand"})


def a_book() -> Book:
    book = Book.open(memory=True, now=lambda: NOON)
    describe(book)
    return book


def play_tool(world: World, shutter: str = "cap") -> tuple[list[Made], list[Place]]:
    """The whole season through the acts a person uses; also what each sitting asked, for the yardsticks."""
    made: list[Made] = []
    places: list[Place] = []
    with a_book() as book:
        for s in world.sittings():
            form = {"box": s.box, "developer": s.developer, "light": s.light, "reading": s.reading, "subject": "3 m",
                    "way": WAY, "sitter": f"crew {s.number}"}  # fmt: skip
            say(book, form)
            for n in range(MOST_SHEETS):
                p = keep(book)
                shared = [Effect.from_json(e) for e in p.plan["shared"]]
                if n == 0:
                    right = world.right_log2_s(s, p.plan["nominal_log2_s"], shared)
                    nominal = p.plan["nominal_log2_s"]
                    places.append(Place(s, right, begun_log2_s(nominal, shared), nominal, shared))
                expose(book, p.code)
                out = world.outcome(s, n, p.plan["time_s"], places[-1].right)
                judge(book, p.code, {"border": "white", "seen": out.seen, "kept": "yes" if out.kept else "no"})
                made.append(Made(s.number, n, out.error, out.kept, p.plan["keeper_chance"]))
                if out.kept:
                    break
    return made, places


def _try(world: World, place: Place, n: int, log2_s: float, made: list[Made]) -> tuple[Outcome, float]:
    """One sheet at that time, rounded as a hand gives it: its outcome, and the time really given [log2 s]."""
    given = giving(2.0**log2_s, "cap", ()).time_s
    out = world.outcome(place.sitting, n, given, place.right)
    made.append(Made(place.sitting.number, n, out.error, out.kept))
    return out, math.log2(given)


def _seen_need(word: str) -> float:
    return need_from_tone(WAY, float(tables.load("seen")[word]["tone"]))


def play_halving(world: World, places: list[Place]) -> list[Made]:
    """Box speed each time; then a stop in the direction seen, half as much after each reversal, a quarter …"""
    made: list[Made] = []
    for place in places:
        at, pace, last = place.begun, 1.0, 0.0
        for n in range(MOST_SHEETS):
            out, given = _try(world, place, n, at, made)
            if out.kept:
                break
            need = _seen_need(out.seen)
            direction = math.copysign(1.0, need) if need else 0.0
            if direction * last < 0:
                pace /= 2.0
            last = direction or last
            at = given + direction * pace
    return made


def play_carrying(world: World, places: list[Place], per_box: bool) -> list[Made]:
    """The last correction in stops is carried to the next sheet, whatever changed; or one is kept for each box."""
    made: list[Made] = []
    corrections: dict[str, float] = {}
    for place in places:
        box = place.sitting.box if per_box else ""
        for n in range(MOST_SHEETS):
            out, given = _try(world, place, n, place.begun + corrections.get(box, 0.0), made)
            corrections[box] = given - place.begun + _seen_need(out.seen)
            if out.kept:
                break
    return made


def play_measuring(world: World, places: list[Place]) -> list[Made]:
    """The tool's beliefs with an instrument for an eye: each sheet's error is known exactly, retry and hand noise in it.

    What judging could bring at the very best: nobody who begins with these priors can learn faster.
    """
    from firstsheet.acts import learn
    from firstsheet.belief.posterior import condition

    made: list[Made] = []
    seen = []
    for place in places:
        bare = [e for e in place.shared if not e.key.startswith(("recip:", "reading:"))]
        reading = next(e for e in place.shared if e.key.startswith("reading:"))
        bare.append(replace(reading, key=f"reading:{place.sitting.number}"))
        recip = next(e for e in place.shared if e.key.startswith("recip:"))
        for n in range(MOST_SHEETS):
            known = condition(seen)
            metered = place.nominal + known.predict(bare)[0]
            r = max(0.0, known.predict([replace(recip, coefficient=1.0)])[0])
            wanted = reciprocity.corrected_s(2.0**metered, r)
            out, given = _try(world, place, n, math.log2(wanted), made)
            lever = replace(recip, coefficient=max(0.0, metered))
            plan = {"wanted_s": wanted, "nominal_log2_s": place.nominal, "aperture": None, "way": WAY, "sd_stops": 1.0,
                    "shared": [e.to_json() for e in (*bare, lever)]}  # fmt: skip
            body = learn.evidence(plan, 2.0**given, None, (-out.error, 0.01), ("cap", ()))
            seen.append(learn.observation(str(len(seen)), body))
            if out.kept:
                break
    return made


def play_oracle(world: World, places: list[Place]) -> list[Made]:
    """Knows everything but the noise."""
    made: list[Made] = []
    for place in places:
        for n in range(MOST_SHEETS):
            out, _ = _try(world, place, n, place.right, made)
            if out.kept:
                break
    return made
