"""Baths in the trays, on their pages: poured, counted, moved forward, thrown away."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response

from firstsheet.acts import mixing_baths, mixing_waste, own
from firstsheet.chemistry.bath import kinds
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk, mixwords
from firstsheet.web.bodies import Sent

router = APIRouter(prefix="/bath")
Form = Annotated[Sent, Depends(bodies.form)]
PLACE = "Bench"
POUR = ("name", "kind", "volume", "temperature", "developer")
THROUGH = ("sheets", "size", "temperature", "appeared", "silver")


def _page(
    request: Request, template: str, names: tuple[str, ...], refusal: Refusal | None = None, **words: Any
) -> Response:
    told: dict[str, Any] = {"elsewhere": [], "by_field": {}, "typed": {}}
    if refusal is None:
        return desk.page(request, template, PLACE, **(told | words))
    return desk.page(
        request, template, PLACE, desk.status_of(refusal), **(told | words | desk.beside(refusal, set(names)))
    )


def _list(request: Request, refusal: Refusal | None = None, typed: dict[str, str] | None = None) -> Response:
    book = desk.book_of(request)
    with book.looking():
        have = [mixwords.bath_line(b) for b in mixing_baths.baths(book)]
        waste = mixing_waste.waste(book)
        developers = [(o.name, o.name) for o in own.owned(book, "developer")]
    offered = [(k.key, k.words) for k in kinds().values()]
    return _page(
        request,
        "mix_baths.html",
        POUR,
        refusal,
        baths=have,
        waste=waste,
        kinds=offered,
        developers=developers,
        typed=typed or {},
    )


@router.get("")
def index(request: Request) -> Response:
    return _list(request)


@router.post("")
def pour(request: Request, sent: Form) -> Response:
    try:
        b = mixing_baths.open_bath(desk.book_of(request), {k: v for k, v in sent.fields.items() if k in POUR})
    except Refusal as refusal:
        return _list(request, refusal, sent.fields)
    return desk.onward(f"/mix/bath/{mixwords.in_address(b.name)}")


@router.post("/waste")
def handed_in(request: Request) -> Response:
    mixing_waste.hand_in(desk.book_of(request))
    return desk.onward("/mix/bath")


@router.get("/{name:path}")
def one(request: Request, name: str) -> Response:
    return _one(request, name)


def _one(request: Request, name: str, refusal: Refusal | None = None, typed: dict[str, str] | None = None) -> Response:
    book = desk.book_of(request)
    with book.looking():
        b = mixwords.bath(mixing_baths.named(book, name[:60]))
    return _page(request, "mix_bath.html", THROUGH, refusal, b=b, typed=typed or {})


@router.post("/{name:path}")
def told(request: Request, name: str, sent: Form) -> Response:
    """What went through; or, by the button touched, moved forward, thrown away, taken back."""
    book, do, name = desk.book_of(request), sent.fields.get("do"), name[:60]
    try:
        if do == "forward":
            mixing_baths.forward(book, name)
        elif do in ("end", "back"):
            mixing_baths.end(book, name, do == "back")
        else:
            mixing_baths.through(book, {k: v for k, v in sent.fields.items() if k in THROUGH} | {"bath": name})
    except Refusal as refusal:
        if refusal.kind == "missing":
            raise
        return _one(request, name, refusal, sent.fields)
    return desk.onward(f"/mix/bath/{mixwords.in_address(name)}")
