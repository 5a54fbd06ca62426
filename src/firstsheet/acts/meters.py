"""Two meters held to the same thing once: how much higher one reads, kept and counted from then on."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from firstsheet import wording
from firstsheet.acts import own, reading
from firstsheet.acts.door import Door, Form
from firstsheet.acts.photo import Compared, learned, tone_luminance
from firstsheet.refusal import Problems, Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reading import Kept
    from firstsheet.book.store import Book

TRY = "Try “old meter: EV 11.5 on grey_card; new meter: EV 11 on grey_card”."


def compare(book: Book, form: Form) -> Compared:
    """Two of the person's own meters on one thing. Field: readings (“NAME: reading; NAME: reading”), the first is set against the second.

    Each reading as in `reading.parse`, incident at the face unless it names its tone. Refuses a meter that is not in the book, one meter
    twice, anything but two readings, and a difference no two meters have.
    """
    d = Door(form)
    text = d.must("readings", str, "Two meters and what each reads of the same thing.", TRY)
    d.close()
    parts = [p.partition(":") for p in str(text).split(";") if p.strip()]
    if len(parts) != 2 or not all(colon for _, colon, _ in parts):
        raise Refusal.one("readings", str(text), "Two meters and what each reads, with a colon between name and reading.", TRY)
    problems, read = Problems(), []
    for name, _, said in parts:
        with problems.at("readings"):
            read.append(_read(book, name.strip(), said.strip()))
    problems.raise_if_any()
    first, second = read
    if first.reading.meter == second.reading.meter:
        raise Refusal.one("readings", str(text), "Two different instruments.", "Name two of your meters.")
    high = math.log2(tone_luminance(first) / tone_luminance(second))
    if abs(high) > 4.0:
        hint = "Hold both to the same thing, within a minute, and look at their ISO."
        raise Refusal.one("readings", str(text), f"Two meters within 4 stops; these are {wording.stops_apart(high)} apart.", hint)
    return learned(book, first, second, high)


def _read(book: Book, name: str, said: str) -> Kept:
    meter = own.one(book, "meter", name)
    kept = reading.parse(said, None, None, (meter.name, meter.body["kind"]), book.now())
    if len(kept) != 1 or kept[0].reading.kind in ("word", "board"):
        raise Refusal.one("", said, "One reading of a meter: lx, cd/m², EV or f-number, time and ISO.", TRY)
    return kept[0]
