"""A negative photographed on a light: sent, touched place by place, kept; and its positive, in the sun light only. Every form works without script."""

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import JSONResponse

from firstsheet.acts import contact_photo, contact_positive
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk, pages
from firstsheet.web.api import said
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)  # under that of `printing`
Form = Annotated[Sent, Depends(bodies.form)]
BARES = ("left of it", "above it", "right of it", "below it", "in a corner")  # at two distances from the middle: else its fall toward the edges is not told
CORNERS = ("top left", "top right", "bottom right", "bottom left")
ENDS = {"thin": "Touch the clearest place that must not all be black", "dense": "Touch the densest place that must not all be white"}
NONE = "none"
CARRIED = ("bare", "enough", "bare_photo", "opaque", "corners", "thin", "dense", "size")
ASKED = ("negative", "range", "grade", "first", "stops", "give", "lamp", "height", "facing", "outline")
STEPS = (("-1", "1 stop less"), ("-0.5", "½ less"), ("0", "as told"), ("0.5", "½ more"), ("1", "1 stop more"))
WHITE = "A positive is white light: choose the sun light first, away from open paper."


@router.get("/contact/photo")
def ask(request: Request) -> Response:
    return _ask(request)


def _ask(request: Request, refusal: Refusal | None = None) -> Response:
    told = desk.beside(refusal, {"photo"}) if refusal else {"elsewhere": [], "by_field": {}}
    return desk.page(request, "backlit.html", "Bench", desk.status_of(refusal) if refusal else 200, **told, number=None)


@router.post("/contact/photo")
def take_in(request: Request, sent: Form) -> Response:
    try:
        if not sent.picture:
            raise Refusal.one("photo", "", "A photo of the negative on a light.", "Leave bare light on every side of it.")
        number = contact_photo.take_in(desk.book_of(request), sent.picture)
    except Refusal as refusal:
        return _ask(request, refusal)
    return desk.onward(f"/contact/photo/{number}")


@router.get("/contact/photo/{number}")
def photo_page(request: Request, number: str) -> Response:
    """The photo, to touch the next place; with the last of them what it tells, to be kept."""
    return _shown(request, bodies.whole_number(number, "picture"), bodies.query(request))


@router.post("/contact/photo/{number}")
def touched(request: Request, number: str, sent: Form) -> Response:
    """One more place, or none to be had; or the negative kept."""
    picture, book = bodies.whole_number(number, "picture"), desk.book_of(request)
    fields = dict(sent.fields)
    carried = _carried(fields)
    try:
        if fields.get("do") == "keep":
            contact_photo.keep(book, picture, _places(carried) | {k: fields[k] for k in contact_photo.OWN if k in fields})
            return desk.onward("/contact")
        part = _part(carried, fields.get("part", ""))
        if sent.picture:  # of the bare light alone: one touched place is enough then
            carried |= {"enough": "yes", "bare_photo": str(contact_photo.take_in(book, sent.picture))}
        elif fields.get("do") == "none":
            carried |= {"enough": "yes"} if part == "bare" else {"opaque": NONE}
        else:
            at = pages.place_said(fields, *contact_photo.size(book, picture))
            if not at:
                raise Refusal.one("photo", "", "A place on the photo.", "Touch the photo once more.")
            one = f"{at['x']},{at['y']}"
            carried[part] = f"{carried.get(part, '')} {one}".strip() if part in ("bare", "corners") else one
    except Refusal as refusal:
        return _shown(request, picture, fields, refusal)
    return desk.onward(f"/contact/photo/{picture}?{urlencode(carried, safe=',')}")


def _carried(fields: dict[str, str]) -> dict[str, str]:
    return {k: fields[k].strip() for k in CARRIED if fields.get(k, "").strip()}


def _places(carried: dict[str, str]) -> dict[str, str]:
    return {k: v for k, v in carried.items() if k != "enough" and not (k == "opaque" and v == NONE)}


def _part(carried: dict[str, str], wanted: str) -> str:
    """Which place is asked for next; "" where all are told."""
    if wanted in ENDS:
        return wanted
    if "enough" not in carried and len(carried.get("bare", "").split()) < len(BARES):
        return "bare"
    if "opaque" not in carried:
        return "opaque"
    return "corners" if len(carried.get("corners", "").split()) < len(CORNERS) else ""


def _words(carried: dict[str, str], part: str) -> tuple[str, str]:
    """What to touch, and the words of the button where there is nothing to touch."""
    n = len(carried.get(part, "").split())
    if part == "bare":
        return f"Touch bare light {BARES[n]}", "No more bare light" if n else ""
    if part == "opaque":
        return "Touch the coin or black card on the light", "Nothing opaque lies there"
    return (f"Touch the picture’s corner, {CORNERS[n]}" if part == "corners" else ENDS[part]), ""


def _shown(request: Request, number: int, fields: dict[str, str], refused: Refusal | None = None) -> Response:
    book = desk.book_of(request)
    contact_photo.size(book, number)
    carried = _carried(fields)
    part = _part(carried, fields.get("part", ""))
    told = None
    if not part:
        try:
            told = contact_photo.look(book, number, _places(carried))
        except Refusal as refusal:
            refused = refused or refusal
    known = {"across", "down"} if part else {*contact_photo.OWN, "size"}
    words: dict[str, Any] = desk.beside(refused, known) if refused else {"elsewhere": [], "by_field": {}}
    asked, lacking = _words(carried, part) if part else ("A negative by its photo", "")
    status = desk.status_of(refused) if refused else 200
    ends = [(k, f"/contact/photo/{number}?{urlencode(carried | {'part': k}, safe=',')}") for k in ENDS]
    return desk.page(
        request, "backlit.html", "Bench", status, **words, number=number, carried=carried, part=part, asked=asked, lacking=lacking, told=told, ends=ends,
        typed=fields,
    )  # fmt: skip


# ── the positive ──


@router.get("/contact/positive")
def positive(request: Request) -> Response:
    """The positive as this paper would print it, its dead blacks and blown whites in numbers; the picture itself in the sun light only."""
    asked = _asked(request)
    book = desk.book_of(request)
    found, refused = None, None
    with book.looking():
        names = contact_photo.photographed(book)
        if names:
            try:
                found = contact_positive.positive(book, asked if asked.get("negative") else asked | {"negative": names[0]})
            except Refusal as refusal:
                refused = refusal
    told = desk.beside(refused, set(ASKED)) if refused else {"elsewhere": [], "by_field": {}}
    query = urlencode(asked | ({"negative": found.negative} if found else {}))
    return desk.page(request, "positive.html", "Bench", desk.status_of(refused) if refused else 200, **told, found=found, names=names, pairs=[(n, n) for n in names], typed=asked, query=query, steps=STEPS, white=WHITE)


@router.get("/contact/positive.jpg")
def positive_jpeg(request: Request) -> Response:
    if desk.light_of(request) != "sun":
        raise Refusal.one("light", desk.light_of(request), WHITE, "")
    return Response(contact_positive.drawn(desk.book_of(request), _asked(request)), media_type="image/jpeg", headers={"Cache-Control": "no-store"})


@router.get("/api/contact/positive")
def positive_json(request: Request) -> JSONResponse:
    return said(contact_positive.positive(desk.book_of(request), _asked(request)))


def _asked(request: Request) -> dict[str, str]:
    return {k: v for k, v in bodies.query(request).items() if k in ASKED and v.strip()}
