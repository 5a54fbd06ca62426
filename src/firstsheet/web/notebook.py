"""A notebook kept so far, brought in on the page: sent, its columns named one by one, every row tried, then all of it or nothing."""

from __future__ import annotations

import secrets
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response

from firstsheet.acts import notebook, notebook_kept
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk, notebookwords
from firstsheet.web.bodies import Sent
from firstsheet.web.notebookwords import Draft

router = APIRouter(prefix="/notebook", include_in_schema=False)
Form = Annotated[Sent, Depends(bodies.form)]
MOST_DRAFTS = 4  # of at most 2 MB each, kept in memory until they are brought in or dropped
GONE = "A notebook that was sent a while ago is no longer here: nothing of it was kept."


def _drafts(request: Request) -> dict[str, Draft]:
    """Notebooks sent and not yet brought in. They live in this process alone: nothing half-imported is ever in the book."""
    state = request.app.state
    if not hasattr(state, "notebooks"):
        state.notebooks = {}
    found: dict[str, Draft] = state.notebooks
    return found


def _draft(request: Request, token: str) -> Draft:
    found = _drafts(request).get(token)
    if found is None:
        raise Refusal.one("notebook", "", GONE, "Send it again.", "missing")
    return found


@router.get("")
def begin(request: Request) -> Response:
    return _begin(request)


def _begin(request: Request, status: int = 200, **words: Any) -> Response:
    book = desk.book_of(request)
    base: dict[str, Any] = {"elsewhere": [], "by_field": {}}
    with book.looking():
        before = [notebookwords.brought(b, book.now()) for b in notebook_kept.brought(book)]
    return desk.page(request, "notebook.html", "Book", status, before=before, **(base | words))


@router.post("")
def send(request: Request, sent: Form) -> Response:
    try:
        if not sent.picture:
            raise Refusal.one("notebook", "", "The notebook as a table of text (CSV).", "Choose the file first.")
        proposal = notebook.propose(sent.picture)
    except Refusal as refusal:
        return _begin(request, desk.status_of(refusal), **desk.beside(refusal, {"notebook"}))
    drafts = _drafts(request)
    while len(drafts) >= MOST_DRAFTS:
        drafts.pop(next(iter(drafts)))
    token = secrets.token_hex(6)
    drafts[token] = Draft(sent.picture, proposal, dict(proposal.mapping()), {})
    return desk.onward(f"/notebook/{token}")


@router.post("/back/{number}")
def take_back(request: Request, number: str, sent: Form) -> Response:
    notebook_kept.take_back(desk.book_of(request), bodies.whole_number(number, "notebook"))
    return desk.onward("/notebook")


@router.get("/{token}")
def columns(request: Request, token: str) -> Response:
    words = notebookwords.draft(_draft(request, token), token)
    return desk.page(request, "notebook_columns.html", "Book", draft=words)


@router.get("/{token}/column/{number}")
def column(request: Request, token: str, number: str) -> Response:
    words = notebookwords.column(_draft(request, token), token, bodies.whole_number(number, "column"))
    return desk.page(request, "notebook_one.html", "Book", one=words, elsewhere=[], by_field={})


@router.post("/{token}/column/{number}")
def name_column(request: Request, token: str, number: str, sent: Form) -> Response:
    found = _draft(request, token)
    notebookwords.name_column(found, bodies.whole_number(number, "column"), sent.fields.get("pick", ""))
    return desk.onward(f"/notebook/{token}")


@router.get("/{token}/say/{key}")
def say_page(request: Request, token: str, key: str) -> Response:
    return _say(request, token, key)


def _say(request: Request, token: str, key: str, status: int = 200, **words: Any) -> Response:
    word = bodies.query(request).get("word", "")
    things = desk.things_of(desk.book_of(request))
    one = notebookwords.saying(_draft(request, token), token, key, word, things)
    base: dict[str, Any] = {"elsewhere": [], "by_field": {}, "typed": {}}
    return desk.page(request, "notebook_one.html", "Book", status, one=one, **(base | words))


@router.post("/{token}/say/{key}")
def say(request: Request, token: str, key: str, sent: Form) -> Response:
    """Say what holds where a row does not say it, or, with a word in the query, what that word means in its column."""
    found = _draft(request, token)
    word = bodies.query(request).get("word", "")
    if word and not sent.fields.get("pick"):
        refusal = Refusal.one("value", "", "What the word means.", "Choose one of these.")
        return _say(request, token, key, 422, **desk.beside(refusal, {"value"}))
    notebookwords.say(found, key, word, sent.fields.get("pick") or sent.fields.get("value", ""))
    return desk.onward(
        f"/notebook/{token}/check" if word or sent.fields.get("from") == "check" else f"/notebook/{token}"
    )


@router.post("/{token}/leave")
def leave(request: Request, token: str, sent: Form) -> Response:
    """Rows that are not understood are passed over; every row is tried again."""
    notebookwords.leave_out(_draft(request, token), sent.fields.get("rows", ""))
    return desk.onward(f"/notebook/{token}/check")


@router.get("/{token}/check")
def check(request: Request, token: str) -> Response:
    """Every row tried, nothing stored."""
    found = _draft(request, token)
    book = desk.book_of(request)
    try:
        with book.looking():
            checked = notebook.check(book, found.data, found.mapping, found.defaults)
    except Refusal as refusal:
        words = notebookwords.draft(found, token)
        told = desk.beside(refusal, set())
        return desk.page(request, "notebook_columns.html", "Book", desk.status_of(refusal), draft=words, **told)
    return desk.page(
        request,
        "notebook_check.html",
        "Book",
        draft=notebookwords.draft(found, token),
        checked=notebookwords.checked(checked, token),
    )


@router.post("/{token}/keep")
def keep(request: Request, token: str, sent: Form) -> Response:
    """All of it or nothing."""
    found = _draft(request, token)
    try:
        done = notebook.bring_in(desk.book_of(request), found.data, found.mapping, found.defaults)
    except Refusal:
        return desk.onward(f"/notebook/{token}/check")  # the book has changed since: look at the rows again
    _drafts(request).pop(token, None)
    return desk.page(request, "notebook_done.html", "Book", done=notebookwords.done(done))


@router.post("/{token}/drop")
def drop(request: Request, token: str, sent: Form) -> Response:
    _drafts(request).pop(token, None)
    return desk.onward("/notebook")
