"""Before the box opens: what to see to for this sheet, what was ticked, and what tests of lamps and room say of its run. It tells; it blocks nothing."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet.acts import at_trays, lamptest, leaktest, own
from firstsheet.acts import sheet as sheets
from firstsheet.acts.door import Door, Form
from firstsheet.refusal import Refusal
from firstsheet.trays import readiness, safelight

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

KIND = "readied"


@dataclass(frozen=True, slots=True)
class Asked:
    """One thing to see to; `so` is None where nothing was said yet."""

    key: str
    words: str
    why: str
    otherwise: str
    so: bool | None


@dataclass(frozen=True, slots=True)
class Found:
    """A sentence from the tests, and whether all is well."""

    words: str
    well: bool


@dataclass(frozen=True, slots=True)
class Ready:
    """wall: when it was last said, None for never; red_s, out_s: this run's paper under a red lamp, and out of its box [s]."""

    code: str
    way_words: str
    light: str
    red_s: float
    out_s: float
    tests: tuple[Found, ...]
    items: tuple[Asked, ...]
    left: int
    wall: str | None
    begun: bool
    first: str


def of_sheet(reader: Reader, code: str) -> Ready:
    """The list of this sheet as it stands. Refusal for a code that is not in the book."""
    now = sheets.sheet(reader, code)
    made = at_trays.unstretched(reader, code)
    with suppress(Refusal):  # a bath too cold to be timed: the run says so; the list is asked all the same
        made = at_trays.process(reader, code)
    exposure = float(now.given_s if now.given_s is not None else now.plan["time_s"])
    red, out = safelight.red_s(made, exposure), safelight.out_of_box_s(made, exposure)
    last: dict[str, Any] | None = next((m for m in reversed(now.marks) if m["kind"] == KIND), None)
    said = last["body"] if last else None
    asked = tuple(
        Asked(i.key, i.words, i.why, i.otherwise, None if said is None else i.key in said["so"])
        for i in readiness.items(made)
    )
    box = own.one(reader, "box", now.plan["box"])
    paper = str(box.body["paper"])
    light = "none" if red == 0 else "red"
    found = [("No lamp and no screen for this paper: it sees all colours [K-4].", True)] if light == "none" else lamptest.standing(reader, paper, red)  # fmt: skip
    found += leaktest.standing(reader, now.plan["camera"], paper, out)
    return Ready(now.code, now.plan["way_words"], light, red, out, tuple(Found(*f) for f in found), asked, sum(i.so is not True for i in asked),
                 last["wall"] if last else None, any(m["kind"] == "begun" for m in now.marks), FIRST)  # fmt: skip


FIRST = "If anything happens: white light on first, then out. The sheet is worth less."


def say(book: Book, code: str, form: Form | None = None) -> Ready:
    """Keep which things were seen to. Field: so: “all”, “all but gloves, air”, “none”, or the keys that are so, commas between.

    What is not named is not so. It may be said again; the last time counts. Refusal once the run has begun.
    """
    d = Door(form)
    now = of_sheet(book, code)
    keys = [i.key for i in now.items]
    so = d.must("so", lambda t: _so(t, keys), "Which are so.", "Try “all”, or “all but gloves”.")
    d.close()
    if now.begun:
        raise Refusal.one("sheet", now.code, "A sheet whose run has not begun.", "What was seen to before it stays as it was said.")  # fmt: skip
    so = so or []
    row = book.get_sheet(now.code)
    sheets.mark(book, row, KIND, {"so": so, "not": [k for k in keys if k not in so]})
    return of_sheet(book, now.code)


def _so(text: str, keys: list[str]) -> list[str]:
    plain = " ".join(text.lower().split())
    if plain == "none":
        return []
    named_not = plain.removeprefix("all but ") if plain.startswith("all but ") else ""
    named = [p.strip().replace(" ", "_").replace("-", "_") for p in (named_not or plain).split(",") if p.strip()]
    if plain == "all":
        return keys
    wrong = [n for n in named if n not in keys]
    if wrong:
        raise Refusal.one("", ", ".join(wrong), "“all”, “none”, “all but …”, or of: " + ", ".join(keys) + ".", "Name them as they stand here.")  # fmt: skip
    return [k for k in keys if (k not in named) == bool(named_not)]


def in_short(reader: Reader, code: str) -> list[str]:
    """What the page of a run says before it begins: what is left to see to, and what the tests say."""
    now = of_sheet(reader, code)
    left = f"{now.left} of {len(now.items)} things before the box opens are not ticked." if now.left else "Everything before the box opens was ticked."  # fmt: skip
    return [left, *(f.words for f in now.tests if not f.well), *(f.words for f in now.tests if f.well)]
