"""Looking at paper as JSON: strips and their curves, the card, which version was wanted, a bad day, a notebook brought in."""

from __future__ import annotations

import json
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import JSONResponse

from firstsheet.acts import (
    bad_day,
    calibrate,
    calibrate_curve,
    calibrate_kept,
    card,
    notebook,
    notebook_kept,
    strip_track,
    versions,
)
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk
from firstsheet.web.api import said
from firstsheet.web.bodies import Sent

router = APIRouter(prefix="/api")
Body = Annotated[dict[str, Any], Depends(bodies.json_object)]
Form = Annotated[Sent, Depends(bodies.form)]


def _picture(sent: Sent, field: str) -> bytes:
    if not sent.picture:
        raise Refusal.one(field, "", "A picture as a file of a multipart form.", f"Name the field “{field}”.")
    return sent.picture


# ── strips ──


@router.get("/strips/make")
def make(request: Request) -> JSONResponse:
    return said(calibrate.instructions(desk.book_of(request), bodies.query(request)))


@router.get("/strips/track")
def track(request: Request) -> JSONResponse:
    """With `sheet` in the query, of a strip that was kept; else as `/api/strips/make`."""
    asked = bodies.query(request)
    book = desk.book_of(request)
    if "sheet" not in asked:
        return said(strip_track.of_making(book, asked))
    if len(asked) > 1:
        raise Refusal.one(
            "sheet", asked["sheet"], "A kept strip has its own times.", "Leave out the code, or the rest."
        )
    return said(strip_track.of_sheet(book, bodies.sheet_code(asked["sheet"])))


@router.get("/strips/card")
def the_card(request: Request) -> JSONResponse:
    return said(card.card(desk.book_of(request)))


@router.post("/strips/card")
def say_card(request: Request, body: Body) -> JSONResponse:
    return said(card.say_card(desk.book_of(request), body))


@router.get("/strips")
def strips(request: Request) -> JSONResponse:
    return said(calibrate.strips(desk.book_of(request)))


@router.post("/strips")
def read(request: Request, sent: Form) -> JSONResponse:
    return said(calibrate.look(desk.book_of(request), _picture(sent, "picture"), sent.fields), 201)


@router.get("/strips/{number}")
def strip(request: Request, number: str) -> JSONResponse:
    return said(calibrate.strip(desk.book_of(request), bodies.whole_number(number, "strip")))


@router.post("/strips/{number}")
def again(request: Request, number: str, body: Body) -> JSONResponse:
    return said(calibrate.again(desk.book_of(request), bodies.whole_number(number, "strip"), body))


# ── curves ──


@router.post("/curves")
def curve(request: Request, body: Body) -> JSONResponse:
    """`strip` for a strip's curve, else `densities`; with `teach` false it is kept and does not count."""
    form = dict(body)
    number, teach = form.pop("strip", None), form.pop("teach", True)
    if not isinstance(teach, bool):
        raise Refusal.one("teach", teach, "true or false.", "Leave it out to let it count.")
    of = None if number is None else bodies.whole_number(str(number), "strip")
    return said(calibrate_curve.curve(desk.book_of(request), of, form, teach=teach), 201)


@router.get("/curves")
def curves(request: Request) -> JSONResponse:
    return said(calibrate_kept.listed(desk.book_of(request), bodies.query(request).get("box")))


@router.get("/curves/{number}")
def one_curve(request: Request, number: str) -> JSONResponse:
    return said(calibrate_curve.kept(desk.book_of(request), bodies.whole_number(number, "curve")))


@router.post("/curves/{number}/count")
def count(request: Request, number: str) -> JSONResponse:
    return said(calibrate_curve.count_it(desk.book_of(request), bodies.whole_number(number, "curve")))


@router.post("/curves/{number}/withdraw")
def withdraw(request: Request, number: str) -> JSONResponse:
    return said(calibrate_curve.withdraw(desk.book_of(request), bodies.whole_number(number, "curve")))


# ── a sheet that was wet a moment ago ──


@router.post("/sheets/{code}/versions")
def make_versions(request: Request, code: str, sent: Form) -> JSONResponse:
    """A photo of the sheet with `white` and `border`, each a place in it: “0.05,0.5” from the left and the top."""
    places = {k: v for k, v in sent.fields.items() if k != "photo"}
    return said(versions.make(desk.book_of(request), bodies.sheet_code(code), _picture(sent, "photo"), places), 201)


@router.post("/sheets/{code}/versions/{number}")
def wanted(request: Request, code: str, number: str, body: Body) -> JSONResponse:
    """The version that was wanted judges the sheet: `version` with the `white` and `border` of the look."""
    return said(
        versions.touch(desk.book_of(request), bodies.sheet_code(code), bodies.whole_number(number, "picture"), body)
    )


@router.get("/badday")
def bad_day_of_none(request: Request) -> JSONResponse:
    return said(bad_day.bad_day(desk.book_of(request), None, bodies.query(request)))


@router.get("/sheets/{code}/badday")
def bad_day_of(request: Request, code: str) -> JSONResponse:
    return said(bad_day.bad_day(desk.book_of(request), bodies.sheet_code(code), bodies.query(request)))


# ── a notebook kept so far ──


@router.get("/notebooks")
def notebooks(request: Request) -> JSONResponse:
    return said(notebook_kept.brought(desk.book_of(request)))


@router.post("/notebooks")
def bring_in(request: Request, sent: Form) -> JSONResponse:
    """The table as a file; `mapping` and `defaults` as JSON objects in fields; looked at, or with `keep` = yes brought in."""
    data = _picture(sent, "notebook")
    proposal = notebook.propose(data)
    mapping = _object(sent, "mapping") or proposal.mapping()
    defaults = _object(sent, "defaults")
    if sent.fields.get("keep") == "yes":
        return said(notebook.bring_in(desk.book_of(request), data, mapping, defaults), 201)
    checked = notebook.check(desk.book_of(request), data, mapping, defaults)
    return said({"proposal": proposal, "mapping": mapping, "checked": checked, "ready": checked.ready})


def _object(sent: Sent, field: str) -> dict[str, Any]:
    text = sent.fields.get(field)
    if not text:
        return {}
    try:
        found = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise Refusal.one(field, text[:40], "A JSON object.", "Check the commas.") from error
    if not isinstance(found, dict):
        raise Refusal.one(field, text[:40], "A JSON object.", "Wrap it in { }.")
    return found


@router.post("/notebooks/{number}/take-back")
def take_back(request: Request, number: str) -> JSONResponse:
    return said(notebook_kept.take_back(desk.book_of(request), bodies.whole_number(number, "notebook")))
