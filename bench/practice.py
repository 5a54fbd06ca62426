"""A practitioner's season, and who makes it: one box after the other, the doubts and the latitude of the tables as they stand.

The truth is drawn from the tool's own beliefs, the scales by which people differ and the slips included ("assumed"); or from
a world that differs in one thing that the tool is not told of.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from typing import Any, Protocol

import players
from players import Made, Place
from world import DEVELOPERS, LIGHTS, MOST_SHEETS, WAY, Outcome, Setting, Sitting, World, begun_log2_s, nearest_word

from firstsheet import tables
from firstsheet.acts import learn
from firstsheet.acts.expose import expose, keep
from firstsheet.acts.judge import judge
from firstsheet.acts.plan import as_body, plan
from firstsheet.acts.wish import say
from firstsheet.belief.decide import Stakes, bracket
from firstsheet.belief.effects import Effect
from firstsheet.belief.evidence import KEEPER_EDGE_SD, KEPT_ANYWAY, SLIP
from firstsheet.belief.whole import BOX_SCALE, DEVBOX_SCALE, RETRY_SCALE
from firstsheet.exposure import hand
from firstsheet.paper import reciprocity
from firstsheet.paper.response import sense

SITTINGS = 30
PER_BOX = 15  # sittings that a box lasts: some twenty sheets
SAME_AGAIN = 0.6  # chance that the next sitting has the developer and the light of the last
LATITUDE = 0.5  # the stricter of the tables' [stop]
WORLDS = ("assumed", "misjudging", "swapped box", "tiring bath", "drifting meter")
MISJUDGED, TAIL = 0.06, 3  # words said of anything; degrees of freedom of the eye's error
TIRING = 0.05  # more light wanted from one sitting to the next [stop]
DRIFTING = 0.03  # the meter, from one sitting to the next [stop]
STRIP_SHEETS, WEDGE_SHEETS = 0.25, 0.125
WEDGE_SD = math.hypot(0.10, 0.10)  # the mid-tone of a wedge read step by step, and its lux on the board [stop]


class Practice(World):
    """One practitioner's hidden truth."""

    def __init__(self, seed: int, world: str) -> None:
        self.scales = {
            kind: centre * math.exp(sd * Random(f"{seed}/scale/{kind}").gauss(0.0, 1.0))
            for kind, (centre, sd) in (("box", BOX_SCALE), ("devbox", DEVBOX_SCALE), ("retry", RETRY_SCALE))
        }
        table = float(tables.load("ways")["retry_sd"])
        retry = table * self.scales["retry"]
        super().__init__(seed, Setting("practice", retry, LATITUDE, table), "one after the other", SITTINGS, "tables")
        self.differs = world

    def sittings(self) -> list[Sitting]:
        rng = Random(f"{self.seed}/sittings")
        out: list[Sitting] = []
        developer, light = rng.choice(DEVELOPERS), rng.choice(LIGHTS)
        for i in range(self.count):
            if rng.random() >= SAME_AGAIN:
                developer, light = rng.choice(DEVELOPERS), rng.choice(LIGHTS)
            box = "A" if i < PER_BOX or self.differs == "swapped box" else "B"
            out.append(Sitting(i, box, developer, light, f"EV {rng.uniform(10.0, 12.5):.1f}"))
        return out

    def of(self, e: Effect, sitting: Sitting) -> float:
        """The true size of one effect at this sitting [stop]."""
        kind = e.key.partition(":")[0]
        key = f"reading:{sitting.number}" if kind == "reading" else e.key
        if self.differs == "swapped box" and kind in ("box", "devbox") and sitting.number >= PER_BOX:
            key += "/another"
        more = DRIFTING * sitting.number if kind == "meter" and self.differs == "drifting meter" else 0.0
        return e.mean + self.scales.get(kind, 1.0) * e.sd * self._normal(key) + more

    def right_log2_s(self, sitting: Sitting, nominal_log2_s: float, shared: list[Effect]) -> float:
        metered, r = nominal_log2_s, 0.0
        for e in shared:
            if e.key.startswith("recip:"):
                r = max(0.0, self.of(e, sitting))
            else:
                metered += e.coefficient * self.of(e, sitting)
        if self.differs == "tiring bath":
            metered += TIRING * sitting.number
        return math.log2(reciprocity.corrected_s(2.0**metered, r))

    def eye(self, at: str, off: float) -> float:
        """What an eye adds to how far off a tone is [stop]."""
        sd = max(0.25, 0.2 * abs(off))
        z = self._normal(f"eye/{at}")
        if self.differs == "misjudging":
            chi2 = sum(self._normal(f"tail/{i}/{at}") ** 2 for i in range(TAIL))
            z *= math.sqrt(TAIL / chi2)
        return sd * z

    def slip(self, at: str) -> bool:
        return Random(f"{self.seed}/slip/{at}").random() < (MISJUDGED if self.differs == "misjudging" else SLIP)

    def outcome(self, sitting: Sitting, sheet: int, given_s: float, right_log2_s: float, how: str = "") -> Outcome:
        at = f"{sitting.number}/{sheet}{how}"
        error = math.log2(given_s) - right_log2_s + self.setting.retry_sd * self._normal(f"retry/{at}")
        error += hand.giving(given_s, "cap", ()).sd_stops * self._normal(f"hand/{at}")
        kept = abs(error) + KEEPER_EDGE_SD * self._normal(f"edge/{at}") <= LATITUDE
        if Random(f"{self.seed}/kept/{at}").random() < KEPT_ANYWAY:
            kept = Random(f"{self.seed}/kept anyway/{at}").random() < 0.5
        if self.slip(at):
            return Outcome(error, kept, Random(f"{self.seed}/word/{at}").choice(list(tables.load("seen"))))
        return Outcome(error, kept, nearest_word(sense(WAY) * (error + self.eye(at, error))))

    def strip(self, sitting: Sitting, times_s: list[float], right_log2_s: float) -> float | str:
        """The step that looks right, to half a step; or, where none does, the word for the whole strip."""
        at = f"{sitting.number}/strip"
        pace = math.log2(times_s[1] / times_s[0])
        need = right_log2_s - math.log2(times_s[0]) - self.setting.retry_sd * self._normal(f"retry/{at}")
        step = 1.0 + (need + self.eye(at, 0.0)) / pace
        if self.slip(at):
            step = 0.5 + 4.0 * Random(f"{self.seed}/word/{at}").random()
        if not 0.5 <= step <= len(times_s) + 0.5:
            middle = 0.5 * math.log2(times_s[0] * times_s[-1])
            return nearest_word(sense(WAY) * (middle - right_log2_s + self.eye(f"{at}/whole", middle - right_log2_s)))
        return round(2.0 * step) / 2.0


Look = tuple[float, str, bool]  # given [s], the word, kept


@dataclass(frozen=True, slots=True)
class Tried:
    """A strip or a wedge: the sitting, and its share of a sheet."""

    sitting: int
    sheets: float
    how: str


class Tool(Protocol):
    """What makes plans, gives advice and learns: through a book and its acts, or without one."""

    def plan(self, s: Sitting, advised: bool) -> tuple[dict[str, Any], str]: ...
    def judged(self, p: dict[str, Any], looks: Sequence[Look]) -> None: ...
    def strip(self, p: dict[str, Any], seen: float | str) -> None: ...
    def wedge(self, name: str, body: dict[str, Any]) -> None: ...


class ThroughBook:
    """The acts that a person uses, on a book in memory."""

    def __init__(self) -> None:
        self.book = players.a_book()
        self.at = -1

    def plan(self, s: Sitting, advised: bool) -> tuple[dict[str, Any], str]:
        if s.number != self.at:
            say(self.book, {"box": s.box, "developer": s.developer, "light": s.light, "reading": s.reading, "subject": "3 m",
                            "way": WAY, "sitter": f"crew {s.number}"})  # fmt: skip
            self.at = s.number
        p = plan(self.book)
        return as_body(p), p.advice.options[0].key if advised else "expose"

    def judged(self, p: dict[str, Any], looks: Sequence[Look]) -> None:
        kept = [keep(self.book).code for _ in looks]
        for code, (given, seen, is_kept) in zip(kept, looks, strict=True):
            expose(self.book, code, {"given": f"{given:.2f} s"} if given != p["time_s"] else None)
            judge(self.book, code, {"border": "white", "seen": seen, "kept": "yes" if is_kept else "no"})

    def strip(self, p: dict[str, Any], seen: float | str) -> None:
        code = keep(self.book, strip=True).code
        expose(self.book, code)
        said = {"seen": seen} if isinstance(seen, str) else {"step": f"{seen:g}"}
        judge(self.book, code, {"border": "white", **said})

    def wedge(self, name: str, body: dict[str, Any]) -> None:
        self.book.add_thing("comparison", name, body)
        with self.book.begin():
            learn.refit(self.book)


def play(world: Practice, follows: bool, tool: Tool) -> tuple[list[Made], list[Tried], list[Place]]:
    """A season; follows: what is advised is done, a strip and a wedge at most once for a sitter, else every sheet is exposed at once."""
    made: list[Made] = []
    tried: list[Tried] = []
    places: list[Place] = []
    for s in world.sittings():
        n, kept = 0, False
        while not kept and n < MOST_SHEETS:
            p, advised = tool.plan(s, follows)
            shared = [Effect.from_json(e) for e in p["shared"]]
            if len(places) <= s.number:
                begun = begun_log2_s(p["nominal_log2_s"], shared)
                right = world.right_log2_s(s, p["nominal_log2_s"], shared)
                places.append(Place(s, right, begun, p["nominal_log2_s"], shared))
            right = places[-1].right
            if advised in ("strip", "wedge") and not any(t.sitting == s.number and t.how == advised for t in tried):
                if advised == "strip":
                    tool.strip(p, world.strip(s, list(p["strip"]["times_s"]), right))
                else:
                    tool.wedge(f"wedge {s.number:02d}", _wedge(world, s, shared))
                tried.append(Tried(s.number, STRIP_SHEETS if advised == "strip" else WEDGE_SHEETS, advised))
                continue
            times = [p["time_s"]]
            if advised == "bracket":
                gap = bracket(p["sd_stops"], Stakes(LATITUDE, world.setting.told_retry_sd, 0.25, 1.0))[0]
                times = [round(p["time_s"] * 2.0**off, 2) for off in (-gap / 2.0, gap / 2.0)]
            outs = [world.outcome(s, n + i, t, right) for i, t in enumerate(times)]
            tool.judged(p, [(t, o.seen, o.kept) for t, o in zip(times, outs, strict=True)])
            stated = p["keeper_chance"] if len(times) == 1 else None
            made += [Made(s.number, n + i, o.error, o.kept, stated) for i, o in enumerate(outs)]
            kept = any(o.kept for o in outs)
            n += len(times)
    return made, tried, places


def _wedge(world: Practice, s: Sitting, shared: Sequence[Effect]) -> dict[str, Any]:
    """A wedge of an even tone in the camera, lux read on the board: what paper, developer and light come to together."""
    felt = [e for e in shared if e.key.startswith(("kind:", "box:", "dev:", "devbox:", "light:"))]
    felt.append(Effect("meter:board", 1.0, 0.0, 0.25, "", ""))
    noise = Random(f"{world.seed}/wedge/{s.number}").gauss(0.0, WEDGE_SD)
    stops = sum(e.coefficient * world.of(e, s) for e in felt) + noise
    if world.differs == "tiring bath":
        stops += TIRING * s.number
    return {"stops": stops, "sd": WEDGE_SD, "effects": [e.to_json() for e in felt]}
