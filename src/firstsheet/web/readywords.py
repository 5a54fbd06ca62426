"""Before the box opens as words for its pages; no number is made here."""

from __future__ import annotations

from typing import Any

from firstsheet import wording
from firstsheet.acts.lamptest import LampGuide, LampTest, as_said
from firstsheet.acts.leaktest import LeakGuide, LeakTest
from firstsheet.acts.readiness import Ready


def ready(r: Ready) -> dict[str, Any]:
    count = len(r.items)
    if r.wall is None:
        state = "Tick what is so; then keep it. It blocks nothing."
    elif r.left:
        state = f"{r.left} of {count} not ticked, kept {_when(r.wall)} UTC. What to do stands under each."
    else:
        state = f"All {count} ticked, kept {_when(r.wall)} UTC."
    return {
        "code": r.code, "way": r.way_words[:1].upper() + r.way_words[1:], "state": state, "first": r.first, "begun": r.begun,
        "bad": [f.words for f in r.tests if not f.well], "good": [f.words for f in r.tests if f.well],
        "items": [{"key": i.key, "words": i.words, "aside": i.otherwise if i.so is False else i.why, "so": bool(i.so), "not": i.so is False} for i in r.items],
        "light": r.light,
    }  # fmt: skip


def lamp_guide(g: LampGuide) -> dict[str, Any]:
    head = f"{g.paper}, box {g.box}. A run of it is {wording.seconds(g.needed_s)} under the lamp."
    return _guide(g, head, (*g.reasons, *g.notes, g.rule)) | {"times": as_said(g.totals_s)}


def leak_guide(g: LeakGuide) -> dict[str, Any]:
    head = f"{g.paper}, box {g.box}. A sheet of it is {wording.seconds(g.needed_s)} out of its box."
    return _guide(g, head, (*g.reasons, g.rule)) | {"lay": wording.seconds(g.lay_s), "places": ", ".join(g.places)}


def _guide(g: LampGuide | LeakGuide, head: str, under: tuple[str, ...]) -> dict[str, Any]:
    return {"head": head[:1].upper() + head[1:], "cautions": g.cautions, "steps": g.steps, "under": under, "box": g.box}


def test(t: LampTest | LeakTest) -> dict[str, Any]:
    old = "old: make it again" if t.old else ""
    away = isinstance(t, LampTest) and t.away
    return {"words": t.words, "aside": "put away" if away else old, "lamp": t.lamp if isinstance(t, LampTest) and not away else ""}  # fmt: skip


def _when(wall: str) -> str:
    return wall[:16].replace("T", " ")
