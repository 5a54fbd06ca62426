"""A photo of two strips beside a white: sent, five places touched one after another, and the stain is told."""

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request, Response

from firstsheet.acts import scraps_developers, scraps_stain
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk, pages
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)  # under that of `scraps`
Form = Annotated[Sent, Depends(bodies.form)]
PLACE = "Bench"
SHOWN_PX = 350  # the width at which the photo is shown to be touched; small telephones are 360 wide
CARRIED = (*scraps_stain.PLACES, "taken", "illuminant")


@router.get("/{scrap}/photo")
def ask(request: Request, scrap: str) -> Response:
    return _asked(request, _scrap(request, scrap))


def _scrap(request: Request, text: str) -> int:
    n = bodies.whole_number(text, "scrap")
    scraps_developers.of(desk.book_of(request), n)
    return n


def _asked(request: Request, scrap: int, status: int = 200, **words: Any) -> Response:
    base: dict[str, Any] = {"elsewhere": [], "by_field": {}, "typed": {}, "number": None}
    return desk.page(request, "scraps_photo.html", PLACE, status, scrap=scrap, **(base | words))


@router.post("/{scrap}/photo")
def take_in(request: Request, scrap: str, sent: Form) -> Response:
    n = _scrap(request, scrap)
    try:
        if not sent.picture:
            raise Refusal.one("photo", "", "A photo of both strips.", "Take it with a white card beside them.")
        number = scraps_stain.take_in(desk.book_of(request), n, sent.picture)
    except Refusal as refusal:
        return _asked(request, n, desk.status_of(refusal), **desk.beside(refusal, {"photo"}), typed=sent.fields)
    return desk.onward(_at(n, number, {k: v for k, v in sent.fields.items() if k in ("taken", "illuminant")}))


def _at(scrap: int, number: int, carried: dict[str, str]) -> str:
    return f"/scraps/{scrap}/photo/{number}" + (f"?{urlencode(carried, safe=',')}" if carried else "")


@router.get("/{scrap}/photo/{number}")
def touch_page(request: Request, scrap: str, number: str) -> Response:
    """The photo, to touch the next place; all five in the query: a page to go on from."""
    carried = {k: v for k, v in bodies.query(request).items() if k in CARRIED}
    return _next(request, _scrap(request, scrap), bodies.whole_number(number, "picture"), carried)


def _next(
    request: Request, scrap: int, number: int, carried: dict[str, str], refused: Refusal | None = None
) -> Response:
    book = desk.book_of(request)
    scraps_stain.size(book, scrap, number)
    two = scraps_developers.of(book, scrap)
    words = {
        "white": "Touch the white", "first_base": f"Now bare paper in {two.first}", "second_base": f"Bare paper in {two.second}",
        "first_mid": f"A mid-grey step in {two.first}", "second_mid": f"The like grey in {two.second}",
    }  # fmt: skip
    left = [k for k in scraps_stain.PLACES if k not in carried]
    asked = left[0] if left else scraps_stain.PLACES[0]
    told = desk.beside(refused, {"across", "down"}) if refused else {"elsewhere": [], "by_field": {}}
    count = f"Place {len(scraps_stain.PLACES) - len(left) + 1} of {len(scraps_stain.PLACES)}: the middle of it, away from edges and shine."
    return _asked(
        request, scrap, desk.status_of(refused) if refused else 200, **told, number=number, carried=carried, asked_words=words[asked],
        count=count, shown_px=SHOWN_PX,
    )  # fmt: skip


@router.post("/{scrap}/photo/{number}")
def touched(request: Request, scrap: str, number: str, sent: Form) -> Response:
    """One more place; with the last of the five, the stain."""
    book, n, picture = desk.book_of(request), _scrap(request, scrap), bodies.whole_number(number, "picture")
    carried = {k: v for k, v in sent.fields.items() if k in CARRIED}
    left = [k for k in scraps_stain.PLACES if k not in carried]
    try:
        if left:
            at = pages.place_said(dict(sent.fields), SHOWN_PX, *scraps_stain.size(book, n, picture))
            if not at:
                raise Refusal.one("photo", "", "A place on the photo.", "Touch the photo once more.")
            carried[left[0]] = f"{at['x']},{at['y']}"
        if len(left) > 1:
            return desk.onward(_at(n, picture, carried))
        made = scraps_stain.look(book, n, picture, carried)
    except Refusal as refusal:
        wrong = {p.where for p in refusal.problems}
        return _next(request, n, picture, {k: v for k, v in carried.items() if k not in wrong}, refusal)
    return desk.onward(f"/scraps/{made}")
