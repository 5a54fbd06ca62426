"""A bad day: a spoiled sheet in wet hands. What to do first, what it may come from, and the one scrap that decides.

A ranking and not a diagnosis: shares of a small table of common practice, times what the book knows of this sheet.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import tables, wording
from firstsheet.acts.answers import SheetState
from firstsheet.acts.bad_day_known import CHANGED, Clue, Seen, differing, known
from firstsheet.acts.bad_day_known import misses as misses_so_far
from firstsheet.acts.door import Door, Form
from firstsheet.acts.sheet import sheet
from firstsheet.paper import response

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader

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
LEAST_SHARE = 0.02
LEAST_OTHER = 0.10  # of what is in no list: a ranking from common practice may not be surer than this; ours, no source
REVERSALS = ("reversal_ra4", "reversal_bw")  # developed twice: the first bath makes the whites, what it leaves makes the blacks


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


def bad_day(reader: Reader, code: str | None, form: Form) -> BadDay:
    """Fields: saw (all_black, blank, nothing_came_up, grey_border, streaks, one_side, double, cast), way, border.

    code  the sheet's, where it has one; without it only the table speaks. Nothing is stored.
    """
    now = sheet(reader, code) if code else None
    at = _seen(reader, now, form)
    clues = [*_border(at), *(known(reader, now, at) if now else ())]
    causes = _ranked(at, clues)
    misses = misses_so_far(reader, now, at)
    notes = [_sense(at)] if at.saw in ("all_black", "blank", "grey_border") else []
    if now and not now.strip:
        notes.append(
            f"The plan made a keeper {wording.chance(now.plan['keeper_chance'])}: some misses are to be expected."
        )
    differ = differing(reader, now)
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
    alike = cause.get(f"likely_{REVERSALS[0]}") if at.way in REVERSALS else None
    likely = cause.get(f"likely_{at.way}", alike or cause["likely"])
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
    reversal = at.way in REVERSALS
    sense = REVERSALS[0] if reversal else str(response.way_of(at.way)["sense"])
    words = {k: str(c["words"]) for k, c in tables.load("bad_day")["causes"].items()}
    sooner = tables.load("bad_day")["symptoms"][at.saw].get("tests", ())
    tests = sorted(tables.load("bad_day")["tests"], key=lambda t: t["key"] not in sooner)
    if real[:1] == ["flash"]:
        tests.sort(key=lambda t: t["key"] != "flash_scrap")  # the nearest at hand
    for other in real[1:]:
        for test in tests:
            sides = [next((i for i, o in enumerate(test["outcomes"]) if k in o["for"]), None) for k in (real[0], other)]
            if None in sides or sides[0] == sides[1]:
                continue
            outcomes = tuple(
                Outcome(str(o["see"][sense]), str(o["means"]), tuple(words[k] for k in real if k in o["for"])) for o in test["outcomes"]
            )  # fmt: skip
            do = str(test["do"][sense])
            if at.way == "reversal_bw":  # an ordinary paper: fixed in fixer, and it bears the red lamp
                do = do.replace("bleach-fix", "fixer")
            return Decider((words[real[0]], words[other]), do, float(test["minutes"]), outcomes)
    return None


def _sense(at: Seen) -> str:
    entry = response.way_of(at.way)
    dark, pale = ("too much", "too little") if response.sense(at.way) > 0 else ("too little", "too much")
    fog = f"stray light greys a {entry['border']} border"
    return f"On this way of working ({entry['words']}) black comes from {dark} light, white from {pale} light; {fog}."
