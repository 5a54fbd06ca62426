"""What is said of several sheets, read into sheets, trays and what was done: every problem at once."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables
from firstsheet.acts.door import Door, Form
from firstsheet.refusal import Problems, Refusal
from firstsheet.trays.process import Process, Step, process_for, ways
from firstsheet.trays.several import MOST_SHEETS, Mark
from firstsheet.trays.several_chain import Wanted

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader

TIMES = ("compose", "mount", "expose", "carry", "hold")
FIELDS = ("sheets", *TIMES, "box", "keep", "places", "hands", "times", "early", "done", "now")
DEVELOPER = {"reversal_ra4": "ra4"}
PAPER = {"reversal_ra4": "colour"}
LAMP = "contact_print"  # exposed under a lamp: nothing is composed, and the lamp lights the trays as the lens would
SHEETS_HINT = "Try “3 paper_negative; direct_positive fibre in 20 min; A7KX”."


@dataclass(frozen=True, slots=True)
class Asked:
    """words: of each sheet by its name; code: of those in the book; begun: when this began, as it was said (ISO, UTC)."""

    wanted: tuple[Wanted, ...]
    words: dict[str, str]
    codes: dict[str, str]
    places: dict[str, int]
    marks: tuple[Mark, ...]
    now_s: int
    begun: str | None


def read(reader: Reader, form: Form | None) -> Asked:
    """The fields of `FIELDS`. Refusal with every problem."""
    d = Door(form)
    table = tables.load("processes")["several"]
    times = {key: d.read(key, lambda t, key=key: bounded(t, table[key])) for key in (*TIMES, "keep")}  # type: ignore[misc]
    box = d.read("box", lambda t: _box(t, table["box"]))
    early = d.flag("early")
    items = d.must("sheets", _items, "The sheets that are to be made.", SHEETS_HINT) or []
    hands = (
        d.read("hands", lambda t: _pairs(t, {"all": "all", "some": "some"}.get, "“all” or “some”", "stop some")) or {}
    )
    own = d.read("times", lambda t: _pairs(t, _own_time, "a time", "developer 150 s")) or {}
    places = (
        d.read(
            "places",
            lambda t: _pairs(
                t,
                lambda x: _places(x, table["places"]),
                f"from {table['places']['least']} to {table['places']['most']} places",
                "wash 6, fixer 2",
            ),
        )
        or {}
    )
    marks = d.read("done", _marks) or ()
    now = d.read("now", lambda t: q.duration_s(t, bare="s"))
    base = Wanted("", process_for("paper_negative"), **{f"{k}_s": _whole(times[k], table[k]["seconds"]) for k in (*TIMES, "keep")},
                  box_s=box, early=bool(early))  # fmt: skip
    wanted, words, codes = _sheets(d.problems, reader, items, base, own)
    _known(d.problems, wanted, hands, own, places)
    d.close()
    wanted = [replace(w, process=_handed(w.process, hands)) for w in wanted]
    last = max((m.at_s for m in marks), default=0)
    usual = {tray: _usual(tray, table["places"]) for tray in _trays(wanted)}
    return Asked(
        tuple(wanted), words, codes, usual | places, tuple(marks), math.ceil(now) if now is not None else last, None
    )


def read_kept(reader: Reader, form: Form, marks: Sequence[Mark], now_s: int, begun: str) -> Asked:
    """What was asked for an evening that is kept, with its marks, at now_s [s] since it began. Refusal with every problem."""
    return replace(read(reader, form), marks=tuple(marks), now_s=now_s, begun=begun)


def bounded(text: str, row: Mapping[str, Any]) -> float:
    """A time [s] within what the table allows there."""
    time_s = q.duration_s(text, bare="s")
    if not row["least"] <= time_s <= row["most"]:
        raise Refusal.one(
            "", text, f"From {row['least']} s to {row['most']} s.", f"Usually {row['seconds']} s: {row['words']}."
        )
    return time_s


def _whole(said: float | None, usual: float) -> int:
    return math.ceil(usual if said is None else said)


def _box(text: str, row: Mapping[str, Any]) -> int | None:
    if text.lower() in ("no", "none"):
        return None
    return int(row["seconds"]) if text.lower() in ("yes", "on") else math.ceil(bounded(text, row))


def _items(text: str) -> list[str]:
    return [t.strip() for t in re.split(r"[;,\n]", text) if t.strip()]


def _pairs(text: str, parse: Any, what: str, example: str) -> dict[str, Any]:
    """ "wash 6, fixer 2" as names with their values; each problem by its name."""
    out: dict[str, Any] = {}
    found = Problems()
    for item in _items(text):
        name, _, value = item.rpartition(" ")
        if not name and parse is _own_time:
            name, value = item, ""
        unit = re.fullmatch(r"(.+?) ([0-9][0-9.,:]*(?: ?[a-z]+)?)", item) if parse is _own_time else None
        name, value = (unit[1], unit[2]) if unit else (name, value)
        got = parse(value)
        if not name or got is None:
            found.add("", item, f"A tray or step and {what}.", f"Try “{example}”.")
        else:
            out[name.strip().lower().replace("_", " ")] = got
    found.raise_if_any()
    return out


def _own_time(text: str) -> float | None:
    try:
        return q.duration_s(text, bare="s")
    except Refusal:
        return None


def _places(text: str, row: Mapping[str, Any]) -> int | None:
    return int(text) if text.isdigit() and row["least"] <= int(text) <= row["most"] else None


def _marks(text: str) -> tuple[Mark, ...]:
    """ "1 compose 0:00, 1 mount 2:05": sheet, stretch, when it was begun."""
    found = Problems()
    out = []
    for sheet, key, at in begun_now(text):
        if at is None:
            found.add("", f"{sheet} {key}", "When it was begun, too.", "Try “1 compose 0:00, 1 mount 2:05”.")
        else:
            out.append(Mark(sheet, key, at))
    found.raise_if_any()
    return tuple(out)


def begun_now(text: str) -> list[tuple[str, str, int | None]]:
    """ "1 compose, 1 mount 2:05": sheet, stretch, and when it was begun [s], None for now."""
    out: list[tuple[str, str, int | None]] = []
    found = Problems()
    for item in _items(text):
        said = re.fullmatch(r"(\S+) (\S+)(?: (.+))?", item)
        at = _own_time(said[3]) if said and said[3] else None
        if said is None or (said[3] and at is None):
            found.add("", item, "A sheet, what was begun, and when.", "Try “1 compose 0:00, 1 mount 2:05”.")
        else:
            out.append((said[1], said[2], None if at is None else math.floor(at)))
    found.raise_if_any()
    return out


# ── sheets ──


def _sheets(
    problems: Problems, reader: Reader, items: list[str], base: Wanted, own: Mapping[str, float]
) -> tuple[list[Wanted], dict[str, str], dict[str, str]]:
    wanted: list[Wanted] = []
    words: dict[str, str] = {}
    codes: dict[str, str] = {}
    asked = 0
    for item in items:
        with problems.at("sheets"):
            count, sheet, said, code = _item(reader, item, base, own)
            asked += count
            for _ in range(min(count, MOST_SHEETS + 1)):
                name = str(len(wanted) + 1)
                wanted.append(replace(sheet, name=name))
                words[name] = said
                if code:
                    codes[name] = code
    if asked > MOST_SHEETS:
        problems.add("sheets", asked, f"From 1 to {MOST_SHEETS} sheets.", "Plan the others when these are in the wash.")
    return wanted, words, codes


def _item(reader: Reader, item: str, base: Wanted, own: Mapping[str, float]) -> tuple[int, Wanted, str, str]:
    """One item: how many, the sheet, its words, its code in the book."""
    rest, ready = item, 0
    later = re.fullmatch(r"(.*\S)\s+in\s+(.+)", item)
    if later:
        rest, ready = later[1], math.ceil(q.duration_s(later[2], bare="s"))
    many = re.fullmatch(r"([0-9]{1,3})\s*[×x]?\s+(.+)", rest)
    count, rest = (int(many[1]), many[2]) if many else (1, rest)
    if count < 1:
        raise Refusal.one("", item, "At least one sheet.", "Leave it out.")
    tokens = rest.lower().replace("-", "_").split()
    compose = 0 if "same" in tokens else base.compose_s
    tokens = [t for t in tokens if t != "same"]
    if len(tokens) == 1 and tokens[0] not in ways() and re.fullmatch(r"[a-z0-9]{4}", tokens[0]):
        return count, *_of_book(reader, tokens[0].upper(), replace(base, ready_s=ready, compose_s=compose), own, count)
    process = _of_words(item, tokens, own)
    compose = 0 if process.way == LAMP else compose
    return count, replace(base, process=process, ready_s=ready, compose_s=compose), process.words, ""


def _of_words(item: str, tokens: list[str], own: Mapping[str, float]) -> Process:
    data = tables.load("processes")
    got: dict[str, str] = {}
    for token in tokens:
        kind = (
            "way" if token in ways() else "developer" if token in data["developers"] else "paper" if token in data["tolerates"]
            else "base" if token in ("rc", "fibre") else ""
        )  # fmt: skip
        if not kind or kind in got:
            allowed = ", ".join([*ways(), *data["developers"], *data["tolerates"], "rc", "fibre", "same", "in 20 min"])
            raise Refusal.one("", item, f"A sheet’s code, or a way of working with, each once: {allowed}.", SHEETS_HINT)
        got[kind] = token
    if "way" not in got:
        raise Refusal.one("", item, "A way of working: " + ", ".join(ways()) + ".", SHEETS_HINT)
    way = got["way"]
    developer, paper, base = (
        got.get("developer", DEVELOPER.get(way, "paper")),
        got.get("paper", PAPER.get(way, "blue")),
        got.get("base", "rc"),
    )
    return _timed(
        process_for(way, developer, paper, base), own, lambda times: process_for(way, developer, paper, base, times)
    )


def _of_book(reader: Reader, code: str, base: Wanted, own: Mapping[str, float], count: int) -> tuple[Wanted, str, str]:
    from firstsheet.acts.run import process_of
    from firstsheet.acts.sheet import sheet

    now = sheet(reader, code)
    if now.strip or count > 1:
        raise Refusal.one("", code, "A whole sheet of the book, once.", "A strip has a sound of its own.")
    process = process_of(reader, code)
    given = _timed(
        process,
        own,
        lambda times: process_for(
            process.way, process.developer, process.sensitivity, _base(reader, now.plan["box"]), times
        ),
    )
    time_s = math.ceil(float(now.plan["time_s"]))
    made = replace(base, process=given, expose_s=max(1, time_s), compose_s=0 if process.way == LAMP else base.compose_s)
    return made, f"{process.words}, {now.code}", now.code


def _base(reader: Reader, box: str) -> str:
    return next((str(t["body"].get("base", "rc")) for t in reader.things("box") if t["name"] == box), "rc")


def _timed(process: Process, own: Mapping[str, float], again: Any) -> Process:
    times = {s.key: own[n] for s in process.steps for n in (s.key.replace("_", " "), s.tray) if n in own}
    done: Process = again(times) if times else process
    return done


def _handed(process: Process, hands: Mapping[str, str]) -> Process:
    return replace(process, steps=tuple(replace(s, hands=_said(s, hands, s.hands)) for s in process.steps))


def _said(step: Step, by_name: Mapping[str, Any], usual: Any) -> Any:
    return by_name.get(step.key.replace("_", " "), by_name.get(step.tray, usual))


def _trays(wanted: list[Wanted]) -> list[str]:
    return list(dict.fromkeys(s.tray for w in wanted for s in w.process.steps))


def _usual(tray: str, row: Mapping[str, Any]) -> int:
    return int(row.get(tray, row["usual"]))


def _known(
    problems: Problems,
    wanted: list[Wanted],
    hands: Mapping[str, str],
    own: Mapping[str, float],
    places: Mapping[str, int],
) -> None:
    """Names of trays and steps that none of these sheets has; a lamp that needs hands on the sheet keeps them."""
    trays = _trays(wanted)
    steps = [s for w in wanted for s in w.process.steps]
    known = {n for s in steps for n in (s.key.replace("_", " "), s.tray)}
    for where, said in (("hands", hands), ("times", own), ("places", places)):
        for name in said if wanted else ():
            if name not in (trays if where == "places" else known):
                problems.add(
                    where, name, "One of: " + ", ".join(trays) + ".", "Leave it out, or name the tray as it is here."
                )
    lit = {n for s in steps if s.wants for n in (s.key.replace("_", " "), s.tray)}
    for name, value in hands.items():
        if name in lit and value != "all":
            problems.add(
                "hands", f"{name} {value}", "“all”: both sides are turned to the light by hand.", "Leave it out."
            )


def box_usual_s() -> int:
    """What it takes to put a sheet into a shut box, or out of it, where nobody said [s]."""
    return int(tables.load("processes")["several"]["box"]["seconds"])
