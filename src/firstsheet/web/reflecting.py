"""A board beside the sitter, and a scrap as meter: their pages, and the same as JSON. Every form works without script."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import JSONResponse

from firstsheet import tables
from firstsheet.acts import day_place, reflector, scrap_meter
from firstsheet.acts.reflector import stands_words
from firstsheet.light.reflector import SURFACES
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, daywords, desk
from firstsheet.web.api import said
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)
Form = Annotated[Sent, Depends(bodies.form)]
BOARD = ("kind", "board", "distance", "turn", "sky", "sun", "side", "ratio", "want", "range")
TINT = ("seconds", "reading", "light")


@router.get("/reflector")
def page(request: Request) -> Response:
    typed = {k: v for k, v in bodies.query(request).items() if k in BOARD}
    book = desk.book_of(request)
    told: dict[str, Any] = {"elsewhere": [], "by_field": {}, "r": None, "stands": "", "typed": typed}
    status = 200
    with book.looking():
        try:
            told["r"] = found = reflector.reflector(book, typed)
            told["stands"] = stands_words(found)
            first, stop, told["rest"] = found.says.partition(". ")
            told["head"] = f"{first}." if stop else first
        except Refusal as refusal:
            told |= desk.beside(refusal, set(BOARD)) | {"typed": typed}
            status = desk.status_of(refusal)
        placed = day_place.known(book)
    kinds = [(s.key, s.words) for s in SURFACES.values()]
    return desk.page(request, "reflector.html", "Outside", status, **told, kinds=kinds, skies=daywords.skies(), placed=placed)


@router.get("/api/reflector")
def as_json(request: Request) -> JSONResponse:
    return said(reflector.reflector(desk.book_of(request), bodies.query(request)))


@router.get("/scrapmeter")
def scrap(request: Request) -> Response:
    typed = {k: v for k, v in bodies.query(request).items() if k == "seconds"}
    if not typed.get("seconds"):
        return _scrap(request, {})
    try:
        return _scrap(request, typed, found=scrap_meter.read(desk.book_of(request), typed))
    except Refusal as refusal:
        return _scrap(request, typed, refusal)


@router.post("/scrapmeter/tint")
def tint(request: Request, sent: Form) -> Response:
    """The tint, set beside a reading."""
    typed = {k: v for k, v in sent.fields.items() if k in TINT}
    try:
        scrap_meter.set_tint(desk.book_of(request), typed)
    except Refusal as refusal:
        return _scrap(request, typed, refusal)
    return desk.onward("/scrapmeter")


@router.post("/scrapmeter/plan")
def planned(request: Request, sent: Form) -> Response:
    """The count, into the plan."""
    typed = {k: v for k, v in sent.fields.items() if k == "seconds"}
    try:
        scrap_meter.into_plan(desk.book_of(request), typed)
    except Refusal as refusal:
        return _scrap(request, typed, refusal)
    return desk.onward("/")


@router.get("/api/scrapmeter")
def scrap_json(request: Request) -> JSONResponse:
    return said(scrap_meter.standing(desk.book_of(request)))


@router.get("/api/scrapmeter/read")
def read_json(request: Request) -> JSONResponse:
    return said(scrap_meter.read(desk.book_of(request), bodies.query(request)))


def _scrap(request: Request, typed: dict[str, str], refusal: Refusal | None = None, found: scrap_meter.ScrapReading | None = None) -> Response:
    told: dict[str, Any] = {"elsewhere": [], "by_field": {}}
    status = 200
    if refusal is not None:
        told |= desk.beside(refusal, set(TINT))
        status = desk.status_of(refusal)
    lights = [(k, str(v["words"])) for k, v in tables.load("lights").items()]
    return desk.page(request, "scrapmeter.html", "Outside", status, **(told | {"typed": typed}), stand=scrap_meter.standing(desk.book_of(request)), found=found, lights=lights)
