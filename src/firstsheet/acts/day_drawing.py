"""A day's answer as its drawing: hours counted from midnight, so that a day of 23 or 25 hours is as long as it is."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from firstsheet.acts.day_words import LEAST_LX
from firstsheet.drawing.day_plot import DayDrawing, Point, day_plot

if TYPE_CHECKING:
    from firstsheet.acts.day import Day
    from firstsheet.acts.day_sun import Span


def drawing(d: Day) -> str:
    """The day as an SVG; an empty string for a day that never gets light."""
    seconds = d.aperture is not None
    rows = [r for r in d.course if (r.time_s is not None if seconds else r.face_lx >= LEAST_LX)]
    points = tuple(
        Point(_hour(d, r.at), r.time_s, r.range50_s, r.range90_s)
        if r.time_s is not None
        else Point(_hour(d, r.at), r.face_lx)
        for r in rows
    )
    best = d.windows[0] if d.windows else None
    title = f"{d.date:%d %B %Y}, {d.place}: " + (f"seconds for {d.sheet}" if seconds else "light on the face")
    return day_plot(DayDrawing(
        title, points, seconds, tuple((_hour(d, r.at), f"{r.at:%H}") for r in (*d.course, ) if r.at.minute == 0),
        (_hour(d, d.rise), f"sunrise {d.rise:%H:%M}") if d.rise else None,
        (_hour(d, d.set), f"sunset {d.set:%H:%M}") if d.set else None,
        _hour(d, d.now.at) if d.now else None,
        ((_hour(d, best.span.start), _hour(d, best.span.end)), f"most light {_from_to(best.span)}") if best else None,
        None if d.lens is None else tuple(_lane(d, s) for s in d.lens.spans), tuple(_lane(d, s) for s in d.sun_on_face),
    ))  # fmt: skip


def _lane(d: Day, s: Span) -> tuple[tuple[float, float], str]:
    return (_hour(d, s.start), _hour(d, s.end)), _from_to(s)


def _from_to(s: Span) -> str:
    return f"{s.start:%H:%M}–{s.end:%H:%M}"


def _hour(d: Day, at: datetime) -> float:
    """Hours since the day began [h]; by the moments, not by the clocks, which may be put on or back."""
    return (at.timestamp() - d.course[0].at.timestamp()) / timedelta(hours=1).total_seconds()
