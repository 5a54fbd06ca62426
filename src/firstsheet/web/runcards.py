"""The run card over the page: saved from a sheet's run, its marks handed in again."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response

from firstsheet.acts import runcard
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk
from firstsheet.web.bodies import Sent
from firstsheet.web.runcardfile import card_html

router = APIRouter(include_in_schema=False)
Form = Annotated[Sent, Depends(bodies.form)]


@router.get("/trays/{code}/card.html")
def card(request: Request, code: str) -> Response:
    book = desk.book_of(request)
    with book.looking():
        found = runcard.of(book, bodies.sheet_code(code))
    name = f"firstsheet-{found.run['code']}.html"
    headers = {"content-disposition": f'attachment; filename="{name}"', "cache-control": "no-store"}
    return Response(card_html(found), media_type="text/html; charset=utf-8", headers=headers)


@router.get("/trays/marks")
def ask(request: Request) -> Response:
    return _page(request)


def _page(request: Request, status: int = 200, **words: Any) -> Response:
    base: dict[str, Any] = {"elsewhere": [], "by_field": {}, "done": None}
    return desk.page(request, "handin.html", "Trays", status, **(base | words))


@router.post("/trays/marks")
def hand_in(request: Request, sent: Form) -> Response:
    text = sent.fields.get("marks", "")
    try:
        if sent.picture:
            text = _text(sent.picture)
        done = runcard.hand_in(desk.book_of(request), text)
    except Refusal as refusal:
        return _page(request, desk.status_of(refusal), typed=sent.fields, **desk.beside(refusal, {"marks"}))
    return _page(request, done=done)


def _text(data: bytes) -> str:
    try:
        return data[: 4 * runcard.MOST_CHARACTERS + 4].decode("utf-8")
    except UnicodeDecodeError as error:
        raise Refusal.one(
            "marks", "a file that is no text", "The file a run card saved.", "Choose that file."
        ) from error
