"""A photo of two pieces beside a white: sent, its places touched one after another, and what it tells."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request, Response

from firstsheet.acts import scraps_developers, scraps_fog, scraps_stain
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk, pages
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)  # under that of `scraps`
Form = Annotated[Sent, Depends(bodies.form)]
PLACE = "Bench"


@dataclass(frozen=True, slots=True)
class Photo:
    """One kind of photo: where its pages are, what else its form carries, its places in order with their words, what it ends in."""

    at: str
    back: str
    back_words: str
    title: str
    help: str
    asks_colour: bool
    carried: tuple[str, ...]
    places: dict[str, str]
    take_in: Callable[[bytes, dict[str, str]], int]
    size: Callable[[int], tuple[int, int]]
    end: Callable[[int, dict[str, str]], int]


def _fog(request: Request) -> Photo:
    book = desk.book_of(request)
    return Photo(
        "/scraps/fog/photo", "/scraps/fog", "Is an old box fogged?", "A photo of both pieces",
        "Both pieces dry, edge to edge, a white card beside them, in even daylight; nothing of it overexposed.", False,
        ("box", "developer", "day"),
        {"white": "Touch the white", "fixed_at": "Now the piece that was only fixed", "developed_at": "Now the one developed and fixed"},
        lambda data, fields: scraps_fog.take_in(book, fields.get("box", ""), data), lambda n: scraps_fog.size(book, n),
        lambda n, fields: scraps_fog.measure(book, fields, n).number,
    )  # fmt: skip


def _stain(request: Request, scrap: int) -> Photo:
    book = desk.book_of(request)
    two = scraps_developers.of(book, scrap)
    places = {
        "white": "Touch the white", "first_base": f"Now bare paper in {two.first}", "second_base": f"Bare paper in {two.second}",
        "first_mid": f"A mid-grey step in {two.first}", "second_mid": f"The like grey in {two.second}",
    }  # fmt: skip
    return Photo(
        f"/scraps/{scrap}/photo", f"/scraps/{scrap}", "The comparison", "A photo of both strips",
        "Both strips dry, side by side, a white card between them, in daylight or one white lamp from the side; all in the photo and nothing of it overexposed.",
        True, ("taken", "illuminant"), places, lambda data, fields: scraps_stain.take_in(book, scrap, data),
        lambda n: scraps_stain.size(book, scrap, n), lambda n, fields: scraps_stain.look(book, scrap, n, fields),
    )  # fmt: skip


# ── fog ──


@router.post("/fog/photo")
def fog_take_in(request: Request, sent: Form) -> Response:
    return _take_in(request, _fog(request), sent)


@router.get("/fog/photo")
def fog_ask(request: Request) -> Response:
    return _asked(request, _fog(request), carried=bodies.query(request))


@router.get("/fog/photo/{number}")
def fog_touch_page(request: Request, number: str) -> Response:
    return _next(request, _fog(request), bodies.whole_number(number, "picture"), bodies.query(request))


@router.post("/fog/photo/{number}")
def fog_touched(request: Request, number: str, sent: Form) -> Response:
    return _touched(request, _fog(request), bodies.whole_number(number, "picture"), sent)


# ── stain ──


@router.get("/{scrap}/photo")
def ask(request: Request, scrap: str) -> Response:
    return _asked(request, _stain(request, bodies.whole_number(scrap, "scrap")))


@router.post("/{scrap}/photo")
def take_in(request: Request, scrap: str, sent: Form) -> Response:
    return _take_in(request, _stain(request, bodies.whole_number(scrap, "scrap")), sent)


@router.get("/{scrap}/photo/{number}")
def touch_page(request: Request, scrap: str, number: str) -> Response:
    photo = _stain(request, bodies.whole_number(scrap, "scrap"))
    return _next(request, photo, bodies.whole_number(number, "picture"), bodies.query(request))


@router.post("/{scrap}/photo/{number}")
def touched(request: Request, scrap: str, number: str, sent: Form) -> Response:
    photo = _stain(request, bodies.whole_number(scrap, "scrap"))
    return _touched(request, photo, bodies.whole_number(number, "picture"), sent)


# ── any of them ──


def _asked(request: Request, photo: Photo, status: int = 200, **words: Any) -> Response:
    base: dict[str, Any] = {"elsewhere": [], "by_field": {}, "typed": {}, "number": None, "carried": {}}
    given = base | words
    given["carried"] = {k: v for k, v in given["carried"].items() if k in (*photo.carried, *photo.places)}
    return desk.page(request, "scraps_photo.html", PLACE, status, photo=photo, **given)


def _take_in(request: Request, photo: Photo, sent: Sent) -> Response:
    try:
        if not sent.picture:
            raise Refusal.one("photo", "", "A photo of both.", "Take it with a white card beside them.")
        number = photo.take_in(sent.picture, sent.fields)
    except Refusal as refusal:
        told = desk.beside(refusal, {"photo"})
        return _asked(request, photo, desk.status_of(refusal), **told, typed=sent.fields, carried=sent.fields)
    return desk.onward(_at(photo, number, {k: v for k, v in sent.fields.items() if k in photo.carried}))


def _at(photo: Photo, number: int, carried: dict[str, str]) -> str:
    return f"{photo.at}/{number}" + (f"?{urlencode(carried, safe=',')}" if carried else "")


def _next(
    request: Request, photo: Photo, number: int, carried: dict[str, str], refused: Refusal | None = None
) -> Response:
    """The photo, to touch the next place of those left."""
    photo.size(number)
    left = [k for k in photo.places if k not in carried]
    asked = photo.places[left[0] if left else next(iter(photo.places))]
    told = desk.beside(refused, {"across", "down"}) if refused else {"elsewhere": [], "by_field": {}}
    count = f"Place {len(photo.places) - len(left) + 1} of {len(photo.places)}: the middle of it, away from edges and shine."
    return _asked(
        request, photo, desk.status_of(refused) if refused else 200, **told, number=number, carried=carried, asked_words=asked,
        count=count,
    )  # fmt: skip


def _touched(request: Request, photo: Photo, number: int, sent: Sent) -> Response:
    """One more place; with the last of them, what the photo tells."""
    carried = {k: v for k, v in sent.fields.items() if k in (*photo.carried, *photo.places)}
    left = [k for k in photo.places if k not in carried]
    try:
        if left:
            at = pages.place_said(dict(sent.fields), *photo.size(number))
            if not at:
                raise Refusal.one("photo", "", "A place on the photo.", "Touch the photo once more.")
            carried[left[0]] = f"{at['x']},{at['y']}"
        if len(left) > 1:
            return desk.onward(_at(photo, number, carried))
        made = photo.end(number, carried)
    except Refusal as refusal:
        wrong = {p.where for p in refusal.problems}
        return _next(request, photo, number, {k: v for k, v in carried.items() if k not in wrong}, refusal)
    return desk.onward(f"/scraps/{made}")
