"""The page on which a person says what a minute is worth and how many more sheets are to come."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response

from firstsheet import wording
from firstsheet.acts import worth
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)
Form = Annotated[Sent, Depends(bodies.form)]
FIELDS = ("minute", "more", "box")


@router.get("/worth")
def page(request: Request) -> Response:
    return _page(request)


def _page(request: Request, status: int = 200, **words: Any) -> Response:
    found = worth.worth(desk.book_of(request))
    boxes = [
        {
            "name": s.box, "words": s.box if "box" in s.box.lower() else f"Box {s.box}", "said": s.more is not None,
            "more": "nobody said" if s.more is None else f"{s.more:g} more to come", "left": f"{s.left:g} left in it",
        }
        for s in found.boxes
    ]  # fmt: skip
    minute = "" if found.minute is None else wording.money(found.minute, found.currency)
    base: dict[str, Any] = {"elsewhere": [], "by_field": {}, "typed": {}}
    return desk.page(
        request, "worth.html", "Outside", status, minute=minute, boxes=boxes, notes=found.notes, **(base | words)
    )


@router.post("/worth")
def say(request: Request, sent: Form) -> Response:
    said = {k: v for k, v in sent.fields.items() if k in FIELDS}
    try:
        worth.say_worth(desk.book_of(request), said)
    except Refusal as refusal:
        told = desk.beside(refusal, {"minute", "more"})
        return _page(request, desk.status_of(refusal), **told, typed=said)
    return desk.onward("/worth")
