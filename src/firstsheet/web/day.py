"""The day: its page, the place typed once, and the same as JSON. Every change is a form that works without script."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import JSONResponse

from firstsheet.acts import day, day_place
from firstsheet.acts.day_place import PLACE
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, daywords, desk
from firstsheet.web.api import said
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)
Form = Annotated[Sent, Depends(bodies.form)]
DAY = ("date", "sky")


@router.get("/day")
def page(request: Request) -> Response:
    asked = {k: v for k, v in bodies.query(request).items() if k in DAY}
    book = desk.book_of(request)
    with book.looking():
        if not day_place.known(book):
            return _page(request, asked)
        try:
            return _page(request, asked, found=day.day(book, asked))
        except Refusal as refusal:
            return _page(request, asked, refusal)


@router.post("/day/place")
def keep(request: Request, sent: Form) -> Response:
    """The place, kept; or, by the button touched, out of the book."""
    book = desk.book_of(request)
    if sent.fields.get("do") == "forget":
        day_place.forget(book)
        return desk.onward("/day")
    given = {k: v for k, v in sent.fields.items() if k in PLACE}
    emptied = {k: "none" for k in PLACE if k not in given and k not in ("place", "zone")}  # the form is sent whole
    try:
        with book.begin():
            day_place.say(book, given | emptied)
    except Refusal as refusal:
        return _page(request, given, refusal)
    return desk.onward("/day")


@router.get("/api/day")
def as_json(request: Request) -> JSONResponse:
    return said(day.day(desk.book_of(request), bodies.query(request)))


@router.get("/day.svg")
def drawn(request: Request) -> Response:
    from firstsheet.acts.day_drawing import drawing

    asked = {k: v for k, v in bodies.query(request).items() if k in DAY}
    return Response(drawing(day.day(desk.book_of(request), asked)), media_type="image/svg+xml")


def _page(
    request: Request, typed: dict[str, str], refusal: Refusal | None = None, found: day.Day | None = None
) -> Response:
    book = desk.book_of(request)
    told: dict[str, Any] = {"elsewhere": [], "by_field": {}, "typed": typed}
    status = 200
    if refusal is not None:
        told |= desk.beside(refusal, {*PLACE, *DAY})
        status = 422 if refusal.kind == "missing" else desk.status_of(refusal)
    words = {"day": daywords.day(found) if found else None, "stand": daywords.stand(book), "skies": daywords.skies()}
    return desk.page(request, "day.html", "Outside", status, **words, **told)
