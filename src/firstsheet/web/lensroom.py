"""What lens and room can do: one page a question. A question is a link that may be kept and sent; keeping is a button."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import HTMLResponse, JSONResponse

from firstsheet.acts import chair, dark, distances, even, fits, lens, room_drawn, sharp
from firstsheet.acts.found import Found
from firstsheet.answer import to_json
from firstsheet.drawing import paper
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk, lensroomwords
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)
api = APIRouter(prefix="/api")
PAPER = "/room/paper/"
Form = Annotated[Sent, Depends(bodies.form)]
Body = Annotated[dict[str, Any], Depends(bodies.json_object)]


@dataclass(frozen=True, slots=True)
class Asking:
    """One kind of question: how it is answered, and where its keeping goes; `at_once`: answered with nothing asked."""

    answer: Callable[..., Found]
    keep: Callable[..., Found] | None = None
    at_once: bool = False


def _kept(what: str) -> Callable[..., Found]:
    return lambda book, form: lens.keep(book, what, form)


ASKING: dict[str, Asking] = {
    "lens": Asking(lens.lens, at_once=True),
    **{f"lens/{k}": Asking(lens.WAYS[k], _kept(k)) for k in ("focal", "pupil", "barrel", "discs", "shutter", "hand", "single")},
    "lens/pinhole": Asking(lens.pinhole, at_once=True),
    "distances": Asking(distances.distances),
    "fits": Asking(fits.fits_here, at_once=True),
    "lenses": Asking(fits.lenses),
    "sharp": Asking(sharp.sharpness, at_once=True),
    "even": Asking(even.evenness, at_once=True),
    "dark": Asking(dark.dark_enough, dark.keep, at_once=True),
    "drawing": Asking(lambda book, asked: room_drawn.drawn(book, asked)[0], chair.keep, at_once=True),
    "marks": Asking(distances.marks, at_once=True),
    "ruler": Asking(lambda book, asked: distances.ruler(book, asked)[0], at_once=True),
}


def _page(request: Request, what: str, asked: dict[str, str], kept: Found | None = None) -> Response:
    words = lensroomwords.PAGES[what]
    asking = ASKING[what]
    asked = {k: v for k, v in asked.items() if v.strip()}
    shown: dict[str, Any] = {"found": kept, "elsewhere": [], "by_field": {}, "typed": asked, "keeps": bool(asking.keep)}
    status = 200
    book = desk.book_of(request)
    with book.looking():
        if kept is None and (asked or asking.at_once):
            try:
                if what == "drawing":
                    shown["found"], shown["chair"] = chair.on_page(book, asked)
                else:
                    shown["found"] = asking.answer(book, asked)
            except Refusal as refusal:
                shown |= desk.beside(refusal, {f.key for f in words.fields})
                status = desk.status_of(refusal)
        if kept is not None and what == "drawing":
            shown["chair"] = chair.on_page(book, asked)[1]
        shown["more"] = lensroomwords.links(what, asked)
    return desk.page(request, "lensroom.html", "Board", status, page=words, path=f"/room/{what}", back=lensroomwords.back(what), **shown)


def _white(request: Request) -> None:
    """What is printed is on white: only in the light of the sun."""
    if desk.light_of(request) != "sun":
        raise Refusal.one("light", desk.light_of(request), "It is printed on white: choose the sun light first.", "")


@router.get("/room/ruler/print")
def ruler_to_print(request: Request) -> Response:
    _white(request)
    return HTMLResponse(paper.linked(distances.ruler(desk.book_of(request), bodies.query(request))[1], PAPER))


@router.get("/room/drawing/print")
def drawing_to_print(request: Request) -> Response:
    _white(request)
    return HTMLResponse(paper.linked(room_drawn.drawn(desk.book_of(request), bodies.query(request))[1], PAPER))


@router.get("/room/paper/{size}.css")
def paper_style(size: str) -> Response:
    """The style of what is printed: the guard lets no page carry its own."""
    if size not in paper.PAPERS:
        raise Refusal.one("page", size, "One of: " + ", ".join(paper.PAPERS) + ".", "", "missing")
    return Response(paper.style(size), media_type="text/css")


@router.get("/room/{what:path}")
def ask(request: Request, what: str) -> Response:
    _known(what)
    return _page(request, what, bodies.query(request))


@router.post("/room/{what:path}")
def keep(request: Request, what: str, sent: Form) -> Response:
    asking = _known(what)
    fields = {k: v for k, v in sent.fields.items() if v.strip()}
    if asking.keep is None:
        raise Refusal.one("page", what, "Nothing is kept here.", "Go back and ask again.")
    try:
        return _page(request, what, fields, asking.keep(desk.book_of(request), fields))
    except Refusal:
        return _page(request, what, fields)


def _known(what: str) -> Asking:
    if what not in ASKING:
        raise Refusal.one("page", what, "One of: " + ", ".join(ASKING) + ".", "", "missing")
    return ASKING[what]


@api.get("/room/{what:path}")
def answer(request: Request, what: str) -> JSONResponse:
    return JSONResponse(to_json(_known(what).answer(desk.book_of(request), bodies.query(request))))


@api.post("/room/{what:path}")
def answer_and_keep(request: Request, what: str, body: Body) -> JSONResponse:
    asking = _known(what)
    wanted = asking.keep if asking.keep and body.get("keep") in (True, "yes") else asking.answer
    return JSONResponse(to_json(wanted(desk.book_of(request), body)))
