"""Ways of working at the trays, and how warm they are: their pages. Every change is a form that works without script."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response

from firstsheet.acts import sheet, warming, way_line, ways
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk, waywords
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)
Form = Annotated[Sent, Depends(bodies.form)]
PLACE = "Trays"
COPY = ("name", "of")
ADD = ("name", "liquid", "after", "time", "window", "hands", "drain")
CHANGE = ("name", "step", "after", "time", "window", "hands", "drain")
LOOK = ("temperature", "way", "developer", "base")


def _page(request: Request, template: str, names: tuple[str, ...], refusal: Refusal | None = None, **words: Any) -> Response:  # fmt: skip
    told: dict[str, Any] = {"elsewhere": [], "by_field": {}, "typed": {}}
    if refusal is None:
        return desk.page(request, template, PLACE, **(told | words))
    return desk.page(request, template, PLACE, desk.status_of(refusal), **(told | words | desk.beside(refusal, set(names))))  # fmt: skip


def _said(sent: Sent, names: tuple[str, ...]) -> dict[str, str]:
    return {k: v for k, v in sent.fields.items() if k in names}


# ── ways ──


@router.get("/ways")
def index(request: Request) -> Response:
    return _list(request)


def _list(request: Request, refusal: Refusal | None = None, typed: dict[str, str] | None = None) -> Response:
    book = desk.book_of(request)
    with book.looking():
        have = ways.ways(book)
    lines, offered = [waywords.line(w) for w in have], [(w.name, waywords.named(w)) for w in have]
    return _page(request, "ways.html", COPY, refusal, ways=lines, offered=offered, typed=typed or {})


@router.post("/ways/copy")
def copied(request: Request, sent: Form) -> Response:
    said = _said(sent, COPY)
    try:
        made = ways.copy(desk.book_of(request), said)
    except Refusal as refusal:
        return _list(request, refusal, said)
    return desk.onward(waywords.address(made.name))


@router.get("/ways/way")
def one(request: Request) -> Response:
    return _one(request, bodies.query(request).get("name", ""))


def _one(request: Request, name: str, refusal: Refusal | None = None, typed: dict[str, str] | None = None) -> Response:
    book = desk.book_of(request)
    with book.looking():
        found = ways.way(book, name[:60])
        line = way_line.line(book, found.name)
    return _page(request, "way.html", (*ADD, "litre"), refusal, w=waywords.told(found), route=waywords.line_of(line), typed=typed or {})


@router.post("/ways/litre")
def priced(request: Request, sent: Form) -> Response:
    """What a litre of working bath costs, said on the page of a route."""
    name = sent.fields.get("name", "")
    try:
        way_line.say_litre(desk.book_of(request), {"litre": sent.fields.get("litre", "")})
    except Refusal as refusal:
        return _one(request, name, refusal, {"litre": sent.fields.get("litre", "")})
    return desk.onward(waywords.address(name))


@router.get("/ways/line.svg")
def drawn(request: Request) -> Response:
    book = desk.book_of(request)
    with book.looking():
        found = way_line.line(book, bodies.query(request).get("name", "")[:60])
    return Response(found.drawing_svg, media_type="image/svg+xml")


@router.post("/ways/add")
def added(request: Request, sent: Form) -> Response:
    said = _said(sent, ADD)
    try:
        made = ways.add(desk.book_of(request), said)
    except Refusal as refusal:
        return _one(request, said.get("name", ""), refusal, said)
    return desk.onward(waywords.address(made.name))


@router.get("/ways/step")
def step(request: Request) -> Response:
    asked = bodies.query(request)
    return _step(request, asked.get("name", ""), asked.get("step", ""))


def _step(request: Request, name: str, key: str, refusal: Refusal | None = None, typed: dict[str, str] | None = None) -> Response:  # fmt: skip
    book = desk.book_of(request)
    with book.looking():
        found = waywords.step(ways.way(book, name[:60]), key[:60])
    return _page(request, "way_step.html", CHANGE, refusal, s=found, typed=typed or {})


@router.post("/ways/change")
def changed(request: Request, sent: Form) -> Response:
    """A step changed, moved, or, by the button touched, left out."""
    said, out = _said(sent, CHANGE), sent.fields.get("do") == "remove"
    name, key = said.get("name", ""), said.get("step", "")
    book = desk.book_of(request)
    try:
        if out:
            ways.remove(book, {"name": name, "step": key})
        else:
            ways.change(book, said)
    except Refusal as refusal:
        if refusal.kind == "missing":
            raise
        return _step(request, name, key, refusal, {} if out else said)
    return desk.onward(waywords.address(name))


@router.post("/ways/use")
def used(request: Request, sent: Form) -> Response:
    """For every sheet of its way, or, by the button touched, put away."""
    name = sent.fields.get("name", "")
    if sent.fields.get("do") == "remove":
        ways.remove(desk.book_of(request), {"name": name})
        return desk.onward("/ways")
    made = ways.use(desk.book_of(request), {"name": name})
    return desk.onward(waywords.address(made.name))


# ── warmth ──


@router.get("/warmth")
def look(request: Request) -> Response:
    said = {k: v for k, v in bodies.query(request).items() if k in LOOK}
    if not said:
        return _page(request, "warmth.html", LOOK, choices=waywords.choices())
    try:
        told = waywords.warmed(warming.look(said))
    except Refusal as refusal:
        return _page(request, "warmth.html", LOOK, refusal, choices=waywords.choices(), typed=said)
    return _page(request, "warmth.html", LOOK, choices=waywords.choices(), typed=said, told=told)


@router.get("/warmth/{code}")
def of_sheet(request: Request, code: str) -> Response:
    return _sheet(request, bodies.sheet_code(code))


def _sheet(request: Request, code: str, refusal: Refusal | None = None, typed: dict[str, str] | None = None) -> Response:  # fmt: skip
    book = desk.book_of(request)
    told = None
    with book.looking():
        now = sheet.sheet(book, code)
        offered = [w for w in ways.ways(book) if w.of == now.plan["way"]]
        try:
            told = waywords.warmed(warming.of_sheet(book, code))
        except Refusal as cold:
            refusal = refusal or cold
    words = {"sheet": waywords.of_sheet(now, offered), "told": told, "typed": typed or {}}
    return _page(request, "warmth_sheet.html", ("temperature",), refusal, **words)


@router.post("/warmth/{code}")
def said(request: Request, code: str, sent: Form) -> Response:
    """How warm the trays are for this run; or which way it goes by."""
    book, code = desk.book_of(request), bodies.sheet_code(code)
    try:
        if "way" in sent.fields:
            ways.use(book, {"name": sent.fields["way"], "sheet": code})
        else:
            text = "as the baths" if sent.fields.get("do") == "baths" else sent.fields.get("temperature")
            warming.say(book, code, {"temperature": text})
    except Refusal as refusal:
        if refusal.kind == "missing":
            raise
        return _sheet(request, code, refusal, sent.fields)
    return desk.onward(f"/warmth/{code}")
