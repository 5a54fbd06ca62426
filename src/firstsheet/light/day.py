"""One day at one place, minute by minute: the sun, the light on a face, of what kind it is, and when the sun looks at the lens."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, NamedTuple

from firstsheet import tables
from firstsheet.light import sky as skies
from firstsheet.light.horizon import Face, Horizon, height_at, sun_share
from firstsheet.light.place import Spot
from firstsheet.light.sun import SET_DEG, Course, Sun, pressure_mbar

KINDS = ("sun", "low_sun", "open_shade", "overcast")
CIVIL_DEG = -6.0
HALF_DISC_DEG = 0.27
STEADY_STOPS = 0.5
"""Light that stays within half a stop is called steady: what a paper negative shows as a difference (common practice, no source)."""


class Minute(NamedTuple):
    """One moment of the day.

    time_s     since 1970, UTC [s]
    sun        where it stands
    level_lx   on open level ground [lx]
    face_lx    on the face [lx], walls and trees counted
    sun_lx     of that, straight from the sun [lx]
    seen       how much of the disc is seen from the chair [0–1], the sky's look aside
    beam_w_m2  power of the sun in a clear sky, square to it [W/m²]
    """

    time_s: float
    sun: Sun
    level_lx: float
    face_lx: float
    sun_lx: float
    seen: float
    beam_w_m2: float


@dataclass(frozen=True, slots=True)
class Scene:
    """What does not change through a day. above_sea_m [m]; sky, a key of `sky.sky_keys()`; face, with what stands round the chair."""

    spot: Spot
    above_sea_m: float
    sky: str
    face: Face


def minutes(scene: Scene, start_s: float, end_s: float, step_s: float = 60.0) -> tuple[Minute, ...]:
    """The day from `start_s` until before `end_s` [s since 1970, UTC], at most 26 hours."""
    course = course_of(scene, start_s)
    air = skies.Air.over(scene.above_sea_m)
    face, out = scene.face, []
    for i in range(math.ceil((end_s - start_s) / step_s)):
        t = start_s + i * step_s
        s = course.at(t)
        d = skies.daylight(s, course.distance_au, scene.sky, air)
        if d.level_lx <= 0.0:
            out.append(Minute(t, s, 0.0, 0.0, 0.0, 0.0, 0.0))
            continue
        of_sun, of_sky, of_ground = face.lit(d, s)
        seen = sun_share(face.things, s) if s.apparent_deg > 0 else 0.0
        out.append(Minute(t, s, d.level_lx, of_sun + of_sky + of_ground, of_sun, seen, d.clear_w_m2))
    return tuple(out)


def course_of(scene: Scene, start_s: float) -> Course:
    return Course.over(
        scene.spot.latitude_deg, scene.spot.longitude_deg, start_s, pressure=pressure_mbar(scene.above_sea_m)
    )


def kinds(m: Minute, sky: str) -> tuple[float, float, float, float]:
    """Shares of the light on the face by kind, in the order of KINDS; they sum to 1."""
    shadows, k = _kinds(sky)
    if not shadows:
        return 0.0, 0.0, 0.0, 1.0
    of_sun = m.sun_lx / m.face_lx if m.face_lx > 0 else 0.0
    low = min(1.0, max(0.0, (k["high_deg"] - m.sun.height_deg) / (k["high_deg"] - k["low_deg"])))
    warm = k["warm_share"] * min(1.0, max(0.0, 1.0 - m.sun.height_deg / k["high_deg"]))
    rest = 1.0 - of_sun
    return of_sun * (1 - low), of_sun * low + rest * warm, rest * (1 - warm), 0.0


@cache
def _kinds(sky: str) -> tuple[bool, dict[str, Any]]:
    facts: dict[str, Any] = tables.load("daylight")
    return facts["sky"][sky]["beam"] > 0, facts["kinds"]


class Crossing(NamedTuple):
    """When the sun passes a height, and whether upwards."""

    time_s: float
    rising: bool


def crossings(scene: Scene, start_s: float, end_s: float, height_deg: float = SET_DEG) -> tuple[Crossing, ...]:
    """When the sun passes a true height [°] on a level horizon, to the second; sunrise and sunset unless another is said."""
    course = course_of(scene, start_s)

    def over(t: float) -> float:
        return course.at(t).height_deg - height_deg

    out = []
    step = 600.0
    t, before = start_s, over(start_s)
    while t < end_s:
        after_t = min(t + step, end_s)
        after = over(after_t)
        if (before < 0) != (after < 0):
            low, high = t, after_t
            while high - low > 0.5:
                mid = (low + high) / 2
                low, high = (mid, high) if (over(mid) < 0) == (before < 0) else (low, mid)
            out.append(Crossing((low + high) / 2, before < 0))
        t, before = after_t, after
    return tuple(out)


class Stretch(NamedTuple):
    """From one moment to another [s since 1970, UTC]."""

    start_s: float
    end_s: float


def stretches(course: Sequence[Minute], holds: Callable[[Minute], bool], step_s: float = 60.0) -> tuple[Stretch, ...]:
    """When something holds, in whole steps."""
    out: list[Stretch] = []
    for m in course:
        if not holds(m):
            continue
        if out and m.time_s - out[-1].end_s < 1.0:
            out[-1] = Stretch(out[-1].start_s, m.time_s + step_s)
        else:
            out.append(Stretch(m.time_s, m.time_s + step_s))
    return tuple(out)


def sun_on_face(m: Minute) -> bool:
    """Whether the sun reaches the face, were the sky clear."""
    return m.sun_lx > 0.0 and m.seen >= 0.5


def sun_at_lens(m: Minute, looks_deg: float, within_deg: float, things: Horizon) -> bool:
    """Whether the sun, or its edge, can enter a level lens that looks to `looks_deg` and takes light from `within_deg` off its axis.

    things  what stands before the lens and hides the sun; empty is the cautious answer
    """
    if m.sun.apparent_deg < -HALF_DISC_DEG:
        return False
    up, aside = math.radians(m.sun.apparent_deg), math.radians(m.sun.bearing_deg - looks_deg)
    off = math.degrees(math.acos(max(-1.0, min(1.0, math.cos(up) * math.cos(aside)))))
    if off > within_deg + HALF_DISC_DEG:
        return False
    return not things or m.sun.apparent_deg + HALF_DISC_DEG > height_at(things, m.sun.bearing_deg)


def brightest(course: Sequence[Minute], within_stops: float = STEADY_STOPS) -> Stretch | None:
    """Round the minute of most light on the face, as long as it stays within so many stops of it."""
    top = max(range(len(course)), key=lambda i: course[i].face_lx, default=None)
    if top is None or course[top].face_lx <= 0:
        return None
    least = course[top].face_lx * 2.0**-within_stops
    first = last = top
    while first > 0 and course[first - 1].face_lx >= least:
        first -= 1
    while last + 1 < len(course) and course[last + 1].face_lx >= least:
        last += 1
    return Stretch(course[first].time_s, course[last].time_s)


def steadiest(course: Sequence[Minute], least_lx: float, within_stops: float = STEADY_STOPS) -> Stretch | None:
    """The longest stretch in which light on the face stays within so many stops and above `least_lx` [lx]; the earlier of equals."""
    from collections import deque

    best: tuple[int, int] | None = None
    ratio = 2.0**within_stops
    highs: deque[int] = deque()
    lows: deque[int] = deque()
    first = 0
    for i, m in enumerate(course):
        if m.face_lx < least_lx:
            highs.clear()
            lows.clear()
            first = i + 1
            continue
        while highs and course[highs[-1]].face_lx <= m.face_lx:
            highs.pop()
        while lows and course[lows[-1]].face_lx >= m.face_lx:
            lows.pop()
        highs.append(i)
        lows.append(i)
        while course[highs[0]].face_lx > ratio * course[lows[0]].face_lx:
            first = min(highs[0], lows[0]) + 1
            if highs[0] < first:
                highs.popleft()
            if lows[0] < first:
                lows.popleft()
        if best is None or i - first > best[1] - best[0]:
            best = (first, i)
    return best and Stretch(course[best[0]].time_s, course[best[1]].time_s)


def half_in_s(course: Sequence[Minute], at: int) -> float | None:
    """Seconds from minute number `at` until its light has first fallen to a half; None where it does not in this day."""
    half = course[at].face_lx / 2
    if half <= 0:
        return None
    return next((m.time_s - course[at].time_s for m in course[at:] if m.face_lx <= half), None)
