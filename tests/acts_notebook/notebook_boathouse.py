"""A book with a practitioner's things, and the notebook that was kept before it. All invented."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from firstsheet.acts import expose, judge, notebook, own, plan, wish
from firstsheet.acts.answers import Plan
from firstsheet.book.store import Book

HEAD = "day;clock;box;distance (m);EV;light;f;seconds;border;result;kept;remarks"
ROWS = (
    "2026-05-03;14:00;A;3;EV 11;sun;16;4;white;too dark;no;stroke",
    "2026-05-03;14:40;A;3;EV 11;sun;16;2,5;white;a little dark;no;stroke again",
    "2026-05-04;11:00;A;3,2;EV 10,5;overcast;16;3;white;bit dark;no;cox",
    "2026-05-09;16:30;A;2,8;EV 9;open shade;16;1/2 s;white;much too pale;no;bow",
    "2026-05-10;10:15;A;3;EV 11;sun;16;2;white;as wanted;yes;the keeper",
)
WORDS = {"bit dark": "a_little_dark"}
DEFAULTS: dict[str, object] = {"words": WORDS, "zone": "UTC", "reading_unit": "EV"}
MAPPING = {"day": "date", "clock": "time", "box": "box", "distance (m)": "subject", "EV": "reading", "light": "light",
           "f": "aperture", "seconds": "given", "border": "border", "result": "seen", "kept": "kept", "remarks": "remark"}  # fmt: skip


@dataclass
class Boathouse:
    now: datetime
    book: Book = field(init=False)

    def __post_init__(self) -> None:
        self.book = Book.open(memory=True, now=lambda: self.now)
        own.add_camera(self.book, {"name": "boathouse", "focal": "600 mm", "f_number": "f/11", "coverage": "60°", "board_min": "610 mm",
                                   "board_max": "1200 mm", "length": "2.4 m", "width": "2 m", "height": "2.2 m"})  # fmt: skip
        own.add_box(self.book, {"name": "A", "paper": "enlarging", "size": "12x16 in", "sheets": "10", "ei": "4"})
        own.add_developer(self.book, {"name": "tray one", "kind": "paper"})
        own.add_meter(self.book, {"name": "my meter", "kind": "hand"})

    def bring_in(self, text: str | bytes, mapping: dict[str, str] | None = None, **defaults: object) -> notebook.BroughtIn:
        data = text if isinstance(text, bytes) else text.encode()
        return notebook.bring_in(self.book, data, mapping or MAPPING, DEFAULTS | defaults)

    def check(self, text: str | bytes, mapping: dict[str, str] | None = None, **defaults: object) -> notebook.Checked:
        data = text if isinstance(text, bytes) else text.encode()
        return notebook.check(self.book, data, mapping or MAPPING, DEFAULTS | defaults)

    def by_hand(self, when: datetime, said: dict[str, str], given: str, judged: dict[str, str]) -> str:
        """One sheet typed here at that moment, as a person would: say, keep, expose, judge."""
        self.now = when
        wish.say(self.book, said)
        code = expose.keep(self.book).code
        expose.expose(self.book, code, {"given": given})
        if judged:
            judge.judge(self.book, code, judged)
        return code

    def plan(self) -> Plan:
        return plan.plan(self.book, {"box": "A", "reading": "EV 11", "light": "sun", "subject": "3 m", "aperture": "f/16"})

    def count(self) -> tuple[int, ...]:
        """Everything that an import could leave behind."""
        b = self.book
        return (len(b.sheets(9999)), len(b.all_marks()), len(b.last_readings(9999)), len(b.sittings(9999)), len(b.things("notebook_row")),
                int(b.newest_posterior() is not None))  # fmt: skip


def text(*rows: str, head: str = HEAD) -> str:
    return "\n".join((head, *rows)) + "\n"
