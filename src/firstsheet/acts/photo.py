"""A photograph as a meter: taken in without its position data, touched where the tone is, compared once with a meter."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts import learn, own, reading
from firstsheet.acts.door import Door, Form
from firstsheet.acts.wish import own_meter
from firstsheet.belief.effects import Effect
from firstsheet.light import words as light_words
from firstsheet.refusal import Problems, Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

PHONE = "phone"
RAW = "camera, raw"  # its scale differs from that of its own JPEG: an offset of its own
OTHER = "other"  # a touched thing that is placed on no tone


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
    maybe_screen: bool = False


@dataclass(frozen=True, slots=True)
class Spot:
    """A touched spot: its luminance [cd/m²] and doubt [stop], on which tone it was placed, its number as a reading."""

    reading: int
    luminance_cdm2: float
    sd_stops: float
    tone: str
    at_least: bool
    warnings: tuple[str, ...]
    name: str = ""
    only_range: bool = False


def take_in(book: Book, data: bytes) -> PhotoIn:
    """Keep a photo of the scene. Position data and everything but the exposure are dropped here and never stored."""
    from firstsheet.light.photo import receive

    got = receive(data)
    e = got.exposure
    with book.begin():
        meter, new = _device(book, RAW if got.raw else PHONE, got.device)
        warnings = list(got.warnings)
        if new:
            warnings.append(f"From another camera than before: it is called {meter}, and how far it is off is its own. Compare it once.")
        body = {"width": got.width, "height": got.height, "f_number": e.f_number, "time_s": e.time_s, "iso": e.iso, "taken": e.taken,
                "warnings": warnings, "maybe_screen": got.maybe_screen, "raw": got.raw, "meter": meter}  # fmt: skip
        number = book.add_picture("image/jpeg", got.kept_jpeg, body)
    return PhotoIn(number, got.width, got.height, e.f_number, e.time_s, e.iso, e.missing, tuple(warnings), got.maybe_screen)


def meter_of(body: dict[str, Any]) -> str:
    """Under which name a kept photo meters; photos kept before cameras were told apart are the phone's."""
    return str(body.get("meter") or (RAW if body.get("raw") else PHONE))


def _device(book: Book, kind: str, mark: str) -> tuple[str, bool]:
    """The name of the camera that bears this mark, and whether it is another one than those before. The first one of a kind bears the plain name."""
    known = dict(book.get_setting("cameras") or {})
    key = f"{kind} {mark}"
    if not mark or key in known:
        return known.get(key, kind), False
    before = sum(1 for name in known.values() if name == kind or name.startswith(f"{kind} "))
    known[key] = f"{kind} {before + 1}" if before else kind
    book.set_setting("cameras", known)
    return known[key], bool(before)


def look_again(book: Book, picture: int) -> PhotoIn:
    """The same answer for a photo that is already kept."""
    body = book.get_picture(picture)["body"]
    e = _exposure(body)
    return PhotoIn(
        picture, body["width"], body["height"], e.f_number, e.time_s, e.iso, e.missing, tuple(body.get("warnings", ())),
        bool(body.get("maybe_screen")),
    )


def spot(book: Book, picture: int, form: Form) -> Spot:
    """Touch a spot: x and y as fractions of the picture, the tone it is; f_number, time, iso where the file is silent.

    tone    where it lies from mid-tone; “other” for a thing without a place of its own (a sky): it joins the range, never the exposure
    name    what it is, in the person's words; the tone's words unless said
    join    “yes” keeps what was touched before in this photo; a second touch of one name takes the first one's place
    really  “yes” where the file looks like a screenshot and is a photo of the scene all the same

    The reading joins what was said for this sheet.
    """
    from firstsheet.light.spot import MID_Y, RAW_MID_Y, spot_luminance

    d = Door(form)
    x = d.must("x", lambda t: q.plain_number(t, 0.0, 1.0), "From 0 (left) to 1 (right).", "Touch the picture.")
    y = d.must("y", lambda t: q.plain_number(t, 0.0, 1.0), "From 0 (top) to 1 (bottom).", "Touch the picture.")
    tone, name = d.said("tone") or "grey_card", " ".join((d.said("name") or "").split())[:40]
    only_range = tone == OTHER
    if only_range and not name:
        d.problems.add("name", "", "What it is: sky, wall, dark hair …", "Name it; its place on the paper is then told.")
    with d.problems.at("tone"):
        tone = "grey_card" if only_range else light_words.tone(tone).key
    f_number, time_s, iso = d.read("f_number", q.f_number), d.read("time", q.duration_s), d.read("iso", q.iso_number)
    join, really = d.said("join") == "yes", d.said("really") == "yes"
    kept = book.get_picture(picture)
    if kept["body"].get("maybe_screen") and not really:
        hint = "If it is a photo of the scene itself, say so. A picture of a screen meters the screen."
        d.problems.add("really", "no camera data, as a screenshot has", "A photo of the scene, as the camera made it.", hint)
    d.close()
    exposure = _exposure(kept["body"]).filled(f_number, time_s, iso)
    assert x is not None
    assert y is not None
    name = name or light_words.tone(tone).words
    try:
        found = spot_luminance(kept["data"], exposure, x, y, mid_y=RAW_MID_Y if kept["body"].get("raw") else MID_Y)
    except Refusal as refusal:  # say which of several places it was
        raise Refusal(*(replace(p, asked=f"{name}: {p.asked}") if p.where == "spot" else p for p in refusal.problems)) from None
    made = reading.photo(found.luminance_cdm2, found.sd_stops, tone, meter_of(kept["body"]), book.now())
    with book.begin():
        body = made.body() | {"spot": [x, y], "named": name, "only_range": only_range, "at_least": found.at_least}
        number = book.add_reading(body, picture)
        phrase = dict(book.get_setting("phrase") or {})
        fresh = sorted({*phrase.get("fresh", ()), "readings"})
        book.set_setting("phrase", phrase | _joined(book, phrase, number, (picture, name, only_range, join)) | {"fresh": fresh})
    return Spot(number, found.luminance_cdm2, found.sd_stops, tone, found.at_least, found.warnings, name, only_range)


def spots(book: Book, picture: int, form: Form) -> list[Spot]:
    """Several places of one photo at once (field `points`): “0.5,0.4 face_light; 0.3,0.1 other sky; 0.6,0.2 black_cloth her hair”.

    Each is a place, a tone or “other”, and a name where one is wanted; the other fields are as in `spot`. All are taken, or none.
    """
    said = dict(form)
    text = str(said.pop("points", ""))
    problems, out = Problems(), []
    parts = [p.split() for p in text.split(";") if p.strip()]
    if not parts:
        raise Refusal.one("points", text, "Places with a tone: 0.5,0.4 face_light; 0.3,0.1 other sky.", "Take them with semicolons between.")
    with book.begin():
        for i, (place, *words) in enumerate(parts):
            x, _, y = place.partition(",")
            each = {"x": x, "y": y, "tone": words[0] if words else "", "name": " ".join(words[1:])}
            with problems.at(f"points.{i + 1}"):
                out.append(spot(book, picture, {**said, **each, "join": "yes" if i or said.get("join") == "yes" else "no"}))
        problems.raise_if_any()
    return out


def _joined(book: Book, phrase: dict[str, Any], number: int, how: tuple[int, str, bool, bool]) -> dict[str, Any]:
    """The readings that place the exposure and the tones that only make the range, with a new one in its place."""
    picture, name, only_range, join = how

    def stay(ids: list[int]) -> list[int]:
        rows = [(i, book.get_reading(i)) for i in ids]
        return [i for i, r in rows if r["picture_id"] == picture and r["body"].get("named") != name]

    placing, tones = list(phrase.get("readings", ())), list(phrase.get("tones", ()))
    if only_range:  # what places the exposure is left as it is, from whatever meter
        return {"tones": [*stay(tones), number]}
    return {"readings": [*(stay(placing) if join else ()), number], "tones": stay(tones) if join else []}


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
    row = book.get_reading(int(number or 0))
    if row["body"].get("at_least") or row["body"].get("only_range"):
        raise Refusal.one("reading", row["body"].get("named", ""), "A touched tone that is whole and placed.", "Touch a grey card or a face and compare that.")
    first = reading.from_row(row)
    meter = own_meter(book)
    if meter is None:
        names = ", ".join(t.name for t in own.owned(book, "meter"))
        hint = f"Say which is in your hand: firstsheet say --meter, one of {names}." if names else "Add it first: firstsheet own meter."
        raise Refusal.one("own", own_text, "A meter of your own in the book, today's.", hint, kind="missing")
    second = reading.parse(str(own_text), None, None, meter, book.now())[0]
    if first.reading.meter == second.reading.meter:
        raise Refusal.one("own", own_text, "Two different instruments.", "Compare a photo with a meter.")
    return learned(book, first, second, math.log2(tone_luminance(first) / tone_luminance(second)))


def learned(book: Book, first: reading.Kept, second: reading.Kept, high: float) -> Compared:
    """Keep how much higher the first reads [stop], and know it from now on."""
    a, b = first.reading.meter, second.reading.meter
    body = learn.compared(a, first.meter_kind, b, second.meter_kind, high)
    with book.begin():
        book.add_thing("comparison", f"{a} with {b}", body)
        learn.refit(book)
    direction = "higher" if high >= 0 else "lower"
    return Compared(a, b, high, f"The {a} reads {wording.stops_apart(high)} {direction} than {b}. It is remembered.")


@dataclass(frozen=True, slots=True)
class Offset:
    """A comparison that is kept: its name, how much higher the first meter read [stop], and whether it counts."""

    name: str
    reads_high_stops: float
    sd_stops: float
    counts: bool


def offsets(book: Reader) -> list[Offset]:
    """Every comparison of two meters, and whether it counts in plans."""
    return [
        Offset(str(t["name"]), float(t["body"]["stops"]), learn.COMPARISON_SD, t["body"]["sd"] < learn.NO_WEIGHT_SD)
        for t in book.things("comparison")
        if t["body"]["effects"] and all(Effect.from_json(e).key.startswith("meter:") for e in t["body"]["effects"])
    ]


def offset_words(o: Offset) -> str:
    """“phone with hand: 0.60 stop higher, ± 0.2; counts”."""
    direction = "higher" if o.reads_high_stops >= 0 else "lower"
    return f"{o.name}: the first reads {wording.stops_apart(o.reads_high_stops)} {direction}, ± {o.sd_stops:.2f}; {'it counts' if o.counts else 'taken back'}."


def take_back(book: Book, name: str) -> list[Offset]:
    """A comparison counts no longer, as if it had never been made; the book keeps that it was. Refuses a name that is none."""
    known = {o.name for o in offsets(book) if o.counts}
    if name not in known:
        allowed = f"One of: {', '.join(sorted(known))}." if known else "A comparison that counts; there is none."
        raise Refusal.one("comparison", name, allowed, "Compare a photo with your meter first.", "missing")
    body = next(t["body"] for t in book.things("comparison") if t["name"] == name)
    with book.begin():
        book.add_thing("comparison", name, body | {"sd": learn.NO_WEIGHT_SD})
        learn.refit(book)
    return offsets(book)


def tone_luminance(kept: reading.Kept) -> float:
    """The mid-tone luminance each instrument implies [cd/m²]: both are placed on their tone first."""
    from firstsheet.light.reading import midtone_of

    return midtone_of(kept.reading).luminance_cdm2


def _exposure(body: dict[str, Any]) -> Any:
    from firstsheet.light.exif import Exposure

    return Exposure(body.get("f_number"), body.get("time_s"), body.get("iso"), body.get("taken") or "")
