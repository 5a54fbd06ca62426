"""A sheet's run as it will be today: its way's steps, the person's own where they have some, stretched by the baths as they are.

What is said of one run (how warm, which way) and, once it has begun, what it was run by, is kept as a thing named by the sheet's code: a
bath that cools or is thrown away afterwards does not change a run that is over.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from datetime import datetime
from typing import TYPE_CHECKING, Any

from firstsheet import tables, wording
from firstsheet.acts import bath_readings, frozen_run
from firstsheet.acts.frozen_run import KIND
from firstsheet.refusal import Problems, Refusal
from firstsheet.trays import warmth
from firstsheet.trays.process import Process, Step
from firstsheet.trays.stretched import Change

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

WAYS, STANDING = "way", "ways_at_trays"
OLD_READING_S = 3600.0  # from which on a temperature says its age


def process(reader: Reader, code: str, seconds: Mapping[str, float] | None = None) -> Process:
    """The timed steps of this sheet as its run goes, or went. Refusal where a bath is too cold or too warm for any time to be known.

    seconds  times for 20 °C by step key [s], said for this once; today's baths stretch them like any other
    """
    row = reader.get_sheet(code)
    kept = of(reader, row["code"])
    if "frozen" in kept:
        return frozen_run.made(kept["frozen"], seconds)
    begun = any(m["kind"] == "begun" for m in reader.marks(row["id"]))
    return frozen_run.made(_resolved(reader, row, kept, strict=not begun, plain=begun), seconds)


def unstretched(reader: Reader, code: str) -> Process:
    """The steps of this sheet's way for 20 °C and fresh baths."""
    row = reader.get_sheet(code)
    found = _resolved(reader, row, {}, strict=False, plain=True)
    return frozen_run.made(found | {"own": _chosen(reader, found["way"], of(reader, row["code"]))})


def of(reader: Reader, code: str) -> dict[str, Any]:
    """What was said of this sheet's run; {} where nothing was."""
    return next((t["body"] for t in reader.things(KIND) if t["name"] == code), {})


def say(book: Book, code: str, **said: Any) -> None:
    """Keep what was said of a run; None takes it back. Refusal once it has begun."""
    row = book.get_sheet(code)
    kept = of(book, row["code"])
    if "frozen" in kept or any(m["kind"] == "begun" for m in book.marks(row["id"])):
        raise Refusal.one(
            "sheet", row["code"], "A sheet whose run has not begun.", "What it was run by stays as it was."
        )
    body = {k: v for k, v in (kept | said).items() if v is not None}
    with book.begin():
        book.add_thing(KIND, row["code"], body)
        process(book, row["code"])  # refused here: nothing was kept


def freeze(book: Book, code: str) -> None:
    """A run has begun: what it goes by is kept, once. A mark from the dark is never refused for this."""
    row = book.get_sheet(code)
    kept = of(book, row["code"])
    if "frozen" not in kept:
        with suppress(Refusal):  # its box or developer may have been renamed since
            frozen = _resolved(book, row, kept, strict=False, plain=False)
            book.add_thing(KIND, row["code"], kept | {"frozen": frozen})


def own_way(reader: Reader, name: str) -> dict[str, Any]:
    """A way of one's own as kept: of, steps. Refusal for none of that name."""
    have = {t["name"]: t["body"] for t in reader.things(WAYS) if not t["body"].get("removed")}
    if name not in have:
        names = ", ".join(have) or "none yet"
        raise Refusal.one("way", name, f"Your own ways: {names}.", "Copy one: firstsheet ways copy …, or its page.", "missing")  # fmt: skip
    body: dict[str, Any] = have[name]
    return body


# ── resolved: everything a run goes by, as data ──


def _resolved(reader: Reader, row: dict[str, Any], kept: dict[str, Any], strict: bool, plain: bool) -> dict[str, Any]:
    p = row["body"]["plan"]
    box, developer = _named(reader, "box", p["box"]), _named(reader, "developer", p["developer"])
    found: dict[str, Any] = {
        "way": p["way"], "kind": developer["kind"], "sensitivity": tables.load("papers")[box["paper"]]["sensitivity"],
        "base": box.get("base", "rc"), "sheet": row["id"], "own": None, "changes": {}, "factor": None, "first": "", "baths": {},
    }  # fmt: skip
    if plain:
        return found
    found["own"] = _chosen(reader, p["way"], kept)
    made = frozen_run.made(found)
    found["first"] = next((s.key for s in made.steps if s.agent in bath_readings.AGENTS.values()), "")
    changes, baths = todays(reader, made, p["developer"], kept.get("temperature") or {}, strict)
    found["changes"] = {k: {"times": list(c.times), "because": c.because} for k, c in changes.items()}
    found["baths"] = baths
    found["factor"] = _factor(reader, made, found["first"], p["developer"])
    return found


def _named(reader: Reader, kind: str, name: str) -> dict[str, Any]:
    for t in reader.things(kind):
        if t["name"] == name:
            body: dict[str, Any] = t["body"]
            return body
    raise Refusal.one(kind, name, f"A {kind} that is in the book.", "It was renamed or never added.", kind="missing")


def _chosen(reader: Reader, way: str, kept: dict[str, Any]) -> dict[str, Any] | None:
    """The person's own way for this sheet: the one said for it, else the one that stands for this way of working."""
    name = kept.get("way", (reader.get_setting(STANDING) or {}).get(way))
    if not name:
        return None
    body = next((t["body"] for t in reader.things(WAYS) if t["name"] == name), None)
    if body is None or body.get("removed") or body["of"] != way:
        return None
    return {"name": name, "steps": body["steps"]}


def _factor(reader: Reader, made: Process, first: str, developer: str) -> list[float] | None:
    step = next((s for s in made.steps if s.key == first), None)
    fresh = bath_readings.fresh_of(reader, developer, step.agent) if step else ()
    return list(warmth.learned_factor(step.seconds, fresh)) if step and fresh else None


# ── today's baths ──


def todays(
    reader: Reader, made: Process, developer: str, said: dict[str, float | None], strict: bool
) -> tuple[dict[str, Change], dict[str, str]]:
    """What today's baths make of each step, by step key; and the bath each goes into.

    said    temperatures for this run by step key, "" for all [°C]; None: nobody knows, nothing is taken from the bath
    strict  refuse where no time is known; else the nearest that is, and it says so
    """
    problems = Problems()
    changes, baths = {}, {}
    for s in made.steps:
        if not s.agent:
            continue
        row = bath_readings.bath_for(reader, s.agent, developer)
        if row:
            baths[s.key] = row["name"]
        with problems.at(""):
            change = _of_step(reader, s, row, said, strict)
            if change:
                changes[s.key] = change
    problems.raise_if_any()
    return changes, baths


def _of_step(
    reader: Reader, s: Step, row: dict[str, Any] | None, said: dict[str, float | None], strict: bool
) -> Change | None:
    now, aside = _how_warm(reader, s, row, said)
    read = bath_readings.readings(reader, row) if row and s.agent in bath_readings.AGENTS.values() else []
    if now is not None and strict:
        _checked(s, now)
    elif now is not None:
        inside = warmth.within(s.agent, now)
        if inside != now:
            aside = f"; for {now:g} °C no time is known, this is the one for {inside:g} °C"
            now = inside
    found = warmth.today(s.agent, now, *([read[0].shown, read[-1].shown] if len(read) > 1 else [None, None]))
    if found is None:
        return None
    age = "with this bath’s age" if not found.warm else "and this bath’s age"
    because = " ".join(
        [*([f"at {now:g} °C"] if found.warm and now is not None else []), *([age] if found.aged else [])]
    )
    return Change(found.times, because + aside)


def _checked(s: Step, now: float) -> None:
    """Refuses a temperature at which no time is known; says what to do, and what to say then."""
    try:
        warmth.check(s.agent, now)
    except Refusal as refusal:
        p = refusal.problems[0]
        hint = f"{p.hint} Then say how warm it is: on the bath’s page, or for this sheet (firstsheet warmth)."
        raise Refusal.one(p.where, p.asked, p.allowed, hint) from refusal


def _how_warm(
    reader: Reader, s: Step, row: dict[str, Any] | None, said: dict[str, float | None]
) -> tuple[float | None, str]:
    """How warm a step's tray is [°C], and an aside where that was read long ago."""
    for key in (s.key, ""):
        if key in said:
            return said[key], ""
    known = bath_readings.temperature(row["body"]) if row else None
    if known is None:
        return None, ""
    age_s = (reader.now() - datetime.fromisoformat(known[1])).total_seconds()
    return known[0], f", read {wording.age(age_s)}" if age_s > OLD_READING_S else ""
