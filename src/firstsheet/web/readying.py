"""Before the box opens: the list of a sheet, tests of lamps and of the dark; pages that work without script, and the same as JSON."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import JSONResponse

from firstsheet.acts import lamptest, leaktest, readiness
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk, readywords
from firstsheet.web.api import said
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)
api = APIRouter(prefix="/api")
Form = Annotated[Sent, Depends(bodies.form)]
Body = Annotated[dict[str, Any], Depends(bodies.json_object)]
PLACE = "Trays"
LAMP = ("lamp", "kind", "distance", "brightness", "box", "tested", "before", "after")
LEAK = ("room", "box", "lay", "places", "seen")
ASKED = ("box", "way", "developer", "exposure", "lux", "places")


# ── the list of a sheet ──


@router.get("/ready/{code}")
def ready(request: Request, code: str) -> Response:
    book = desk.book_of(request)
    with book.looking():
        found = readiness.of_sheet(book, bodies.sheet_code(code))
    return desk.page(request, "ready.html", PLACE, r=readywords.ready(found))


@router.post("/ready/{code}")
def seen_to(request: Request, code: str, sent: Form) -> Response:
    """Each thing is a box of its own name: ticked, it is so."""
    book, code = desk.book_of(request), bodies.sheet_code(code)
    readiness.say(book, code, {"so": ", ".join(sent.fields) or "none"})
    return desk.onward(f"/ready/{code}")


# ── tests ──


def _shown(request: Request, kind: str, refusal: Refusal | None = None, typed: dict[str, str] | None = None) -> Response:  # fmt: skip
    """The page of a test: how to make it for the box asked about, what to say of it, what was kept."""
    book = desk.book_of(request)
    asked = {k: v for k, v in bodies.query(request).items() if k in ASKED}
    words: dict[str, Any] = {"guide": None, "no_guide": [], "typed": typed or {}, "elsewhere": [], "by_field": {}}
    with book.looking():
        try:
            if kind == "lamp":
                asked.pop("places", None)
                words["guide"] = readywords.lamp_guide(lamptest.guide(book, asked))
            else:
                words["guide"] = readywords.leak_guide(leaktest.guide(book, asked))
        except Refusal as why:
            words["no_guide"] = [p.sentence() for p in why.problems]
        found = lamptest.tests(book) if kind == "lamp" else leaktest.tests(book)
    words["tests"] = [readywords.test(t) for t in found]
    words["boxes"] = [(o.name, o.name) for o in desk.things_of(book)["box"]]
    words["asked"] = asked
    if refusal is None:
        return desk.page(request, f"{kind}test.html", PLACE, **words)
    fields = set(LAMP if kind == "lamp" else LEAK)
    return desk.page(request, f"{kind}test.html", PLACE, desk.status_of(refusal), **(words | desk.beside(refusal, fields)))  # fmt: skip


@router.get("/lamptest")
def lamps(request: Request) -> Response:
    return _shown(request, "lamp")


@router.post("/lamptest")
def lamp_kept(request: Request, sent: Form) -> Response:
    """A test as it came out; or, by the button touched, a lamp put away."""
    try:
        if sent.fields.get("do") == "away":
            lamptest.put_away(desk.book_of(request), sent.fields.get("lamp", ""))
        else:
            lamptest.keep(desk.book_of(request), {k: v for k, v in sent.fields.items() if k in LAMP})
    except Refusal as refusal:
        return _shown(request, "lamp", refusal, sent.fields)
    return desk.onward("/lamptest#kept")


@router.get("/leaktest")
def leaks(request: Request) -> Response:
    return _shown(request, "leak")


@router.post("/leaktest")
def leak_kept(request: Request, sent: Form) -> Response:
    try:
        leaktest.keep(desk.book_of(request), {k: v for k, v in sent.fields.items() if k in LEAK})
    except Refusal as refusal:
        return _shown(request, "leak", refusal, sent.fields)
    return desk.onward("/leaktest#kept")


# ── the same as JSON ──


@api.get("/sheets/{code}/ready")
def ready_json(request: Request, code: str) -> JSONResponse:
    return said(readiness.of_sheet(desk.book_of(request), bodies.sheet_code(code)))


@api.post("/sheets/{code}/ready")
def say_ready(request: Request, code: str, body: Body) -> JSONResponse:
    return said(readiness.say(desk.book_of(request), bodies.sheet_code(code), body))


@api.get("/lamptest")
def lamps_json(request: Request) -> JSONResponse:
    return said(lamptest.tests(desk.book_of(request)))


@api.get("/lamptest/steps")
def lamp_steps(request: Request) -> JSONResponse:
    return said(lamptest.guide(desk.book_of(request), bodies.query(request)))


@api.post("/lamptest")
def keep_lamp(request: Request, body: Body) -> JSONResponse:
    return said(lamptest.keep(desk.book_of(request), body), 201)


@api.get("/leaktest")
def leaks_json(request: Request) -> JSONResponse:
    return said(leaktest.tests(desk.book_of(request)))


@api.get("/leaktest/steps")
def leak_steps(request: Request) -> JSONResponse:
    return said(leaktest.guide(desk.book_of(request), bodies.query(request)))


@api.post("/leaktest")
def keep_leak(request: Request, body: Body) -> JSONResponse:
    return said(leaktest.keep(desk.book_of(request), body), 201)
