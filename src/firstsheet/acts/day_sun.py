"""The sun through the lens on a day: in which hours it can get in, how hot its image is, and asking first in those hours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from firstsheet.acts.day_place import Stand, known, stand
from firstsheet.camera import sunburn
from firstsheet.camera.lens import Lens
from firstsheet.light import day as core
from firstsheet.light import place
from firstsheet.light.horizon import OPEN, Face
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader

SUN_SEEN = "seen"
"""What is said in the hours of the sun before a sheet is exposed: that somebody saw to it."""
ANY_DEG = 90.0
"""Where no barrel was measured any sun before the lens counts."""


@dataclass(frozen=True, slots=True)
class Span:
    """From one time to another, with their zone."""

    start: datetime
    end: datetime


@dataclass(frozen=True, slots=True)
class LensSun:
    """When the sun can enter the lens, were the sky to clear.

    looks_deg    where the lens looks [° from north through east], None where nobody said, and then the sun may always enter
    within_deg   how far off its axis the sun still gets in [°]
    most_kw_m2   the hottest it gets at the focus in those hours [kW/m²], glass wide open; 0 where it never enters
    now          whether it can enter now
    caution      what is said of it; it begins with the eye
    """

    spans: tuple[Span, ...]
    looks_deg: float | None
    within_deg: float
    most_kw_m2: float
    now: bool
    caution: str
    words: str


def lens_sun(s: Stand, lens: Lens, course: Sequence[core.Minute], now_s: float) -> LensSun:
    """The hours of this course in which the sun can enter that lens. Walls count only where they were said for the lens."""
    looks = s.lens_looks_deg
    within = ANY_DEG if s.barrel_mm is None else min(ANY_DEG, sunburn.barrel_deg(lens, s.barrel_mm))
    seen, things = (0.0, OPEN) if looks is None else (looks, s.lens_things)
    wide = 180.0 if looks is None else within
    inside = [m for m in course if core.sun_at_lens(m, seen, wide, things)]
    spans = core.stretches(inside, lambda m: True)
    tz = s.tz()
    most = max((m.beam_w_m2 for m in inside), default=0.0) / 1000
    caution = sunburn.sun_caution(lens, most) if inside else sunburn.sun_caution(lens)
    told = tuple(Span(datetime.fromtimestamp(a, tz), datetime.fromtimestamp(b, tz)) for a, b in spans)
    return LensSun(
        told, looks, within, sunburn.focus_irradiance_kw_m2(lens.f_number, lens.transmission, most) if inside else 0.0,
        any(a <= now_s < b for a, b in spans), caution, _words(told, looks, s),
    )  # fmt: skip


def sun_now(reader: Reader, lens: Lens) -> LensSun | None:
    """The sun and this lens today, at the place in the book; None where no place was said."""
    if not known(reader):
        return None
    s = stand(reader)
    now = reader.now()
    start, end = place.bounds_s(now.astimezone(s.tz()).date(), s.tz())
    scene = core.Scene(s.spot, s.above_sea_m, "clear_sun", Face(s.faces_deg, OPEN, 0.5, 0.2))
    return lens_sun(s, lens, core.minutes(scene, start, end), now.timestamp())


def _words(spans: Sequence[Span], looks: float | None, s: Stand) -> str:
    if looks is None:
        return "Nobody said which way the lens looks, so the sun may enter it whenever it is up. Say which way the face looks."
    to = f"The lens looks {place.bearing_words(looks)}"
    if not spans:
        return f"{to}: the sun itself does not get in on this day. Reflections off glass and cars do."
    hours = ", ".join(f"{a.start:%H:%M} to {a.end:%H:%M}" for a in spans)
    rough = (
        ""
        if s.barrel_mm is not None
        else " Counted as if any sun before it got in; the length of its barrel would narrow that."
    )
    return f"{to}: the sun can enter it {hours}.{rough}"


def ask_first(reader: Reader, lens: Lens, *, seen: bool) -> None:
    """Refuse to go on in the hours in which the sun can enter this lens, until somebody said that they looked after it.

    Without a place in the book it never asks: nobody knows the hours then, and the caution stands on every plan.
    """
    if seen:
        return
    found = sun_now(reader, lens)
    if found is None or not found.now:
        return
    raise Refusal.one("sun", "", f"{never(reader, found)} {found.caution}", HOW_SEEN)


def never(reader: Reader, found: LensSun) -> str:
    """ "Never look into the lens: the sun can enter it until 09:23." of the span that holds now."""
    now = reader.now()
    end = next((s.end for s in found.spans if s.start <= now < s.end), None)
    return f"Never look into the lens: the sun can enter it until {end:%H:%M}." if end else "Never look into the lens."


HOW_SEEN_WORDS = (
    "The cap outside stays on until the exposure, nobody is between lens and board, nothing that burns is at the focus."
)
HOW_SEEN = f"{HOW_SEEN_WORDS} Then say that it is seen to (--sun-seen)."
