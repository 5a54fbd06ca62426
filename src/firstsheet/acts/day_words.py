"""A day's answer in words, the same for the command and the page."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from firstsheet import wording

if TYPE_CHECKING:
    from firstsheet.acts.day import Day, Row, Window
    from firstsheet.acts.day_sun import Span

LEAST_LX = 1.0


def sun_words(d: Day) -> str:
    if d.all_day:
        return "The sun does not set." if d.all_day == "up" else "The sun does not rise."
    up = f"Sunrise {clock(d.rise)}" if d.rise else "No sunrise"
    down = f"sunset {clock(d.set)}" if d.set else "no sunset"
    return f"{up}, {down} on a level horizon; highest {clock(d.highest.at)}, {d.highest.height_deg:.0f}° up."


def face_words(d: Day) -> str:
    return f"Sun on the face: {spans(d.sun_on_face)}." if d.sun_on_face else "No sun on the face."


def half_words(d: Day) -> str:
    """ "Half of this light in 24 min." where it falls that far today."""
    return f"Half of this light in {_minutes(d.half_in_s)}." if d.half_in_s else ""


def now_words(d: Day) -> str:
    assert d.now is not None
    return f"Now, {clock(d.now.at)}: {row_words(d.now)}. {half_words(d)}".strip()


def _minutes(seconds: float) -> str:
    hours, minutes = divmod(round(seconds / 60), 60)
    return f"{hours} h {minutes} min" if hours else f"{minutes} min"


def window_words(w: Window) -> str:
    """ "Most light 11:41 to 16:23, in sun: 0.39 s (0.19 s to 0.78 s), 56 800 lx."."""
    name = "Most light" if w.which == "brightest" else "Steadiest"
    where = "in sun" if w.in_sun else "no sun on the face"
    return f"{name} {clock(w.span.start)} to {clock(w.span.end)}, {where}: {row_words(w.middle)}."


def hours_of(d: Day) -> list[Row]:
    """The rows on the full hour with light to speak of."""
    return [r for r in d.course if r.at.minute == 0 and r.face_lx >= LEAST_LX]


def row_words(r: Row) -> str:
    lux = wording.lux(r.face_lx)
    if r.time_s is None or r.range50_s is None:
        return lux
    low, high = r.range50_s
    return f"{wording.seconds(r.time_s)} ({wording.seconds(low)} to {wording.seconds(high)}), {lux}"


def spans(found: tuple[Span, ...]) -> str:
    return ", ".join(f"{clock(s.start)} to {clock(s.end)}" for s in found)


def clock(at: datetime | None) -> str:
    return "" if at is None else f"{at:%H:%M}"
