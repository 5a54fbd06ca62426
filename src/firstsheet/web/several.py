"""Several sheets at once, on a page: asked, begun, marked, planned anew. What was said lives in the address, nothing in the book."""

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request, Response

from firstsheet import wording
from firstsheet.acts import several
from firstsheet.acts.several_asked import FIELDS
from firstsheet.acts.several_words import clock
from firstsheet.acts.strip_track import SCREEN
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)
Form = Annotated[Sent, Depends(bodies.form)]
SHOWN = ("sheets", "compose", "mount", "expose", "box", "places", "hands", "times", "done", "now")
TRAYS = "Every tray in its order, water, lamp switch and door known by touch; gloves on before the sound begins."


@router.get("/several")
def page(request: Request) -> Response:
    asked = _asked(bodies.query(request))
    if not asked:
        return _shown(request)
    try:
        found = several.plan(desk.book_of(request), asked)
    except Refusal as refusal:
        return _shown(request, desk.status_of(refusal), typed=asked, **desk.beside(refusal, set(SHOWN)))
    return _shown(request, typed=asked, p=_plan(found), track=_track(request, asked))


@router.post("/several/begin")
def begin(request: Request, sent: Form) -> Response:
    """From now on times count; what had been marked is forgotten."""
    asked = {k: v for k, v in _asked(sent.fields).items() if k not in ("done", "now")}
    return desk.onward(_address(asked | {"begun": several.begin(desk.book_of(request))}))


@router.post("/several/mark")
def mark(request: Request, sent: Form) -> Response:
    """One stretch is begun now; the rest is planned anew."""
    asked = _asked(sent.fields)
    done = several.mark(desk.book_of(request), asked, sent.fields.get("begin", "")[:60])
    return desk.onward(_address(asked | {"done": done}))


@router.get("/several/track.wav")
def sound(request: Request) -> Response:
    data = several.wav(desk.book_of(request), _asked(bodies.query(request)))
    return Response(data, media_type="audio/wav", headers={"Content-Disposition": 'inline; filename="several.wav"'})


def _asked(fields: dict[str, str]) -> dict[str, str]:
    return {k: v for k, v in fields.items() if k in FIELDS and v.strip()}


def _address(asked: dict[str, str], path: str = "/several") -> str:
    return f"{path}?{urlencode(asked)}"


def _shown(request: Request, status: int = 200, **words: Any) -> Response:
    base: dict[str, Any] = {"elsewhere": [], "by_field": {}, "typed": {}, "p": None, "track": None}
    return desk.page(request, "several.html", "Trays", status, **(base | words))


def _plan(p: several.SeveralPlan) -> dict[str, Any]:
    """The answer in words, each ready to be set."""
    left = [w for w in p.work if not w.marked]
    keys = {s.name: s.next_key for s in p.sheets}
    return {
        "figure": f"{p.per_hour:.1f}",
        "headline": p.headline,
        "proof": p.proof,
        "first": p.cautions[0],
        "cautions": p.cautions[1:],
        "way": f"In the way: {p.bottleneck.words}. At most {p.at_most_per_hour:.1f} an hour by it.",
        "reliefs": [f"With {r.words}: {wording.seconds(r.saved_s)} sooner." for r in p.reliefs],
        "late": p.late,
        "begun": p.begun,
        "now": clock(p.now_s),
        "next": _work(left[0]) if left else None,
        "others": [
            f"{name} {key}"
            for name, key in keys.items()
            if key and left and (name, key) != (left[0].sheet, left[0].key)
        ],
        "work": [_work(w) for w in left],
        "done": [_work(w) for w in p.work if w.marked],
        "lights": [{"at": x.at, "words": x.words} for x in p.lights if x.to_s > p.now_s],
        "sheets": [{"at": clock(s.done_s), "words": f"Sheet {s.name}, {s.words}"} for s in p.sheets],
    }


def _work(w: several.Work) -> dict[str, str]:
    words = "; ".join(w.words)
    return {"at": w.at, "sheet": w.sheet, "mark": f"{w.sheet} {w.key}", "words": f"{words[:1].upper()}{words[1:]}."}


def _track(request: Request, asked: dict[str, str]) -> dict[str, Any] | None:
    """As strip_track.html wants it; None where nothing is left to be told, or too much for one sound."""
    try:
        cues = several.track(desk.book_of(request), asked)
    except Refusal:
        return None
    return {
        "title": "All of it by ear, in one sound",
        "told": "So many pips as the sheet’s number, then what hands do. It begins twenty seconds before the first of it.",
        "cautions": [], "before": [TRAYS, SCREEN], "notes": [], "steps": [],
        "url": _address(asked, "/several/track.wav"), "total": clock(round(cues[-1].at_s)),
        "cues": [{"at": clock(round(c.at_s)), "words": c.words} for c in cues if c.words != "(tick)"],
    }  # fmt: skip
