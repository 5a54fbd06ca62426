"""The contact print at the bench: its seconds, the lamps and negatives kept for it, a person's own counting. Every form works without script."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import JSONResponse

from firstsheet import wording
from firstsheet.acts import contact, contact_kept, contact_photo, contact_plan, counting
from firstsheet.printing.lamp import KINDS
from firstsheet.refusal import Refusal
from firstsheet.web import backlit, bodies, desk
from firstsheet.web.api import said
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)
router.include_router(backlit.router)  # before /contact/{what}
Form = Annotated[Sent, Depends(bodies.form)]
PRINT = ("lamp", "negative", "height", "range", "grade", "first", "sheet", "facing", "glass", "back_print", "state", "judged")
KEPT = {
    "lamp": ("name", "kind", "height", "times", "black", "over", "across", "corner", "corner_at", "power", "glass"),
    "negative": ("name", "bare", "clear", "dense", "state"),
    "counting": ("took",),
}
KEEP = {"lamp": contact_kept.lamp, "negative": contact_kept.negative, "counting": counting.measure}
LAMPS = tuple(KINDS.items())


@router.get("/contact")
def contact_page(request: Request) -> Response:
    return page(request, {k: v for k, v in bodies.query(request).items() if k in PRINT})


def page(request: Request, typed: dict[str, str], why: Refusal | None = None) -> Response:
    """The seconds, where they were asked for, or why they cannot be planned; else what to say for them."""
    book = desk.book_of(request)
    told: dict[str, Any] = {"elsewhere": [], "by_field": {}, "c": None, "shown": {}}
    status = 200
    with book.looking():
        if typed:
            try:
                if why:
                    raise why
                told["c"] = found = contact.contact(book, typed)
                head, _, rest = found.says.partition(". ")
                told["shown"] = {
                    "head": f"{head}.",
                    "rest": rest,
                    "range": f"{wording.seconds(found.low_s)} to {wording.seconds(found.high_s)}",
                    "strip": " · ".join(wording.seconds(t) for t in found.strip_s),
                    "pace": wording.stops_apart(found.pace_stops),
                }
            except Refusal as refusal:
                told |= desk.beside(refusal, set(PRINT))
                status = desk.status_of(refusal)
        told |= {
            "lamps": contact_kept.lamps_kept(book),
            "negatives": contact_kept.negatives_kept(book),
            "photographed": contact_photo.photographed(book),
            "counted": counting.counting(book),
        }
    return desk.page(request, "contact.html", "Bench", status, **(told | {"typed": typed}))


@router.get("/contact/{what}")
def form(request: Request, what: str) -> Response:
    return _form(request, what, {})


@router.post("/contact/plan")
def plan(request: Request, sent: Form) -> Response:
    """The print becomes the plan, and the plan's page keeps it as a sheet."""
    typed = {k: v for k, v in sent.fields.items() if k in PRINT}
    try:
        contact_plan.say(desk.book_of(request), typed)
    except Refusal as refusal:
        return page(request, typed, refusal)
    return desk.onward("/")


@router.post("/contact/{what}")
def keep(request: Request, what: str, sent: Form) -> Response:
    """A lamp, a negative or a person's counting, kept."""
    if what not in KEEP:
        return _form(request, what, {})
    typed = {k: v for k, v in sent.fields.items() if k in KEPT[what]}
    try:
        KEEP[what](desk.book_of(request), typed)
    except Refusal as refusal:
        return _form(request, what, typed, refusal)
    return desk.onward("/contact")


@router.get("/api/contact")
def as_json(request: Request) -> JSONResponse:
    return said(contact.contact(desk.book_of(request), bodies.query(request)))


@router.get("/api/counting")
def counting_json(request: Request) -> JSONResponse:
    return said(counting.counting(desk.book_of(request)))


def _form(request: Request, what: str, typed: dict[str, str], refusal: Refusal | None = None) -> Response:
    if what not in KEEP:
        raise Refusal.one(
            "", what, "A lamp, a negative or the counting.", "Go back to the contact print.", kind="missing"
        )
    told: dict[str, Any] = {"elsewhere": [], "by_field": {}}
    status = 200
    if refusal is not None:
        told |= desk.beside(refusal, set(KEPT[what]))
        status = desk.status_of(refusal)
    return desk.page(
        request,
        "contact_keep.html",
        "Bench",
        status,
        **(told | {"typed": typed}),
        what=what,
        kinds=LAMPS,
        caution=contact_kept.CAUTION,
    )
