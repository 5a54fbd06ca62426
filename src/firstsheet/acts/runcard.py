"""The run card: a run as one file that needs no server, and its marks handed in again, each kept once."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet.acts import run
from firstsheet.refusal import Refusal
from firstsheet.trays.runpage import DARK_LEAD_S, HAND_IN_FORM
from firstsheet.trays.sheettrack import dark_run
from firstsheet.trays.soundtrack import render_spoken

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

MOST_CHARACTERS = 400_000
AFTER_DARK_S = 15.0  # so long the sound goes on after the dark part; then the page's own sounds take over


@dataclass(frozen=True, slots=True)
class RunCard:
    """What a card is made of: the page's mapping, and the sound of its dark part (WAV); None where a lamp is allowed."""

    run: dict[str, Any]
    track: bytes | None


@dataclass(frozen=True, slots=True)
class HandedIn:
    """code: the sheet's. kept: marks new to the book. known: those it had already. words: the same, said."""

    code: str
    kept: int
    known: int
    words: str


def of(reader: Reader, code: str) -> RunCard:
    """The card of a sheet's run, with the marks the book holds so far. Refusal for a sheet that is not there."""
    given = run.page(reader, code)
    dark = given["dark"]
    given |= {"marks_url": "", "onward_url": ""}
    if dark is None:
        return RunCard(given, None)
    cues, total_s = dark_run(run.process_of(reader, code), DARK_LEAD_S)
    until_s = DARK_LEAD_S + dark["over_s"] + AFTER_DARK_S
    return RunCard(given, render_spoken([c for c in cues if c.at_s < until_s], min(total_s, until_s)))


def hand_in(book: Book, text: str) -> HandedIn:
    """Keep the marks of a card, from its file or pasted. Handed in twice, they are kept once.

    text  JSON: {"form": "marks of a run", "sheet": code, "marks": [...]}; marks as `run.mark` takes them
    """
    told = _read(text)
    made = run.mark(book, told["sheet"], told["marks"])
    code = book.get_sheet(told["sheet"])["code"]
    kept, known = len(made.stored), len(made.client_ids) - len(made.stored)
    words = f"{_marks(kept)} of sheet {code} kept." if kept else f"Nothing new for sheet {code}."
    if known:
        words += f" {_marks(known)} {'was' if known == 1 else 'were'} in the book already."
    return HandedIn(code, kept, known, words)


def _marks(n: int) -> str:
    return "1 mark" if n == 1 else f"{n} marks"


def _read(text: str) -> dict[str, Any]:
    allowed = "What a run card gave: its file, or all of its text."
    hint = "Copy all of it, from the first { to the last }."
    if len(text) > MOST_CHARACTERS:
        raise Refusal.one("marks", f"{len(text)} characters", allowed, "This is too long for one run.")
    if not text.strip():
        raise Refusal.one("marks", "", allowed, "Choose the card’s file, or paste its text.")
    try:
        told = json.loads(text, parse_constant=_no_number)
    except (ValueError, RecursionError) as error:
        raise Refusal.one("marks", text.strip()[:40], allowed, hint) from error
    fits = isinstance(told, dict) and told.get("form") == HAND_IN_FORM
    if not fits or not isinstance(told.get("sheet"), str) or not isinstance(told.get("marks"), list):
        raise Refusal.one("marks", text.strip()[:40], allowed, hint)
    if not told["marks"]:
        raise Refusal.one("marks", "no marks", "A run that has begun.", "Nothing has happened on that card yet.")
    found: dict[str, Any] = told
    return found


def _no_number(name: str) -> Any:
    raise ValueError(f"{name} is no number")
