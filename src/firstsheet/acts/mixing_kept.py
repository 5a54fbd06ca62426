"""Bottles in the book: a mix as it was made, its card step by step, its label, and until when it is used."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from firstsheet.acts import mixing
from firstsheet.acts.door import Door, Form, short_name
from firstsheet.answer import to_json
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader, Row
    from firstsheet.book.store import Book

KIND = "mix"


@dataclass(frozen=True, slots=True)
class Bottle:
    """A mix that is kept. `mix` is the answer as it was given then; `made` and `use_by` are days and hours in UTC, ISO 8601."""

    number: int
    name: str
    made: str
    use_by: str | None
    spent: bool
    mix: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Label:
    """What stands on a bottle."""

    name: str
    what: str
    made: str
    use_by: str
    hazards: tuple[str, ...]
    never: tuple[str, ...]
    words: tuple[str, ...]


def keep(book: Book, form: Form | None = None) -> Bottle:
    """Keep a mix: the fields of `mixing.mix`, and name (made from the recipe and the day where none is said)."""
    fields = dict(form or {})
    d = Door({"name": fields.pop("name", None)})
    name = d.read("name", short_name)
    made = book.now()
    try:
        answer = mixing.mix(book, fields)
    except Refusal as refusal:
        d.problems.found.extend(refusal.problems)
        d.problems.kind = refusal.kind
    d.close()
    use_by = (made + timedelta(hours=answer.keeps_h)).isoformat() if answer.keeps_h is not None else None
    body = {
        "mix": to_json(answer),
        "form": {k: str(v) for k, v in fields.items()},
        "made": made.isoformat(),
        "use_by": use_by,
        "spent": False,
    }
    number = book.add_thing(KIND, name or _unused(book, f"{answer.recipe[:24]} {made.date().isoformat()}"), body)
    return of(book, number)


def _unused(reader: Reader, name: str) -> str:
    taken = {t["name"] for t in reader.things(KIND)}
    return next(n for n in (name, *(f"{name} {i}" for i in range(2, len(taken) + 3))) if n not in taken)


def bottles(reader: Reader) -> list[Bottle]:
    """All that are kept, newest first."""
    return sorted((_bottle(t) for t in reader.things(KIND)), key=lambda b: b.number, reverse=True)


def of(reader: Reader, number: int) -> Bottle:
    found = [b for b in bottles(reader) if b.number == number]
    if not found:
        raise Refusal.one("mix", number, "The number of a mix that is in the book.", "See the list.", "missing")
    return found[0]


def spend(book: Book, number: int, spent: bool = True) -> Bottle:
    """Say that it was thrown away, or take that back; the newer description counts, the older stays."""
    bottle = of(book, number)
    row = next(t for t in book.things(KIND) if int(t["id"]) == number)
    return of(book, book.add_thing(KIND, bottle.name, row["body"] | {"spent": spent}))


def _bottle(t: Row) -> Bottle:
    b = t["body"]
    return Bottle(int(t["id"]), t["name"], b["made"], b["use_by"], b["spent"], b["mix"])


def label(reader: Reader, number: int) -> Label:
    """What is written on the bottle."""
    b = of(reader, number)
    m = b.mix
    words = ["Not a drink. Out of reach of children."] if m["kind"] == "developer" else ["Out of reach of children."]
    strength = f", {m['dilution']}" if m["dilution"] else ""
    return Label(
        b.name, f"{m['words']}{strength}, {m['volume_words']}", _day(b.made), _day(b.use_by) if b.use_by else m["keeps"], tuple(m["hazards"]), tuple(m["never"]),
        (*words, "Hazard words are those of what went in, not of the strength in the bottle. The supplier's safety data sheets come first."),
    )  # fmt: skip


def _day(iso: str) -> str:
    return iso[:16].replace("T", " ") + " UTC"
