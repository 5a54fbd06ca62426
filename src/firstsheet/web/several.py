"""Several sheets at once, on a page: asked for in the address; once begun kept in the book, marked there, planned anew from its marks."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request, Response

from firstsheet import wording
from firstsheet.acts import several, several_kept
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
        return _shown(request, going=_going(request))
    try:
        found = several.plan(desk.book_of(request), asked)
    except Refusal as refusal:
        return _shown(request, desk.status_of(refusal), typed=asked, **desk.beside(refusal, set(SHOWN)))
    sound = _track(lambda: several.track(desk.book_of(request), asked), _address(asked, "/several/track.wav"))
    return _shown(request, typed=asked, p=_plan(found), track=sound)


@router.post("/several/begin")
def begin(request: Request, sent: Form) -> Response:
    """From now on times count, and everything is kept."""
    asked = {k: v for k, v in _asked(sent.fields).items() if k not in ("done", "now")}
    begun = several_kept.begin(desk.book_of(request), asked | {"id": sent.fields.get("id")})
    return desk.onward(f"/several/{begun.number}")


@router.get("/several/track.wav")
def sound(request: Request) -> Response:
    return _wav(several.wav(desk.book_of(request), _asked(bodies.query(request))))


@router.get("/several/{number}")
def evening(request: Request, number: int) -> Response:
    book = desk.book_of(request)
    found = several_kept.plan(book, number)
    sound = _track(lambda: several_kept.track(book, number), f"/several/{number}/track.wav")
    return _shown(request, p=_plan(found), track=sound)


@router.post("/several/{number}/mark")
def mark(request: Request, number: int, sent: Form) -> Response:
    """One stretch is begun now; the rest is planned anew."""
    several_kept.mark(desk.book_of(request), number, {k: sent.fields.get(k) for k in ("begin", "id")})
    return desk.onward(f"/several/{number}")


@router.post("/several/{number}/back")
def back(request: Request, number: int, sent: Form) -> Response:
    several_kept.take_back(desk.book_of(request), number, sent.fields.get("id"))
    return desk.onward(f"/several/{number}")


@router.get("/several/{number}/track.wav")
def evening_sound(request: Request, number: int) -> Response:
    return _wav(several_kept.wav(desk.book_of(request), number))


def _wav(data: bytes) -> Response:
    return Response(data, media_type="audio/wav", headers={"Content-Disposition": 'inline; filename="several.wav"'})


def _going(request: Request) -> str | None:
    """Where the newest evening goes on, if there is one."""
    have = several_kept.evenings(desk.book_of(request))
    return f"/several/{have[0].number}" if have else None


def _asked(fields: dict[str, str]) -> dict[str, str]:
    return {k: v for k, v in fields.items() if k in FIELDS and v.strip()}


def _address(asked: dict[str, str], path: str = "/several") -> str:
    return f"{path}?{urlencode(asked)}"


def _shown(request: Request, status: int = 200, **words: Any) -> Response:
    base: dict[str, Any] = {
        "elsewhere": [],
        "by_field": {},
        "typed": {},
        "p": None,
        "track": None,
        "going": None,
        "id": several_kept.new_id(),
    }
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
        "number": p.number,
        "last": _last(p),
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


def _last(p: several.SeveralPlan) -> dict[str, str] | None:
    """The mark that can be taken back, in words."""
    if not p.marks:
        return None
    m = p.marks[-1]
    return {"id": m.id, "words": f"sheet {m.sheet}, {m.key.replace('_', ' ')}, {clock(m.at_s)}"}


def _track(cues_of: Callable[[], tuple[several.CueOf, ...]], url: str) -> dict[str, Any] | None:
    """As strip_track.html wants it; None where nothing is left to be told, or too much for one sound."""
    try:
        cues = cues_of()
    except Refusal:
        return None
    return {
        "title": "All of it by ear, in one sound",
        "told": "So many pips as the sheet’s number, then what hands do. It begins twenty seconds before the first of it.",
        "cautions": [], "before": [TRAYS, SCREEN], "notes": [], "steps": [],
        "url": url, "total": clock(round(cues[-1].at_s)),
        "cues": [{"at": clock(round(c.at_s)), "words": c.words} for c in cues if c.words != "(tick)"],
    }  # fmt: skip
