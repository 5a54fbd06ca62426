"""The contact print: a lamp known by one strip, a negative by what passes through it, and the seconds and grade for tonight's height and paper."""

from __future__ import annotations

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

SHORT_S, COUNTABLE_S, LONG_S = 0.7, 1.0, 300.0  # less than one count; the least to ask for; longer is read off a clock; ours


@dataclass(frozen=True, slots=True)
class Contact:
    """What to give. Times [s]; sd_stops, corner_stops, count_stops, pace_stops [stop]; range_log the paper's R/100, range_d the negative's.

    grade the grade that fits the negative, None where none does; corner_s seconds the corners would want, None where not known
    counted what that count is worth in words; counts whole counts by this person's own second, by a usual one where own_count is false; better_height_mm where the count's error halves, 0 where it need not
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
    counted: str = ""


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
    corner = light.corner_stops
    mine = counting.own_counting(reader)
    error = counts.error_stops(mine, found.time_s)
    better = _better(the_lamp, mine, found.time_s, at, contact_lit.loss(known))
    strip = hand.strip_times_s(found.time_s, found.sd_stops, hand.UNDER_LAMP)
    pace = hand.strip_pace_stops(found.sd_stops, hand.UNDER_LAMP)
    spread = 2.0 ** (Z90 * found.sd_stops)
    says = _says(found, said.first, at) + (f" {better[1]}" if better[0] else "")
    grain = contact_grain.prints_as(said.negative["body"], found.range_d - found.over_d)
    notes = [f"The paper: {light.range_words}.", *([light.scaled] if light.scaled else []), *_notes(light, said.printed, said.facing == "apart", grain)]
    return Contact(
        str(said.lamp["name"]), str(said.negative["name"]), at, said.first, found.time_s, found.time_s / spread, found.time_s * spread, found.sd_stops, found.shadows_s,
        found.highlights_s, found.range_d, found.range_d - found.over_d, found.over_d, core.grade_for(found.range_d), corner, found.time_s * 2.0**corner if corner is not None else None,
        strip, pace, counts.counts_for(mine, found.time_s), error, better[0], says, SIDES[said.facing], tuple(notes), (CAUTION,),
        _side(light, found.time_s, corner), counting.measured(reader), _counted(reader, mine, found.time_s),
    )  # fmt: skip


def _given(light: contact_lit.Lit, known: Posterior) -> core.Seconds:
    """The seconds as they are to be given: what judged prints taught and the long exposure in."""
    s = light.seconds
    (time_s, sd), (shadows, _), (highlights, _) = (contact_lit.through(known, t, light) for t in (s.time_s, s.shadows_s, s.highlights_s))
    return replace(s, time_s=time_s, shadows_s=shadows, highlights_s=highlights, sd_stops=sd)


def _side(light: contact_lit.Lit, time_s: float, corner: float | None) -> str:
    from firstsheet.drawing.lamp_side import lamp_side

    words = f"−{wording.stops_apart(corner)}" if corner is not None else "not measured"
    return lamp_side(light.at_mm, light.lamp.across_mm, 2 * light.off_mm, wording.seconds(time_s), words)


def _counted(reader: Reader, mine: counts.Counting, time_s: float) -> str:
    """What a count aloud is worth at this time; what is known of it beforehand apart from what is not."""
    if time_s < SHORT_S:
        return "Too short to count or to switch by hand: a dimmer or higher lamp first."
    if time_s > LONG_S:
        return "By a clock; too long for a lamp on a battery, and a hot bulb is watched. Half as far, or a lamp four times as bright, makes it a quarter."
    n, off = counts.counts_for(mine, time_s), counts.off_stops(mine, time_s)
    beside = f"; so many are {wording.stops_apart(abs(off))} {'more' if off > 0 else 'less'} than asked" if abs(off) >= 0.1 else ""
    worth = f"worth {wording.stops_pm(counts.error_stops(mine, time_s))}{beside}."
    if counting.measured(reader):
        return f"By your count: {n}, {worth}"
    return f"Counted aloud: {n}, by a usual second, {worth} Your own second is not measured yet."


def _better(the_lamp: lamps.Lamp, mine: counts.Counting, time_s: float, at_mm: float, loss: float) -> tuple[float, str]:
    """A height at which the count's error halves, where it is coarser than a sixth of a stop; (0, "") where none is needed or within reach."""
    now = counts.error_stops(mine, time_s)
    if now <= 1 / 6:
        return 0.0, ""
    # Where a wandering count never halves, the least height that gets nearly all there is to get.
    enough = max(now / 2, 1.15 * counts.error_stops(mine, time_s * 8))
    factors = (1.5, 2, 2.5, 3, 4, 5, 6, 8, 12, 16, 24, 32)
    longer = next((f for f in factors if counts.error_stops(mine, time_s * f) <= enough and time_s * f >= COUNTABLE_S), None)
    if longer is None:
        return 0.0, ""
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


def _says(s: core.Seconds, first: str, height_mm: float) -> str:
    rule = "the shadows" if first == "shadows" else "the highlights"
    return f"{wording.seconds(s.time_s)} at {wording.length(height_mm)}, {wording.stops_pm(s.sd_stops)}, for {rule}. {contact_lit.fit_words(s)}"


def _notes(light: contact_lit.Lit, printed: bool, apart: bool, grain: str) -> list[str]:
    out = [contact_lit.corner_words(light)]
    if printed:
        out.append(
            "The maker's name lies on the back and prints pale: turn the picture so that it falls in the dark, or choose a paper without one for the next negative."
        )
    if apart:
        out.append("Press hard: with the back to the paper any gap softens more.")
    out.append(grain)
    return out
