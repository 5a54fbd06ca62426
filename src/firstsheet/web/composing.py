"""Composing at the board by photos: marks tried and the sharpest, head, tilt and magnets. One touch at a time."""

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request, Response

from firstsheet.acts import composing, photo
from firstsheet.acts.found import Found
from firstsheet.refusal import Refusal
from firstsheet.web import aheadwords, bodies, desk, pages
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)
Form = Annotated[Sent, Depends(bodies.form)]
FIELDS = ("corners", "chin", "crown", "left", "right", "magnet", "thick", "size", "mark")
PARTS = {"corners": 4, "head": 2, "left": 2, "right": 2, "at": 1}


def _only(fields: dict[str, str]) -> dict[str, str]:
    return {k: fields[k] for k in FIELDS if fields.get(k, "").strip()}


@router.get("/focus")
def focus_page(request: Request) -> Response:
    return _focus(request)


def _focus(request: Request, refusal: Refusal | None = None) -> Response:
    found = composing.focused(desk.book_of(request))
    told = desk.beside(refusal, {"photo", "mark"}) if refusal else {"elsewhere": [], "by_field": {}}
    return desk.page(request, "focus.html", "Board", desk.status_of(refusal) if refusal else 200, found=found, **told)


@router.post("/focus")
def focus_photo(request: Request, sent: Form) -> Response:
    book = desk.book_of(request)
    if sent.fields.get("do") == "anew":
        composing.begin_focus(book)
        return desk.onward("/focus")
    try:
        if not sent.picture:
            raise Refusal.one("photo", "", "A photo of the picture on the board.", "Take it from the same place as the others.")
        if not sent.fields.get("mark", "").strip():
            raise Refusal.one("mark", "", "Where the board stood.", "Try “752 mm”.")
        taken = photo.take_in(book, sent.picture)
    except Refusal as refusal:
        return _focus(request, refusal)
    return desk.onward(f"/compose/{taken.picture}?{urlencode({'part': 'at', 'mark': sent.fields['mark']})}")


@router.get("/compose/{number}")
def compose_page(request: Request, number: str) -> Response:
    return _compose(request, bodies.whole_number(number, "picture"), bodies.query(request))


def _compose(request: Request, number: int, fields: dict[str, str], refused: Refusal | None = None) -> Response:
    carried, book = _only(fields), desk.book_of(request)
    part = fields.get("part", "" if len(carried.get("corners", "").split()) == PARTS["corners"] else "corners")
    so_far = fields.get("so_far", "")
    told = desk.beside(refused, {"across", "down"}) if refused else {"elsewhere": [], "by_field": {}}
    words: dict[str, Any] = {"photo": photo.look_again(book, number), "number": number, "carried": carried, "base": f"/compose/{number}"}
    if part in PARTS:
        title, say = aheadwords.composing(part, len((carried.get("corners", "") if part == "corners" else so_far).split()))
        words |= {"title": title, "say": say, "part": part, "so_far": so_far, "asked": part}
        return desk.page(request, "compose_touch.html", "Board", desk.status_of(refused) if refused else 200, **words, **told, typed=fields)
    found: Found | None = None
    status = 200
    try:
        found = composing.compose(book, number, {k: v for k, v in carried.items() if k != "mark"})
    except Refusal as refusal:
        told, status = desk.beside(refusal, {"magnet", "thick", "size"}), desk.status_of(refusal)
    return desk.page(request, "compose.html", "Board", status, **words, **told, found=found, query=urlencode(carried, safe=","), typed=fields)


@router.post("/compose/{number}")
def compose_touch(request: Request, number: str, sent: Form) -> Response:
    book, picture = desk.book_of(request), bodies.whole_number(number, "picture")
    fields = dict(sent.fields)
    carried, part = _only(fields), fields.get("part", "")
    try:
        if part not in PARTS:
            raise Refusal.one("part", part, "One of: " + ", ".join(PARTS) + ".", "Begin with the corners.")
        taken = photo.look_again(book, picture)
        at = pages.place_said(fields, taken.width, taken.height)
        if not at:
            raise Refusal.one("photo", "", "A place on the photo.", "Touch the photo once more.")
        place = f"{at['x']},{at['y']}"
        if part == "at":
            composing.add_focus(book, picture, {"mark": carried.get("mark", ""), "at": place})
            return desk.onward("/focus")
    except Refusal as refusal:
        return _compose(request, picture, fields, refusal)
    done = [*(carried.get("corners", "") if part == "corners" else fields.get("so_far", "")).split(), place]
    return desk.onward(f"/compose/{picture}?{urlencode(_after(carried, part, done), safe=',')}")


def _after(carried: dict[str, str], part: str, done: list[str]) -> dict[str, str]:
    """The query after a touch: what is whole is carried, what is not is gone on with."""
    if part == "corners":
        return carried | {"corners": " ".join(done[:4])} | ({} if len(done) >= PARTS[part] else {"part": part})
    if len(done) < PARTS[part]:
        return carried | {"part": part, "so_far": " ".join(done)}
    if part == "head":
        return carried | {"chin": done[0], "crown": done[1]}
    return carried | {part: " ".join(done)} | ({"part": "right"} if part == "left" else {})
