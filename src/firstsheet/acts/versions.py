"""Which did you want? A photo of the sheet beside a white; its border first; then five versions of it, and one is touched.

A version is named by the exposure it stands for and shown by its tone, so that a direction is never asked of anyone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts import bad_day, bad_day_known, calibrate_kept, judge
from firstsheet.acts.answers import Change, SheetState
from firstsheet.acts.door import Door, Form
from firstsheet.acts.sheet import sheet
from firstsheet.paper import response
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book
    from firstsheet.foresee.redraw import Border, SheetPhoto
    from firstsheet.foresee.tone import Tones

STOPS = {"-1": -1.0, "-1/2": -0.5, "0": 0.0, "+1/2": 0.5, "+1": 1.0}
TONES = {2: "much darker", 1: "darker", 0: "as it is", -1: "lighter", -2: "much lighter"}
EYE_SD = 0.25  # of a choice by eye between versions half a stop apart [stop]; common practice, no source
LAST_SD = 0.25  # more at the last version on either side: what was wanted may lie beyond it [stop]; ours
HIDDEN_SD = (
    0.50  # more where all of the picture is black or white without detail, its part of that where some is [stop]; ours
)
BARE_D = 0.06  # of bare paper, where a curve is counted from its strip's own border [D]; common practice, no source
PICTURE_SAID = "versions of"
Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Version:
    """The sheet with `stops` more exposure [stop], named by `key` ("+1/2"), told by its tone in `words`.

    dead_black, blown_white  shares of the photo without detail in it [1]
    """

    key: str
    stops: float
    words: str
    dead_black: float
    blown_white: float


@dataclass(frozen=True, slots=True)
class BorderSeen:
    """The masked border in the photo [D], 9 in 10 between low and high; says "clean" or "fogged"."""

    density: float
    low: float
    high: float
    says: str
    words: str


@dataclass(frozen=True, slots=True)
class Versions:
    """What a photo of a sheet offers. versions: darkest first; none where the border says fog.

    unknown          share of the photo that is dead black or blown white: its exposure cannot be told [1]
    curve_measured   whether the curve is of this box in this developer; curve, its number in the book, None for one that stands in
    """

    code: str
    picture: int
    way: str
    way_words: str
    reading_of: str
    white: Place
    border_at: Place | None
    border: BorderSeen | None
    border_should_be: str
    curve_words: str
    curve_measured: bool
    curve: int | None
    unknown: float
    versions: tuple[Version, ...]
    notes: tuple[str, ...]


def take_in(book: Book, code: str, data: bytes) -> int:
    """Keep a photo of the sheet, upright and without position; its number."""
    from firstsheet.light.photo import receive

    now = _to_judge(book, code)
    got = receive(data)
    body = {
        "width": got.width,
        "height": got.height,
        "said": f"{PICTURE_SAID} {now.code}",
        "warnings": list(got.warnings),
    }
    return book.add_picture("image/jpeg", got.kept_jpeg, body)


def make(book: Book, code: str, data: bytes, form: Form) -> Versions:
    """Keep the photo and look at it. Fields as in `look`."""
    now = _to_judge(book, code)
    places = _places(form)
    from firstsheet.light.photo import receive

    _Look.at(book, now, receive(data).kept_jpeg, places)  # what cannot be looked at is not kept
    return look(book, code, take_in(book, code, data), form)


def size(book: Book, code: str, picture: int) -> tuple[int, int]:
    """Width and height of a photo kept of this sheet [px]."""
    body = _kept(book, _to_judge(book, code), picture)["body"]
    return int(body["width"]), int(body["height"])


def kept_photo(book: Book, code: str, picture: int) -> bytes:
    """A photo kept of this sheet, as a JPEG. Refusal where it is another’s."""
    data: bytes = _kept(book, _to_judge(book, code), picture)["data"]
    return data


def look(book: Book, code: str, picture: int, form: Form) -> Versions:
    """The border and the five versions of a photo that is kept. Nothing is stored.

    Fields: white, border: places “x,y” as fractions from left and top; the border may be left out and said by eye later.
    """
    now = _to_judge(book, code)
    seen = _Look.at(book, now, _kept(book, now, picture)["data"], _places(form))
    entry = response.way_of(seen.way)
    fogged = seen.border is not None and seen.border.says == "fogged"
    versions = () if fogged else tuple(_version(seen, key) for key in _darkest_first(seen.way))
    unknown = _unknown(seen)
    return Versions(
        now.code, picture, seen.way, str(entry["words"]), str(entry["reading_of"]), seen.white, seen.border_at,
        _border_seen(seen.border), str(entry["border"]), seen.tones.words, seen.tones.measured, seen.curve, unknown, versions,
        tuple(_notes(seen, unknown)),
    )  # fmt: skip


def drawn(book: Book, code: str, picture: int, form: Form, key: str) -> bytes:
    """One version as a JPEG, its white at nine tenths. Fields as in `look`."""
    from firstsheet.foresee import redraw

    now = _to_judge(book, code)
    seen = _Look.at(book, now, _kept(book, now, picture)["data"], _places(form))
    _offered(seen)
    return redraw.jpeg(redraw.redrawn(seen.photo, seen.tones, STOPS[_key_of(seen.way, key)]))


def strip(book: Book, code: str, picture: int, form: Form) -> bytes:
    """All five beside each other as one JPEG, darkest first."""
    from firstsheet.foresee import redraw

    now = _to_judge(book, code)
    seen = _Look.at(book, now, _kept(book, now, picture)["data"], _places(form))
    _offered(seen)
    keys = _darkest_first(seen.way)
    return redraw.jpeg(redraw.side_by_side([redraw.redrawn(seen.photo, seen.tones, STOPS[k]) for k in keys]))


def touch(book: Book, code: str, picture: int, form: Form) -> Change:
    """The version wanted becomes the judgement.

    Fields: white, border (as in `look`; without a place, border is said by eye: white, grey, black), version (“lighter”,
    “+1/2”), wet (yes unless said), kept, note. Refused where the border measures fog.
    """
    now = _to_judge(book, code)
    d = Door(form)
    rest = {key: d.said(key) for key in ("kept", "note")}
    white, border = d.said("white"), d.said("border")
    wet = d.flag("wet")
    hint = "Touch the one you wanted."
    said = d.must("version", str, "One of: " + ", ".join(TONES.values()) + ".", hint)
    by_eye = border if border in ("white", "grey", "black") else None
    if border is None:
        words = "Where the border is, or white, grey or black."
        d.problems.add("border", "", words, "Look first at the edge that the frame or a magnet covered.")
    with d.problems.at("version"):
        key = _key_of(now.plan["way"], said or "0")
    d.close()
    places = _places({"white": white, "border": None if by_eye else border})
    seen = _Look.at(book, now, _kept(book, now, picture)["data"], places)
    _offered(seen)
    told = _told(seen, key, wet is not False, picture)
    looked = by_eye or str(response.way_of(seen.way)["border"])
    fields = {"border": looked, "wet": "no" if wet is False else "yes", **{k: v for k, v in rest.items() if v}}
    change = judge.judge(book, code, fields, told=told)
    return (
        replace(change, next_time=(*change.next_time, *_stopped(book, now, told.need_stops)))
        if change.taught
        else change
    )


def _stopped(book: Book, now: SheetState, needed: float) -> tuple[str, ...]:
    """Where this is the third miss of one kind: that it is time to stop, and the scrap that decides."""
    if abs(needed) < bad_day_known.MISS_STOPS:
        return ()
    dark = response.need_from_tone(now.plan["way"], needed) > 0
    found = bad_day.bad_day(book, now.code, {"saw": "all_black" if dark else "blank"})
    if not found.stop_now:
        return ()
    return (found.stop_rule, *((found.decider.do,) if found.decider else ()))


def need(way: str, stops: float, *, wet: bool) -> tuple[float, float]:
    """Stops more exposure that a version asks for, and the doubt that drying adds [stop].

    The version is the exposure itself. A wet sheet dries darker, which is a tone, and turned where tones are.
    """
    darker, doubt = response.dry_down(way, wet=wet)
    return stops + response.need_from_tone(way, darker), doubt


# ── one look ──


@dataclass(frozen=True, slots=True, eq=False)
class _Look:
    way: str
    white: Place
    border_at: Place | None
    photo: SheetPhoto
    border: Border | None
    tones: Tones
    curve: int | None

    @classmethod
    def at(cls, book: Book, now: SheetState, kept_jpeg: bytes, places: tuple[Place, Place | None]) -> _Look:
        from firstsheet.foresee import redraw

        way = str(now.plan["way"])
        tones, curve = tones_of(book, way, now.plan["box"], now.plan["developer"], str(now.plan.get("light", "")))
        white, border_at = places
        photo = redraw.against_white(*redraw.linear_rgb(kept_jpeg), white)
        found = redraw.border(photo, border_at, tones) if border_at else None
        if found:
            photo = redraw.anchored(photo, found, tones)
        return cls(way, white, border_at, photo, found, tones, curve)


def tones_of(book: Reader, way: str, box: str, developer: str, light: str = "") -> tuple[Tones, int | None]:
    """The curve by reflection kept of this box in this developer, of this light before others, else the newest, and its number; or
    one that stands in, and None.

    By its table (log_h, density) where it holds one, else through its figures: ISO R, base and Dmax, where all were reached. One
    that shows no curve of this way of working is passed over.
    """
    from firstsheet.foresee import tone

    kept = calibrate_kept.of(book, box, developer, "reflection", way)
    for thing in sorted(kept, key=lambda t: t["body"].get("light") != light):
        b: dict[str, Any] = thing["body"]
        words = f"the curve measured of {calibrate_kept.words_of(b)}"
        f = {str(f["key"]): f["value"] for f in b.get("figures", ())}
        try:
            if b.get("log_h"):
                bare = BARE_D if b.get("counted_from") in ("border", "lightest step") else 0.0
                density = [v + bare for v in b.get("density", ())]
                return tone.measured(b["log_h"], density, way, words, b.get("end_sd")), int(thing["id"])
            if None not in (f.get("iso_r"), f.get("base"), f.get("dmax")):
                return tone.of_figures(way, f["base"], f["dmax"], f["iso_r"] / 100.0, words), int(thing["id"])
        except Refusal:
            continue
    return tone.stand_in(way), None


def _to_judge(book: Book, code: str) -> SheetState:
    now = sheet(book, code)
    if now.given_s is None:
        hint = "Say what it was given: firstsheet expose " + now.code
        raise Refusal.one("sheet", now.code, "A sheet that has been exposed.", hint)
    if now.strip:
        hint = "Judge the strip by the step that looks right."
        raise Refusal.one("sheet", now.code, "A whole sheet: a strip holds its own versions.", hint)
    return now


def _kept(book: Book, now: SheetState, picture: int) -> dict[str, Any]:
    row = book.get_picture(picture)
    if row["body"].get("said") != f"{PICTURE_SAID} {now.code}":
        hint = "Send the photo again."
        raise Refusal.one("picture", picture, f"A photo of the result of sheet {now.code}.", hint, "missing")
    return row


def _places(form: Form) -> tuple[Place, Place | None]:
    d = Door(form)
    hint = "Touch the white card or paper beside the sheet."
    white = d.must("white", place, "A place “x,y”, each from 0 to 1.", hint)
    border = d.read("border", place)
    d.close()
    assert white is not None
    return white, border


def place(text: str) -> Place:
    """“0.1,0.9” as fractions from the left and the top edge."""
    x, comma, y = text.partition(",")
    if not comma:
        raise Refusal.one("", text, "A place “x,y”, each from 0 to 1.", "From the left and from the top: “0.1,0.9”.")
    return q.plain_number(x, 0.0, 1.0), q.plain_number(y, 0.0, 1.0)


def _darkest_first(way: str) -> list[str]:
    """The versions in order of tone."""
    return sorted(STOPS, key=lambda k: response.need_from_tone(way, STOPS[k]))


def _words_of(way: str, key: str) -> str:
    return TONES[2 - _darkest_first(way).index(key)]


def _key_of(way: str, said: str) -> str:
    """A version by its tone ("lighter") or by its exposure in stops ("+1/2", "−0.5")."""
    text = " ".join(said.strip().lower().replace("_", " ").replace("−", "-").replace("½", "1/2").split())
    for key in STOPS:
        if text == _words_of(way, key):
            return key
    try:
        stops = float(Fraction(text))
    except (ValueError, ZeroDivisionError):
        stops = math.nan
    found = next((k for k, v in STOPS.items() if v == stops), None)
    if found is None:
        raise Refusal.one(
            "", said, "One of: " + ", ".join(TONES.values()) + ".", "Or stops of exposure: −1, −1/2, 0, +1/2, +1."
        )
    return found


def _offered(seen: _Look) -> None:
    if seen.border is not None and seen.border.says == "fogged":
        hint = "No speed is read from a fogged sheet: see what may have fogged it, or touch the border elsewhere."
        raise Refusal.one("border", f"density {seen.border.density:.2f}", seen.border.words, hint)


def _border_seen(b: Border | None) -> BorderSeen | None:
    return BorderSeen(b.density, b.low, b.high, b.says, b.words) if b else None


def _version(seen: _Look, key: str) -> Version:
    density = seen.photo.density[::2, ::2].astype(float)
    after = density + seen.tones.change(density, STOPS[key])
    black, white = float(seen.tones.black(after).mean()), float(seen.tones.white(after).mean())
    return Version(key, STOPS[key], _words_of(seen.way, key), black, white)


def _unknown(seen: _Look) -> float:
    density = seen.photo.density.astype(float)
    return float((seen.tones.black(density) | seen.tones.white(density)).mean())


def _told(seen: _Look, key: str, wet: bool, picture: int) -> judge.Told:
    stops = STOPS[key]
    asked, drying = need(seen.way, stops, wet=wet)
    last = LAST_SD if abs(stops) == max(STOPS.values()) else 0.0
    sd = math.hypot(EYE_SD, drying, last, seen.tones.contrast_sd * abs(stops), HIDDEN_SD * _unknown(seen))
    words = f"version {key.replace('-', '−').replace('1/2', '½')}, {_words_of(seen.way, key)}"
    return judge.Told(asked, sd, words, picture)


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _notes(seen: _Look, unknown: float) -> list[str]:
    out = []
    if unknown >= 0.01:
        density = seen.photo.density.astype(float)
        black, white = (_percent(float(m.mean())) for m in (seen.tones.black(density), seen.tones.white(density)))
        out.append(
            f"Of the photo, card and border with it, {black} is dead black and {white} blown white: how far beyond, no photo tells, and it stays as it is here."
        )
    if seen.tones.measured:
        out.append(f"Drawn through {seen.tones.words}.")
    else:
        doubt = wording.stops_pm(seen.tones.contrast_sd)
        out.append(
            f"Drawn through {seen.tones.words}; a step of a stop is good to {doubt}. A scrap with steps measures it."
        )
    if seen.way == "paper_negative":
        out.append("Judge the pale parts, where the shadows are. It may be judged again after its contact print.")
    if seen.way == "reversal_ra4":
        out.append("Tone alone: the colour balance is judged apart, dry.")
    return out
