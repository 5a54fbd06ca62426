"""The filter pack of a colour reversal: one page, and the same as JSON. Every form works without script."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import JSONResponse

from firstsheet import tables
from firstsheet.acts import pack, pack_ring
from firstsheet.colour import cast
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk
from firstsheet.web.api import said
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)
Form = Annotated[Sent, Depends(bodies.form)]
LOOK = ("light", "seconds")
TOLD = ("colour", "much", "bright", "grey", "white", "shadows", "highlights", "pack", "given", *LOOK)
COLOURS = (("neutral", "no cast"), *((k, "too " + k if "_" not in k else "between " + k.replace("_", " and ")) for k in cast.COLOURS))
LEANS = COLOURS[1:]
MUCH = tuple((k, k.replace("_", " ")) for k in cast.HOW_MUCH)
BRIGHT = tuple((k, k.replace("_", " ")) for k in cast.BRIGHT)


@router.get("/pack")
def page(request: Request) -> Response:
    return _page(request, _of(bodies.query(request), (*LOOK, "patches")))


@router.post("/pack/told")
def told(request: Request, sent: Form) -> Response:
    """A finished sheet, and the next pack."""
    return _kept(request, _of(sent.fields, TOLD), pack.told)


@router.post("/pack/back")
def back(request: Request, sent: Form) -> Response:
    return _kept(request, _of(sent.fields, ("light",)), pack.take_back)


@router.post("/pack/gels")
def gels(request: Request, sent: Form) -> Response:
    return _kept(request, _of(sent.fields, ("gels",)), pack.gels)


@router.get("/api/pack")
def as_json(request: Request) -> JSONResponse:
    return said(pack.plan(desk.book_of(request), bodies.query(request)))


@router.get("/api/pack/ring")
def ring_json(request: Request) -> JSONResponse:
    return said(pack_ring.ring(desk.book_of(request), bodies.query(request)))


def _of(fields: dict[str, str], wanted: tuple[str, ...]) -> dict[str, str]:
    return {k: v for k, v in fields.items() if k in wanted and v.strip()}


def _kept(request: Request, typed: dict[str, str], act: Callable[..., object]) -> Response:
    try:
        act(desk.book_of(request), typed)
    except Refusal as refusal:
        return _page(request, typed, refusal)
    return desk.onward("/pack?" + urlencode({k: typed[k] for k in LOOK if k in typed}))


def _page(request: Request, typed: dict[str, str], refusal: Refusal | None = None) -> Response:
    book = desk.book_of(request)
    told: dict[str, Any] = {"found": None, "ring": None}
    refusals = [refusal] if refusal else []
    with book.looking():
        try:
            look = {} if refusal else _of(typed, LOOK)
            told["found"] = pack.plan(book, look)
            if typed.get("patches"):
                told["ring"] = pack_ring.ring(book, look | {"patches": typed["patches"]})
        except Refusal as other:
            refusals.append(other)
    beside: dict[str, Any] = {"elsewhere": [], "by_field": {}}
    if refusals:
        beside = desk.beside(Refusal(*(p for r in refusals for p in r.problems)), {*TOLD, "gels"})
    status = desk.status_of(refusals[0]) if refusals else 200
    lights = [(k, str(v["words"])) for k, v in tables.load("lights").items()]
    return desk.page(request, "pack.html", "Outside", status, **told, **(beside | {"typed": typed}), lights=lights, colours=COLOURS, leans=LEANS, much=MUCH, bright=BRIGHT)
