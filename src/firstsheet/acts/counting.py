"""A person's own counting, kept once and used by every count."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts.door import Door, Form
from firstsheet.printing import counting as core
from firstsheet.printing.counting import Counting

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

KEY = "counting"


@dataclass(frozen=True, slots=True)
class Counted:
    """second_s: what this person counts as one [s]; wander from time to time [1]; goes 0 where nothing was measured; at: its error."""

    second_s: float
    wander: float
    goes: int
    at: tuple[AtTime, ...]
    says: str


@dataclass(frozen=True, slots=True)
class AtTime:
    """time_s wanted [s], whole counts for it, and what they leave in doubt [stop]."""

    time_s: float
    counts: int
    error_stops: float


def own_counting(reader: Reader) -> Counting:
    """As measured, else the customary one."""
    kept = reader.get_setting(KEY)
    return core.measured(kept["took_s"]) if kept else Counting()


def measured(reader: Reader) -> bool:
    """Whether this person's own second was ever measured."""
    return bool(reader.get_setting(KEY))


def counting(reader: Reader, form: Form | None = None) -> Counted:
    """What is known of this person's counting. No fields."""
    Door(form).close()
    return _told(own_counting(reader))


def measure(book: Book, form: Form | None = None) -> Counted:
    """Keep it. Fields: took (what ten counts took by a clock, once or more often: “9.4 s; 9.8 s”)."""
    d = Door(form)
    took = d.must("took", _took, "What ten counts aloud took by a clock.", "Try “9.4 s; 9.8 s; 9.1 s”.")
    if took:
        with d.problems.at("took"):
            core.measured(took)
    d.close()
    book.set_setting(KEY, {"took_s": took})
    return _told(own_counting(book))


def _took(text: str) -> list[float]:
    return [q.duration_s(w.strip(), bare="s") for w in re.split(r"[;,]", text) if w.strip()]


def _told(own: Counting) -> Counted:
    at = tuple(AtTime(t, core.counts_for(own, t), core.error_stops(own, t)) for t in (2.0, 3.0, 5.0, 8.0, 15.0, 30.0))
    if own.goes:
        says = f"Your second lasts {own.second_s:.2f} s. Three seconds counted are worth {wording.stops_pm(at[1].error_stops)}, eight {wording.stops_pm(at[3].error_stops)}."
    else:
        says = "Your counting was never measured: count ten aloud by a clock you do not see, three times. Until then a usual one stands in."
    return Counted(own.second_s, own.wander, own.goes, at, says)
