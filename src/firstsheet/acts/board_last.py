"""Seconds against a sheet that was good: its board and this one photographed by the same phone. What phone and board are off by cancels."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from firstsheet import wording
from firstsheet.acts import photo
from firstsheet.acts.found import Figure
from firstsheet.acts.sheet import sheet
from firstsheet.light import words as light_words
from firstsheet.light.exif import Exposure
from firstsheet.refusal import Problems, Refusal

if TYPE_CHECKING:
    from firstsheet.book.store import Book, Row
    from firstsheet.foresee.board import PlaceLight

AGAIN_SD = 0.10  # one phone from photo to photo: its exposure data are rounded, its tones are its own each time [stop]; ours
KEPT_SD = 0.25  # how near the right time a sheet is that was kept and not said more of [stop]; ours


@dataclass(frozen=True, slots=True)
class Place:
    """A touched place of a photo of the board, and what the photo was taken with."""

    picture: int
    face: tuple[float, float]
    tone: str
    exposure: Exposure


def seconds(book: Book, now: Place, code: str) -> tuple[Figure, str]:
    """The time that gives this picture what the kept sheet got: its time · E then ÷ E now, both reckoned to a mid-tone.

    Fields of the kept sheet's board photo are those its picture was foretold by. Refusal, all at once, where one of the two says
    too little, or they are of two phones.
    """
    from firstsheet.foresee import board

    good = sheet(book, code)
    then = _then(book, code)
    found = Problems()
    if good.given_s is None or not good.judgement or good.judgement.get("kept") is False or good.judgement.get("fogged"):
        found.add("last", good.code, "A sheet that was exposed, judged and kept.", "Name a keeper.")
    rows = [book.get_picture(p.picture) for p in (then, now)]
    if photo.meter_of(rows[0]["body"]) != photo.meter_of(rows[1]["body"]):
        found.add("last", good.code, "A board photographed by the same phone as this one.", "Tie this photo to a lux figure.")
    for p, name in ((then, f"the board of {good.code}"), (now, "this photo")):
        if None in (p.exposure.f_number, p.exposure.time_s, p.exposure.iso):
            found.add("last", name, "Photos that carry their f-number, time and ISO.", "Send the photo as the phone made it.")
    found.raise_if_any()
    assert good.given_s is not None
    assert good.judgement is not None
    lights = [_light(row, p) for row, p in zip(rows, (then, now), strict=True)]
    tones = [light_words.tone(p.tone) for p in (then, now)]
    mids = [light.lux_lx / 2.0**tone.stops for light, tone in zip(lights, tones, strict=True)]
    need, need_sd = float(good.judgement.get("need_stops") or 0.0), max(float(good.judgement.get("need_sd") or 0.0), KEPT_SD)
    time_s = good.given_s * mids[0] / mids[1] * 2.0**need
    codes = [light.lux_lx / _scale(p.exposure) for light, p in zip(lights, (then, now), strict=True)]
    bent = min(board.TONE_SD * abs(math.log2(codes[1] / codes[0])), board.TONE_MOST)
    tone_sd = 0.0 if then.tone == now.tone else math.hypot(*(t.sd_stops for t in tones))
    sd = math.hypot(*(light.sd_stops for light in lights), AGAIN_SD, bent, tone_sd, need_sd)
    low, high = (time_s * 2.0 ** (side * 1.645 * sd) for side in (-1, 1))
    stops = math.log2(mids[1] / mids[0])
    figure = Figure("last_s", f"As sheet {good.code} was", wording.seconds(time_s), time_s, "s", f"{wording.seconds(low)} to {wording.seconds(high)}", "E then ÷ E now × its time", low, high)
    words = f"The board has {wording.stops_apart(stops)} {'more' if stops > 0 else 'less'} light than for sheet {good.code}, which got {wording.seconds(good.given_s)}" if abs(stops) >= 0.05 else f"The board has as much light as for sheet {good.code}, which got {wording.seconds(good.given_s)}"
    judged = f" and wanted {wording.stops(need)}" if abs(need) >= 0.05 else ""
    return figure, f"{words}{judged}. This holds for the same box and developer; a paper that slows over long times wants more than it says."


def _then(book: Book, code: str) -> Place:
    """The kept sheet's board: the photo its picture was foretold by."""
    from firstsheet.acts.ahead import foretold
    from firstsheet.acts.versions import place

    told = foretold(book, code)
    form = told["form"] if told else {}
    if told is None or form.get("of", "board") != "board" or not form.get("face"):
        raise Refusal.one("last", code, "A keeper whose board was photographed and touched before it was exposed.", "Keep the sheet ahead with a sheet, and the next one can be held against it.")
    body = book.get_picture(int(told["picture"]))["body"]
    return Place(int(told["picture"]), place(form["face"]), form.get("tone") or "face_light", exposure_of(body))


def exposure_of(body: Row) -> Exposure:
    """What a kept photo says of its exposure."""
    return Exposure(body.get("f_number"), body.get("time_s"), body.get("iso"), body.get("taken") or "")


def _light(row: Row, p: Place) -> PlaceLight:
    """The light there with the doubt of this place alone: the phone's and the board's own cancel."""
    from firstsheet.foresee import board
    from firstsheet.light.photo import linear_luminance

    y, clipped = linear_luminance(row["data"])
    return board.at(replace(board.read(y, clipped, p.exposure, offset_sd=0.0), sd_stops=0.0), p.face)


def _scale(exposure: Exposure) -> float:
    f_number, time_s, iso = exposure.settings()
    return f_number * f_number / (time_s * iso)
