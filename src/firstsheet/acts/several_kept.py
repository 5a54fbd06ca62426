"""Several sheets kept in the book: begun once, every mark kept once, planned anew from the marks whenever it is looked at.

An evening is a thing of the book, and so is each of its marks: what is written stays, a mark that is taken back is a newer word on it.
Times count from the book's clock as it stood when all began, so that a page loaded anew or a book opened again goes on where it was.
"""

from __future__ import annotations

import math
import secrets
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from firstsheet.acts import several, several_asked
from firstsheet.acts.door import Door, Form
from firstsheet.acts.several_words import clock
from firstsheet.refusal import Refusal
from firstsheet.trays.several import Mark
from firstsheet.trays.several_chain import chain

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader, Row
    from firstsheet.book.store import Book

KIND = "several"
LONGEST_ID = 64


@dataclass(frozen=True, slots=True)
class Evening:
    """One that was begun: its number, the moment, what was asked for, how many marks it has."""

    number: int
    begun: str
    sheets: str
    marks: int


def new_id() -> str:
    """A name for a mark, made before it is sent: sent twice, it is kept once."""
    return secrets.token_hex(8)


def begin(book: Book, form: Form | None = None) -> several.SeveralPlan:
    """Keep what `several.plan` was asked for; times count from now. Field besides its own, but without done and now: id, so that what is
    sent twice begins once. Refusal with every problem."""
    fields = {k: v for k, v in dict(form or {}).items() if v is not None}
    d = Door({"id": fields.pop("id", None)})
    name = d.read("id", _an_id) or new_id()
    for key in ("done", "now"):
        if fields.pop(key, None) is not None:
            d.problems.add(key, "", "Nothing: times count from now.", "Mark what is begun afterwards, with its time.")
    try:
        several_asked.read(book, fields)
    except Refusal as refusal:
        d.problems.found.extend(refusal.problems)
    d.close()
    with book.begin():
        there = book.current(KIND, name)
        if there is None:
            several.plan(book, fields)
            body = {
                "form": {k: str(v) for k, v in fields.items()},
                "begun": book.now().isoformat(timespec="milliseconds"),
            }
            book.add_thing(KIND, name, body)
            there = book.current(KIND, name)
    assert there is not None
    return plan(book, int(there["id"]))


def evenings(reader: Reader) -> tuple[Evening, ...]:
    """All that were begun, newest first."""
    rows = sorted(reader.things(KIND), key=lambda t: -int(t["id"]))
    return tuple(
        Evening(
            int(t["id"]),
            t["body"]["begun"],
            str(t["body"]["form"].get("sheets", "")),
            len(_marks(reader, int(t["id"]))),
        )
        for t in rows
    )


def plan(reader: Reader, number: int | None = None) -> several.SeveralPlan:
    """The plan of an evening from its marks and the moment on; the newest where no number is said. Refusal "missing"."""
    row = _row(reader, number)
    asked, marks = _asked(reader, row)
    told = several.told(asked)
    return replace(told, number=int(row["id"]), marks=tuple(several.MarkOf(m["name"], *_of(m)) for m in marks))


def mark(book: Book, number: int | None, form: Form | None = None) -> several.SeveralPlan:
    """Keep that stretches were begun, all or none. Fields: begin (“1 compose”, “1 compose 2:05”; several with ; between; without a time: now),
    id (made beforehand: sent twice it is kept once, and the first telling counts). Refusal for what is not next for its sheet."""
    row = _row(book, number)
    d = Door(form)
    said = (
        d.must("begin", several_asked.begun_now, "A sheet and what was begun.", "Try “1 compose”, or “1 compose 2:05”.")
        or []
    )
    base = d.read("id", _an_id) or new_id()
    d.close()
    with book.begin():
        now_s = max(_since(book, row), *(m.at_s for m in _kept(book, row)), 0)
        known = {m["name"] for m in book.things(_marks_kind(row))}
        fresh = []
        for n, (sheet, key, at) in enumerate(said):
            client_id = base if n == 0 else f"{base}.{n}"
            if client_id not in known:
                fresh.append((client_id, Mark(sheet, key, now_s if at is None else at)))
        if fresh:
            asked = several_asked.read_kept(
                book, row["body"]["form"], [*_kept(book, row), *(m for _, m in fresh)], now_s, row["body"]["begun"]
            )
            several.told(asked)  # refused here: nothing is kept
            for client_id, m in fresh:
                book.add_thing(_marks_kind(row), client_id, {"sheet": m.sheet, "key": m.key, "at_s": m.at_s, **_through(asked, m)})
    return plan(book, int(row["id"]))


def take_back(book: Book, number: int | None, client_id: str | None = None) -> several.SeveralPlan:
    """Take the last mark back, or the one of that id if it is the last of its sheet; taken back already, nothing happens."""
    row = _row(book, number)
    with book.begin():
        every = {m["name"]: m for m in book.things(_marks_kind(row))}
        marks = _marks(book, int(row["id"]))
        if client_id is None and not marks:
            raise Refusal.one("mark", "", "A mark of this evening.", "Nothing is begun yet.", "missing")
        one = every.get(client_id) if client_id is not None else marks[-1]
        if one is None:
            raise Refusal.one("mark", client_id, "A mark of this evening.", "Look at it again.", "missing")
        if not one["body"].get("taken_back"):
            last = [m for m in marks if m["body"]["sheet"] == one["body"]["sheet"]][-1]
            if last["name"] != one["name"]:
                b = last["body"]
                raise Refusal.one("mark", f"{one['body']['sheet']} {one['body']['key']}", f"The last of its sheet: {b['key']}, {clock(b['at_s'])}.", "Take that back first.")  # fmt: skip
            book.add_thing(_marks_kind(row), one["name"], {**one["body"], "taken_back": True})
    return plan(book, int(row["id"]))


def track(reader: Reader, number: int | None = None) -> tuple[several.CueOf, ...]:
    """What is still to be heard in the one sound of an evening."""
    return several.cues(_asked(reader, _row(reader, number))[0])


def wav(reader: Reader, number: int | None = None) -> bytes:
    """The one sound of what is left of an evening (WAV)."""
    return several.sound(_asked(reader, _row(reader, number))[0])


def through(reader: Reader) -> tuple[tuple[int, datetime], ...]:
    """Sheets of the book whose last stretch was marked in an evening of several: the number of each, and when [UTC]. What is taken back
    is not among them; a sheet made only as a way of working is none of the book's."""
    return tuple(
        (int(reader.get_sheet(m["body"]["through"])["id"]), datetime.fromisoformat(row["body"]["begun"]) + timedelta(seconds=m["body"]["at_s"]))
        for row in reader.things(KIND)
        for m in _marks(reader, int(row["id"]))
        if m["body"].get("through")
    )


def _through(asked: several_asked.Asked, m: Mark) -> dict[str, str]:
    """The code of the sheet that this mark brings to its end, where it has one."""
    last = {w.name: chain(w)[-1].key for w in asked.wanted if w.name in asked.codes}
    return {"through": asked.codes[m.sheet]} if last.get(m.sheet) == m.key else {}


# ── what is in the book ──


def _row(reader: Reader, number: int | None) -> Row:
    rows = sorted(reader.things(KIND), key=lambda t: int(t["id"]))
    found = [t for t in rows if number is None or int(t["id"]) == number]
    if not found:
        have = ", ".join(str(t["id"]) for t in rows[-5:]) or "none yet"
        raise Refusal.one("evening", "" if number is None else number, f"An evening of several sheets that was begun: {have}.", "Plan one and begin it.", "missing")  # fmt: skip
    return found[-1]


def _marks_kind(row: Row) -> str:
    return f"several {row['id']}"


def _marks(reader: Reader, number: int) -> list[Row]:
    """Those that stand, in the order in which things were begun."""
    standing = [m for m in reader.things(f"several {number}") if not m["body"].get("taken_back")]
    return sorted(standing, key=lambda m: (m["body"]["at_s"], int(m["id"])))


def _of(m: Row) -> tuple[str, str, int]:
    return str(m["body"]["sheet"]), str(m["body"]["key"]), int(m["body"]["at_s"])


def _kept(reader: Reader, row: Row) -> list[Mark]:
    return [Mark(*_of(m)) for m in _marks(reader, int(row["id"]))]


def _since(reader: Reader, row: Row) -> int:
    """Whole seconds since it began [s]; 0 for a clock that was set back."""
    return max(0, math.floor((reader.now() - datetime.fromisoformat(row["body"]["begun"])).total_seconds()))


def _asked(reader: Reader, row: Row) -> tuple[several_asked.Asked, list[Row]]:
    kept = _kept(reader, row)
    now_s = max(_since(reader, row), *(m.at_s for m in kept), 0)
    return several_asked.read_kept(reader, row["body"]["form"], kept, now_s, row["body"]["begun"]), _marks(
        reader, int(row["id"])
    )


def _an_id(text: str) -> str:
    if len(text) > LONGEST_ID:
        raise Refusal.one("", text, f"At most {LONGEST_ID} signs.", "Leave it out.")
    return text


def whole(number: Any) -> int | None:
    """An evening's number as typed; None for none. Refusal."""
    if number in (None, ""):
        return None
    if not str(number).isdigit():
        raise Refusal.one("evening", number, "The number of an evening.", "Leave it out for the newest.")
    return int(number)


def one_wish(form: Form, begin: bool, mark: str | None, back: bool, evening: str | None) -> None:
    """Refuses what cannot be wished at once: to begin, mark and take back; or sheets where an evening has its own."""
    wishes = [w for w, said in (("begin", begin), ("mark", bool(mark)), ("back", back)) if said]
    if len(wishes) > 1:
        raise Refusal.one(
            wishes[1], ", ".join(wishes), "One of begin, mark and back at a time.", "Say one after another."
        )
    if form and (mark or back or evening):
        raise Refusal.one(next(iter(form)), str(next(iter(form.values()))), "Nothing beside an evening that was begun: it has its own.", "Leave it out; or begin another.")  # fmt: skip
