"""What scraps told, as words and drawings for one kind of page; all rounding of it is here."""

from __future__ import annotations

from typing import Any

from firstsheet import tables, wording
from firstsheet.acts import scraps, scraps_words
from firstsheet.acts.calibrate_teach import NextPlan
from firstsheet.acts.calibrate_words import density
from firstsheet.acts.own import Owned
from firstsheet.acts.scraps_developers import TwoDevelopers
from firstsheet.acts.scraps_fog import FogTest
from firstsheet.acts.scraps_readings import Through, TwoReadings
from firstsheet.acts.scraps_reciprocity import LongExposures
from firstsheet.acts.scraps_words import figure_words, stain_rows, stain_words


def line(t: scraps.Told) -> dict[str, Any]:
    """One kept answer in a list."""
    aside = (
        f"{t.line}, {t.day}"
        if t.stands
        else f"{t.line}, {t.day}; {scraps.STATES[t.state].partition(':')[0].partition(',')[0]}"
    )
    return {"number": t.number, "words": f"{t.words}, {scraps.named(t.box)}", "aside": aside}


def offered(things: dict[str, list[Owned]], today: dict[str, Any]) -> dict[str, Any]:
    """Boxes and developers to choose from, with what holds today chosen."""
    out: dict[str, Any] = {"now": {}}
    for kind, plural in (("box", "boxes"), ("developer", "developers")):
        have = [t.name for t in things[kind]]
        out[plural] = [(n, n) for n in have]
        out["now"][kind] = str(today.get(kind) if today.get(kind) in have else have[0] if have else "")
    return out


def next_plan(n: NextPlan, state: str) -> str:
    nothing = "No plan can be made yet; when light and distance are said, its seconds follow from this."
    return scraps_words.next_plan(n, state) or (nothing if state in ("counts", "waits") else "")


def reciprocity(a: LongExposures) -> dict[str, Any]:
    facts = [
        {"words": f"Metered {wording.seconds(g.metered_s)}", "value": wording.seconds(g.give_s),
         "aside": f"9 in 10: {wording.seconds(g.low_s)} to {wording.seconds(g.high_s)}"}
        for g in a.give
    ]  # fmt: skip
    of = f", of {a.curve}" if a.curve else ""
    return _page(
        a, "Long exposures", f"{a.exponent:.2f}", "the exponent 1/p", f"By {a.by}{of}. Told on {a.day}.",
        sentence=a.sentence, facts=facts, change=next_plan(a.next_plan, a.state), counts=True, again="/scraps/reciprocity",
    )  # fmt: skip


def fog(a: FogTest) -> dict[str, Any]:
    figure = f"{max(a.fog, 0.0):.2f}" if a.word != "not told apart" else f"≤ {max(a.high, 0.0):.2f}"
    facts = [
        {"words": "Fog", "value": f"{density(a.fog)} D", "aside": f"9 in 10: {density(a.low)} to {density(a.high)}, by {a.kind}"},
        {"words": "Good for", "value": a.usable, "aside": ""},
        {"words": "Tested", "value": a.day, "aside": a.by},
        {"words": "Tests of this box", "value": str(a.tests), "aside": ""},
    ]  # fmt: skip
    return _page(
        a, "Fog", figure, "density of fog", f"Fixed only beside developed in {a.developer} and fixed.", sentence=a.sentence,
        said=[a.slower_words, a.drift_words], facts=facts, again="/scraps/fog",
    )  # fmt: skip


def fog_of_box(a: FogTest) -> dict[str, Any]:
    """The newest test of a box, for the page of the box."""
    return {
        "number": a.number,
        "line": f"Fog {max(a.fog, 0.0):.2f} D on {a.day}: good for {a.usable}.",
        "drift": a.drift_words,
    }


def readings(a: TwoReadings, asked: list[Through]) -> dict[str, Any]:
    t = asked[0] if asked else a.at[-1]
    rows = [_through(r) for r in (asked or a.at)]
    return _page(
        a, "Looked at and shone through", density(t.transmission), f"to print through, where it looks {density(t.reflection)}",
        f"{len(a.pairs)} patches read both ways, developed in {a.developer}. Told on {a.day}.", sentence=a.sentence, facts=rows, plots=[a.plot_svg],
        caution=tuple(a.caution.split(". ", 1)), again="/scraps/readings", ask_through=True, absolute=a.base_reflection is not None,
    )  # fmt: skip


def _through(t: Through) -> dict[str, str]:
    whole = "" if t.with_base is None else f"; {density(t.with_base)} with its base"
    return {"words": f"Looks {density(t.reflection)}", "value": density(t.transmission),
            "aside": f"9 in 10: {density(t.low)} to {density(t.high)}{whole}"}  # fmt: skip


def developers(a: TwoDevelopers) -> dict[str, Any]:
    speed = a.figures[0]
    figure, unit = (
        ("?", "speed not reached")
        if speed.value is None
        else (wording.stops_apart(speed.value).split()[0], _side(a, speed.value))
    )
    stain = stain_words(a)
    change = next_plan(a.next_plan, a.state) if a.adds else ""
    return _page(
        a, f"{a.first} and {a.second}", figure, unit, f"Curves {a.curves[0]} and {a.curves[1]}, exposed by {_light(a.light)}. Told on {a.day}.", sentence=a.sentence,
        facts=[*(figure_words(f) for f in a.figures), *stain_rows(a)], change=change, counts=True, again="/scraps/developers",
        plots=[a.plot_svg], caution=tuple(a.caution.split(". ", 1)), said=[*stain[:2], *stain[-1:]],
        more=[(f"/scraps/{a.number}/photo", "Their colours again" if a.stain else "Measure the stain: a photo of both")],
    )  # fmt: skip


def _side(a: TwoDevelopers, stops: float) -> str:
    told = wording.stops_apart(stops)
    word = told.split()[1]
    return f"{word} apart" if told.startswith("0.0") else f"{word} {'faster' if stops > 0 else 'slower'} in {a.second}"


def _light(key: str) -> str:
    return str(tables.load("lights")[key]["words"])


def _page(a: Any, title: str, figure: str, unit: str, how: str, **more: Any) -> dict[str, Any]:
    base = {
        "sentence": "",
        "facts": [],
        "change": "",
        "counts": False,
        "plots": [],
        "caution": None,
        "said": [],
        "more": [],
    }
    told = {"number": a.number, "box": a.box, "title": f"{title}, {scraps.named(a.box)}", "figure": figure, "unit": unit,
            "how": how, "stands": a.stands, "state": a.state, "state_words": _state(a), "notes": a.notes}  # fmt: skip
    return base | told | more


def _state(a: Any) -> str:
    """Whether it counts, in a sentence; "" where it does."""
    words = scraps.STATES[a.state]
    return "" if a.state == "counts" else f"{words[:1].upper()}{words[1:]}."
