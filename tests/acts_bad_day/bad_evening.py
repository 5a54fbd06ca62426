"""An evening that goes wrong, in a book in memory with a clock of its own. All invented."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from firstsheet.acts import bad_day, expose, judge, own, run, wish
from firstsheet.acts.bad_day import BadDay
from firstsheet.book.store import Book

PAPER = {"paper_negative": "enlarging", "direct_positive": "direct_positive", "reversal_ra4": "ra4", "reversal_bw": "enlarging"}


@dataclass
class BadEvening:
    way: str = "paper_negative"
    now: datetime = datetime(2026, 5, 3, 20, 0, tzinfo=UTC)
    opened: str = ""
    book: Book = field(init=False)

    def __post_init__(self) -> None:
        self.book = Book.open(memory=True, now=lambda: self.now)
        own.add_camera(self.book, {"name": "boathouse", "focal": "600 mm", "f_number": "f/16", "coverage": "60°", "board_min": "610 mm",
                                   "board_max": "1200 mm", "length": "2.4 m", "width": "2 m", "height": "2.2 m"})  # fmt: skip
        box = {"name": "A", "paper": PAPER[self.way], "size": "12x16 in", "sheets": "20"}
        own.add_box(self.book, box | ({"opened": self.opened} if self.opened else {}))
        own.add_developer(self.book, {"name": "tray one", "kind": "ra4" if self.way == "reversal_ra4" else "paper"})
        own.add_meter(self.book, {"name": "my meter", "kind": "hand"})
        wish.say(self.book, {"reading": "EV 11", "light": "sun", "subject": "3 m"} | ({"way": self.way} if self.way == "reversal_bw" else {}))

    def sheet(self, **given: str) -> str:
        code = expose.keep(self.book).code
        expose.expose(self.book, code, given)
        return code

    def planned(self) -> str:
        return expose.keep(self.book).code

    def judge(self, code: str, **form: str) -> None:
        judge.judge(self.book, code, form)

    def marks(self, code: str, *marks: tuple[str, str, float]) -> None:
        """Marks of a run: kind, step, seconds since it began."""
        wall = round(self.now.timestamp() * 1000)
        run.mark(self.book, code, [{"id": f"{code}{i}", "kind": k, "step": s, "elapsed_s": t, "wall_ms": wall + round(t * 1000)}
                                   for i, (k, s, t) in enumerate(marks)])  # fmt: skip
        self.now += timedelta(minutes=20)

    def ask(self, code: str | None, **form: str) -> BadDay:
        return bad_day.bad_day(self.book, code, form)


def share(found: BadDay, *keys: str) -> float:
    """What the ranking gives to these causes together [1]."""
    return sum(c.share for c in found.causes if c.key in keys)


def first(found: BadDay) -> str:
    return found.causes[0].key
