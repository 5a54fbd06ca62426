"""What every route has at hand: the book, the templates, the light this device stands in."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fastapi import Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from fastapi.templating import Jinja2Templates
from markupsafe import Markup

from firstsheet.acts import own, reading
from firstsheet.refusal import Problem, Refusal
from firstsheet.web import pages

if TYPE_CHECKING:
    from firstsheet.book.store import Book

HERE = Path(__file__).parent
LIGHTS = ("sun", "red", "dark")
TEMPLATES = Jinja2Templates(HERE / "templates")
TEMPLATES.env.filters["svg"] = Markup  # our own drawings only; what people wrote in them is escaped there
TEMPLATES.env.globals["shown_px"] = pages.SHOWN_PX
TEMPLATES.env.trim_blocks = TEMPLATES.env.lstrip_blocks = True


def book_of(request: Request) -> Book:
    book: Book = request.app.state.book
    return book


def light_of(request: Request) -> str:
    said = request.cookies.get("light", "sun")
    return said if said in LIGHTS else "sun"


def page(request: Request, template: str, place: str, status: int = 200, **words: Any) -> HTMLResponse:
    """A page. `place` is the one of the five it belongs to, "" for none."""
    asked = request.url.query if request.method == "GET" else ""  # what was asked comes back with the page in another light
    common = {
        "place": place, "places": pages.PLACES, "light": light_of(request), "here": request.url.path + ("?" + asked if asked else ""),
        "problems": [], "typed": {},
    }  # fmt: skip
    return TEMPLATES.TemplateResponse(request, template, common | words, status_code=status)


def onward(path: str) -> RedirectResponse:
    """After something was kept: a page that may be loaded again without keeping it twice."""
    return RedirectResponse(path, status_code=303)


def status_of(refusal: Refusal) -> int:
    from firstsheet.web.guard import TooLarge

    if isinstance(refusal, TooLarge):
        return 413
    return {"asked": 422, "missing": 404, "busy": 503, "book": 503}.get(refusal.kind, 422)


def refused_page(request: Request, refusal: Refusal) -> Response:
    """A refusal that belongs to no form of its own."""
    return page(request, "refused.html", "", status_of(refusal), problems=pages.problems(refusal.problems))


def beside(refusal: Refusal, fields: set[str]) -> dict[str, Any]:
    """Problems by field, and those that belong to none of the page's fields."""
    told = pages.problems(refusal.problems)
    return {
        "problems": told,
        "by_field": {f: [p for p in told if p["where"] == f] for f in fields},
        "elsewhere": [p for p in told if p["where"] not in fields],
    }


def things_of(book: Book) -> dict[str, list[own.Owned]]:
    return {kind: own.owned(book, kind) for kind in own.KINDS}


def chosen(things: dict[str, list[own.Owned]], today: dict[str, Any]) -> dict[str, own.Owned | None]:
    """The thing of each kind that holds today: the one said, or the only one there is."""
    out: dict[str, own.Owned | None] = {}
    for kind, have in things.items():
        named = [t for t in have if t.name == today.get(kind)]
        out[kind] = named[0] if named else have[0] if len(have) == 1 else None
    return out


def said_readings(book: Book, phrase: dict[str, Any]) -> list[reading.Kept]:
    return reading.of_phrase(book, list(phrase.get("readings", ())))


def next_number(book: Book) -> int:
    last = book.sheets(limit=1)
    return int(last[0]["id"]) + 1 if last else 1


def clock(book: Book) -> datetime:
    return book.now()


def incomplete(found: tuple[Problem, ...]) -> bool:
    """Whether a refusal only says what has not been said yet."""
    return all(p.asked == "" for p in found)
