"""One day: where the sun goes, what light this face and this lens will see, seconds for this sheet through it, and when to sit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from typing import TYPE_CHECKING

from firstsheet import quantities as q
from firstsheet import tables
from firstsheet.acts import own
from firstsheet.acts.day_place import PLACE, Stand, stand
from firstsheet.acts.day_seconds import Seconds
from firstsheet.acts.day_sun import LensSun, Span, lens_sun
from firstsheet.acts.door import Door, Form
from firstsheet.acts.wish import Wish, wish
from firstsheet.exposure import latitude
from firstsheet.light import day as core
from firstsheet.light import place, words
from firstsheet.light import sky as skies
from firstsheet.light.day import Minute
from firstsheet.light.horizon import Face
from firstsheet.light.sun import SET_DEG
from firstsheet.refusal import Problem, Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader

EVERY_MIN = 5
LONGEST_S = 3600.0  # beyond an hour the reciprocity of paper is a guess, and no sitter sits
USEFUL_STOPS = 4.0  # a window this far under the day's best light is no window
FIRST, LAST = 1950, 2100
SHEET = ("camera", "box", "developer", "way", "subject", "head", "aperture", "filter")


@dataclass(frozen=True, slots=True)
class Row:
    """One moment. time_s is None where it is too dark to work: the time would pass an hour.

    face_lx  light on the face [lx];  in_sun  the sun shines on it;  ranges hold the right time in 5 and in 9 of 10 cases
    """

    at: datetime
    height_deg: float
    bearing_deg: float
    level_lx: float
    face_lx: float
    in_sun: bool
    time_s: float | None
    range50_s: tuple[float, float] | None
    range90_s: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class Window:
    """A stretch in which the light stays within half a stop: "brightest" or "steadiest"; row of its middle."""

    which: str
    span: Span
    in_sun: bool
    middle: Row


@dataclass(frozen=True, slots=True)
class Day:
    """The whole day at one place.

    rise, set    upper limb on a level horizon; None on a day without
    all_day      "up" or "down" where the sun neither rises nor sets, else ""
    highest      the moment it stands highest
    civil        from −6° in the morning to −6° in the evening; either may be None
    lacking      what the book does not say yet that seconds would need
    """

    date: date
    place: str
    zone: str
    sky: str
    sky_words: str
    faces_deg: float | None
    faces: str
    rise: datetime | None
    set: datetime | None
    all_day: str
    highest: Row
    civil: tuple[datetime | None, datetime | None]
    sun_on_face: tuple[Span, ...]
    lens: LensSun | None
    aperture: float | None
    sheet: str
    now: Row | None
    half_in_s: float | None
    windows: tuple[Window, ...]
    course: tuple[Row, ...]
    assumed: tuple[str, ...]
    lacking: tuple[Problem, ...]
    notes: tuple[str, ...]


def day(reader: Reader, form: Form | None = None) -> Day:
    """The day of this form: date and sky, the place over the one kept, the sheet over what was said. Nothing is stored."""
    d = Door(form)
    when = d.read("date", _date)
    word = d.read("sky", skies.whole_sky)
    said = {k: d.said(k) for k in (*PLACE, *SHEET)}
    d.close()
    s = stand(reader, {k: said[k] for k in PLACE if said[k]})
    tz, now = s.tz(), reader.now()
    when = when or now.astimezone(tz).date()
    sky = word or "clear_sun"
    start, end = place.bounds_s(when, tz)
    scene = core.Scene(s.spot, s.above_sea_m, sky, _face(s, sky))
    course = core.minutes(scene, start, end)
    camera = _camera(reader, said["camera"])
    lens = lens_sun(s, own.lens_of(camera.body), course, now.timestamp()) if camera else None
    w, lacking = _wish(reader, {k: said[k] for k in SHEET if said[k]})
    return _answer(s, when, sky, word is None, course, _Made(reader, w, lacking, lens, scene, (start, end)))


@dataclass(frozen=True, slots=True)
class _Made:
    """What else goes into the answer."""

    reader: Reader
    wish: Wish | None
    lacking: tuple[Problem, ...]
    lens: LensSun | None
    scene: core.Scene
    bounds: tuple[float, float]


def _answer(s: Stand, when: date, sky: str, sky_assumed: bool, course: Sequence[Minute], made: _Made) -> Day:
    tz, (start, end) = s.tz(), made.bounds
    top = max(range(len(course)), key=lambda i: course[i].face_lx)
    mixed = [core.kinds(m, sky) for m in course]
    seconds, lacking = _seconds(made, sky, course[top], mixed, top)

    def row(i: int) -> Row:
        m = course[i]
        t = low = high = None
        if seconds and m.face_lx > 0:
            got, sd = seconds.at(m.face_lx, mixed[i])
            if got <= LONGEST_S:
                spread = latitude.spread_s(got, sd)
                t, low, high = got, spread["range50_s"], spread["range90_s"]
        return Row(datetime.fromtimestamp(m.time_s, tz), m.sun.height_deg, m.sun.bearing_deg, m.level_lx, m.face_lx,
                   core.sun_on_face(m) and _shadows(sky), t, low, high)  # fmt: skip

    number = int((made.reader.now().timestamp() - start) // 60)
    is_now = 0 <= number < len(course) and course[number].face_lx > 0
    crossed = core.crossings(made.scene, start, end)
    civil = core.crossings(made.scene, start, end, core.CIVIL_DEG)
    noon = max(range(len(course)), key=lambda i: course[i].sun.height_deg)
    up, down = (_first(crossed, r, tz) for r in (True, False))
    return Day(
        when, s.place, s.zone, sky, words.skies()[sky].words, s.faces_deg,
        "level ground" if s.faces_deg is None else place.bearing_words(s.faces_deg), up, down,
        "" if crossed else "up" if course[0].sun.height_deg > SET_DEG else "down", row(noon),
        (_first(civil, True, tz), _first(civil, False, tz)), _spans(core.stretches(course, core.sun_on_face), s), made.lens,
        seconds.aperture if seconds else None, _sheet(made.wish), row(number) if is_now else None,
        core.half_in_s(course, number) if is_now else None, _windows(course, row, s),
        tuple(row(i) for i in range(0, len(course), EVERY_MIN)), _assumed(s, sky_assumed), lacking, _notes(s, sky),
    )  # fmt: skip


def _seconds(
    made: _Made, sky: str, best: Minute, mixed: Sequence[Sequence[float]], top: int
) -> tuple[Seconds | None, tuple[Problem, ...]]:
    """Seconds for the sheet in this day's kinds of light; or what stands in their way, which does not take the day's light away."""
    if made.wish is None or best.face_lx <= 0:
        return None, made.lacking
    used = [k for i, k in enumerate(core.KINDS) if any(x[i] > 1e-6 for x in mixed)]
    strongest = core.KINDS[max(range(len(core.KINDS)), key=lambda i: mixed[top][i])]
    try:
        return Seconds(made.reader, made.wish, sky, used, (best.face_lx, strongest)), ()
    except Refusal as refusal:
        return None, refusal.problems


def _shadows(sky: str) -> bool:
    """Whether such a sky lets the sun cast shadows."""
    return float(tables.load("daylight")["sky"][sky]["beam"]) > 0


def _face(s: Stand, sky: str) -> Face:
    facts = tables.load("daylight")
    return Face(s.faces_deg, s.things, facts["sky"][sky]["upright"], facts["ground"][s.ground]["gives_back"])


def _windows(course: Sequence[Minute], row: Callable[[int], Row], s: Stand) -> tuple[Window, ...]:
    top = core.brightest(course)
    if top is None:
        return ()
    least = max(m.face_lx for m in course) * 2.0**-USEFUL_STOPS
    found = [("brightest", top)]
    steady = core.steadiest(course, least)
    if steady and steady != top:
        found.append(("steadiest", steady))
    out = []
    for which, (a, b) in found:
        middle = int(((a + b) / 2 - course[0].time_s) // 60)
        out.append(Window(which, _spans([core.Stretch(a, b)], s)[0], row(middle).in_sun, row(middle)))
    return tuple(out)


def _wish(reader: Reader, said: Form) -> tuple[Wish | None, tuple[Problem, ...]]:
    """The sheet, or what it lacks; what was said and cannot be is refused."""
    try:
        w = wish(reader, dict(said) | {"reading": "1000 lx", "how": "incident", "light": "sun"})
    except Refusal as refusal:
        if any(p.asked for p in refusal.problems):
            raise
        return None, refusal.problems
    if w.way == "contact_print":
        return None, (Problem("way", "", "A contact print is made under a lamp, not in daylight.", "Say the way of the sheet itself."),)  # fmt: skip
    return w, ()


def _camera(reader: Reader, name: str | None) -> own.Owned | None:
    name = name or (reader.get_setting("today") or {}).get("camera")
    try:
        return own.one(reader, "camera", name)
    except Refusal:
        return None


def _sheet(w: Wish | None) -> str:
    if w is None:
        return ""
    return f"{tables.load('ways')[w.way]['words']}, box {w.box.name}, {w.developer.name}, {w.camera.name}"


def _spans(found: Sequence[core.Stretch], s: Stand) -> tuple[Span, ...]:
    tz = s.tz()
    return tuple(Span(datetime.fromtimestamp(a, tz), datetime.fromtimestamp(b, tz)) for a, b in found)


def _first(found: Sequence[core.Crossing], rising: bool, tz: tzinfo) -> datetime | None:
    return next((datetime.fromtimestamp(c.time_s, tz) for c in found if c.rising is rising), None)


def _assumed(s: Stand, sky: bool) -> tuple[str, ...]:
    out = []
    if sky:
        out.append("a clear sky")
    if s.faces_deg is None:
        out.append("a face that looks up, as nobody said which way it is turned")
    if not s.around:
        out.append("open ground all round")
    return tuple(out)


def _notes(s: Stand, sky: str) -> tuple[str, ...]:
    sd = words.skies()[sky].sd_stops
    out = [
        f"Light worked out from the sun’s height, not read: {words.skies()[sky].words} is worth ±{sd:g} stop, a low sun ±1. Read the light before the sheet.",
        "A colder or hazier day, smoke, or a wall that throws light back is not in it.",
    ]
    if "+" in s.zone or "−" in s.zone or s.zone == "UTC" or "-" in s.zone:
        out.append("This zone’s clocks never change: in summer time say the zone by its name.")
    return tuple(out)


def _date(text: str) -> date:
    found = q.day(text)
    if not FIRST <= found.year <= LAST:
        raise Refusal.one("", text, f"A day from {FIRST} to {LAST}.", "Try “2026-06-21”.")
    return found
