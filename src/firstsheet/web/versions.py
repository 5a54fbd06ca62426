"""Which did you want: the photo in, the white and the border touched, five versions, one touched, and what that changes."""

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request, Response

from firstsheet import wording
from firstsheet.acts import plan, sheet, versions
from firstsheet.acts.answers import Change, Plan, SheetState
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk, pages, sheetwords
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)
Form = Annotated[Sent, Depends(bodies.form)]
CARRIED = ("white", "border", "wet", "kept")
MOST_REMEMBERED = 50


@router.get("/bench/{code}/versions")
def ask(request: Request, code: str) -> Response:
    return desk.page(request, "versions.html", "Bench", **_sheet(request, code), elsewhere=[], by_field={})


def _sheet(request: Request, code: str) -> dict[str, Any]:
    return {"sheet": sheetwords.judging(sheet.sheet(desk.book_of(request), bodies.sheet_code(code)))}


@router.post("/bench/{code}/versions")
def take_in(request: Request, code: str, sent: Form) -> Response:
    words = _sheet(request, code)
    try:
        if not sent.picture:
            raise Refusal.one("photo", "", "A photo of the sheet.", "Take it with a white card beside the sheet.")
        number = versions.take_in(desk.book_of(request), words["sheet"]["code"], sent.picture)
    except Refusal as refusal:
        told = desk.beside(refusal, {"photo"})
        return desk.page(request, "versions.html", "Bench", desk.status_of(refusal), **words, **told, typed=sent.fields)
    return desk.onward(_at(words["sheet"]["code"], number, _carried(sent.fields)))


def _carried(fields: dict[str, str]) -> dict[str, str]:
    return {k: fields[k] for k in CARRIED if k in fields}


def _at(code: str, number: int, carried: dict[str, str]) -> str:
    query = f"?{urlencode(carried, safe=',')}" if carried else ""
    return f"/bench/{code}/versions/{number}{query}"


@router.get("/bench/{code}/versions/{number}")
def versions_page(request: Request, code: str, number: str) -> Response:
    """Without a white in the query: the photo, to touch it; without a border: to touch that; else the versions."""
    return _shown(request, bodies.sheet_code(code), bodies.whole_number(number, "picture"), bodies.query(request))


def _shown(
    request: Request, code: str, number: int, fields: dict[str, str], refused: Refusal | None = None
) -> Response:
    carried = _carried(fields)
    words = _sheet(request, code) | {"number": number, "carried": carried}
    told = desk.beside(refused, {"across", "down"}) if refused else {"elsewhere": [], "by_field": {}}
    status = desk.status_of(refused) if refused else 200
    if "white" in carried and "border" in carried:
        return _five(request, words, told, status)
    words["asked"] = "border" if "white" in carried else "white"
    versions.size(desk.book_of(request), code, number)
    return desk.page(request, "versions_touch.html", "Bench", status, **words, **told, typed=fields)


def _five(request: Request, words: dict[str, Any], told: dict[str, Any], status: int) -> Response:
    code, number, carried = words["sheet"]["code"], words["number"], words["carried"]
    by_eye = carried["border"] in ("white", "grey", "black")
    places = {k: carried[k] for k in ("white", "border") if not (k == "border" and by_eye)}
    try:
        found = versions.look(desk.book_of(request), code, number, places)
    except Refusal as refusal:
        back = {k: v for k, v in carried.items() if k not in ("white", "border")}
        return _shown(request, code, number, back, refusal)
    base = f"/bench/{code}/versions/{number}"
    shown = [
        (v.key, v.words, f"{base}/{v.words.replace(' ', '-')}.jpg?{urlencode(places, safe=',')}")
        for v in found.versions
    ]
    again = urlencode({k: v for k, v in carried.items() if k != "border"}, safe=",")
    eye_fog = by_eye and carried["border"] != found.border_should_be
    verdict = found.border.words if found.border else f"The border is {carried['border']}, as you see it."
    if eye_fog:
        verdict = f"The border is {carried['border']} where it should be {found.border_should_be}: fog, not exposure."
    return desk.page(
        request, "versions_five.html", "Bench", status, **words, **told, found=found, verdict=verdict, again=f"{base}?{again}",
        fogged=eye_fog or not shown, shown=[] if eye_fog else shown,
    )  # fmt: skip


@router.get("/bench/{code}/versions/{number}/{name}.jpg")
def drawn(request: Request, code: str, number: str, name: str) -> Response:
    form = bodies.query(request)
    book = desk.book_of(request)
    data = versions.drawn(
        book, bodies.sheet_code(code), bodies.whole_number(number, "picture"), form, name.replace("-", " ")
    )
    return Response(data, media_type="image/jpeg", headers={"Cache-Control": "private, max-age=3600"})


@router.post("/bench/{code}/versions/{number}")
def touched(request: Request, code: str, number: str, sent: Form) -> Response:
    """A touch on the photo, for the white or the border; or a border said by eye; or the version wanted."""
    book, code, picture = desk.book_of(request), bodies.sheet_code(code), bodies.whole_number(number, "picture")
    fields = _carried(sent.fields)
    if "version" in sent.fields:
        return _wanted(request, code, picture, fields | {"version": sent.fields["version"]})
    if "eye" in sent.fields:
        return desk.onward(_at(code, picture, fields | {"border": sent.fields["eye"]}))
    asked = "border" if "white" in fields else "white"
    try:
        at = pages.place_said(dict(sent.fields), *versions.size(book, code, picture))
        if not at:
            raise Refusal.one("photo", "", "A place on the photo.", "Touch the photo once more.")
    except Refusal as refusal:
        return _shown(request, code, picture, fields, refusal)
    return desk.onward(_at(code, picture, fields | {asked: f"{at['x']},{at['y']}"}))


def _wanted(request: Request, code: str, picture: int, fields: dict[str, str]) -> Response:
    book = desk.book_of(request)
    before = _plan(request)
    try:
        change = versions.touch(book, code, picture, fields)
    except Refusal as refusal:
        return _shown(request, code, picture, fields, refusal)
    told_once: dict[str, Any] = request.app.state.changes
    while len(told_once) >= MOST_REMEMBERED:
        told_once.pop(next(iter(told_once)))
    told_once[code] = changed(sheet.sheet(book, code), change, before, _plan(request))
    return desk.onward(f"/bench/{code}/change")


def changed(now: SheetState, change: Change, before: Plan | None, after: Plan | None) -> dict[str, Any]:
    """What the touched version changed; where the next plan is of the same things and light, as one order for the hand."""
    out = sheetwords.changed(now, change, before, after)
    if after and change.taught:
        same = all(now.plan[k] == getattr(after, k) for k in ("box", "developer", "camera", "way", "light", "aperture"))
        same = same and list(now.plan["readings"]) == list(after.readings)
        if same:
            chance = wording.chance(after.keeper_chance)
            out["plan"] = f"Give {wording.seconds(after.time_s)}, change nothing else, {chance}."
            out["chance"] = f"It was {wording.chance(before.keeper_chance)}." if before else ""
    return out


def _plan(request: Request) -> Plan | None:
    try:
        return plan.plan(desk.book_of(request))
    except Refusal:
        return None
