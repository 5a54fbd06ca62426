"""One-off photographs in a camera the size of a room: plan a sheet, expose, process, judge, and a better next plan.

The same acts serve this import, the command line and the web page:

>>> import firstsheet
>>> book = firstsheet.Book.open(memory=True)
>>> _ = firstsheet.own.add_developer(book, {"name": "coffee", "kind": "coffee"})

Acts take a book and a form: a mapping of field names to what a person would say ("3 m", "EV 11", "open shade").
They return answers (dataclasses whose names carry their units; `firstsheet.to_json` turns them into plain data) or raise
`firstsheet.Refusal`, which says what was asked, what is allowed and what to try.
"""

from __future__ import annotations

import os
from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from firstsheet.acts import keep, known, own, photo, run
    from firstsheet.acts.expose import expose
    from firstsheet.acts.expose import keep as keep_plan
    from firstsheet.acts.judge import judge, take_back
    from firstsheet.acts.plan import plan
    from firstsheet.acts.room import room
    from firstsheet.acts.sheet import sheet, sheets
    from firstsheet.acts.wish import say
    from firstsheet.answer import to_json
    from firstsheet.book.store import Book
    from firstsheet.refusal import Refusal

# Matrices here have some hundred rows: sharing one between cores costs more than it saves, ten times more on a busy machine.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

_WHERE = {
    "Book": ("book.store", "Book"),
    "Refusal": ("refusal", "Refusal"),
    "to_json": ("answer", "to_json"),
    "say": ("acts.wish", "say"),
    "plan": ("acts.plan", "plan"),
    "keep_plan": ("acts.expose", "keep"),
    "expose": ("acts.expose", "expose"),
    "judge": ("acts.judge", "judge"),
    "take_back": ("acts.judge", "take_back"),
    "room": ("acts.room", "room"),
    "sheet": ("acts.sheet", "sheet"),
    "sheets": ("acts.sheet", "sheets"),
    "own": ("acts.own", None),
    "photo": ("acts.photo", None),
    "run": ("acts.run", None),
    "known": ("acts.known", None),
    "keep": ("acts.keep", None),
}
__all__ = [  # noqa: RUF022  in the order of the work
    "Book", "own", "say", "room", "photo", "plan", "keep_plan", "expose", "run", "judge", "take_back", "known", "sheet",
    "sheets", "keep", "to_json", "Refusal",
]  # fmt: skip


def __getattr__(name: str) -> Any:
    """Everything is found where it lives when it is first asked for, so that importing costs nothing."""
    if name not in _WHERE:
        raise AttributeError(f"firstsheet has no {name!r}")
    module, attribute = _WHERE[name]
    found = import_module(f"firstsheet.{module}")
    value = found if attribute is None else getattr(found, attribute)
    globals()[name] = value
    return value
