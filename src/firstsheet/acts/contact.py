"""The contact print: a lamp known by one strip, a negative by what passes through it, and the seconds and grade for tonight's height and paper."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from firstsheet import wording
from firstsheet.acts import contact_grain, contact_lit, counting
from firstsheet.acts.contact_kept import CAUTION
from firstsheet.acts.contact_lit import SIDES
from firstsheet.answer import Z90
from firstsheet.belief.posterior import Posterior
from firstsheet.exposure import hand
from firstsheet.printing import contact as core
from firstsheet.printing import counting as counts
from firstsheet.printing import lamp as lamps
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.door import Form
    from firstsheet.acts.reader import Reader

FITS_D = 0.12  # half a grade, so near a negative fits [D]; ours, no source


@dataclass(frozen=True, slots=True)
class Contact:
    """What to give. Times [s]; sd_stops, corner_stops, count_stops, pace_stops [stop]; range_log the paper's R/100, range_d the negative's.

    grade the grade that fits the negative, None where none does; corner_s seconds the corners would want, None where not known
    counts whole counts by this person's own second, by a usual one where own_count is false; better_height_mm where the count's error halves, 0 where it need not
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
    own_count: bool


def contact(reader: Reader, form: Form | None = None) -> Contact:
    """Seconds for a print. Fields: lamp, negative, height (the strip's unless said); range (“R 110”) or grade (0 to 5) of the paper, its own curve
    unless said; first (shadows, highlights); sheet (its size, for the corners); asked before, each a must: facing (together, apart), glass (yes, no),
    back_print (yes, no: the maker's name on the negative's back); state (dry, wet) of the negative tonight; judged (dry, wet) of the strip; box and developer, today's unless said.

    Judged prints correct it, as they do the plan made of it (`contact_plan`).
    """
    row = reader.newest_posterior()
    known = Posterior.from_json(row["body"] if row else None)
    light = contact_lit.lit(reader, form, known)
    said, the_lamp, at = light.said, light.lamp, light.at_mm
    found = _given(light, known)
    off = math.hypot(*said.sheet_mm) / 2 if said.sheet_mm else None
    corner = lamps.corner_stops(the_lamp, at, off) if off else None
    mine = counting.own_counting(reader)
    error = counts.error_stops(mine, found.time_s)
    better = _better(the_lamp, mine, found.time_s, at, contact_lit.loss(known))
    strip = hand.strip_times_s(found.time_s, found.sd_stops, hand.UNDER_LAMP)
    pace = hand.strip_pace_stops(found.sd_stops, hand.UNDER_LAMP)
    spread = 2.0 ** (Z90 * found.sd_stops)
    fits = core.grade_for(found.range_d)
    says = _says(found, fits, said.first, at) + (f" {better[1]}" if better[0] else "")
    grain = contact_grain.prints_as(said.negative["body"], found.range_d - found.over_d)
    notes = [f"The paper: {light.range_words}.", *([light.scaled] if light.scaled else []), *_notes(found, corner, off, said.printed, said.facing == "apart", grain)]
    return Contact(
        str(said.lamp["name"]), str(said.negative["name"]), at, said.first, found.time_s, found.time_s / spread, found.time_s * spread, found.sd_stops, found.shadows_s,
        found.highlights_s, found.range_d, found.range_d - found.over_d, found.over_d, fits, corner, found.time_s * 2.0**corner if corner is not None else None,
        strip, pace, counts.counts_for(mine, found.time_s), error, better[0], says, SIDES[said.facing], tuple(notes), (CAUTION,),
        _side(the_lamp, at, off, found.time_s, corner), counting.measured(reader),
    )  # fmt: skip


def _given(light: contact_lit.Lit, known: Posterior) -> core.Seconds:
    """The seconds as they are to be given: what judged prints taught and the long exposure in."""
    s = light.seconds
    (time_s, sd), (shadows, _), (highlights, _) = (contact_lit.through(known, t, light.shared) for t in (s.time_s, s.shadows_s, s.highlights_s))
    return replace(s, time_s=time_s, shadows_s=shadows, highlights_s=highlights, sd_stops=sd)


def _side(the_lamp: lamps.Lamp, at_mm: float, off_mm: float | None, time_s: float, corner: float | None) -> str:
    """The drawing, for a sheet whose size was said; else ""."""
    if off_mm is None:
        return ""
    from firstsheet.drawing.lamp_side import lamp_side

    words = f"−{wording.stops_apart(corner)}" if corner is not None else "not measured"
    return lamp_side(at_mm, the_lamp.across_mm, 2 * off_mm, wording.seconds(time_s), words)


def _better(the_lamp: lamps.Lamp, mine: counts.Counting, time_s: float, at_mm: float, loss: float) -> tuple[float, str]:
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
        height = lamps.height_for(the_lamp, here * longer ** (1 / (1 + max(0.0, loss)) if time_s > 1 else 1))
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


def _notes(s: core.Seconds, corner: float | None, off: float | None, printed: bool, apart: bool, grain: str) -> list[str]:
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
    out.append(grain)
    return out
