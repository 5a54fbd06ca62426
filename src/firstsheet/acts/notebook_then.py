"""One row of a notebook at its own moment: the book as it would have stood, the plan it would have made, what it teaches."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any, cast

from firstsheet.acts import judge, learn, reading, wish
from firstsheet.acts import plan as planning
from firstsheet.acts.answers import SheetState
from firstsheet.acts.notebook_asked import UNDATED, Row
from firstsheet.acts.pack_known import UNKNOWN
from firstsheet.belief.posterior import Observation, condition
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.acts.reader import Row as BookRow
    from firstsheet.book.store import Book

# Up to so many judged sheets each row is planned from a full refit; beyond, from one that lacks a hundredth at most.
EXACT = 200
NOT_YET = -1  # the number of a row that the book has given none


@dataclass(slots=True)
class Made:
    """A row as it will be kept: its reading under a number of its own until the book gives it one, plan, judgement."""

    row: Row
    number: str
    readings: list[reading.Kept]
    plan: dict[str, Any]
    judgement: dict[str, Any] | None


def made_of(then: Then, row: Row) -> Made | None:
    """The row planned and judged at its own moment; None where something is wrong, all of which is then told with the row."""
    then.begin(row)
    heard = False
    with row.told():
        then.say(wish.hear(then, row.plan))
        heard = True
    if not heard:
        _lacking(then, row)
        return None
    plan: dict[str, Any] = {}
    with row.told():
        answer = planning.plan(then)
        if answer.aperture is not None and "aperture" not in row.plan:
            raise Refusal.one("aperture", "", "The aperture that was set.", "Write “f/16”.")
        plan = planning.as_body(answer)
    if not plan:
        return None
    judgement = None
    if row.judgement and row.given_s:
        state = SheetState(
            f"row {row.number}", row.number, "exposed", plan, False, row.given_s, plan["aperture"], row.remark, None, (), row.when.isoformat(),
        )  # fmt: skip
        with row.told():
            judgement = judge.weighed(state, row.judgement, judge.shutter_of(then, plan)) | {"from_notebook": True}
    return None if row.problems.found else Made(row, then.number, then.readings, plan, judgement)


def _lacking(then: Then, row: Row) -> None:
    """What a row that says something unknown lacks besides, by a plan without the unknown: told with it, not when that is mended."""
    known = {p.where.split(".")[0] for p in row.problems.found}
    try:
        then.say(wish.hear(then, {k: v for k, v in row.plan.items() if k not in known}))
        planning.plan(then)
    except Refusal as refusal:
        missing = [p for p in refusal.problems if not p.asked]
        if missing:
            with row.told():
                raise Refusal(*missing) from None


class Then:
    """The book as it would have stood at a row's moment, with what the row says, and what the rows before it taught."""

    def __init__(self, reader: Reader) -> None:
        self._reader = reader
        self._owned: dict[str, list[BookRow]] = {}
        self._exposed = reader.all_marks("exposed")
        self._last = reader.sheets(limit=1)
        standing = reader.newest_posterior()
        self._standing: BookRow | None = standing
        self._evidence: list[Observation] = learn.observations(cast("Book", reader))
        self._fresh = 0
        self.when = reader.now()
        self.number = "0"
        self.readings: list[reading.Kept] = []
        self._today: dict[str, Any] = {}
        self._phrase: dict[str, Any] = {}

    def begin(self, row: Row) -> None:
        # A row whose day cannot be read is tried as of now: what else is wrong with it is told all the same.
        self.when, self.number = self._reader.now() if row.when == UNDATED else row.when, f"-{row.number}"
        self.readings, self._today, self._phrase = [], {}, {}

    def say(self, heard: wish.Heard) -> None:
        self._today = heard.today
        self.readings = heard.readings
        numbers = [int(self.number) * 1000 - i for i in range(len(heard.readings))]
        self.number = "+".join(map(str, numbers))
        self._phrase = heard.sheet | {"readings": numbers, "fresh": sorted({*heard.sheet, "readings"})}

    def learn(self, made: Made) -> None:
        """Take the row for the last sheet, and what it teaches for known."""
        judged = [{"kind": "judged"}] if made.judgement else []
        self._last = [{"id": NOT_YET, "code": f"row {made.row.number}", "body": {"plan": made.plan}, "marks": judged}]
        body = (made.judgement or {}).get("evidence")
        if body is None:
            return
        self._evidence.append(learn.observation(made.number, body))
        self._fresh += 1
        many = len(self._evidence)
        if many <= EXACT:
            self._standing = {"body": condition(self._evidence).to_json()}
        elif self._fresh * 100 >= many:
            self._standing = {"body": condition(folded(self._evidence)).to_json()}
            self._fresh = 0

    def now(self) -> datetime:
        return self.when

    def things(self, kind: str) -> list[BookRow]:
        if kind not in self._owned:
            self._owned[kind] = self._reader.things(kind)
        return self._owned[kind]

    def get_setting(self, key: str, default: Any = None) -> Any:
        # a row does not say which pack was on the lens: none is put on it, least of all today's
        return {"today": self._today, "phrase": self._phrase, UNKNOWN: True}.get(key, default)

    def get_reading(self, reading_id: int) -> BookRow:
        place = int(self.number.split("+")[0]) - reading_id
        return {"id": reading_id, "body": self.readings[place].body()}

    def last_readings(self, n: int = 10) -> list[BookRow]:
        return []

    def get_sheet(self, code: str) -> BookRow:
        return self._reader.get_sheet(code)

    def sheets(self, limit: int = 50, before: int | None = None) -> list[BookRow]:
        return self._last[:limit]

    def marks(self, sheet_id: int) -> list[BookRow]:
        return self._last[0]["marks"] if sheet_id == NOT_YET else self._reader.marks(sheet_id)

    def marks_of(self, sheet_ids: Sequence[int]) -> dict[int, list[BookRow]]:
        return {i: self.marks(i) for i in sheet_ids}

    def all_marks(self, kind: str | None = None, after: int = 0) -> list[BookRow]:
        return self._exposed if kind == "exposed" else self._reader.all_marks(kind, after)

    def newest_posterior(self) -> BookRow | None:
        return self._standing


def folded(evidence: list[Observation]) -> list[Observation]:
    """The same evidence with each reading that only one sheet has taken into that sheet's own doubt: exact, and far smaller."""
    met = Counter(e.key for o in evidence for e in o.effects)
    out = []
    for o in evidence:
        alone = [e for e in o.effects if e.key.startswith("reading:") and met[e.key] == 1]
        rest = tuple(e for e in o.effects if e not in alone)
        variance = o.sd**2 + sum((e.coefficient * e.sd) ** 2 for e in alone)
        mean = sum(e.coefficient * e.mean for e in alone)
        seen = o.seen and replace(
            o.seen, given=o.seen.given - mean, hand_sd=math.hypot(o.seen.hand_sd, math.sqrt(variance - o.sd**2))
        )
        out.append(Observation(o.stops - mean, variance**0.5, rest, o.name, seen, o.years) if rest else o)
    return out
