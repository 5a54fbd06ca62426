"""The printed reference card: what it is for, to print, and what its patches measure."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response

from firstsheet.acts import card
from firstsheet.drawing.strip_card import strip_card
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk
from firstsheet.web.bodies import Sent

router = APIRouter(prefix="/strips/card", include_in_schema=False)
Form = Annotated[Sent, Depends(bodies.form)]
FIELDS = ("white", "greys", "black", "readings", "forget")


@router.get("")
def page(request: Request) -> Response:
    return _page(request)


def _page(request: Request, status: int = 200, **words: Any) -> Response:
    found = card.card(desk.book_of(request))
    rows = []
    if found.how:
        greys = ["not known"] * 4 if found.greys is None else [f"{g:.2f}" for g in found.greys]
        values = ["not known" if found.white is None else f"{found.white:.2f}", *greys]
        values.append("not known" if found.black is None else f"{found.black:.2f}")
        rows = list(zip(("White", "Grey 1", "Grey 2", "Grey 3", "Grey 4", "Black"), values, strict=True))
    how = card.HOW.get(found.how, "") + ("" if found.sd is None else f", each ±{found.sd:.2f}")
    base: dict[str, Any] = {"elsewhere": [], "by_field": {}, "typed": {}}
    return desk.page(
        request,
        "card.html",
        "Bench",
        status,
        rows=rows,
        how=how,
        notes=found.notes,
        svg=strip_card(bare=True),
        **(base | words),
    )


@router.post("")
def say(request: Request, sent: Form) -> Response:
    said = {k: v for k, v in sent.fields.items() if k in FIELDS}
    try:
        card.say_card(desk.book_of(request), said)
    except Refusal as refusal:
        told = desk.beside(refusal, {"white", "greys", "black", "readings"})
        return _page(request, desk.status_of(refusal), **told, typed=said)
    return desk.onward("/strips/card")


@router.get("/print")
def to_print(request: Request) -> Response:
    """The card alone, for one sheet of paper. White: only in the light of the sun."""
    if desk.light_of(request) != "sun":
        raise Refusal.one("light", desk.light_of(request), "The card is white: choose the sun light first.", "")
    return desk.TEMPLATES.TemplateResponse(request, "card_print.html", {"svg": strip_card()})


@router.get("/drawing.svg")
def drawing(request: Request) -> Response:
    return Response(
        strip_card(),
        media_type="image/svg+xml",
        headers={"Content-Disposition": 'attachment; filename="strip-card.svg"'},
    )
