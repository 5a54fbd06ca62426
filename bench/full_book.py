"""A book on disk with so many judged sheets, made through the acts; for the two timings."""

from __future__ import annotations

from pathlib import Path
from random import Random

from players import describe
from world import BOXES, DEVELOPERS, LIGHTS, WAY

from firstsheet.acts.expose import expose, keep
from firstsheet.acts.judge import judge
from firstsheet.acts.wish import say
from firstsheet.book.store import Book

WORDS = ("too_dark", "a_little_dark", "as_wanted", "as_wanted", "a_little_pale", "too_pale")


def full_book(path: Path, sheets: int = 200) -> None:
    """Sheets of invented sittings, three to a sitting, every one judged; the next plan is said and waits."""
    rng = Random(7)
    with Book.open(path) as book:
        describe(book)
        for i in range(sheets):
            if i % 3 == 0:
                _say(book, rng, f"crew {i // 3}")
            p = keep(book)
            expose(book, p.code)
            seen = rng.choice(WORDS)
            judge(book, p.code, {"border": "white", "seen": seen, "kept": "yes" if seen == "as_wanted" else "no"})
        _say(book, rng, "cox")


def _say(book: Book, rng: Random, sitter: str) -> None:
    say(book, {"box": rng.choice(BOXES), "developer": rng.choice(DEVELOPERS), "light": rng.choice(LIGHTS), "way": WAY,
               "reading": f"EV {rng.uniform(10.0, 12.5):.1f}", "subject": "3 m", "sitter": sitter})  # fmt: skip
