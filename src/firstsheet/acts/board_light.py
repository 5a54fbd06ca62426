"""A photo of the picture on the board as the reading it is: seconds follow without any lens arithmetic."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts import board_last, photo, reading
from firstsheet.acts import plan as planning
from firstsheet.acts.door import Door, Form
from firstsheet.acts.found import Figure, Found
from firstsheet.acts.own import todays_camera
from firstsheet.acts.versions import place
from firstsheet.acts.wish import own_meter
from firstsheet.belief import prior
from firstsheet.light import words as light_words
from firstsheet.light.reading import Reading
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.book.store import Book
    from firstsheet.foresee.board import BoardLight, PlaceLight

DARK_WORDS = (
    "Sheets in their box, lens open, box shut: the open lens lights the trays.",
    "Stand beside the light, not in it; look at the board, never at the sun’s picture on it.",
)


@dataclass(frozen=True, slots=True)
class _Seen:
    """What was found at the face: the light there, the whole board's, on which tone."""

    light: BoardLight
    here: PlaceLight
    tone: str
    tied: bool
    offset_sd: float
    aperture: float | None
    meter: str
    last: tuple[Figure, str] | None
    cast: tuple[str, ...]


def look(book: Book, picture: int, form: Form | None = None) -> Found:
    """Light on the paper where the face falls, from a kept photo of the board. Nothing is stored.

    Fields: face “x,y” (fractions from left and top of the photo as it lies), tone (what lies there), lux and lux_at (one figure of a
    lux meter and where it was held), card and beside (a grey card on the board, and the bare board beside it), aperture (the lens's,
    as it stood), last (the code of a sheet that was kept, its board photographed by the same phone), and f_number, time, iso of the photo
    where the file is silent.
    """
    return _found(book, _seen(book, picture, form))


def keep(book: Book, picture: int, form: Form | None = None) -> Found:
    """The same, kept as this sheet's reading: the plan goes by it from now on."""
    seen = _seen(book, picture, form)
    found = _found(book, seen)
    aperture = seen.aperture or _standing(book)
    own = own_meter(book) if seen.tied else None
    name, kind = (own or reading.PLAIN_METER["board"]) if seen.tied else (seen.meter, "phone")
    # What the whole instrument may be off for good is carried by what is known of it, not by this reading.
    sd = math.sqrt(max(seen.here.sd_stops**2 - (0.0 if seen.tied else seen.offset_sd**2), 0.03**2))
    made = Reading(kind="board", lux_lx=seen.here.lux_lx, tone=seen.tone, sd_stops=sd, meter=name, taken_wall=book.now(), place="on the board, by a photo")
    kept = reading.Kept(made, f"{wording.lux(seen.here.lux_lx)} on the board, by a photo", kind)
    with book.begin():
        number = book.add_reading(kept.body(), picture)
        phrase = dict(book.get_setting("phrase") or {})
        stood = {"aperture": aperture, "filter": phrase.get("filter", 0.0)}
        fresh = sorted({*phrase.get("fresh", ()), "readings"})
        book.set_setting("phrase", phrase | {"readings": [number], "board": stood, "fresh": fresh})
    return found


def _seen(book: Book, picture: int, form: Form | None) -> _Seen:
    from firstsheet.foresee import board, redraw
    from firstsheet.light.photo import linear_luminance

    d = Door(form)
    face = d.must("face", place, "A place “x,y”, each from 0 to 1.", "Touch where the face falls on the board.")
    tone = d.said("tone") or "face_light"
    with d.problems.at("tone"):
        tone = light_words.tone(tone).key
    aperture = d.read("aperture", q.f_number)
    last = d.said("last")
    lux = d.read("lux", _lux)
    lux_at = d.read("lux_at", place)
    card, beside = d.read("card", place), d.read("beside", place)
    said = (d.read("f_number", q.f_number), d.read("time", q.duration_s), d.read("iso", q.iso_number))
    if lux_at and lux is None and d.said("lux") is None:
        d.problems.add("lux", "", "The figure read there.", "Try “3.2”.")
    if (card is None) != (beside is None):
        d.problems.add("card", d.said("card") or "", "The card and the bare board beside it, both.", "Touch both, close together.")
    d.close()
    assert face is not None
    kept = book.get_picture(picture)
    body: dict[str, Any] = kept["body"]
    exposure = board_last.exposure_of(body).filled(*said)
    y, clipped = linear_luminance(kept["data"])
    tie = board.Reference(lux, lux_at or face) if lux is not None else None
    laid = board.Card(card, beside) if card and beside else None
    known = planning.known_now(book)
    meter = photo.meter_of(body)
    offset_sd = math.sqrt(known.predict([prior.meter_effect(meter, "phone")])[1])
    light = board.read(y, clipped, exposure, tie, laid, offset_sd=0.0 if tie else offset_sd)
    here = board.at(light, face)
    against = board_last.seconds(book, board_last.Place(picture, face, tone, exposure), last) if last else None
    cast = board.cast(*redraw.linear_rgb(kept["data"]))
    return _Seen(light, here, tone, tie is not None, offset_sd, aperture, meter, against, cast)


def _standing(book: Book) -> float:
    """The lens's stop where it was said, or where it has but one."""
    said = (book.get_setting("phrase") or {}).get("aperture")
    if said:
        return float(said)
    body = todays_camera(book, None).body
    stops = {*body["stops"], body["f_number"]}
    if len(stops) > 1:
        raise Refusal.one("aperture", "", "The stop the lens stood at: a board reading holds for it.", "Try “f/16”.")
    return float(stops.pop())


def _lux(text: str) -> float:
    said = q.light_reading(text if "l" in text.lower() else f"{text} lx")
    if said.kind != "lux" or said.lux_lx is None or not 0.001 <= said.lux_lx <= 20_000:
        raise Refusal.one("", text, "Lux on the board, from 0.001 to 20 000.", "Try “3.2 lx”.")
    return said.lux_lx


def _found(book: Book, seen: _Seen) -> Found:
    here, words = seen.here, light_words.tone(seen.tone)
    low, high = (here.lux_lx * 2.0 ** (side * 1.645 * here.sd_stops) for side in (-1, 1))
    least = "at least " if here.at_least else ""
    first = f"Where the face falls, {least}{wording.lux(here.lux_lx)}, {wording.stops_pm(here.sd_stops)}; taken as {words.words}."
    figures = [Figure("face_lx", "On the paper at the face", wording.lux(here.lux_lx), here.lux_lx, "lx", wording.stops_pm(here.sd_stops), "E = π·L/ρ [ISO-12232]", low, high)]
    notes = [*seen.light.words, *here.words, *seen.cast]
    notes += _against_optics(book, seen, figures)
    if seen.last:
        figures.insert(0, seen.last[0])
        notes.insert(0, seen.last[1])
        first = f"{seen.last[0].said} as {seen.last[0].label.removeprefix('As ')}. {first}"
    try:
        seconds = _seconds(book, seen)
        figures.insert(0, seconds)
        first = f"{seconds.said}. {first}"
    except Refusal as refusal:
        wanting = ", ".join(dict.fromkeys(p.where.replace("_", " ") for p in refusal.problems))
        notes.append(f"For the seconds the plan still wants: {wanting}.")
    return Found("board", first, tuple(figures), notes=tuple(notes), cautions=DARK_WORDS)


def _seconds(book: Book, seen: _Seen) -> Figure:
    """What the plan would say by this reading. Refusal with what is still missing."""
    form = {"reading": f"{seen.here.lux_lx:.6g} lx on the board", "tone": seen.tone}
    p = planning.plan(book, form | {"aperture": f"f/{seen.aperture or _standing(book):g}"})
    if p.aperture is None:
        raise Refusal.one("way", p.way_words, "A sheet exposed in the camera.", "The board has nothing to tell of a lamp.")
    low, high = p.range90_s
    said = f"{wording.seconds(p.time_s)} at {wording.f_number(p.aperture)}"
    return Figure("time_s", "Seconds by this reading", said, p.time_s, "s", f"{wording.seconds(low)} to {wording.seconds(high)}, {wording.chance(p.keeper_chance)}", "the plan’s chain", low, high)


def _against_optics(book: Book, seen: _Seen, figures: list[Figure]) -> list[str]:
    """What the lens's arithmetic promised for the same sheet from a reading outside, where one stands."""
    from firstsheet.foresee import board

    try:
        p = planning.plan(book)
    except Refusal:
        return ["No reading outside stands beside it: nothing to compare the lens’s arithmetic with."]
    if p.aperture is None or any(link.key == "board" for link in p.chain):
        return []
    on_paper = [link for link in p.chain if link.unit == "lx"]
    doubt = [link.sd for link in p.chain if link.key == "reading" and link.sd]
    if not on_paper:
        return []
    promised = on_paper[-1].value
    mid = seen.here.lux_lx / 2.0 ** light_words.tone(seen.tone).stops
    sd = math.hypot(seen.here.sd_stops, light_words.tone(seen.tone).sd_stops)
    stops, beyond, why = board.disagreement(mid, sd, promised, math.hypot(doubt[0] if doubt else 0.2, 0.25))
    figures.append(Figure("against_optics_stops", "Board against the lens’s arithmetic", wording.stops(stops), stops, "stop", f"promised {wording.lux(promised)} for a mid-tone", "H = 0.65·L·t/N_eff² [ISO-2721]"))
    if not beyond:
        return ["Board and lens’s arithmetic agree within what both are worth."]
    less = "less" if stops < 0 else "more"
    return [f"The board has {wording.stops_apart(stops)} {less} light than the lens’s arithmetic promises, beyond both doubts. What could explain it: {'; '.join(why)}. The board is believed."]
