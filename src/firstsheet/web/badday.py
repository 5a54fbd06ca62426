"""A bad day: what is seen, then what the hands do now, what it may come from, the scrap that decides, when to stop."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from fastapi import APIRouter, Request, Response

from firstsheet import tables
from firstsheet.acts import bad_day, own, sheet
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk

if TYPE_CHECKING:
    from firstsheet.book.store import Book

router = APIRouter(include_in_schema=False)
PLACE = "Trays"
BORDERS = ("white", "grey", "black")


@router.get("/badday")
def without_sheet(request: Request) -> Response:
    return _page(request, None)


@router.get("/badday/{code}")
def of_sheet(request: Request, code: str) -> Response:
    return _page(request, bodies.sheet_code(code))


def _page(request: Request, code: str | None) -> Response:
    """A query says what is seen: saw, border and, without a sheet, way. Nothing is stored."""
    book = desk.book_of(request)
    said = {k: v for k, v in bodies.query(request).items() if k in ("saw", "border", "way")}
    here = f"/badday/{code}" if code else "/badday"
    with book.looking():
        now = sheet.sheet(book, code) if code else None
        way = None if now else said.get("way") or _todays_way(book)
        words: dict[str, Any] = {
            "code": now.code if now else "", "number": now.number if now else 0, "path": here, "said": said,
            "symptoms": list(bad_day.symptoms().items()), "ways": [] if now or way else _ways(), "elsewhere": [],
        }  # fmt: skip
        if not said.get("saw") or words["ways"]:
            return desk.page(request, "badday.html", PLACE, **words)
        try:
            found = bad_day.bad_day(book, code, said | ({"way": way} if way else {}))
        except Refusal as refusal:
            told = desk.beside(refusal, set())
            return desk.page(request, "badday.html", PLACE, desk.status_of(refusal), **(words | told))
    shares = [(c, f"{100 * c.share:.0f} %") for c in found.causes]
    borders = [] if found.saw == "grey_border" else BORDERS
    return desk.page(request, "badday_found.html", PLACE, **words, found=found, shares=shares, borders=borders,
                     minutes="" if not found.decider else f"{found.decider.minutes:.0f}")  # fmt: skip


def _todays_way(book: Book) -> str | None:
    """The way said for today, or the only one that today's box can go."""
    today = book.get_setting("today") or {}
    box = desk.chosen({"box": own.owned(book, "box")}, today)["box"]
    ways = tables.load("papers")[box.body["paper"]]["ways"] if box else []
    said = today.get("way")
    return str(said) if said else str(ways[0]) if len(ways) == 1 else None


def _ways() -> list[tuple[str, str]]:
    return [(k, str(v["words"])) for k, v in tables.load("ways").items() if isinstance(v, dict)]
