"""From the open lens to the book: expose, trays, bench, book, what is known, a copy to carry off."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import FileResponse
from starlette.background import BackgroundTask

from firstsheet.acts import expose, flash, judge, keep, known, plan, run, sheet, sheet_track, strip_track
from firstsheet.acts.answers import Plan
from firstsheet.refusal import Refusal
from firstsheet.trays.runpage import run_json
from firstsheet.web import bodies, daywords, desk, pages, runcards, sheetwords, soundwords, stripwords
from firstsheet.web.bodies import Sent

if TYPE_CHECKING:
    from firstsheet.book.store import Book

router = APIRouter(include_in_schema=False)
Form = Annotated[Sent, Depends(bodies.form)]
PAGE_OF_SHEETS = 40
MOST_REMEMBERED = 50


@router.get("/expose")
def ask(request: Request) -> Response:
    return _ask(request, bodies.query(request).get("strip") == "1")


def _ask(request: Request, strip: bool, refusal: Refusal | None = None) -> Response:
    """Before the lens is opened: what can hurt, first, and what is about to be kept. In the sun's hours it wants an answer."""
    book = desk.book_of(request)
    with book.looking():
        p = plan.plan(book)
        number = desk.next_number(book)
        contact = p.way == pages.CONTACT
        sun = None if contact else daywords.sun_now(book, p.camera)
    return desk.page(request, "ask.html", "Outside", desk.status_of(refusal) if refusal else 200, plan=pages.answer(p), number=number, strip=strip,
                     contact=contact, at=p.headline(), caution=sheetwords.caution(p.cautions[0]), sun=sun, unanswered=refusal is not None)  # fmt: skip


@router.post("/expose")
def keep_plan(request: Request, sent: Form) -> Response:
    """Keep the plan as sheet `number`. Sent twice, it is one sheet."""
    book = desk.book_of(request)
    number = bodies.whole_number(sent.fields.get("number", "0"), "sheet")
    with book.begin():
        last = book.sheets(limit=1)
        if last and last[0]["id"] >= number > 0:
            return desk.onward(f"/book/{last[0]['code']}/expose")
        strip = sent.fields.get("strip") == "1"
        try:
            made = expose.keep(book, {"sun": sent.fields["sun"]} if "sun" in sent.fields else None, strip=strip)
        except Refusal as refusal:
            if any(p.where != "sun" for p in refusal.problems):
                raise
            return _ask(request, strip, refusal)
    return desk.onward(f"/book/{made.code}/expose")


@router.get("/book/{code}/expose")
def exposing(request: Request, code: str) -> Response:
    return desk.page(request, "expose.html", "Outside", **_exposing(request, code), elsewhere=[], by_field={})


def _exposing(request: Request, code: str) -> dict[str, Any]:
    book = desk.book_of(request)
    now = sheet.sheet(book, bodies.sheet_code(code))
    track: dict[str, Any] | None
    if now.strip:
        track = stripwords.track(strip_track.of_sheet(book, now.code), f"/book/{now.code}/strip.wav")
    else:
        track = _sheet_sound(book, now.code, bodies.query(request).get("part") == soundwords.EXPOSURE)
    return {"sheet": sheetwords.exposing(now) | {"flash": flash.before_it(book, now)}, "track": track}


def _sheet_sound(book: Book, code: str, alone: bool) -> dict[str, Any] | None:
    """The exposure’s alone, with what stands against the rest, where the run cannot be timed; None for a plan of more than an hour."""
    try:
        return soundwords.sheet_sound(sheet_track.of(book, code, exposure_only=alone))
    except Refusal as why:
        try:
            return soundwords.sheet_sound(sheet_track.of(book, code, exposure_only=True), why)
        except Refusal:
            return None


@router.post("/book/{code}/expose")
def exposed(request: Request, code: str, sent: Form) -> Response:
    words = _exposing(request, code)
    try:
        expose.expose(desk.book_of(request), words["sheet"]["code"], sent.fields)
    except Refusal as refusal:
        told = desk.beside(refusal, {"given", "aperture", "remark"})
        return desk.page(request, "expose.html", "Outside", desk.status_of(refusal), **words, **told, typed=sent.fields)
    return desk.onward(f"/trays/{words['sheet']['code']}")


# ── trays ──


@router.get("/trays")
def trays(request: Request) -> Response:
    book = desk.book_of(request)
    with book.looking():
        waiting = [
            s
            for s in sheet.sheets(book, 100)
            if s.state in ("exposed", "in the trays") and not sheetwords.from_notebook(s)
        ]
        undone = [s for s in sheet.sheets(book, 5) if s.state in ("planned", "flashed")]
    lines, undone_lines = [sheetwords.line(s) for s in waiting], [sheetwords.line(s) for s in undone]
    return desk.page(request, "trays.html", "Trays", waiting=lines, undone=undone_lines)


router.include_router(runcards.router)  # before the sheets: “marks” is no code


@router.get("/trays/{code}")
def run_page(request: Request, code: str) -> Response:
    book = desk.book_of(request)
    with book.looking():
        given = run.page(book, bodies.sheet_code(code))
    given["onward_url"] = f"/bench/{given['code']}"
    words = {"run": given, "run_json": run_json(given), "static": "/static", "worker": "/worker.js"}
    return desk.TEMPLATES.TemplateResponse(request, "run.html", words)


@router.get("/trays/{code}/track.wav")
def track(request: Request, code: str) -> Response:
    return Response(run.track(desk.book_of(request), bodies.sheet_code(code)), media_type="audio/wav")


# ── bench ──


@router.get("/bench")
def bench(request: Request) -> Response:
    book = desk.book_of(request)
    with book.looking():
        some = [
            s
            for s in sheet.sheets(book, 100)
            if s.given_s is not None and not s.judgement and not sheetwords.from_notebook(s)
        ]
    ready = [s for s in some if s.state in ("processed", "given up")]
    wet = [s for s in some if s not in ready]
    return desk.page(
        request, "bench.html", "Bench", ready=[sheetwords.line(s) for s in ready], wet=[sheetwords.line(s) for s in wet]
    )


@router.get("/bench/{code}")
def judge_page(request: Request, code: str) -> Response:
    return desk.page(request, "judge.html", "Bench", **_judging(request, code), elsewhere=[], by_field={})


def _judging(request: Request, code: str) -> dict[str, Any]:
    return {"sheet": sheetwords.judging(sheet.sheet(desk.book_of(request), bodies.sheet_code(code)))}


@router.post("/bench/{code}")
def judged(request: Request, code: str, sent: Form) -> Response:
    book = desk.book_of(request)
    words = _judging(request, code)
    code = words["sheet"]["code"]
    before = _plan(request)
    try:
        change = judge.judge(book, code, sent.fields, sent.picture)
    except Refusal as refusal:
        told = desk.beside(refusal, {"border", "seen", "step", "wet", "kept", "faults", "note", "photo"})
        return desk.page(request, "judge.html", "Bench", desk.status_of(refusal), **words, **told, typed=sent.fields)
    # the sentence is about this moment and is not kept: loaded again later, the sheet's page tells what stands
    told_once: dict[str, Any] = request.app.state.changes
    while len(told_once) >= MOST_REMEMBERED:
        told_once.pop(next(iter(told_once)))
    told_once[code] = sheetwords.changed(sheet.sheet(book, code), change, before, _plan(request))
    return desk.onward(f"/bench/{code}/change")


@router.get("/bench/{code}/change")
def change_page(request: Request, code: str) -> Response:
    code = bodies.sheet_code(code)
    found = request.app.state.changes.get(code)
    if found is None:
        return desk.onward(f"/book/{sheet.sheet(desk.book_of(request), code).code}")
    return desk.page(request, "change.html", "Bench", change=found, colour=bool(judge.colour_next(desk.book_of(request), code)))


def _plan(request: Request) -> Plan | None:
    try:
        return plan.plan(desk.book_of(request))
    except Refusal:
        return None


# ── book ──


@router.get("/book")
def sheets(request: Request) -> Response:
    book = desk.book_of(request)
    before = bodies.query(request).get("before")
    with book.looking():
        found = sheet.sheets(book, PAGE_OF_SHEETS, bodies.whole_number(before, "sheet") if before else None)
    more = found[-1].number if len(found) == PAGE_OF_SHEETS else None
    return desk.page(request, "book.html", "Book", sheets=[sheetwords.line(s) for s in found], more=more)


@router.get("/book/copy")
def copy(request: Request) -> Response:
    """A whole copy of the book as one file."""
    book = desk.book_of(request)
    folder = Path(tempfile.mkdtemp(prefix="firstsheet-"))
    name = f"firstsheet-{book.now():%Y-%m-%d}.sqlite"
    try:
        keep.backup(book, str(folder / name))
    except Refusal:
        folder.rmdir()
        raise

    def tidy() -> None:
        (folder / name).unlink(missing_ok=True)
        folder.rmdir()

    return FileResponse(
        folder / name, filename=name, media_type="application/vnd.sqlite3", background=BackgroundTask(tidy)
    )


@router.get("/book/{code}")
def sheet_page(request: Request, code: str) -> Response:
    book = desk.book_of(request)
    with book.looking():
        s = sheet.sheet(book, bodies.sheet_code(code))
        boxes = [b for b in known.known(book).boxes if b.box == s.plan["box"] and b.way == s.plan["way"]]
    words = sheetwords.life(s, book.now())
    return desk.page(request, "sheet.html", "Book", sheet=words, boxes=[sheetwords.box_known(b) for b in boxes])


@router.post("/book/{code}/take-back")
def take_back(request: Request, code: str, sent: Form) -> Response:
    done = judge.take_back(desk.book_of(request), bodies.sheet_code(code))
    request.app.state.changes.pop(done.code, None)
    return desk.onward(f"/book/{done.code}")
