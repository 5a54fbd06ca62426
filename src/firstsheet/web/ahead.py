"""The sheet ahead: a photo of the board (or of the scene) in, seconds and picture out; a slider; afterwards foretold and come, side by side."""

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import JSONResponse

from firstsheet import wording
from firstsheet.acts import ahead, ahead_look, board_light, photo, sheet
from firstsheet.acts.found import Found
from firstsheet.refusal import Refusal
from firstsheet.web import aheadwords, bodies, desk, pages
from firstsheet.web.api import said
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)
api = APIRouter(prefix="/api")
Body = Annotated[dict[str, Any], Depends(bodies.json_object)]
Form = Annotated[Sent, Depends(bodies.form)]
LOOK = ("of", "corners", "face", "tone", "stops", "preflash", "shows", "printed", "range", "wet", "colour", "flare", "depths", "pose", "outline", "filter", "light", "developer", "pack", "seen_by", "aperture")
LIGHT = ("lux", "lux_at", "card", "beside", "aperture", "f_number", "time", "iso", "last")
CAME = ("white", "corners", "border", "wet", "kept")
JPEG = {"Cache-Control": "private, no-store"}  # the same address shows another sheet once the plan is another


def _only(fields: dict[str, str], keys: tuple[str, ...]) -> dict[str, str]:
    return {k: fields[k] for k in keys if fields.get(k, "").strip()}


@router.get("/ahead")
def ask(request: Request) -> Response:
    return _ask(request)


def _ask(request: Request, refusal: Refusal | None = None) -> Response:
    told = desk.beside(refusal, {"photo", "of"}) if refusal else {"elsewhere": [], "by_field": {}}
    return desk.page(request, "ahead_ask.html", "Board", desk.status_of(refusal) if refusal else 200, cautions=board_light.DARK_WORDS, **told)


@router.post("/ahead")
def take_in(request: Request, sent: Form) -> Response:
    try:
        if not sent.picture:
            raise Refusal.one("photo", "", "A photo of the board, or of the scene from the lens.", "Take it with the lens open and the box shut.")
        of = sent.fields.get("of", "board")
        if of not in ahead_look.SEEN_ON:
            raise Refusal.one("of", of, "The board, or the scene.", "")
        taken = photo.take_in(desk.book_of(request), sent.picture)
    except Refusal as refusal:
        return _ask(request, refusal)
    return desk.onward(f"/ahead/{taken.picture}?of={of}")


@router.get("/ahead/{number}")
def picture_page(request: Request, number: str) -> Response:
    """Without a face in the query: the photo, to touch it (corners first where they are asked for); else what it shows."""
    return _shown(request, bodies.whole_number(number, "picture"), bodies.query(request))


def _shown(request: Request, number: int, fields: dict[str, str], refused: Refusal | None = None) -> Response:
    carried = _only(fields, (*LOOK, *LIGHT))
    book = desk.book_of(request)
    told = desk.beside(refused, {"across", "down"}) if refused else {"elsewhere": [], "by_field": {}}
    status = desk.status_of(refused) if refused else 200
    words: dict[str, Any] = {"photo": photo.look_again(book, number), "number": number, "carried": carried, "base": f"/ahead/{number}"}
    part = fields.get("part", "")
    if part or "face" not in carried:
        asking = aheadwords.touching(carried, part)
        return desk.page(request, "ahead_touch.html", "Board", status, **words, **asking, **told, tones=aheadwords.tones(), typed=fields)
    return _result(request, number, words, fields, status)


def _result(request: Request, number: int, words: dict[str, Any], fields: dict[str, str], status: int) -> Response:
    book = desk.book_of(request)
    look, light = _only(fields, LOOK), _only(fields, ("face", "tone", *LIGHT))
    found: Found | None = None
    board: Found | None = None
    refusals: list[Refusal] = []
    with book.looking():
        try:
            found = ahead.look(book, number, look)
        except Refusal as refusal:
            refusals.append(refusal)
        if look.get("of", "board") == "board" and found:
            try:
                board = board_light.look(book, number, light)
            except Refusal as refusal:
                refusals.append(refusal)
        planned = next((s for s in sheet.sheets(book, 3) if s.state == "planned" and not s.strip), None)
        p = ahead_look.plan_or_none(book)
        way = aheadwords.way_of(book)
        known = tuple(d for d in ahead_look.developers(book, way, p.box) if d != p.developer) if p and way else ()
        kept = aheadwords.others(book)
        keepers = aheadwords.keepers(book)
    told = desk.beside(Refusal(*[p for r in refusals for p in r.problems]), set(aheadwords.FIELDS)) if refusals else {"elsewhere": [], "by_field": {}}
    base = words["base"]
    query = urlencode(look, safe=",")
    return desk.page(
        request, "ahead.html", "Board", desk.status_of(refusals[0]) if refusals and found is None else status, **words, **told, found=found, board=board,
        asks_light=bool(refusals and found), query=query, steps=aheadwords.steps(found), options=aheadwords.options(way, known), flashes=aheadwords.flashes(), kept=kept, keepers=keepers, held=fields.get("held", ""),
        flash=f"{next((f.value for f in found.figures if f.key == 'preflash'), 0):g}" if found else "0", planned=planned.code if planned else "",
        again=f"{base}?{urlencode({k: v for k, v in words['carried'].items() if k != 'face'}, safe=',')}", cautions=board_light.DARK_WORDS, typed=fields,
    )  # fmt: skip


@router.post("/ahead/{number}")
def touched(request: Request, number: str, sent: Form) -> Response:
    """A touch on the photo: a corner of the sheet, or the face; or the reading kept; or what is foretold kept with a sheet."""
    picture = bodies.whole_number(number, "picture")
    book = desk.book_of(request)
    fields = dict(sent.fields)
    carried = _only(fields, (*LOOK, *LIGHT))
    try:
        if fields.get("do") == "reading":
            board_light.keep(book, picture, _only(carried, ("face", "tone", *LIGHT)))
            return desk.onward("/")
        do, _, named = fields.get("do", "").partition(":")
        if do == "foretell":
            code = bodies.sheet_code(named)
            ahead.keep(book, code, picture, _only(carried, LOOK))
            return desk.onward(f"/book/{code}/expose")
        taken = photo.look_again(book, picture)
        at = pages.place_said(fields, taken.width, taken.height)
        if not at:
            raise Refusal.one("photo", "", "A place on the photo.", "Touch the photo once more.")
    except Refusal as refusal:
        return _shown(request, picture, fields, refusal)
    return desk.onward(f"/ahead/{picture}?{urlencode(aheadwords.touched(carried, fields.get('part', ''), at), safe=',')}")


@router.get("/ahead/{number}/sheet.jpg")
def drawn(request: Request, number: str) -> Response:
    data = ahead.drawn(desk.book_of(request), bodies.whole_number(number, "picture"), _only(bodies.query(request), LOOK))
    return Response(data, media_type="image/jpeg", headers=JPEG)


@router.get("/ahead/{number}/said.json")
def told(request: Request, number: str) -> JSONResponse:
    """What the page says in words of the sheet as it is slid now."""
    found = ahead.look(desk.book_of(request), bodies.whole_number(number, "picture"), _only(bodies.query(request), LOOK))
    return JSONResponse({"first": found.first, "notes": found.notes, "figures": {f.key: f.said for f in found.figures}})


@router.get("/ahead/{number}/curve.svg")
def curve(request: Request, number: str) -> Response:
    drawing = ahead.curve(desk.book_of(request), bodies.whole_number(number, "picture"), _only(bodies.query(request), LOOK))
    return Response(drawing, media_type="image/svg+xml", headers=JPEG)


@router.get("/ahead/{number}/five.jpg")
def five(request: Request, number: str) -> Response:
    data = ahead.five(desk.book_of(request), bodies.whole_number(number, "picture"), _only(bodies.query(request), LOOK))
    return Response(data, media_type="image/jpeg", headers=JPEG)


# ── afterwards ──


@router.get("/bench/{code}/foretold")
def ask_came(request: Request, code: str) -> Response:
    code = bodies.sheet_code(code)
    told = ahead.foretold(desk.book_of(request), code)
    return desk.page(request, "ahead_came.html", "Bench", code=code, told=told, asked="photo", elsewhere=[], by_field={})


@router.post("/bench/{code}/foretold")
def came_in(request: Request, code: str, sent: Form) -> Response:
    code = bodies.sheet_code(code)
    book = desk.book_of(request)
    try:
        if not sent.picture:
            raise Refusal.one("photo", "", "A photo of the sheet beside a white.", "Fixed and rinsed, in daylight, flat.")
        number = ahead.take_in(book, code, sent.picture)
    except Refusal as refusal:
        told = ahead.foretold(book, code)
        return desk.page(request, "ahead_came.html", "Bench", desk.status_of(refusal), code=code, told=told, asked="photo", **desk.beside(refusal, {"photo"}))
    return desk.onward(f"/bench/{code}/foretold/{number}?{urlencode(_only(sent.fields, CAME), safe=',')}")


@router.get("/bench/{code}/foretold/{number}")
def came_page(request: Request, code: str, number: str) -> Response:
    return _came(request, bodies.sheet_code(code), bodies.whole_number(number, "picture"), bodies.query(request))


def _came(request: Request, code: str, number: int, fields: dict[str, str], refused: Refusal | None = None) -> Response:
    book = desk.book_of(request)
    carried = _only(fields, CAME)
    told = desk.beside(refused, {"across", "down"}) if refused else {"elsewhere": [], "by_field": {}}
    status = desk.status_of(refused) if refused else 200
    words: dict[str, Any] = {"code": code, "number": number, "carried": carried, "base": f"/bench/{code}/foretold/{number}"}
    asked = aheadwords.came_touching(carried)
    found = None
    if asked["asked"] == "":
        try:
            found = ahead.compare(book, code, number, carried)
        except Refusal as refusal:
            if refused:
                raise
            return _came(request, code, number, _only(fields, ("wet", "kept")), refusal)
    query = urlencode(carried, safe=",")
    return desk.page(request, "ahead_came.html", "Bench", status, **words, **asked, **told, told=True, found=found, used=wording.share(found.used) if found else "", query=query, typed=fields)


@router.post("/bench/{code}/foretold/{number}")
def came_touched(request: Request, code: str, number: str, sent: Form) -> Response:
    book, code, picture = desk.book_of(request), bodies.sheet_code(code), bodies.whole_number(number, "picture")
    fields = dict(sent.fields)
    carried = _only(fields, CAME)
    try:
        if fields.get("do") == "learn":
            ahead.compare(book, code, picture, carried, teach=True)
            return desk.onward(f"/book/{code}")
        size = ahead.size(book, code, picture)
        at = pages.place_said(fields, *size)
        if not at:
            raise Refusal.one("photo", "", "A place on the photo.", "Touch the photo once more.")
    except Refusal as refusal:
        return _came(request, code, picture, carried, refusal)
    return desk.onward(f"/bench/{code}/foretold/{picture}?{urlencode(aheadwords.came_touched(carried, at), safe=',')}")


@router.get("/bench/{code}/foretold/{number}/beside.jpg")
def beside(request: Request, code: str, number: str) -> Response:
    data = ahead.beside(desk.book_of(request), bodies.sheet_code(code), bodies.whole_number(number, "picture"), _only(bodies.query(request), CAME))
    return Response(data, media_type="image/jpeg", headers=JPEG)


# ── as data ──


@api.post("/photos/{number}/board")
def board_data(request: Request, number: str, body: Body) -> JSONResponse:
    """Light where the face falls, from a kept photo of the board; with `keep` true it becomes this sheet's reading."""
    book, picture = desk.book_of(request), bodies.whole_number(number, "picture")
    asked = {k: v for k, v in body.items() if k != "keep"}
    return said((board_light.keep if body.get("keep") is True else board_light.look)(book, picture, asked))


@api.post("/photos/{number}/ahead")
def ahead_data(request: Request, number: str, body: Body) -> JSONResponse:
    """The sheet ahead in numbers; with `code` kept with that sheet."""
    book, picture = desk.book_of(request), bodies.whole_number(number, "picture")
    asked = {k: v for k, v in body.items() if k != "code"}
    if "code" in body:
        return said(ahead.keep(book, bodies.sheet_code(str(body["code"])), picture, asked))
    return said(ahead.look(book, picture, asked))


@api.post("/sheets/{code}/foretold")
def came_data(request: Request, code: str, sent: Form) -> JSONResponse:
    """A photo of the sheet that came, with `white` and `corners`; with `border` the difference judges the sheet."""
    book = desk.book_of(request)
    if not sent.picture:
        raise Refusal.one("photo", "", "A picture as a file of a multipart form.", "Name the field “photo”.")
    number = ahead.take_in(book, bodies.sheet_code(code), sent.picture)
    asked = {k: v for k, v in sent.fields.items() if k != "photo"}
    return said(ahead.compare(book, bodies.sheet_code(code), number, asked, teach="border" in asked))
