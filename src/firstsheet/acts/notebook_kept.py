"""Notebooks that were brought in, and taking one back: its sheets stay in the book, given up, and teach nothing any more."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet.acts import learn
from firstsheet.acts.sheet import mark, sheet
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

KIND = "notebook"
WORDS = "It came with a notebook that was taken back."


@dataclass(frozen=True, slots=True)
class Brought:
    """One notebook that was brought in: when (ISO 8601, UTC), how many sheets with which codes, whether it still stands."""

    number: int
    when: str
    count: int
    codes: tuple[str, ...]
    stands: bool


def record(book: Book, codes: Sequence[str], keys: Sequence[str]) -> int | None:
    """Note what came in together, so that it can be taken back together; its number, None where nothing did."""
    if not keys:
        return None
    number = 1 + max((int(t["name"]) for t in book.things(KIND)), default=0)
    body = {"codes": list(codes), "keys": list(keys), "when": book.now().isoformat(), "stands": True}
    book.add_thing(KIND, str(number), body)
    return number


def brought(reader: Reader) -> tuple[Brought, ...]:
    """Every notebook that was brought in, newest first."""
    rows = sorted(reader.things(KIND), key=lambda t: -int(t["name"]))
    return tuple(_brought(t["name"], t["body"]) for t in rows)


def _brought(name: str, body: dict[str, Any]) -> Brought:
    return Brought(int(name), body["when"], len(body["codes"]), tuple(body["codes"]), body["stands"])


def take_back(book: Book, number: int) -> Brought:
    """Take a notebook back: what is known is afterwards as if it had never come, and its rows can be brought in anew.

    Nothing is deleted: its sheets are given up, their judgements taken back, and paper counted out of a box is counted in again.
    Raises Refusal for a number that is not there or was taken back before.
    """
    body = next((t["body"] for t in book.things(KIND) if t["name"] == str(number)), None)
    if body is None:
        raise Refusal.one(
            "notebook", number, "The number of a notebook that was brought in.", "See: firstsheet notebook", "missing"
        )
    if not body["stands"]:
        raise Refusal.one("notebook", number, "One that still stands.", "It was taken back before.")
    with book.begin():
        for code in body["codes"]:
            _give_up(book, code)
        book.add_thing(KIND, str(number), body | {"stands": False})
        learn.refit(book)
    return _brought(str(number), body | {"stands": False})


def _give_up(book: Book, code: str) -> None:
    row, now = book.get_sheet(code), sheet(book, code)
    if now.judgement:
        mark(book, row, "unjudged", {})
    exposed = next((m["body"] for m in reversed(book.marks(row["id"])) if m["kind"] == "exposed"), None)
    if exposed and exposed["sheets"]:
        mark(book, row, "exposed", exposed | {"sheets": 0.0})
    mark(book, row, "abandoned", {"note": WORDS})


def taken_back_keys(reader: Reader) -> frozenset[str]:
    """Rows that came with a notebook that was taken back."""
    return frozenset(k for t in reader.things(KIND) if not t["body"]["stands"] for k in t["body"]["keys"])


def free(key: str, taken_back: frozenset[str]) -> str:
    """The row's key, or, where it was taken back under that one, the next that was not."""
    found, n = key, 0
    while found in taken_back:
        n += 1
        found = f"{key}~{n}"
    return found
