"""A photograph as a meter: taken in without its position data, touched where the tone is, compared once with a meter."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts import learn, reading
from firstsheet.acts.door import Door, Form
from firstsheet.acts.wish import own_meter
from firstsheet.light import words as light_words
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.book.store import Book

PHONE = "phone"


@dataclass(frozen=True, slots=True)
class PhotoIn:
    """A photo as kept: its number, size [px], what it says of its exposure (None where it does not), what to mind."""

    picture: int
    width: int
    height: int
    f_number: float | None
    time_s: float | None
    iso: float | None
    missing: tuple[str, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Spot:
    """A touched spot: its luminance [cd/m²] and doubt [stop], on which tone it was placed, its number as a reading."""

    reading: int
    luminance_cdm2: float
    sd_stops: float
    tone: str
    at_least: bool
    warnings: tuple[str, ...]


def take_in(book: Book, data: bytes) -> PhotoIn:
    """Keep a photo of the scene. Position data and everything but the exposure are dropped here and never stored."""
    from firstsheet.light.photo import receive

    got = receive(data)
    e = got.exposure
    body = {"width": got.width, "height": got.height, "f_number": e.f_number, "time_s": e.time_s, "iso": e.iso,
            "taken": e.taken, "warnings": list(got.warnings)}  # fmt: skip
    number = book.add_picture("image/jpeg", got.kept_jpeg, body)
    return PhotoIn(number, got.width, got.height, e.f_number, e.time_s, e.iso, e.missing, tuple(got.warnings))


def look_again(book: Book, picture: int) -> PhotoIn:
    """The same answer for a photo that is already kept."""
    body = book.get_picture(picture)["body"]
    e = _exposure(body)
    return PhotoIn(
        picture, body["width"], body["height"], e.f_number, e.time_s, e.iso, e.missing, tuple(body.get("warnings", ()))
    )


def spot(book: Book, picture: int, form: Form) -> Spot:
    """Touch a spot: x and y as fractions of the picture, the tone it is; f_number, time, iso where the file is silent.

    The reading joins what was said for this sheet.
    """
    from firstsheet.light.spot import spot_luminance

    d = Door(form)
    x = d.must("x", lambda t: q.plain_number(t, 0.0, 1.0), "From 0 (left) to 1 (right).", "Touch the picture.")
    y = d.must("y", lambda t: q.plain_number(t, 0.0, 1.0), "From 0 (top) to 1 (bottom).", "Touch the picture.")
    tone = d.said("tone") or "grey_card"
    with d.problems.at("tone"):
        tone = light_words.tone(tone).key
    f_number = d.read("f_number", q.f_number)
    time_s = d.read("time", q.duration_s)
    iso = d.read("iso", q.iso_number)
    d.close()
    kept = book.get_picture(picture)
    exposure = _exposure(kept["body"]).filled(f_number, time_s, iso)
    assert x is not None
    assert y is not None
    found = spot_luminance(kept["data"], exposure, x, y)
    made = reading.photo(found.luminance_cdm2, found.sd_stops, tone, PHONE, book.now())
    with book.begin():
        body = made.body() | {"spot": [x, y]}
        number = book.add_reading(body, picture)
        phrase = dict(book.get_setting("phrase") or {})
        fresh = sorted({*phrase.get("fresh", ()), "readings"})
        book.set_setting("phrase", phrase | {"readings": [number], "fresh": fresh})
    return Spot(number, found.luminance_cdm2, found.sd_stops, tone, found.at_least, found.warnings)


@dataclass(frozen=True, slots=True)
class Compared:
    """How much higher [stop] one meter read than the other on the same tone; it is remembered."""

    meter: str
    against: str
    reads_high_stops: float
    words: str


def compare(book: Book, form: Form) -> Compared:
    """Compare a kept reading (its number, field `reading`) with what the person's own meter said of the same tone
    (field `own`: lx incident, cd/m², EV or a triple), so that from now on the first is corrected by the second."""
    d = Door(form)
    number = d.must("reading", q.count, "The number of a reading.", "It is shown with the touched spot.")
    own_text = d.must("own", str, "What your own meter says of the same place.", "Try “EV 11”.")
    d.close()
    first = reading.from_row(book.get_reading(int(number or 0)))
    meter = own_meter(book)
    if meter is None:
        raise Refusal.one(
            "own", own_text, "A meter of your own in the book.", "Add it first: firstsheet own meter.", kind="missing"
        )
    second = reading.parse(str(own_text), None, None, meter, book.now())[0]
    if first.reading.meter == second.reading.meter:
        raise Refusal.one("own", own_text, "Two different instruments.", "Compare a photo with a meter.")
    high = math.log2(_tone_luminance(first) / _tone_luminance(second))
    body = learn.compared(first.reading.meter, first.meter_kind, second.reading.meter, second.meter_kind, high)
    with book.begin():
        book.add_thing("comparison", f"{first.reading.meter} with {second.reading.meter}", body)
        learn.refit(book)
    direction = "higher" if high >= 0 else "lower"
    words = f"The {first.reading.meter} reads {wording.stops_apart(high)} {direction} than {second.reading.meter}. It is remembered."
    return Compared(first.reading.meter, second.reading.meter, high, words)


def _tone_luminance(kept: reading.Kept) -> float:
    """The mid-tone luminance each instrument implies [cd/m²]: both are placed on their tone first."""
    from firstsheet.light.reading import midtone_of

    return midtone_of(kept.reading).luminance_cdm2


def _exposure(body: dict[str, Any]) -> Any:
    from firstsheet.light.exif import Exposure

    return Exposure(body.get("f_number"), body.get("time_s"), body.get("iso"), body.get("taken") or "")
