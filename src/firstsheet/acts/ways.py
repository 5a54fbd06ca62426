"""Ways of working at the trays: those that come along, and copies with times, steps and an order of one's own."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet.acts import at_trays
from firstsheet.acts.at_trays import STANDING, WAYS
from firstsheet.acts.door import Door, Form, short_name
from firstsheet.acts.frozen_run import steps_of
from firstsheet.refusal import Refusal
from firstsheet.tables import load
from firstsheet.trays import ownway, process
from firstsheet.trays.ownway import OwnStep
from firstsheet.trays.process import process_for

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

SHIPPED = "shipped"
NUMBERS = ("time", "window", "hands", "drain", "after")


@dataclass(frozen=True, slots=True)
class StepTold:
    """One step as it stands in a way, for resin-coated paper at 20 °C: see `Step`. `own`: something in it is the person's own."""

    key: str
    liquid: str
    tray: str
    doing: str
    seconds: float
    low_s: float
    high_s: float
    drain_s: float
    hands: str
    light: str
    light_words: str
    source: str
    own: bool


@dataclass(frozen=True, slots=True)
class Way:
    """A way of working. `of` is the shipped one that it belongs to (itself where it is shipped); `stands`: sheets of that way go by this one."""

    name: str
    of: str
    words: str
    own: bool
    stands: bool
    steps: tuple[StepTold, ...]
    may_add: tuple[tuple[str, str], ...]


def ways(reader: Reader) -> list[Way]:
    """Those that come along, each followed by the copies made of it."""
    kept = {t["name"]: t["body"] for t in reader.things(WAYS) if not t["body"].get("removed")}
    out = []
    for key in process.ways():
        out.append(_way(reader, key, key, None))
        out += [_way(reader, name, key, steps_of(b)) for name, b in sorted(kept.items()) if b["of"] == key]
    return out


def way(reader: Reader, name: str) -> Way:
    """The way of that name: a shipped one by its key, or one's own."""
    if name in process.ways():
        return _way(reader, name, name, None)
    body = at_trays.own_way(reader, name)
    return _way(reader, name, body["of"], steps_of(body))


def _way(reader: Reader, name: str, of: str, own: tuple[OwnStep, ...] | None) -> Way:
    steps = own if own is not None else ownway.shipped(of)
    whole = load("processes")["ways"][of]
    made = process_for(of, whole["developers"][0], whole["papers"][0], rows=ownway.rows(of, steps))
    told = tuple(
        StepTold(s.key, o.liquid, s.tray, s.doing, s.seconds, s.low_s, s.high_s, s.drain_s, s.hands, s.light, s.light_words, s.source,
                 (o.seconds, o.hands, o.drain_s) != (None, None, None))
        for s, o in zip(made.steps, steps, strict=True)
    )  # fmt: skip
    stands = (reader.get_setting(STANDING) or {}).get(of, of) == name
    may_add = tuple((key, row["tray"]) for key, row in ownway.liquids(of).items())
    return Way(name, of, made.words, own is not None, stands, told, may_add)


# ── a copy, and what is changed in it ──


def copy(book: Book, form: Form | None = None) -> Way:
    """Copy a way under a new name. Fields: name; of, a shipped way or one's own."""
    d = Door(form)
    name = d.must("name", short_name, "A name of your own.", "Try “large sheets”.")
    of = d.must("of", lambda t: way(book, _by_words().get(t, t)), "Which way to copy: " + ", ".join(process.ways()) + ", or one of yours.", "Try “paper_negative”.")  # fmt: skip
    taken = {w.name for w in ways(book)} | {SHIPPED}
    if name in taken or (name and name.lower().replace(" ", "_") in process.ways()):
        d.problems.add("name", name, "A name that no way has yet.", "Try another.")
    d.close()
    assert name is not None
    assert of is not None
    steps = steps_of(at_trays.own_way(book, of.name)) if of.own else ownway.shipped(of.of)
    return _keep(book, name, of.of, steps)


def add(book: Book, form: Form | None = None) -> Way:
    """Add a step. Fields: name (of the way), liquid (what is in the tray), after (a step, or “start”; before the last unless said), time,
    window (“1:30 to 3:00”), hands (all, some), drain."""
    d = Door(form)
    name, of, steps = _mine(book, d)
    known = ownway.liquids(of)
    liquid = d.pick("liquid", known)
    if liquid is None and d.said("liquid") is None:
        d.problems.add("liquid", "", "One of: " + ", ".join(known) + ".", "Say what is in the tray.")
    step = _numbers(d, OwnStep("", liquid or ""))
    after = _after(d, steps)
    d.close()
    if after is None:
        after = steps[-2].key if len(steps) > 1 else ""
    return _keep(book, name, of, ownway.added(of, steps, step, after))


def change(book: Book, form: Form | None = None) -> Way:
    """Change a step. Fields: name, step, and any of time, window, hands, drain (“shipped” takes an own one back), after (moves it)."""
    d = Door(form)
    name, of, steps = _mine(book, d)
    found = d.must("step", lambda t: ownway.find(steps, _key(t)), "Which step.", "Try “developer”.")
    if found is not None and not any(d.said(k) is not None for k in NUMBERS):
        d.problems.add("time", "", "What is to change: time, window, hands, drain, or after.", "Try time “2:30”.")
    step = _numbers(d, found or steps[0])
    after = _after(d, steps)
    d.close()
    changed = tuple(step if s.key == step.key else s for s in steps)
    return _keep(book, name, of, ownway.moved(changed, step.key, after) if after is not None else changed)


def remove(book: Book, form: Form | None = None) -> Way | None:
    """Leave a step out; without one, put the whole way away: None then. Fields: name, step."""
    d = Door(form)
    name, of, steps = _mine(book, d)
    found = d.read("step", lambda t: ownway.find(steps, _key(t)))
    d.close()
    if found is not None:
        return _keep(book, name, of, tuple(s for s in steps if s.key != found.key))
    with book.begin():
        book.add_thing(WAYS, name, at_trays.own_way(book, name) | {"removed": True})
        standing = book.get_setting(STANDING) or {}
        if standing.get(of) == name:
            book.set_setting(STANDING, {k: v for k, v in standing.items() if k != of})
    return None


def use(book: Book, form: Form | None = None) -> Way:
    """Run by this way: every sheet of the way it belongs to, or one sheet. Fields: name (a shipped one goes back to it), sheet."""
    d = Door(form)
    chosen = d.must("name", lambda t: way(book, t), "Which way.", "The list shows them.")
    code = d.said("sheet")
    d.close()
    assert chosen is not None
    if code is None:
        standing = {k: v for k, v in (book.get_setting(STANDING) or {}).items() if k != chosen.of}
        book.set_setting(STANDING, standing | ({chosen.of: chosen.name} if chosen.own else {}))
        return way(book, chosen.name)
    plan = book.get_sheet(code)["body"]["plan"]
    if plan["way"] != chosen.of:
        allowed = f"A sheet planned as {chosen.words}."
        raise Refusal.one("sheet", code.upper(), allowed, f"This one was planned as {plan['way_words']}.")
    at_trays.say(book, code, way=chosen.name)
    return chosen


def _mine(book: Book, d: Door) -> tuple[str, str, tuple[OwnStep, ...]]:
    """The person's own way that is meant; shipped ones are copied first."""
    name = d.said("name") or ""
    if name in process.ways():
        raise Refusal.one("name", name, "A way of your own.", f"Copy it first: firstsheet ways copy NAME --of {name}")
    body = at_trays.own_way(book, name)
    return name, body["of"], steps_of(body)


def _keep(book: Book, name: str, of: str, steps: tuple[OwnStep, ...]) -> Way:
    ownway.check(of, steps)
    book.add_thing(WAYS, name, {"of": of, "steps": [asdict(s) for s in steps]})
    return way(book, name)


def _by_words() -> dict[str, str]:
    return {words: key for key, words in process.ways().items()}


def _key(text: str) -> str:
    return text.strip().lower().replace(" ", "_").replace("-", "_")


def _numbers(d: Door, step: OwnStep) -> OwnStep:
    """The step with what was said of its numbers."""
    time = _or_shipped(d, "time", lambda t: q.duration_s(t, bare="s"))
    window = _or_shipped(d, "window", _window)
    hands = _or_shipped(d, "hands", str.lower)
    drain = _or_shipped(d, "drain", lambda t: q.duration_s(t, bare="s"))
    if time is not None:
        step = replace(step, seconds=None if time == SHIPPED else time)
        if window is None:
            step = replace(step, low_s=None, high_s=None)
    if window is not None:
        low, high = (None, None) if window == SHIPPED else window
        step = replace(step, low_s=low, high_s=high)
    if hands is not None:
        step = replace(step, hands=None if hands == SHIPPED else hands)
    if drain is not None:
        step = replace(step, drain_s=None if drain == SHIPPED else drain)
    return step


def _or_shipped(d: Door, key: str, parse: Callable[[str], Any]) -> Any:
    return d.read(key, lambda t: SHIPPED if t.lower() == SHIPPED else parse(t))


def _after(d: Door, steps: tuple[OwnStep, ...]) -> str | None:
    def place(text: str) -> str:
        return "" if text.lower() == "start" else ownway.find(steps, _key(text)).key

    return d.read("after", place)


def _window(text: str) -> tuple[float, float]:
    found = re.fullmatch(r"(.+?)\s*(?:\bto\b|–|…|\.\.)\s*(.+)", text.strip())
    if found is None:
        raise Refusal.one("", text, "Two times, from and to.", "Try “1:30 to 3:00”.")
    return q.duration_s(found[1], bare="s"), q.duration_s(found[2], bare="s")
