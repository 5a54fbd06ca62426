"""A mix that is kept becomes a developer of the book, or is poured into a tray."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet.acts import bath_readings, mixing_baths, mixing_kept, mixing_own, own
from firstsheet.acts.door import Door, Form, short_name
from firstsheet.acts.mixing_baths import Bath
from firstsheet.acts.own import Owned
from firstsheet.chemistry import bath
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

BATHS = {"stop": ("stop",), "fixer": ("fixer_single", "fixer_first", "fixer_second"), "clearing": ("washing_aid",)}


@dataclass(frozen=True, slots=True)
class Poured:
    """The bath, and the developer of the book that it is; None for what is no developer."""

    bath: Bath
    developer: Owned | None


def may_become(reader: Reader, number: int) -> tuple[str, ...]:
    """The kinds of baths that this mix may be poured as; () for what no tray of the book takes."""
    m = mixing_kept.of(reader, number).mix
    if m["kind"] == "developer":
        return ("developer_coffee",) if _kind(reader, m) == "coffee" else ("developer",)
    return BATHS.get(m["kind"], ())


def developer(book: Book, number: int, form: Form | None = None) -> Owned:
    """Make a kept mix a developer of the book. Fields: name (the recipe's unless said); kind (paper, coffee, ra4; by its agents unless said)."""
    b = mixing_kept.of(book, number)
    if b.mix["kind"] != "developer":
        raise Refusal.one("mix", b.name, "A mix that is a developer.", "Pour it: it needs no name of its own.")
    d = Door(form)
    name = d.read("name", short_name)
    kind = d.pick("kind", ("paper", "coffee", "ra4")) or _kind(book, b.mix)
    d.close()
    name = name or _named(b.mix)
    known = next((o for o in own.owned(book, "developer") if o.name == name), None)
    if known is not None and known.body["kind"] == kind:
        return known  # mixed anew: it is the one that there is, with all that is known of it
    if known is not None:
        raise Refusal.one("name", name, f"Another name: “{name}” is of another kind.", "Say a name that is free.")
    return own.add_developer(book, {"name": name, "kind": kind})


def pour(book: Book, number: int, form: Form | None = None) -> Poured:
    """Pour a kept mix into a tray; a developer becomes one of the book as well. Fields: name (of the tray; the bottle's unless said), kind (which
    fixer: fixer_single unless said), volume (all that was mixed unless said), temperature, developer (its name in the book)."""
    b = mixing_kept.of(book, number)
    d = Door(form)
    name = d.read("name", short_name)
    kinds = may_become(book, number)
    if not kinds:
        d.problems.add("mix", b.name, "A developer, stop bath, fixer or washing aid.", "Others go by their supplier's sheet: open the bath by hand.")  # fmt: skip
    kind = d.pick("kind", kinds) if kinds else None
    called = d.read("developer", short_name)
    if called is not None and b.mix["kind"] != "developer":
        d.problems.add("developer", called, "A name only for a developer.", "Leave it out.")
    if b.spent:
        d.problems.add("mix", b.name, "A mix that was not thrown away.", "Take that back first, or mix it anew.")
    rest = {k: d.said(k) for k in ("volume", "temperature")}
    d.close()
    with book.begin():
        made = developer(book, number, {"name": called}) if b.mix["kind"] == "developer" else None
        said: dict[str, Any] = {
            "name": name or _tray(book, made.name if made else b.name),
            "kind": kind or kinds[0],
            "volume": rest["volume"] or f"{b.mix['volume_ml']:g} ml",
            "temperature": rest["temperature"],
            "developer": made.name if made else None,
        }
        opened = mixing_baths.open_bath(book, {k: v for k, v in said.items() if v is not None})
    return Poured(opened, made)


def _kind(reader: Reader, m: dict[str, Any]) -> str:
    try:
        agents = mixing_own.recipe_named(reader, m["recipe"]).agents
    except Refusal:  # a recipe of one's own that is there no more
        agents = ("coffee",) if "coffee" in m["words"].lower() else ()
    return "coffee" if "coffee" in agents else "paper"


def _named(m: dict[str, Any]) -> str:
    return short_name(" ".join(str(m["words"]).split())[:40].strip())


def _tray(reader: Reader, name: str) -> str:
    """The name, or the next that no open bath has."""
    taken = {t["name"] for t in reader.things(bath_readings.KIND) if not t["body"]["ended"]}
    return next(n for n in (name[:40], *(f"{name[:36]} {i}" for i in range(2, len(taken) + 3))) if n not in taken)


def kinds_words(kinds: tuple[str, ...]) -> list[tuple[str, str]]:
    """Each kind with its words."""
    return [(k, bath.kinds()[k].words) for k in kinds]
