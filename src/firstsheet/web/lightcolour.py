"""The colour of the light as this paper sees it: one page, a question that is a link."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response
from fastapi.responses import JSONResponse

from firstsheet.acts import colour_of_light as acts
from firstsheet.acts.found import Found
from firstsheet.light import spectrum
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk
from firstsheet.web.api import said
from firstsheet.web.lensroomwords import Page
from firstsheet.web.owning import Field

router = APIRouter()
FIELDS = ("light", "kelvin", "sun", "filter", "emulsion", "box", "glass")


def _words() -> Page:
    kinds = tuple((k.key, k.words) for k in spectrum.kinds().values())
    return Page(
        "The colour of this light", "A meter sees as the eye does; paper sees mostly blue. What that is worth here, and how things come out.",
        (),
        (
            Field("light", "Kind of light", options=kinds), Field("kelvin", "Or: kelvin, by a colour meter", "5600", mode="decimal", half=True),
            Field("sun", "or: the sun’s height, clear", "35", mode="decimal", half=True),
            Field("filter", "A filter", "yellow 0.7", "“30Y 20M”, “+112 mired”, “cuts at 480 nm”: by what it takes, not by a maker’s number."),
            Field("emulsion", "Emulsion, if not today’s box", options=(("blue", "blue"), ("blue_green", "blue and green"), ("panchromatic", "all colours"))),
            Field("glass", "Lens", options=(("new", "clear glass"), ("old", "yellowed"))),
        ),
        "Show",
    )  # fmt: skip


@router.get("/colour", include_in_schema=False)
def page(request: Request) -> Response:
    asked = {k: v for k, v in bodies.query(request).items() if k in FIELDS and v.strip()}
    found: Found | None = None
    told: dict[str, object] = {"elsewhere": [], "by_field": {}}
    status = 200
    book = desk.book_of(request)
    with book.looking():
        try:
            found = acts.colour_of_light(book, asked)
        except Refusal as refusal:
            told, status = desk.beside(refusal, {"kelvin", "sun", "filter"}), desk.status_of(refusal)
    return desk.page(
        request, "lensroom.html", "Outside", status, page=_words(), path="/colour", back=("/", "Outside"), found=found, keeps=False, more=(), chair=None, **told, typed=asked,
    )  # fmt: skip


@router.get("/api/colour")
def data(request: Request) -> JSONResponse:
    return said(acts.colour_of_light(desk.book_of(request), bodies.query(request)))
