"""What the sheets have taught: the boxes, every sheet that moved a number, where the misses came from."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from firstsheet.acts import known, sheet
from firstsheet.web import bodies, desk, knownwords, sheetwords

router = APIRouter(include_in_schema=False)


@router.get("/book/known")
def known_page(request: Request) -> Response:
    return desk.page(request, "known.html", "Book", known=sheetwords.known_words(known.known(desk.book_of(request))))


@router.get("/book/misses")
def misses_page(request: Request) -> Response:
    book = desk.book_of(request)
    with book.looking():
        found = known.misses(book)
    return desk.page(request, "misses.html", "Book", misses=knownwords.misses(found))


@router.get("/why")
def why_this_plan(request: Request) -> Response:
    """Every sheet that moved the seconds of the next plan; with a box in the query, that box's speed."""
    book = desk.book_of(request)
    asked = bodies.query(request)
    with book.looking():
        found = known.why_box(book, asked["box"], asked.get("way")) if "box" in asked else known.why_plan(book)
    back = ("/book/known", "What we know") if "box" in asked else ("/", "Outside")
    return desk.page(request, "why.html", "Book" if "box" in asked else "Outside", why=knownwords.why(found), back=back)


@router.get("/book/{code}/why")
def why_this_box(request: Request, code: str) -> Response:
    """Where the box of this sheet stands now, and what moved it."""
    book = desk.book_of(request)
    with book.looking():
        now = sheet.sheet(book, bodies.sheet_code(code))
        found = known.why(book, now.code)
    return desk.page(
        request, "why.html", "Book", why=knownwords.why(found), back=(f"/book/{now.code}", f"Sheet {now.code}")
    )
