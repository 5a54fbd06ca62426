"""The filter pack of a colour reversal: one page, and the same as JSON. Every form works without script."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import JSONResponse

from firstsheet import tables
from firstsheet.acts import pack, pack_ring, pack_sheet, photo
from firstsheet.colour import cast
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk, pages
from firstsheet.web.api import said
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)
Form = Annotated[Sent, Depends(bodies.form)]
LOOK = ("light", "box", "seconds", "sheet")
PLAN = ("light", "box", "seconds")
TOLD = ("colour", "much", "bright", "grey", "white", "shadows", "highlights", "pack", "given", *LOOK)
CARRIED = (*LOOK, "patches")
GREY_TOUCHES = (("Touch the white", "The white card or paper beside the print, lit like the print."), ("Now touch the grey", "The grey card in the print, its middle."))
RING_TOUCHES = (
    GREY_TOUCHES[0],
    ("The corner by patch 1", "The sheet’s own corner, with the nick."),
    ("Along the top: the next corner", "The sheet’s other upper corner, as patches 1 and 2 lie."),
    ("The corner below it", "The sheet’s lower corner on that side."),
    ("The last corner", "The sheet’s corner below the first one."),
)
COLOURS = (("neutral", "no cast"), *((k, "too " + k if "_" not in k else k.replace("_", " to ")) for k in cast.COLOURS))
LEANS = tuple(c for c in COLOURS[1:] if "_" not in c[0])
MUCH = tuple((k, k.replace("_", " ")) for k in cast.HOW_MUCH)
BRIGHT = tuple((k, k.replace("_", " ")) for k in cast.BRIGHT)


@router.get("/pack")
def page(request: Request) -> Response:
    return _page(request, _of(bodies.query(request), LOOK))


@router.post("/pack/told")
def told(request: Request, sent: Form) -> Response:
    """A finished sheet, and the next pack."""
    return _kept(request, _of(sent.fields, TOLD), pack.told)


@router.post("/pack/back")
def back(request: Request, sent: Form) -> Response:
    return _kept(request, _of(sent.fields, LOOK), lambda book, typed: pack.take_back(book, _of(typed, ("light", "box"))))


@router.post("/pack/gels")
def gels(request: Request, sent: Form) -> Response:
    return _kept(request, _of(sent.fields, (*LOOK, "gels")), lambda book, typed: pack.gels(book, {"gels": typed.get("gels", "")}))


@router.post("/pack/ring")
def ring(request: Request, sent: Form) -> Response:
    """The patches of one masked sheet, kept until it is read."""
    return _kept(request, _of(sent.fields, (*PLAN, "patches", "again")), pack_ring.keep)


@router.post("/pack/sheet")
def as_sheet(request: Request, sent: Form) -> Response:
    """The patches become a sheet of the book."""
    typed = _of(sent.fields, ("light", "box", "sun"))
    try:
        made = pack_ring.make(desk.book_of(request), typed)
    except Refusal as refusal:
        return _page(request, typed, refusal)
    return desk.onward(f"/book/{made.code}/expose")


@router.post("/pack/photo")
def photo_in(request: Request, sent: Form) -> Response:
    """A photo of the finished sheet, to be touched."""
    typed = _of(sent.fields, CARRIED)
    try:
        if not sent.picture:
            raise Refusal.one("photo", "", "A photo of the print beside a white.", "Dry, flat, in daylight; nothing of it overexposed.")
        taken = photo.take_in(desk.book_of(request), sent.picture)
    except Refusal as refusal:
        return _page(request, typed, refusal)
    return desk.onward(f"/pack/photo/{taken.picture}?{urlencode(typed)}")


@router.get("/pack/photo/{number}")
def photo_page(request: Request, number: str) -> Response:
    """The photo, asking for the next place on it."""
    return _touch(request, bodies.whole_number(number, "picture"), _of(bodies.query(request), (*CARRIED, "places")))


@router.post("/pack/photo/{number}")
def touched(request: Request, number: str, sent: Form) -> Response:
    """One place more; after the last of them the photo is read."""
    book, picture = desk.book_of(request), bodies.whole_number(number, "picture")
    typed = _of(sent.fields, (*CARRIED, "places"))
    try:
        taken = photo.look_again(book, picture)
        at = pages.place_said(dict(sent.fields), taken.width, taken.height)
        if not at:
            raise Refusal.one("photo", "", "A place on the photo.", "Touch the photo once more.")
        places = [*typed.get("places", "").split(), f"{at['x']},{at['y']}"]
        typed["places"] = " ".join(places)
        if len(places) < len(_asked(typed)):
            return desk.onward(f"/pack/photo/{picture}?{urlencode(typed, safe=',')}")
        pack_ring.of_kept(book, picture, {k: v for k, v in typed.items() if k != "places"}, places)
    except Refusal as refusal:
        typed.pop("places", None)
        return _touch(request, picture, typed, refusal)
    return desk.onward("/pack?" + urlencode(_onward(request, typed)))


@router.get("/pack/mask.svg")
def mask(request: Request) -> Response:
    """The window of the masked sheet, at true size."""
    found = pack_ring.ring(desk.book_of(request), _of(bodies.query(request), PLAN))
    return Response(found.drawing, media_type="image/svg+xml", headers={"Content-Disposition": 'attachment; filename="mask.svg"'})


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
    return desk.onward("/pack?" + urlencode(_onward(request, typed)))


def _onward(request: Request, typed: dict[str, str]) -> dict[str, str]:
    """Where the next pack is shown: the light and box of the sheet that was told, else those asked for."""
    look = _of(typed, PLAN)
    if typed.get("sheet"):
        made = pack_sheet.of_sheet(desk.book_of(request), typed["sheet"], None, None, None, None)
        look |= {"light": made.light, "box": made.box}
    return look


def _asked(typed: dict[str, str]) -> tuple[tuple[str, str], ...]:
    return RING_TOUCHES if typed.get("patches") else GREY_TOUCHES


def _touch(request: Request, number: int, typed: dict[str, str], refusal: Refusal | None = None) -> Response:
    asked = _asked(typed)
    title, say = asked[min(len(typed.get("places", "").split()), len(asked) - 1)]
    told = desk.beside(refusal, {"across", "down"}) if refusal else {"elsewhere": [], "by_field": {}}
    taken = photo.look_again(desk.book_of(request), number)
    status = desk.status_of(refusal) if refusal else 200
    return desk.page(request, "pack_touch.html", "Bench", status, **told, title=title, say=say, number=number, carried=typed, typed={}, warnings=taken.warnings)


def _page(request: Request, typed: dict[str, str], refusal: Refusal | None = None) -> Response:
    book = desk.book_of(request)
    told: dict[str, Any] = {"found": None, "ring": None, "mask_query": urlencode(_of(typed, PLAN)), "of_sheet": ""}
    refusals = [refusal] if refusal else []
    with book.looking():
        try:
            look = {} if refusal else _of(typed, PLAN)
            if typed.get("sheet") and not refusal:
                made = pack_sheet.of_sheet(book, typed["sheet"], None, None, None, None)
                look |= {"light": made.light, "box": made.box}
                told["of_sheet"] = pack_sheet.words(made)
            told["found"] = pack.plan(book, look)
            told["owned"] = pack.owned_words(book)
            if pack_ring.waits(book, look.get("light"), look.get("box")):
                told["ring"] = pack_ring.ring(book, look)
                told["kept_as"] = pack_ring.kept_as(book, look.get("light"), look.get("box"))
        except Refusal as other:
            refusals.append(other)
    beside: dict[str, Any] = {"elsewhere": [], "by_field": {}}
    if refusals:
        beside = desk.beside(Refusal(*(p for r in refusals for p in r.problems)), {*TOLD, "gels", "photo"} - {"box", "sheet"})
    status = desk.status_of(refusals[0]) if refusals else 200
    lights = [(k, str(v["words"])) for k, v in tables.load("lights").items()]
    return desk.page(request, "pack.html", "Outside", status, **told, **(beside | {"typed": typed}), lights=lights, colours=COLOURS, leans=LEANS, much=MUCH, bright=BRIGHT)
