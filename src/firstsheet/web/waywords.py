"""Ways at the trays and their warmth as words for their pages; no number is made here."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from firstsheet.acts.answers import SheetState
from firstsheet.acts.warming import Warmed
from firstsheet.acts.way_line import WayLine, cost_words, litres_words, minutes_words
from firstsheet.acts.ways import StepTold, Way
from firstsheet.refusal import Refusal
from firstsheet.tables import load
from firstsheet.trays.process import ways
from firstsheet.trays.runpage import clock_words

OVER = ("in the trays", "processed", "judged", "given up")
HANDS = (("all", "on it all the time"), ("some", "free once it lies there"))


def address(name: str) -> str:
    return "/ways/way?" + urlencode({"name": name})


def named(w: Way) -> str:
    return w.name if w.own else w.words


def line(w: Way) -> dict[str, Any]:
    """One way in the list."""
    words = f"your own {w.words}" if w.own else ", ".join(s.tray for s in w.steps)
    return {"href": address(w.name), "name": named(w), "words": words, "own": w.own, "aside": "sheets go by it" if w.own and w.stands else ""}  # fmt: skip


def told(w: Way) -> dict[str, Any]:
    """One way for its page."""
    return {
        "name": w.name, "title": named(w), "of": w.of, "own": w.own, "stands": w.stands, "words": w.words,
        "steps": [_step(w, s) for s in w.steps], "may_add": list(w.may_add),
        "places": _places(list(w.steps)), "hands": HANDS,
    }  # fmt: skip


def line_of(w: WayLine) -> dict[str, Any]:
    """A route's line for its page: what it takes in sentences, the drawing, what can hurt where."""
    takes = [t for t in (minutes_words(w), litres_words(w), cost_words(w)) if t]
    hurts = [f"{leg.words[:1].upper()}{leg.words[1:]}: {leg.caution}" for leg in w.legs if leg.caution]
    first, *rest = [*hurts, *w.cautions]
    return {
        "plain": w.plain, "mirrored": w.mirrored, "takes": takes, "drawing": w.drawing_svg, "marked": bool(hurts), "first": first, "cautions": rest,
        "afterwards": w.afterwards, "notes": w.notes, "litre": f"{w.litre_cost:g} {w.currency}".strip() if w.litre_cost is not None else "",
        "priced": w.box is not None,
    }  # fmt: skip


def _places(steps: list[StepTold]) -> list[tuple[str, str]]:
    """Behind which step: by its tray, with its number where a tray comes twice."""
    trays = [s.tray for s in steps]
    named = [(s.key, s.tray if trays.count(s.tray) == 1 else f"{s.tray}, step {i}") for i, s in enumerate(steps, 1)]
    return [("start", "the first place"), *named]


def _step(w: Way, s: StepTold) -> dict[str, Any]:
    return {
        "key": s.key, "tray": s.tray, "time": clock_words(s.seconds), "window": f"lift between {clock_words(s.low_s)} and {clock_words(s.high_s)}",
        "hands": dict(HANDS)[s.hands], "drain": f"{clock_words(s.drain_s)} to drain", "light": s.light_words, "own": s.own,
        "doing": s.doing, "source": s.source, "href": "/ways/step?" + urlencode({"name": w.name, "step": s.key}),
    }  # fmt: skip


def step(w: Way, key: str) -> dict[str, Any]:
    """One step of one's own way for its page. Refusal where there is none."""
    found = next((s for s in w.steps if s.key == key), None)
    if found is None or not w.own:
        names = ", ".join(s.key for s in w.steps)
        raise Refusal.one("step", key, f"A step of a way of your own: {names}.", "Copy a way, then touch a step of it.", "missing")  # fmt: skip
    places = _places([s for s in w.steps if s.key != key])
    return _step(w, found) | {"name": w.name, "back": address(w.name), "places": places, "hands_choice": HANDS, "window_now": f"{clock_words(found.low_s)} to {clock_words(found.high_s)}"}  # fmt: skip


def warmed(w: Warmed) -> dict[str, Any]:
    """Steps at a temperature."""
    steps = [
        {
            "tray": s.tray, "time": clock_words(s.seconds), "changed": s.changed, "source": s.source if s.changed else "",
            "window": f"lift between {clock_words(s.low_s)} and {clock_words(s.high_s)}",
        }
        for s in w.steps
    ]  # fmt: skip
    return {"words": w.words, "temperature": w.temperature, "steps": steps, "whole": clock_words(w.whole_s), "notes": w.notes}  # fmt: skip


def choices() -> dict[str, Any]:
    """What may be chosen for a look."""
    data = load("processes")
    return {
        "way": list(ways().items()),
        "developer": [(k, v["words"]) for k, v in data["developers"].items()],
        "base": [("rc", "resin-coated"), ("fibre", "fibre")],
    }


def of_sheet(s: SheetState, offered: list[Way]) -> dict[str, Any]:
    """A sheet before its run: what may still be said of it."""
    return {"code": s.code, "over": s.state in OVER, "ways": [(w.name, named(w)) for w in offered] if len(offered) > 1 else []}  # fmt: skip
