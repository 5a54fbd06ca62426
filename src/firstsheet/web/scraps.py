"""Small scraps of a paper: long exposures, fog, two developers, looked at and shone through; each kept and taken back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response

from firstsheet.acts import (
    calibrate,
    scraps,
    scraps_cautions,
    scraps_developers,
    scraps_fog,
    scraps_readings,
    scraps_reciprocity,
)
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk, scrapphotos, scrapwords
from firstsheet.web.bodies import Sent

router = APIRouter(prefix="/scraps", include_in_schema=False)
router.include_router(scrapphotos.router)
Form = Annotated[Sent, Depends(bodies.form)]
PLACE = "Bench"
RECIPROCITY = (
    "given",
    "densities",
    "density_sd",
    "slope",
    "slope_sd",
    "matched",
    "pace",
    "timed",
    "timing",
    "box",
    "developer",
)


@router.get("")
def index(request: Request) -> Response:
    """The four tests, and what scraps told before; of one box where the query says so."""
    box = bodies.query(request).get("box")
    book = desk.book_of(request)
    with book.looking():
        before = [scrapwords.line(t) for t in scraps.listed(book, box)[:40]]
        tests = scraps_fog.of_box(book, box) if box else []
        newest = scrapwords.fog_of_box(scraps_fog.of(book, int(tests[-1]["id"]))) if tests else None
    return desk.page(request, "scraps.html", PLACE, before=before, box=box, fog=newest)


def _asked(request: Request, template: str, status: int = 200, **words: Any) -> Response:
    book = desk.book_of(request)
    with book.looking():
        ask = scrapwords.offered(desk.things_of(book), book.get_setting("today") or {})
    base: dict[str, Any] = {"elsewhere": [], "by_field": {}, "typed": {}}
    return desk.page(request, template, PLACE, status, ask=ask, **(base | words))


def _sent(request: Request, template: str, fields: dict[str, str], names: tuple[str, ...], do: Callable[[dict[str, str]], int], **words: Any) -> Response:  # fmt: skip
    """Do what a form asks and go to its answer, or show the form again with every problem."""
    try:
        number = do({k: v for k, v in fields.items() if k in names})
    except Refusal as refusal:
        told = desk.beside(refusal, set(names))
        return _asked(request, template, desk.status_of(refusal), **told, typed=fields, **words)
    return desk.onward(f"/scraps/{number}")


# ── long exposures ──


@router.get("/reciprocity")
def reciprocity(request: Request) -> Response:
    return _asked(request, "scraps_reciprocity.html", caution=scraps_cautions.LENS)


@router.post("/reciprocity")
def reciprocity_told(request: Request, sent: Form) -> Response:
    book = desk.book_of(request)
    return _sent(request, "scraps_reciprocity.html", sent.fields, RECIPROCITY,
                 lambda form: scraps_reciprocity.measure(book, form, teach=False).number, caution=scraps_cautions.LENS)  # fmt: skip


# ── fog ──

FOG = ("box", "developer", "day", "fixed", "developed", "density_sd", "kind", "looks")


def _fog(request: Request) -> dict[str, Any]:
    return {"caution": scraps_cautions.TRAYS, "looks": list(scraps_fog.LOOK_WORDS.items())}


@router.get("/fog")
def fog(request: Request) -> Response:
    return _asked(request, "scraps_fog.html", **_fog(request))


@router.post("/fog")
def fog_told(request: Request, sent: Form) -> Response:
    book = desk.book_of(request)
    return _sent(
        request,
        "scraps_fog.html",
        sent.fields,
        FOG,
        lambda form: scraps_fog.measure(book, form).number,
        **_fog(request),
    )


# ── two developers ──


def _developers(request: Request) -> dict[str, Any]:
    book = desk.book_of(request)
    with book.looking():
        curves = [(str(n), words) for n, words in scraps_developers.offered(book)]
        coffee = any(t.body["kind"] == "coffee" for t in desk.things_of(book)["developer"])
    return {"curves": curves, "caution": scraps_cautions.COFFEE if coffee else scraps_cautions.TRAYS}


@router.get("/developers")
def developers(request: Request) -> Response:
    return _asked(request, "scraps_developers.html", **_developers(request))


@router.post("/developers")
def developers_told(request: Request, sent: Form) -> Response:
    book = desk.book_of(request)
    return _sent(request, "scraps_developers.html", sent.fields, ("first", "second", "same"),
                 lambda form: scraps_developers.compare(book, form, teach=False).number, **_developers(request))  # fmt: skip


# ── looked at and shone through ──

READINGS = ("box", "developer", "strip", "backlit", "reflection", "transmission", "bare", "reflection_base", "transmission_base",
            "bare_at", "paper_at", "reflection_sd", "transmission_sd")  # fmt: skip


def _readings(request: Request) -> dict[str, Any]:
    book = desk.book_of(request)
    with book.looking():
        strips = calibrate.strips(book)[:30]
    words = {
        lit: [(str(s.strip), f"strip {s.strip}, {len(s.patches)} steps") for s in strips if s.lit == lit]
        for lit in calibrate.LIT
    }
    return {"caution": scraps_cautions.TABLE, "front": words["front"], "behind": words["behind"]}


@router.get("/readings")
def readings(request: Request) -> Response:
    return _asked(request, "scraps_readings.html", **_readings(request))


@router.post("/readings")
def readings_told(request: Request, sent: Form) -> Response:
    book = desk.book_of(request)
    return _sent(
        request,
        "scraps_readings.html",
        sent.fields,
        READINGS,
        lambda form: scraps_readings.measure(book, form).number,
        **_readings(request),
    )


# ── what is kept ──


@router.get("/{number}")
def told(request: Request, number: str) -> Response:
    book = desk.book_of(request)
    n = bodies.whole_number(number, "scrap")
    with book.looking():
        kind = scraps.kind_of(book, n)
        if kind == "two_readings":
            return _read_both_ways(request, n)
        words = _PAGES[kind](book, n)
    return desk.page(request, "scraps_told.html", PLACE, told=words, by_field={}, typed={})


def _read_both_ways(request: Request, n: int) -> Response:
    """With densities asked for in the query, what they are to print through."""
    book = desk.book_of(request)
    asked = {k: v for k, v in bodies.query(request).items() if k in ("of", "from_white")}
    found = scraps_readings.of(book, n)
    by_field: dict[str, Any] = {}
    through, status = [], 200
    try:
        through = scraps_readings.through(book, n, asked) if asked else []
    except Refusal as refusal:
        by_field, status = desk.beside(refusal, {"of", "from_white"})["by_field"], desk.status_of(refusal)
    words = scrapwords.readings(found, through)
    return desk.page(request, "scraps_told.html", PLACE, status, told=words, typed=asked, by_field=by_field)


_PAGES: dict[str, Callable[[Any, int], dict[str, Any]]] = {
    "reciprocity": lambda book, n: scrapwords.reciprocity(scraps_reciprocity.of(book, n)),
    "fog_test": lambda book, n: scrapwords.fog(scraps_fog.of(book, n)),
    "two_developers": lambda book, n: scrapwords.developers(scraps_developers.of(book, n)),
}


@router.post("/{number}")
def stand_or_not(request: Request, number: str, sent: Form) -> Response:
    do = scraps.take_back if sent.fields.get("do") == "take_back" else scraps.stand
    return desk.onward(f"/scraps/{do(desk.book_of(request), bodies.whole_number(number, 'scrap'))}")
