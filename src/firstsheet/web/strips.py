"""A scrap of paper: how to make a strip, its picture with every step outlined, what it got, its curve, the next plan."""

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request, Response

from firstsheet.acts import calibrate, calibrate_curve, calibrate_kept, card, strip_track
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk, stripwords
from firstsheet.web.bodies import Sent

router = APIRouter(prefix="/strips", include_in_schema=False)
Form = Annotated[Sent, Depends(bodies.form)]
PLACE = "Bench"
AGAIN_FIELDS = ("steps", "corners", "sense", "meant")


def _of(fields: dict[str, str], names: tuple[str, ...]) -> dict[str, str]:
    return {k: v for k, v in fields.items() if k in names}


@router.get("")
def strips(request: Request) -> Response:
    """How to make one where that is asked in the query; reading one; those read before."""
    asked = _of(bodies.query(request), stripwords.MAKE_FIELDS)
    form = stripwords.making(asked)
    made = track = None
    try:
        if asked:
            made = stripwords.made(calibrate.instructions(desk.book_of(request), form))
            found = strip_track.of_making(desk.book_of(request), form)
            track = stripwords.track(found, "/strips/track.wav?" + urlencode(asked))
    except Refusal as refusal:
        told = desk.beside(refusal, set(stripwords.MAKE_FIELDS) | {"steps"})
        told["by_field"]["count"] = told["by_field"].pop("steps")
        return _strips(request, desk.status_of(refusal), typed=asked, making=True, **told)
    return _strips(request, typed=asked, made=made, track=track, making=bool(asked))


def _strips(request: Request, status: int = 200, **words: Any) -> Response:
    book = desk.book_of(request)
    with book.looking():
        before = [stripwords.line(s) for s in calibrate.strips(book)[:20]]
        curves = [stripwords.curve_line(c) for c in calibrate_kept.listed(book)[:20]]
        known = card.card(book).typed
    base: dict[str, Any] = {"made": None, "track": None, "making": False, "elsewhere": [], "by_field": {}, "typed": {}}
    return desk.page(request, "strips.html", PLACE, status, before=before, curves=curves, card=known, ways=stripwords.make_ways(),
                     senses=stripwords.SENSES, **(base | words))  # fmt: skip


@router.post("")
def read(request: Request, sent: Form) -> Response:
    try:
        found = calibrate.look(desk.book_of(request), sent.picture or b"", _of(sent.fields, stripwords.LOOK_FIELDS))
    except Refusal as refusal:
        told = desk.beside(refusal, set(stripwords.LOOK_FIELDS) | {"picture"})
        return _strips(request, desk.status_of(refusal), **told, typed=sent.fields)
    return desk.onward(f"/strips/{found.strip}")


# ── densities typed in ──


@router.get("/typed")
def typed(request: Request) -> Response:
    return _typed(request)


def _typed(request: Request, status: int = 200, **words: Any) -> Response:
    base: dict[str, Any] = {"elsewhere": [], "by_field": {}, "typed": {}}
    return desk.page(request, "strip_typed.html", PLACE, status, ask=_ask(request, None), **(base | words))


@router.post("/typed")
def typed_in(request: Request, sent: Form) -> Response:
    try:
        found = calibrate_curve.curve(
            desk.book_of(request), None, _of(sent.fields, stripwords.CURVE_FIELDS), teach=False
        )
    except Refusal as refusal:
        told = desk.beside(refusal, set(stripwords.CURVE_FIELDS))
        return _typed(request, desk.status_of(refusal), **told, typed=sent.fields)
    return desk.onward(f"/strips/curves/{found.curve}")


# ── curves ──


@router.get("/curves/{number}")
def curve_page(request: Request, number: str) -> Response:
    found = calibrate_curve.kept(desk.book_of(request), bodies.whole_number(number, "curve"))
    return desk.page(request, "strip_curve.html", PLACE, curve=stripwords.curve(found))


@router.post("/curves/{number}")
def count_it(request: Request, number: str, sent: Form) -> Response:
    do = calibrate_curve.withdraw if sent.fields.get("do") == "withdraw" else calibrate_curve.count_it
    found = do(desk.book_of(request), bodies.whole_number(number, "curve"))
    return desk.onward(f"/strips/curves/{found.curve}")


# ── one strip ──


@router.get("/{number}")
def strip_page(request: Request, number: str) -> Response:
    return _strip(request, bodies.whole_number(number, "strip"))


def _strip(request: Request, number: int, status: int = 200, **words: Any) -> Response:
    book = desk.book_of(request)
    with book.looking():
        found = calibrate.strip(book, number)
        size = book.get_picture(number)["body"]
        curve = calibrate_curve.of_strip(book, number)
    base: dict[str, Any] = {"elsewhere": [], "by_field": {}, "typed": {}}
    dragged = calibrate.outline_said(words.get("typed", {}).get("corners"))
    shown = stripwords.looked(found, size["width"], size["height"], desk.light_of(request), dragged)
    return desk.page(
        request,
        "strip.html",
        PLACE,
        status,
        strip=shown,
        curve=curve,
        ask=_ask(request, found.sense, found.lit),
        **(base | words),
    )


def _ask(request: Request, sense: str | None, lit: str | None = None) -> dict[str, Any]:
    book = desk.book_of(request)
    with book.looking():
        things = desk.things_of(book)
        today, phrase = book.get_setting("today") or {}, book.get_setting("phrase") or {}
    return stripwords.ask(things, today, phrase, sense, lit)


@router.post("/{number}")
def again(request: Request, number: str, sent: Form) -> Response:
    n = bodies.whole_number(number, "strip")
    said = _of(sent.fields, AGAIN_FIELDS)
    if sent.fields.get("do") == "found":
        said["corners"] = calibrate.FOUND[0]
    try:
        calibrate.again(desk.book_of(request), n, said)
    except Refusal as refusal:
        if refusal.kind == "missing":
            raise
        told = desk.beside(refusal, set(AGAIN_FIELDS))
        return _strip(request, n, desk.status_of(refusal), **told, typed=sent.fields)
    return desk.onward(f"/strips/{n}")


@router.post("/{number}/curve")
def draw(request: Request, number: str, sent: Form) -> Response:
    n = bodies.whole_number(number, "strip")
    book = desk.book_of(request)
    calibrate.strip(book, n)
    try:
        found = calibrate_curve.curve(book, n, _of(sent.fields, stripwords.CURVE_FIELDS), teach=False)
    except Refusal as refusal:
        told = desk.beside(refusal, set(stripwords.CURVE_FIELDS))
        return _strip(request, n, desk.status_of(refusal), **told, typed=sent.fields)
    return desk.onward(f"/strips/curves/{found.curve}")
