"""What a minute of this light or of this sitter is worth, and how many more sheets are to come: the stakes of the advice."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts import notes, own
from firstsheet.acts.door import Door, Form
from firstsheet.belief import decide
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.own import Owned
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

NONE = ("none", "no", "nothing", "-")
MOST_MORE = 10_000


@dataclass(frozen=True, slots=True)
class Season:
    """Of one box: sheets still to come from it or its like, the next one counted; None where nobody said.

    made   sheets that left it so far, by the book; left: what is still in it
    share  of the season that comes after the next sheet [0 … 1]
    """

    box: str
    more: float | None
    made: float
    left: float
    share: float


@dataclass(frozen=True, slots=True)
class Worth:
    """minute    what a minute is worth, in `currency`; None where nobody said
    notes     what of it does not count, and why
    """

    minute: float | None
    currency: str
    boxes: tuple[Season, ...]
    notes: tuple[str, ...] = ()


def worth(reader: Reader) -> Worth:
    """What was said of minutes and of sheets to come, box by box."""
    minute, currency = _minute(reader)
    boxes = own.owned(reader, "box")
    remarks = [r for b in boxes for r in _remarks(minute, currency, b)]
    return Worth(minute, currency, tuple(season(reader, b) for b in boxes), tuple(remarks))


def say_worth(book: Book, form: Form | None) -> Worth:
    """Say it, say it anew, or take it back with “none”. Fields: minute (“0.50 EUR”); more (“12”) with box.

    Raises Refusal with every problem; nothing is then changed.
    """
    d = Door(form)
    minute = d.read("minute", lambda t: (None, "") if t.lower() in NONE else q.money(t))
    more = d.read("more", lambda t: NONE if t.lower() in NONE else _count(t))
    name = d.name("box")
    box: Owned | None = None
    if more is not None or name is not None:
        with d.problems.at("box"):
            box = own.one(book, "box", name or (book.get_setting("today") or {}).get("box"))
    if name is not None and more is None and d.said("more") is None:
        d.problems.add(
            "more", "", "How many more sheets from this box.", "Write it like “12”, or “none” to take it back."
        )
    if minute is None and more is None and not d.problems.found:
        d.problems.add("minute", "", "What a minute is worth, or how many more sheets.", "Write it like “0.50 EUR”.")
    d.close()
    with book.begin():
        if minute is not None:
            amount, currency = minute
            book.set_setting("worth", {"minute": amount, "currency": currency} if amount else {})
        if more is not None and box is not None:
            said = dict(book.get_setting("season") or {})
            said.pop(box.name, None)
            if isinstance(more, int):
                said[box.name] = {"more": more, "made": notes.sheets_made(book, box)}
            book.set_setting("season", said)
    return worth(book)


def _count(text: str) -> int:
    more = q.count(text)
    if more < 1:
        raise Refusal.one("", text, "One or more, the next one counted.", "To take it back, say “none”.")
    if more > MOST_MORE:
        raise Refusal.one("", text, f"At most {MOST_MORE}.", "Roughly is enough.")
    return more


def minute_cost(reader: Reader, box: Owned) -> float | None:
    """What a minute is worth in the money this box is paid in; None where nobody said or the two cannot be compared."""
    minute, currency = _minute(reader)
    if minute is None or box.body["cost"] is None:
        return None
    return minute if currency in ("", box.body["currency"]) or not box.body["currency"] else None


def season(reader: Reader, box: Owned) -> Season:
    """How many more are to come from this box: as said, less what has left it since."""
    made, left = notes.sheets_made(reader, box), notes.sheets_left(reader, box)
    said = (reader.get_setting("season") or {}).get(box.name)
    if said is None:
        return Season(box.name, None, made, left, 0.0)
    # A test strip is a quarter of a sheet's paper and no sheet: the count goes down by whole sheets.
    more = max(0.0, float(said["more"]) - math.floor(made - float(said["made"]) + 1e-9))
    return Season(box.name, more, made, left, decide.season_left(made, more))


def _minute(reader: Reader) -> tuple[float | None, str]:
    said: dict[str, Any] = reader.get_setting("worth") or {}
    minute = said.get("minute")
    return (float(minute) if minute else None), str(said.get("currency") or "")


def _remarks(minute: float | None, currency: str, box: Owned) -> list[str]:
    """Why a minute's worth does not count with this box."""
    if minute is None:
        return []
    if box.body["cost"] is None:
        return [f"With box {box.name} it does not count: what a sheet of it costs is not known."]
    if currency and box.body["currency"] and currency != box.body["currency"]:
        price = wording.money(box.body["cost"], box.body["currency"])
        return [f"With box {box.name} it does not count: a sheet of it is {price}. Say the minute in that money."]
    return []
