"""A bad day: a spoiled sheet in wet hands. What to do first, what it may come from, and the one scrap that decides.

A ranking and not a diagnosis: shares of a small table of common practice, times what the book knows of this sheet.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from firstsheet import tables, wording
from firstsheet.acts import run
from firstsheet.acts.answers import SheetState
from firstsheet.acts.door import Door, Form
from firstsheet.acts.sheet import sheet, state_of
from firstsheet.exposure.latitude import normal_cdf
from firstsheet.paper import response
from firstsheet.refusal import Refusal
from firstsheet.trays import interrupt, progress

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.trays.process import Process

SAID = (
    "A ranking from common practice and from what the book knows of this sheet. It is no diagnosis: the scrap decides."
)
STOP_RULE = (
    "Third miss of the same kind: stop. No whole sheet until a scrap has decided; change one thing, then go again."
)
STOP_NOW = "This is miss {n} of the same kind: stop. Close the box, white light, air, a drink of water outside. Only scraps until one has decided."
CAUTIONS = (
    "Unwell, faint, or a splash in the eye: white light first, out, rinse fifteen minutes. The sheet is worth less.",
    "Never tell baths apart by smell or taste. Gloves. No acid near fixer or sulphite, nothing here near household bleach (hypochlorite).",
    "Used fixer, bleach-fix and first washes hold silver: what you throw away and renew is collected, not poured out.",
    "The supplier’s safety data sheet, local law, fire and waste codes and licensed practice take precedence.",
)
NO_LIGHT = "No light, not even red, until the first stop and the rinse are done."
OTHER = "something_else"
MISS_STOPS = 0.6  # a sheet this far off is a miss [stop]; ours
LEAST_SHARE = 0.02
LEAST_OTHER = 0.10  # of what is in no list: a ranking from common practice may not be surer than this; ours, no source
CHANGED = {
    "box": ("the box", ("speed", "old_box", "opened_box")),
    "developer": ("the developer", ("dead_developer", "tired_bath")),
    "light": ("the kind of light", ("light_changed",)),
    "camera": ("the camera", ("stray_light", "arithmetic")),
    "way": ("the way of working", ("dead_developer", "wrong_tray", "speed")),
}


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing it may come from: its share of all that is thought of [1], why, and what to do about it."""

    key: str
    words: str
    share: float
    why: tuple[str, ...]
    do: str


@dataclass(frozen=True, slots=True)
class Outcome:
    see: str
    means: str
    speaks_for: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Decider:
    """The scrap that parts the first two causes: what to do, about how long [min], and what each outcome means."""

    between: tuple[str, str]
    do: str
    minutes: float
    outcomes: tuple[Outcome, ...]


@dataclass(frozen=True, slots=True)
class BadDay:
    """first: what to do with the hands now. causes: most likely first, shares as a ranking. stop_now: the third miss is here."""

    saw: str
    saw_words: str
    way: str
    way_words: str
    first: tuple[str, ...]
    causes: tuple[Cause, ...]
    decider: Decider | None
    stop_rule: str
    stop_now: bool
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    said: str = SAID


@dataclass(frozen=True, slots=True)
class Clue:
    """What is known, by how much it multiplies the causes named [1], and in words; no words where it is no news."""

    causes: tuple[str, ...]
    times: float
    words: str = ""


@dataclass(frozen=True, slots=True)
class Seen:
    """What is seen, on which way of working, with which border; `light` +1 far too much, −1 far too little, 0 unsaid."""

    saw: str
    way: str
    border: str | None
    light: int


def bad_day(reader: Reader, code: str | None, form: Form) -> BadDay:
    """Fields: saw (all_black, blank, nothing_came_up, grey_border, streaks, one_side, double, cast), way, border.

    code  the sheet's, where it has one; without it only the table speaks. Nothing is stored.
    """
    now = sheet(reader, code) if code else None
    at = _seen(reader, now, form)
    clues = [*_border(at), *(_known(reader, now, at) if now else ())]
    causes = _ranked(at, clues)
    misses = _misses(reader, now, at)
    notes = [_sense(at)] if at.saw in ("all_black", "blank", "grey_border") else []
    if now and not now.strip:
        notes.append(
            f"The plan made a keeper {wording.chance(now.plan['keeper_chance'])}: some misses are to be expected."
        )
    differ = _differing(reader, now)
    if len(differ) > 1:
        names = " and ".join(CHANGED[k][0] for k in differ)
        notes.append(
            f"Since the sheet before, {names} changed: this sheet cannot tell them apart. Put one back before the next."
        )
    entry = tables.load("bad_day")["symptoms"][at.saw]
    dark = [NO_LIGHT] if response.way_of(at.way)["sensitivity"] == "colour" else []
    stop_now = misses >= 3
    return BadDay(
        at.saw, str(entry["words"]), at.way, str(response.way_of(at.way)["words"]), (*dark, *entry["first"]), causes,
        _decider(at, causes), STOP_NOW.format(n=misses) if stop_now else STOP_RULE, stop_now, tuple(notes), CAUTIONS,
    )  # fmt: skip


def symptoms() -> dict[str, str]:
    """Key and words of everything that may be seen, for a form."""
    return {k: str(v["words"]) for k, v in tables.load("bad_day")["symptoms"].items()}


def _seen(reader: Reader, now: SheetState | None, form: Form) -> Seen:
    d = Door(form)
    names = {k: k for k in symptoms()}
    for key, entry in tables.load("bad_day")["symptoms"].items():
        names |= {w.replace(" ", "_"): key for w in entry.get("also", ())}
    said = d.pick("saw", names)
    if said is None and d.said("saw") is None:
        d.problems.add("saw", "", "One of: " + ", ".join(symptoms()) + ".", "Say what you see, not what went wrong.")
    ways = [k for k, v in tables.load("ways").items() if isinstance(v, dict)]
    way = d.pick("way", ways)
    if now and way and way != now.plan["way"]:
        d.problems.add(
            "way", way, f"This sheet is a {now.plan['way_words']}.", "Leave the way out, or look at the code again."
        )
    way = str(now.plan["way"]) if now else way or _todays_way(reader)
    if way is None and d.said("way") is None:
        d.problems.add("way", "", "One of: " + ", ".join(ways) + ".", "Dark and pale mean the opposite on a positive.")
    border = d.pick("border", ("white", "grey", "black"))
    saw = names.get(str(said), "")
    if saw == "grey_border" and border and way in ways and response.border_says(str(way), border) == "clean":
        d.problems.add("border", border, "Grey, if that is what you saw.", "Leave it out, or say what else you see.")
    d.close()
    looks = int(tables.load("bad_day")["symptoms"][saw].get("looks", 0))
    return Seen(saw, str(way), border, looks * response.sense(str(way)))


def _todays_way(reader: Reader) -> str | None:
    """The way of working said for today; else the first that today's box of paper can go."""
    today = reader.get_setting("today") or {}
    papers = [t["body"]["paper"] for t in reader.things("box") if t["name"] == today.get("box")]
    return today.get("way") or next((str(tables.load("papers")[p]["ways"][0]) for p in papers if p), None)


# ── the table ──


def _likely(at: Seen, cause: dict[str, Any]) -> float:
    """P(what is seen | cause). Light is turned into tone by the sense of the way; what baths do is tone already."""
    if at.way not in cause.get("only", (at.way,)) or at.way in cause.get("never", ()):
        return 0.0
    likely = cause.get(f"likely_{at.way}", cause["likely"])
    symptom = tables.load("bad_day")["symptoms"][at.saw]
    if "looks" not in symptom:
        return float(likely.get("nothing" if at.saw == "nothing_came_up" else at.saw, 0.0)) * _nothing_fits(at, cause)
    tone = "black" if symptom["looks"] > 0 else "white"
    return float(likely.get("much" if at.light > 0 else "little", 0.0)) + float(likely.get(tone, 0.0))


def _nothing_fits(at: Seen, cause: dict[str, Any]) -> float:
    """Nothing comes up: on a negative, too little light does it; a direct positive comes black without any light at all."""
    by_light = "little" in cause["likely"] and cause["likely"].get("nothing")
    return 0.1 if at.saw == "nothing_came_up" and by_light and response.sense(at.way) < 0 else 1.0


def _clean_chance(at: Seen, cause: dict[str, Any]) -> float:
    if "white_border" in cause:
        white = float(cause["white_border"])
        return white if response.way_of(at.way)["border"] == "white" else 1.0 - white
    return float(cause["clean"])


def _border(at: Seen) -> Iterable[Clue]:
    if at.border is None or at.saw == "grey_border":
        return
    clean = response.border_says(at.way, at.border) == "clean"
    for key, cause in tables.load("bad_day")["causes"].items():
        p = _clean_chance(at, cause) if clean else 1.0 - _clean_chance(at, cause)
        words = (
            f"The border is {at.border}, as it should be"
            if clean
            else f"The border is {at.border}, as it should not be"
        )
        tail = ": that fits." if p >= 0.75 else ": that speaks against it." if p <= 0.3 else ""
        yield Clue((key,), p, words + tail if tail else "")


def _ranked(at: Seen, clues: list[Clue]) -> tuple[Cause, ...]:
    table = tables.load("bad_day")["causes"]
    weight = {k: float(c["weight"]) * _likely(at, c) for k, c in table.items()}
    why: dict[str, list[str]] = {k: [] for k in table}
    for clue in clues:
        for key in clue.causes:
            weight[key] *= clue.times
            if clue.words:
                why[key].append(clue.words)
    known = sum(w for k, w in weight.items() if k != OTHER)
    weight[OTHER] = max(weight[OTHER], known * LEAST_OTHER / (1.0 - LEAST_OTHER))
    total = known + weight[OTHER]
    ranked = sorted(table, key=lambda k: -weight[k])
    return tuple(
        Cause(k, str(table[k]["words"]), weight[k] / total, tuple(why[k]), str(table[k]["do"]))
        for k in ranked
        if weight[k] / total >= LEAST_SHARE or k == OTHER
    )


def _decider(at: Seen, causes: tuple[Cause, ...]) -> Decider | None:
    """The first test whose outcomes part the first two; where none does, the first and the next that one parts."""
    real = [c.key for c in causes if c.key != OTHER]
    sense = at.way if at.way == "reversal_ra4" else str(response.way_of(at.way)["sense"])
    words = {k: str(c["words"]) for k, c in tables.load("bad_day")["causes"].items()}
    sooner = tables.load("bad_day")["symptoms"][at.saw].get("tests", ())
    tests = sorted(tables.load("bad_day")["tests"], key=lambda t: t["key"] not in sooner)
    for other in real[1:]:
        for test in tests:
            sides = [next((i for i, o in enumerate(test["outcomes"]) if k in o["for"]), None) for k in (real[0], other)]
            if None in sides or sides[0] == sides[1]:
                continue
            outcomes = tuple(
                Outcome(str(o["see"][sense]), str(o["means"]), tuple(words[k] for k in real if k in o["for"])) for o in test["outcomes"]
            )  # fmt: skip
            return Decider((words[real[0]], words[other]), str(test["do"][sense]), float(test["minutes"]), outcomes)
    return None


def _sense(at: Seen) -> str:
    entry = response.way_of(at.way)
    dark, pale = ("too much", "too little") if response.sense(at.way) > 0 else ("too little", "too much")
    fog = f"stray light greys a {entry['border']} border"
    return f"On this way of working ({entry['words']}) black comes from {dark} light, white from {pale} light; {fog}."


# ── what the book knows of this sheet ──


def _known(reader: Reader, now: SheetState, at: Seen) -> Iterable[Clue]:
    e: dict[str, float] = tables.load("bad_day")["evidence"]
    yield from _of_exposure(now, at, e)
    yield from _of_run(reader, now, e)
    yield from _of_paper(reader, now, e)
    for key in _differing(reader, now):
        yield Clue(CHANGED[key][1], e["changed"], f"{CHANGED[key][0].capitalize()} changed since the sheet before.")


def _of_exposure(now: SheetState, at: Seen, e: dict[str, float]) -> Iterable[Clue]:
    if now.given_s is None:
        yield Clue(("not_exposed",), e["never_exposed"], "The book has no exposure of this sheet.")
        return
    if not at.light or now.strip or now.given_s <= 0:
        return
    stopped = (
        2.0 * math.log2(now.given_aperture / now.plan["aperture"])
        if now.given_aperture and now.plan["aperture"]
        else 0.0
    )
    off = math.log2(now.given_s / now.plan["time_s"]) - stopped
    words = f"The plan asked for {wording.seconds(now.plan['time_s'])}; by the book it got {wording.seconds(now.given_s)}, {wording.stops(off)} in light."
    if abs(off) < 0.5:
        yield Clue(("given",), e["given_as_planned"], "The book has it given as planned.")
    else:
        yield Clue(("given",), e["given_differs"] if off * at.light > 0 else e["given_other_way"], words)
    sd = math.hypot(now.plan["sd_stops"], float(tables.load("ways")["retry_sd"]))
    far = e["exposure_off_stops"]
    usual = 1.0 - normal_cdf(far / e["exposure_doubt_stops"])
    times = min(max((1.0 - normal_cdf(far / sd)) / usual, e["exposure_least"]), 3.0)
    doubt = f"The plan was good to {wording.stops_pm(sd)}, a keeper {wording.chance(now.plan['keeper_chance'])}: "
    tail = "so far off by exposure alone is not expected." if times < 0.5 else "exposure alone may be so far off."
    exposing = tuple(k for k, c in tables.load("bad_day")["causes"].items() if c.get("exposure"))
    yield Clue(exposing, times, doubt + tail)


def _of_run(reader: Reader, now: SheetState, e: dict[str, float]) -> Iterable[Clue]:
    """Time in the first developer, and white light marked too early."""
    with suppress(Refusal):  # its box or developer may have been renamed since
        process = run.process_of(reader, now.code)
        marks = [progress.Mark(m["kind"], m["step"], m["elapsed_s"] or 0.0) for m in run.run_marks(reader, now.code)]
        begun = [m.at_s for m in marks if m.kind == "begun"]
        first = process.steps[0]
        lifts = [m.at_s for m in marks if m.kind == "lifted" and m.step == first.key]
        undone = any(m.kind == "taken_back" and m.step == first.key for m in marks)
        if begun and lifts and not undone:
            spent = max(lifts) - min(begun)
            by = progress.where(process, marks, max(lifts) - 0.001).step  # its times as first appearance made them
            first = by if by and by.key == first.key else first
            words = f"It was {wording.seconds(spent)} in the {first.tray}; the window is {wording.seconds(first.low_s)} to {wording.seconds(first.high_s)}."
            short = e["short_dev"] if spent < first.low_s else e["dev_in_time"]
            long = e["long_dev"] if spent > 2.0 * first.high_s else e["dev_in_time"]
            yield Clue(("short_dev",), short, words)
            yield Clue(("long_dev",), long, words)
        yield from _of_wrong_trays(process, marks, e)
        for at_s in progress.where(process, marks, max(m.at_s for m in marks)).lights_on_at_s if begun else ():
            step = progress.where(process, [m for m in marks if m.kind in ("begun", "lifted", "taken_back")], at_s).step
            if step and step.light != "white":
                yield Clue(
                    ("white_light",),
                    e["white_light"],
                    f"White light was marked {wording.seconds(at_s)} into the run, in the {step.tray}.",
                )
                return


def _of_wrong_trays(process: Process, marks: list[progress.Mark], e: dict[str, float]) -> Iterable[Clue]:
    """A wrong tray that was marked at the run, and what it does to a sheet."""
    for m in (m for m in marks if m.kind == "wrong_tray"):
        at = progress.where(process, [*(x for x in marks if x.at_s < m.at_s), m], m.at_s)
        undone = any(x.kind == "taken_back" and x.step == m.step and x.at_s >= m.at_s for x in marks)
        if at.aside and at.step and not undone:
            means = interrupt.wrong(process, at.step, at.aside).means
            words = f"At the run it lay in the {at.aside.tray} when it was due in the {at.step.tray}. {means}"
            yield Clue(("wrong_tray",), e["wrong_tray_marked"], words)
            return


def _of_paper(reader: Reader, now: SheetState, e: dict[str, float]) -> Iterable[Clue]:
    if response.way_of(now.plan["way"])["sensitivity"] == "colour":
        yield Clue(("lamp",), e["colour_lamp"], "This paper bears no lamp at all, not even red.")
    box: dict[str, Any] = next((t["body"] for t in reader.things("box") if t["name"] == now.plan["box"]), {})
    if not box.get("opened"):
        return
    years = (date.fromisoformat(now.wall[:10]) - date.fromisoformat(box["opened"])).days / 365.25
    words = f"Box {now.plan['box']} was opened {box['opened']}."
    if years >= e["old_years"]:
        yield Clue(("old_box",), e["old_box"] ** (2 if years >= 2 * e["old_years"] else 1), words)
    elif 0 <= years < 1:
        yield Clue(("old_box",), e["fresh_box"], words)


def _differing(reader: Reader, now: SheetState | None) -> list[str]:
    """What differs from the sheet before it, by the plans."""
    before = reader.sheets(limit=1, before=now.number) if now else []
    if not now or not before:
        return []
    plan = before[0]["body"]["plan"]
    return [k for k in CHANGED if plan.get(k) != now.plan.get(k)]


def _misses(reader: Reader, now: SheetState | None, at: Seen) -> int:
    """How many sheets in a row, this one included, missed in the same way: fogged, or too much light, or too little."""
    mine = "fogged" if at.saw == "grey_border" else at.light
    if at.border and response.border_says(at.way, at.border) == "fogged":
        mine = "fogged"
    count = 1
    for row in reader.sheets(limit=6, before=now.number if now else None) if mine else ():
        j = state_of(row, reader.marks(row["id"])).judgement
        if j is None:
            continue
        light = 0 if abs(j["need_stops"]) < MISS_STOPS else -int(math.copysign(1, j["need_stops"]))
        if ("fogged" if j["fogged"] else light) != mine:
            break
        count += 1
    return count
