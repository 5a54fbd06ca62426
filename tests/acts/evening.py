"""What an evening needs: a book in memory with a clock of its own, and a practitioner's things. All invented."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from firstsheet.acts import expose, judge, own, plan, wish
from firstsheet.acts.answers import Change, Plan, SheetState
from firstsheet.book.store import Book

EI = 4.0
M = 600 / (3000 - 600)  # thin lens, sitter at 3 m: m = f/(u − f) = 0.25 [SS0512]


@dataclass
class Evening:
    now: datetime = datetime(2026, 5, 3, 14, 0, tzinfo=UTC)
    book: Book = field(init=False)

    def __post_init__(self) -> None:
        self.book = Book.open(memory=True, now=lambda: self.now)

    def later(self, minutes: float) -> None:
        self.now += timedelta(minutes=minutes)

    def camera(self) -> None:
        own.add_camera(self.book, {"name": "boathouse", "focal": "600 mm", "f_number": "f/16", "coverage": "60°", "board_min": "610 mm",
                                   "board_max": "1200 mm", "length": "2.4 m", "width": "2 m", "height": "2.2 m"})  # fmt: skip

    def box(self, name: str = "A", paper: str = "enlarging", sheets: int = 10, **more: str) -> None:
        own.add_box(self.book, {"name": name, "paper": paper, "size": "12x16 in", "sheets": str(sheets), **more})

    def developer(self, name: str = "tray one", kind: str = "paper") -> None:
        own.add_developer(self.book, {"name": name, "kind": kind})

    def meter(self, name: str = "my meter", kind: str = "hand") -> None:
        own.add_meter(self.book, {"name": name, "kind": kind})

    def say(self, **form: str) -> None:
        wish.say(self.book, form)

    def plan(self, **form: str) -> Plan:
        return plan.plan(self.book, form or None)

    def keep(self, *, strip: bool = False, **form: str) -> str:
        return expose.keep(self.book, form or None, strip=strip).code

    def expose(self, code: str, **form: str) -> SheetState:
        return expose.expose(self.book, code, form)

    def judge(self, code: str, **form: str) -> Change:
        return judge.judge(self.book, code, form)

    def sheet(self, seen: str, border: str, **form: str) -> Change:
        """One whole sheet as planned, judged."""
        code = self.keep()
        self.expose(code)
        return self.judge(code, border=border, seen=seen, **form)

    def standing(self) -> object:
        """What is known, as kept, to the last bit."""
        row = self.book.newest_posterior()
        return row and row["body"]


def begun(paper: str = "enlarging", **box: str) -> Evening:
    """Everything owned and the first sheet said: EV 11 at the face in the sun, sitter at 3 m, one aperture f/16."""
    e = Evening()
    e.camera()
    e.box(paper=paper, **box)
    e.developer(*(("colour one", "ra4") if paper == "ra4" else ("tray one", "paper")))
    e.meter()
    e.say(reading="EV 11", light="sun", subject="3 m", sitter="stroke")
    return e


def metered_s(ev: float, n: float, ei: float) -> float:
    """N²·100/(2^EV·EI): the definition of EV at ISO 100, speed scaled [ISO-2720]; and (1 + m)² for a near sitter [SS0512]."""
    return n**2 * 100.0 / (2.0**ev * ei) * (1.0 + M) ** 2
