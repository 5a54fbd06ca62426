"""Contrast before the sheet is spent, and its flash: their page, and the same as JSON. Every change is a form that works without script."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import JSONResponse

from firstsheet.acts import contrast, flash, wish
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, contrastwords, desk
from firstsheet.web.api import said
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)
Form = Annotated[Sent, Depends(bodies.form)]
LOOK = ("range", "light", "share")
DOSE = ("lux", "ev", "aperture", "board", "under")
FOUND = ("times", "shows", "under")
GIVEN = ("code", "seconds", "how")
FIELDS = {*LOOK, *DOSE, *FOUND, *GIVEN}


@router.get("/contrast")
def page(request: Request) -> Response:
    return _page(request, bodies.query(request))


def _page(request: Request, typed: dict[str, str], refusal: Refusal | None = None) -> Response:
    """What was asked, as far as it can be told: the scene against the paper, and the seconds of a flash where its light was said."""
    book = desk.book_of(request)
    told: dict[str, Any] = {"c": None, "dose": None, "stand": None}
    refusals = [refusal] if refusal else []
    with book.looking():
        if refusal is None or any(typed.get(k) for k in LOOK):
            with _noted(refusals if any(typed.get(k) for k in LOOK) else []):
                told["c"] = contrastwords.told(contrast.contrast(book, _of(typed, LOOK)))
        if refusal is None and any(typed.get(k) for k in DOSE):
            with _noted(refusals):
                told["dose"] = contrastwords.dose(flash.dose(book, _of(typed, (*DOSE, "share"))))
        lacking: list[Refusal] = []
        with _noted(lacking):
            told["stand"] = contrastwords.standing(flash.standing(book))
        told["lacking"] = [p.allowed for r in lacking for p in r.problems]
        phrase = book.get_setting("phrase") or {}
    stand = told["stand"] or {}
    hidden = set() if stand.get("lux") else {"lux", "ev", "aperture", "board"}
    hidden |= set() if stand.get("thresholds") else {"code"}
    beside = desk.beside(Refusal(*(p for r in refusals for p in r.problems)), FIELDS - hidden) if refusals else {"elsewhere": [], "by_field": {}}
    status = desk.status_of(refusals[0]) if refusals else 200
    return desk.page(
        request, "contrast.html", "Outside", status, **told, **(beside | {"typed": typed}), lights=contrastwords.lights(), flashed=bool(phrase.get("flash"))
    )


def _of(typed: dict[str, str], fields: Iterable[str]) -> dict[str, str]:
    return {k: v for k, v in typed.items() if k in fields}


@contextmanager
def _noted(refusals: list[Refusal]) -> Iterator[None]:
    """What is refused inside is put down, and the page goes on without it."""
    try:
        yield
    except Refusal as found:
        refusals.append(found)


@router.post("/contrast/found")
def found(request: Request, sent: Form) -> Response:
    """A threshold counted on a scrap."""
    typed = {k: v for k, v in sent.fields.items() if k in FOUND}
    try:
        flash.found(desk.book_of(request), typed)
    except Refusal as refusal:
        return _page(request, typed, refusal)
    return desk.onward("/contrast")


@router.post("/contrast/plan")
def planned(request: Request, sent: Form) -> Response:
    """The next sheet with a flash, or without one again."""
    try:
        flash_said = "no" if sent.fields.get("do") == "no" else "yes"
        wish.say(desk.book_of(request), {"flash": flash_said})
    except Refusal as refusal:
        return _page(request, {}, refusal)
    return desk.onward("/")


@router.post("/contrast/given")
def given(request: Request, sent: Form) -> Response:
    """A sheet that was flashed."""
    typed = {k: v for k, v in sent.fields.items() if k in GIVEN}
    try:
        done = flash.given(desk.book_of(request), typed.get("code", "")[:20], {k: v for k, v in typed.items() if k != "code"})
    except Refusal as refusal:
        return _page(request, typed, refusal)
    return desk.onward(f"/book/{done.code}")


@router.get("/api/contrast")
def as_json(request: Request) -> JSONResponse:
    return said(contrast.contrast(desk.book_of(request), bodies.query(request)))


@router.get("/api/flash/dose")
def dose_json(request: Request) -> JSONResponse:
    return said(flash.dose(desk.book_of(request), bodies.query(request)))
