"""The range of the scene on the paper, and how the meters differ: their pages, and the same as JSON."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import JSONResponse

from firstsheet.acts import meters, own, photo, placed, sheet
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk
from firstsheet.web.api import said
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)
Form = Annotated[Sent, Depends(bodies.form)]
OPEN = ("planned", "flashed", "exposed")  # a sheet whose exposure this plan may be


@router.get("/range")
def page(request: Request) -> Response:
    return _page(request, bodies.query(request).get("sheet", ""))


def _page(request: Request, code: str = "", refusal: Refusal | None = None) -> Response:
    book = desk.book_of(request)
    r, was, problems = None, None, list(refusal.problems) if refusal else []
    with book.looking():
        try:
            r = placed.placed(book)
        except Refusal as found:
            problems += found.problems
        if code:
            was = placed.kept(book, code)
        sheets = [(s.code, f"sheet {s.number}") for s in sheet.sheets(book, 6) if s.state in OPEN][:3]
    told: dict[str, Any] = desk.beside(Refusal(*problems), set()) if problems else {"elsewhere": [], "by_field": {}}
    status = desk.status_of(refusal) if refusal else 200
    return desk.page(request, "range.html", "Outside", status, **told, r=r, was=was, code=code, sheets=sheets)


@router.post("/range/keep")
def keep(request: Request, sent: Form) -> Response:
    """Keep the range with a sheet."""
    code = sent.fields.get("code", "")
    try:
        placed.keep(desk.book_of(request), code)
    except Refusal as refusal:
        return _page(request, "", refusal)
    return desk.onward(f"/range?sheet={desk.book_of(request).get_sheet(code)['code']}")


@router.post("/range/leave-out")
def leave_out(request: Request, sent: Form) -> Response:
    """A tone counts no longer for the next sheet."""
    try:
        placed.leave_out(desk.book_of(request), sent.fields.get("name", ""))
    except Refusal as refusal:
        return _page(request, "", refusal)
    return desk.onward("/range")


@router.get("/api/range")
def the_range(request: Request) -> JSONResponse:
    return said(placed.placed(desk.book_of(request)))


# ── how the meters differ ──


@router.get("/meters")
def meters_page(request: Request) -> Response:
    return _meters(request)


def _meters(request: Request, typed: dict[str, str] | None = None, refusal: Refusal | None = None) -> Response:
    book = desk.book_of(request)
    told: dict[str, Any] = desk.beside(refusal, {"readings"}) if refusal else {"elsewhere": [], "by_field": {}}
    kept = [(o.name, photo.offset_words(o), o.counts) for o in photo.offsets(book)]
    names = [t.name for t in own.owned(book, "meter")]
    status = desk.status_of(refusal) if refusal else 200
    return desk.page(request, "meters.html", "Outside", status, **told, kept=kept, names=names, typed=typed or {})


@router.post("/meters")
def compare(request: Request, sent: Form) -> Response:
    """Two of the person's meters on one thing."""
    typed = {"readings": sent.fields.get("readings", "")}
    try:
        meters.compare(desk.book_of(request), typed)
    except Refusal as refusal:
        return _meters(request, typed, refusal)
    return desk.onward("/meters")


@router.get("/api/meters")
def the_meters(request: Request) -> JSONResponse:
    return said({"comparisons": photo.offsets(desk.book_of(request))})
