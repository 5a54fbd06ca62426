"""The same acts as JSON. Answers are those of the package; docs/json.md lists their keys."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import JSONResponse

from firstsheet.acts import expose, judge, known, photo, plan, room, run, sheet, wish, worth
from firstsheet.answer import to_json
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk
from firstsheet.web.bodies import Sent

router = APIRouter(prefix="/api")
Body = Annotated[dict[str, Any], Depends(bodies.json_object)]
Form = Annotated[Sent, Depends(bodies.form)]


def said(thing: object, status: int = 200) -> JSONResponse:
    return JSONResponse(to_json(thing), status_code=status)


@router.post("/say")
def say(request: Request, body: Body) -> JSONResponse:
    return said(wish.say(desk.book_of(request), body))


@router.get("/plan")
def plan_now(request: Request) -> JSONResponse:
    """The plan of what was said; a query is heard over it and not kept."""
    return said(plan.plan(desk.book_of(request), bodies.query(request)))


@router.post("/plan")
def plan_of(request: Request, body: Body) -> JSONResponse:
    return said(plan.plan(desk.book_of(request), body))


@router.post("/sheets")
def keep(request: Request, body: Body) -> JSONResponse:
    form = dict(body)
    strip = form.pop("strip", False)
    if not isinstance(strip, bool):
        raise Refusal.one("strip", strip, "true or false.", "Leave it out for a sheet.")
    return said(expose.keep(desk.book_of(request), form, strip=strip), 201)


@router.get("/sheets")
def sheets(request: Request) -> JSONResponse:
    q = bodies.query(request)
    limit = min(bodies.whole_number(q.get("limit", "30"), "sheet"), 200)
    before = bodies.whole_number(q["before"], "sheet") if "before" in q else None
    return said(sheet.sheets(desk.book_of(request), limit, before))


@router.get("/sheets/{code}")
def one_sheet(request: Request, code: str) -> JSONResponse:
    return said(sheet.sheet(desk.book_of(request), bodies.sheet_code(code)))


@router.post("/sheets/{code}/expose")
def exposed(request: Request, code: str, body: Body) -> JSONResponse:
    return said(expose.expose(desk.book_of(request), bodies.sheet_code(code), body))


@router.post("/sheets/{code}/marks")
def marks(request: Request, code: str, body: Body) -> JSONResponse:
    """Each mark is kept once, however often it comes; `kept` are those a device may forget."""
    found = body.get("marks")
    kept = run.mark(desk.book_of(request), bodies.sheet_code(code), found if isinstance(found, list) else found or ())
    return JSONResponse({"kept": kept.client_ids, "differing": kept.differing})


@router.post("/sheets/{code}/judge")
def judged(request: Request, code: str, body: Body) -> JSONResponse:
    return said(judge.judge(desk.book_of(request), bodies.sheet_code(code), body))


@router.post("/sheets/{code}/take-back")
def take_back(request: Request, code: str) -> JSONResponse:
    return said(judge.take_back(desk.book_of(request), bodies.sheet_code(code)))


@router.get("/known")
def all_known(request: Request) -> JSONResponse:
    return said(known.known(desk.book_of(request)))


@router.get("/misses")
def misses(request: Request) -> JSONResponse:
    return said(known.misses(desk.book_of(request)))


@router.get("/why")
def why(request: Request) -> JSONResponse:
    """What moved the next plan (its query is heard over what was said), or, with a box alone, that box."""
    asked = bodies.query(request)
    book = desk.book_of(request)
    if set(asked) in ({"box"}, {"box", "way"}):
        return said(known.why_box(book, asked["box"], asked.get("way")))
    return said(known.why_plan(book, asked))


@router.get("/sheets/{code}/why")
def why_of(request: Request, code: str) -> JSONResponse:
    return said(known.why(desk.book_of(request), bodies.sheet_code(code)))


@router.get("/worth")
def stakes(request: Request) -> JSONResponse:
    return said(worth.worth(desk.book_of(request)))


@router.post("/worth")
def say_stakes(request: Request, body: Body) -> JSONResponse:
    return said(worth.say_worth(desk.book_of(request), body))


@router.get("/room")
def the_room(request: Request) -> JSONResponse:
    return said(room.room(desk.book_of(request), bodies.query(request)))


@router.post("/photos")
def photos(request: Request, sent: Form) -> JSONResponse:
    if not sent.picture:
        raise Refusal.one("photo", "", "A photo as a file of a multipart form.", "Name the field “photo”.")
    return said(photo.take_in(desk.book_of(request), sent.picture), 201)


@router.post("/photos/{number}/spot")
def spot(request: Request, number: str, body: Body) -> JSONResponse:
    return said(photo.spot(desk.book_of(request), bodies.whole_number(number, "picture"), body))
