"""The range of the scene on this paper: every tone that was read, laid on the curve at the planned exposure, and kept with the sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import tables
from firstsheet.acts import plan as planning
from firstsheet.acts import reading
from firstsheet.acts.sheet import mark
from firstsheet.acts.versions import tones_of
from firstsheet.belief import prior
from firstsheet.light import words as light_words
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from collections.abc import Sequence

    from firstsheet.acts.answers import Plan
    from firstsheet.acts.reader import Reader
    from firstsheet.belief.posterior import Posterior
    from firstsheet.book.store import Book
    from firstsheet.foresee.placed import Placed, Read

MARK = "ranged"
FATES = {"holds": "holds detail", "white": "blown white on the sheet", "black": "dead black on the sheet"}


@dataclass(frozen=True, slots=True)
class Tone:
    """One tone on the sheet: stops from the plan's mid-tone and their doubt, density [D], fate (holds, white, black), its chance [1]."""

    name: str
    stops: float
    sd_stops: float
    density: float
    fate: str
    chance: float
    at_least: bool
    words: str


@dataclass(frozen=True, slots=True)
class Range:
    """The scene on the paper: `range_stops` ± `range_sd` brightest minus darkest, `holds` from and to which stop detail is held.

    placement  what the plan placed in the middle; curve, whose curve it is; measured, whether of this box in this developer
    """

    says: str
    range_stops: float
    range_sd: float
    holds: tuple[float, float]
    tones: tuple[Tone, ...]
    placement: str
    curve: str
    measured: bool
    seconds: float
    notes: tuple[str, ...]
    scale_svg: str


def placed(book: Reader) -> Range:
    """The tones read for the next sheet, on its paper at the exposure its plan gives."""
    from firstsheet.drawing.tone_scale import tone_scale
    from firstsheet.foresee import placed as core
    from firstsheet.foresee.route import Chain

    p = planning.plan(book)
    if p.aperture is None:
        raise Refusal.one("way", p.way_words, "A sheet exposed in the camera.", "A contact print's range is its negative's.")
    tones, curve = tones_of(book, p.way, p.box, p.developer, p.light)
    more = math.log2(p.time_s / p.wanted_s)
    read, placing = _read(book, planning.known_now(book))
    scene = core.place(Chain(p.way, tones, more, p.flash_share), read, p.sd_stops)
    told = tuple(_told(t, tones.sense) for t in scene.tones)
    svg = tone_scale([(t.name, t.stops, t.sd_stops, t.fate) for t in told], scene.holds)
    where = f"Placed by the plan: {', '.join(placing)}; the exposure is {p.headline()}."
    return Range(
        _says(scene.range_stops, scene.range_sd, told), scene.range_stops, scene.range_sd, scene.holds, told, where,
        tones.words, curve is not None, p.time_s, _notes(p, curve, told), svg,
    )  # fmt: skip


def keep(book: Book, code: str) -> Range:
    """Keep the range with a sheet that is planned or exposed, as it stands now."""
    from firstsheet.answer import to_json

    found = placed(book)
    body = to_json(found)
    assert isinstance(body, dict)
    body.pop("scale_svg", None)
    with book.begin():
        mark(book, book.get_sheet(code), MARK, body)
    return found


def kept(book: Reader, code: str) -> dict[str, Any] | None:
    """The range last kept with a sheet, as data; None where there is none."""
    return last_kept(book.marks(book.get_sheet(code)["id"]))


def last_kept(marks: Sequence[dict[str, Any]]) -> dict[str, Any] | None:
    """The range last kept among a sheet's marks, as data; None where there is none."""
    found = [m for m in marks if m["kind"] == MARK]
    return dict(found[-1]["body"]) if found else None


def leave_out(book: Book, name: str) -> None:
    """A tone read for the next sheet is left out of range and exposure. Refuses a name nobody read."""
    phrase = dict(book.get_setting("phrase") or {})
    names = {i: _name(book.get_reading(i)) for key in ("readings", "tones") for i in phrase.get(key, ())}
    gone = {i for i, n in names.items() if n == name}
    if not gone:
        raise Refusal.one("tone", name, f"One of: {', '.join(names.values()) or 'none was read'}.", "Name it as it is shown.", "missing")
    stays = {key: [i for i in phrase.get(key, ()) if i not in gone] for key in ("readings", "tones")}
    if not stays["readings"]:
        raise Refusal.one("tone", name, "A tone beside the one that places the exposure.", "Read another first; it takes this one's place.")
    with book.begin():
        book.set_setting("phrase", phrase | stays)


def _name(row: dict[str, Any]) -> str:
    k = reading.from_row(row)
    return str(row["body"].get("named") or (light_words.tone(k.reading.tone).words if k.reading.how == "reflected" else k.said))


def _read(book: Reader, known: Posterior) -> tuple[list[Read], list[str]]:
    """Every tone read for this sheet against what the plan takes for mid-tone, and what was placed.

    Two meters differ by a lasting offset: what the book knows of it is taken out, its doubt stays in.
    """
    from firstsheet.foresee.placed import Read
    from firstsheet.light import reading as light_reading

    phrase = book.get_setting("phrase") or {}
    placing = [book.get_reading(i) for i in phrase.get("readings", ())]
    rows = [(r, reading.from_row(r)) for r in placing]
    if any(k.reading.kind == "board" for _, k in rows):
        raise Refusal.one("reading", "on the board", "Readings of the scene.", "Read the tones outside, or from a photo of the scene.")
    if not rows:
        raise Refusal.one("tones", "none", "A reading, and the tones of the scene.", "Touch a face, a shirt, a sky in a photo.")
    mid = math.log2(light_reading.midtone_of_all([k.reading for _, k in rows]).luminance_cdm2)
    weights = light_reading.weights([k.reading for _, k in rows])
    meters = [(k.reading.meter, k.meter_kind) for _, k in rows]
    extra = [(r, reading.from_row(r)) for r in map(book.get_reading, phrase.get("tones", ()))]
    out: dict[str, Read] = {}
    for row, k in [*rows, *extra]:
        if k.reading.how != "reflected":
            continue  # incident light falls on every tone alike: it places, and is no tone
        one = light_reading.midtone_of(k.reading)
        stops = math.log2(one.luminance_cdm2) + light_words.tone(k.reading.tone).stops - mid
        first = prior.meter_effect(k.reading.meter, k.meter_kind)
        others = [(prior.meter_effect(*m), w) for m, w in zip(meters, weights, strict=True)]
        apart, variance = _apart(known, first, others)
        own = k.reading.sd_stops if k.reading.sd_stops is not None else light_reading.OWN_SD_STOPS[k.reading.kind]
        name = _name(row)
        out[name] = Read(name, stops - apart, math.sqrt(own**2 + variance), bool(row["body"].get("at_least")))
    if not out:
        raise Refusal.one("tones", "incident light alone", "Tones of the scene.", "Touch a face, a shirt, a sky in a photo, or read them with a spot meter.")
    names = [_name(r) for r, _ in rows]
    return list(out.values()), names


def _apart(known: Posterior, first: Any, others: list[tuple[Any, float]]) -> tuple[float, float]:
    """How much higher this tone's meter reads than those that placed the exposure [stop], and its variance."""
    from dataclasses import replace

    share: dict[str, Any] = {first.key: first}
    for e, w in others:
        so_far = share[e.key].coefficient if e.key in share else 0.0
        share[e.key] = replace(e, coefficient=so_far - w)
    return known.predict([e for e in share.values() if abs(e.coefficient) > 1e-9])


def _told(t: Placed, sense: int) -> Tone:
    fate = FATES[t.fate]
    if sense > 0 and t.fate != "holds":
        fate += ", white in its print" if t.fate == "black" else ", black in its print"
    least = "at least " if t.at_least else ""
    side = "over" if t.stops > 0 else "under"
    where = f"{least}{abs(t.stops):.1f} stop {side} mid-tone" if abs(t.stops) >= 0.05 else f"{least or 'at '}mid-tone"
    tenths = min(10, max(1, round(10 * t.chance)))
    return Tone(t.name, t.stops, t.sd_stops, t.density, t.fate, t.chance, t.at_least, f"{t.name}: {where}, {fate} ({tenths} in 10)")


def _says(stops: float, sd: float, told: tuple[Tone, ...]) -> str:
    lost = [t.name for t in told if t.fate != "holds"]
    span = f"The scene spans {stops:.1f} ± {sd:.1f} stop over {len(told)} tones" if len(told) > 1 else "One tone was read: no range yet"
    return f"{span}. " + (f"No detail in: {', '.join(lost)}." if lost else "Every tone that was read holds detail.")


def _notes(p: Plan, curve: int | None, told: tuple[Tone, ...]) -> tuple[str, ...]:
    out = []
    if curve is None:
        out.append("This box was not measured: the curve stands in for it, with doubt. A strip read into a curve settles it.")
    if any(t.at_least for t in told):
        out.append("A clipped tone is brighter than told by an unknown amount. Take the photo again with less exposure.")
    if p.flash_share:
        out.append("The planned even flash is counted in.")
    if tables.load("ways")[p.way]["sensitivity"] != "colour":
        out.append("A meter sees green best, this paper blue: a blue sky counts for more light here than it was read for, red things for less.")
    out.append("Glare in the room's lens lifts the darkest tones; it is not counted.")
    return tuple(out)
