"""The contact print: a lamp known by one strip, a negative by what passes through it, and the seconds and grade for tonight's height and paper."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts import calibrate_kept, counting
from firstsheet.acts.contact_kept import CAUTION, LAMP, NEGATIVE
from firstsheet.acts.door import Door, Form
from firstsheet.answer import Z90
from firstsheet.printing import contact as core
from firstsheet.printing import counting as counts
from firstsheet.printing import lamp as lamps
from firstsheet.printing import negative as negatives
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader

FITS_D = 0.12  # half a grade, so near a negative fits [D]; ours, no source
USUAL_RANGE_SD = 0.08  # of a range told by a grade or a data sheet [log10]; ours, no source
SIDES = {
    "together": "Emulsion to emulsion: the print is sharp and comes the right way round, a lens's paper negative being reversed. With a mirror before the lens it comes reversed.",
    "apart": "Negative's back to the paper: the print comes left-right reversed and softer by the thickness of the paper. With a mirror before the lens it comes right.",
}


@dataclass(frozen=True, slots=True)
class Contact:
    """What to give. Times [s]; sd_stops, corner_stops, count_stops, pace_stops [stop]; range_log the paper's R/100, range_d the negative's.

    grade the grade that fits the negative, None where none does; corner_s seconds the corners would want, None where not known
    counts whole counts by this person's own second; better_height_mm where the count's error halves, 0 where it need not
    """

    lamp: str
    negative: str
    height_mm: float
    first: str
    time_s: float
    low_s: float
    high_s: float
    sd_stops: float
    shadows_s: float
    highlights_s: float
    range_d: float
    range_log: float
    over_d: float
    grade: int | None
    corner_stops: float | None
    corner_s: float | None
    strip_s: tuple[float, ...]
    pace_stops: float
    counts: int
    count_stops: float
    better_height_mm: float
    says: str
    sides: str
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    side_svg: str


@dataclass(frozen=True, slots=True)
class _Said:
    """What was said, checked. range_log [log10]; lengths [mm]."""

    lamp: tuple[str, dict[str, Any]]
    negative: tuple[str, dict[str, Any]]
    height_mm: float | None
    range_log: float | None
    grade: int | None
    first: str
    sheet_mm: tuple[float, float] | None
    facing: str
    glass: bool
    printed: bool
    judged: str


def contact(reader: Reader, form: Form | None = None) -> Contact:
    """Seconds for a print. Fields: lamp, negative, height (the strip's unless said); range (“R 110”) or grade (0 to 5) of the paper, its own curve
    unless said; first (shadows, highlights); sheet (its size, for the corners); asked before, each a must: facing (together, apart), glass (yes, no),
    back_print (yes, no: the maker's name on the negative's back); state (dry, wet) of the negative tonight; judged (dry, wet) of the strip."""
    said = _said(reader, form)
    the_lamp, at, found, range_words = _worked_out(reader, said)
    off = math.hypot(*said.sheet_mm) / 2 if said.sheet_mm else None
    corner = lamps.corner_stops(the_lamp, at, off) if off else None
    mine = counting.own_counting(reader)
    error = counts.error_stops(mine, found.time_s)
    better = _better(the_lamp, mine, found.time_s, at)
    pace, strip = core.strip(found.time_s, found.sd_stops)
    spread = 2.0 ** (Z90 * found.sd_stops)
    fits = core.grade_for(found.range_d)
    says = _says(found, fits, said.first, at) + (f" {better[1]}" if better[0] else "")
    notes = [f"The paper: {range_words}.", *_notes(found, corner, off, said.printed, said.facing == "apart")]
    return Contact(
        said.lamp[0], said.negative[0], at, said.first, found.time_s, found.time_s / spread, found.time_s * spread, found.sd_stops, found.shadows_s,
        found.highlights_s, found.range_d, found.range_d - found.over_d, found.over_d, fits, corner, found.time_s * 2.0**corner if corner is not None else None,
        strip, pace, counts.counts_for(mine, found.time_s), error, better[0], says, SIDES[said.facing], tuple(notes), (CAUTION,),
        _side(the_lamp, at, off, found.time_s, corner),
    )  # fmt: skip


def _worked_out(reader: Reader, said: _Said) -> tuple[lamps.Lamp, float, core.Seconds, str]:
    """The lamp, its height tonight [mm], the seconds, and where the paper's range is from."""
    b, n = said.lamp[1], said.negative[1]
    the_lamp = lamps.Lamp(b["kind"], b["black_s"], b["sd"], b["height_mm"], b["across_mm"], lamps.SAG_SD["battery" if b["battery"] else "mains"], b["corner"], b["corner_mm"])  # fmt: skip
    range_log, range_words = _range(reader, b, said.range_log, said.grade)
    at = said.height_mm or the_lamp.height_mm
    moved, moved_sd = lamps.moved_stops(the_lamp, at)
    extra = lamps.glass_stops() * ((said.glass) - bool(b["glass"]))
    dry, dry_sd = (-core.DRY_DOWN[0], core.DRY_DOWN[1]) if said.judged == "wet" else (0.0, 0.0)
    sd = math.hypot(
        the_lamp.sd_stops,
        the_lamp.sag_sd,
        moved_sd,
        dry_sd,
        USUAL_RANGE_SD * math.log2(10) if said.first == "highlights" else 0.0,
    )
    found = core.seconds(
        b["black_s"] * 2.0 ** (moved + extra + dry),
        sd,
        negatives.Negative(n["clear_d"], n["dense_d"], n["sd_d"], n["state"]),
        range_log,
        said.first,
    )
    return the_lamp, at, found, range_words


def _said(reader: Reader, form: Form | None) -> _Said:
    d = Door(form)
    known_lamp, known_negative = _kept(reader, d, LAMP, "lamp"), _kept(reader, d, NEGATIVE, "negative")
    height = d.read("height", q.length_mm)
    said_range = d.read(
        "range",
        lambda t: q.plain_number(t.upper().removeprefix("ISO").strip().removeprefix("R").strip(), 30, 250) / 100,
    )
    grade = d.read("grade", lambda t: int(q.plain_number(t, 0, 5)))
    first = d.pick("first", ("shadows", "highlights")) or "shadows"
    size = d.read("sheet", q.sheet_size_mm)
    facing = _asked(
        d, "facing", tuple(SIDES), "Emulsion to emulsion, or the negative's back to the paper: together or apart."
    )
    glass = _asked(d, "glass", ("yes", "no"), "Glass over both, or none: yes or no.")
    printed = _asked(d, "back_print", ("yes", "no"), "The maker's name on the negative's back: yes or no. It prints.")
    state = d.pick("state", ("dry", "wet")) or "dry"
    judged = d.pick("judged", ("dry", "wet")) or "dry"
    if said_range is not None and grade is not None:
        d.problems.add("grade", grade, "The range or the grade, one of them.", "Leave the other out.")
    if known_negative and known_negative[1]["state"] != state:
        d.problems.add(
            "state",
            state,
            f"This negative was read {known_negative[1]['state']}; wet paper lets more light through.",
            "Read it again as it will be printed.",
        )
    if height is not None:
        with d.problems.at("height"):
            lamps.check_height(height)
    d.close()
    assert known_lamp is not None
    assert known_negative is not None
    return _Said(
        known_lamp, known_negative, height, said_range, grade, first, size, str(facing), glass == "yes", printed == "yes", judged
    )  # fmt: skip


def _side(the_lamp: lamps.Lamp, at_mm: float, off_mm: float | None, time_s: float, corner: float | None) -> str:
    """The drawing, for a sheet whose size was said; else ""."""
    if off_mm is None:
        return ""
    from firstsheet.drawing.lamp_side import lamp_side

    words = f"−{wording.stops_apart(corner)}" if corner is not None else "not measured"
    return lamp_side(at_mm, the_lamp.across_mm, 2 * off_mm, wording.seconds(time_s), words)


def _asked(d: Door, key: str, allowed: tuple[str, ...], question: str) -> str | None:
    """Asked before the print, not after: saying nothing is refused."""
    if d.said(key) is None:
        d.problems.add(key, "", question, "Look before the lamp is lit.")
        return None
    return d.pick(key, allowed)


def _kept(reader: Reader, d: Door, kind: str, field: str) -> tuple[str, dict[str, Any]] | None:
    """The thing named, or the only one."""
    name = d.name(field)
    rows = reader.things(kind)
    found = [t for t in rows if name is None or t["name"].lower() == name.lower()]
    if len(found) == 1:
        return str(found[0]["name"]), found[0]["body"]
    names = ", ".join(t["name"] for t in rows) or "none yet"
    d.problems.add(field, name or "", f"One of: {names}.", f"Keep one first: firstsheet contact {field} --help")
    return None


def _range(reader: Reader, b: dict[str, Any], said: float | None, grade: int | None) -> tuple[float, str]:
    if said is not None:
        return said, f"R {said * 100:.0f}, as said"
    if grade is not None:
        return core.range_of(grade), f"grade {grade}, the middle of its range"
    for row in calibrate_kept.of(reader, b["box"], b["developer"], way="contact_print"):
        for f in row["body"].get("figures", ()):
            if f["key"] == "iso_r" and f["value"]:
                return f["value"] / 100, f"R {f['value']:.0f} from the curve of {calibrate_kept.words_of(row['body'])}"
    raise Refusal.one(
        "range", "", "The paper's R or its grade; no curve of this box tells it.", "Try range “R 110”, or grade “2”."
    )


def _better(the_lamp: lamps.Lamp, mine: counts.Counting, time_s: float, at_mm: float) -> tuple[float, str]:
    """A height at which the count's error halves, where it is coarser than a sixth of a stop; (0, "") where none is needed or within reach."""
    now = counts.error_stops(mine, time_s)
    if now <= 1 / 6:
        return 0.0, ""
    factors = (1.5, 2, 2.5, 3, 4, 5, 6, 8)
    # Where a wandering count never halves, the least height that gets nearly all there is to get.
    enough = max(now / 2, 1.15 * counts.error_stops(mine, time_s * factors[-1]))
    longer = next(f for f in factors if counts.error_stops(mine, time_s * f) <= enough)
    after = counts.error_stops(mine, time_s * longer)
    own_share = "halves" if after <= now / 2 else f"becomes {wording.stops_pm(after)}"
    here = 2.0 ** lamps.moved_stops(the_lamp, at_mm)[0]
    try:
        height = lamps.height_for(the_lamp, here * longer)
    except Refusal:
        return 0.0, ""
    return (
        height,
        f"A count is worth {wording.stops_pm(now)} here; at {wording.length(height)} it becomes {wording.seconds(time_s * longer)} and your error {own_share}. A dimmer lamp does the same.",
    )


def _says(s: core.Seconds, grade: int | None, first: str, height_mm: float) -> str:
    rule = "the shadows" if first == "shadows" else "the highlights"
    out = f"{wording.seconds(s.time_s)} at {wording.length(height_mm)}, {wording.stops_pm(s.sd_stops)}, for {rule}."
    if abs(s.over_d) <= FITS_D:
        return f"{out} The negative fits this paper."
    want = (
        f"Grade {grade}, or the filter that gives it, holds it."
        if grade is not None
        else "No grade from 0 to 5 holds it."
    )
    if s.over_d > 0:
        return f"{out} The negative is {s.over_d:.2f} D longer than this paper: the other end is lost. {want}"
    return f"{out} The negative is {-s.over_d:.2f} D shorter than this paper: the print comes flat. {want}"


def _notes(s: core.Seconds, corner: float | None, off: float | None, printed: bool, apart: bool) -> list[str]:
    out = []
    if corner is not None:
        out.append(f"The corners get {wording.stops_apart(corner)} less.")
    elif off:
        out.append(
            "What a beam leaves the corners is not known: measure it at this height, with a meter or a scrap there and in the middle."
        )
    if printed:
        out.append(
            "The maker's name lies on the back and prints pale: turn the picture so that it falls in the dark, or choose a paper without one for the next negative."
        )
    if apart:
        out.append("Press hard: with the back to the paper any gap softens more.")
    out.append("The base's own grain prints as mottle; pale even tones show it first. It is not in these figures.")
    return out
