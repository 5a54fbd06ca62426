"""What a contact print is asked, and the light it stands in: the lamp and negative kept, tonight's height and paper, each factor once.

One place for the seconds told at the bench and for those of a planned sheet. The strip's own time carries its long-exposure loss, which is
taken out before the light is counted over and comes back with the time that is given.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts import calibrate_kept, contact_kept, own
from firstsheet.acts.contact_kept import LAMP, NEGATIVE, own_words
from firstsheet.acts.door import Door, Form
from firstsheet.acts.setting import CONTACT, loss_of
from firstsheet.belief import prior
from firstsheet.belief.effects import Effect
from firstsheet.belief.posterior import Posterior
from firstsheet.exposure.chain import Link
from firstsheet.paper import reciprocity, response
from firstsheet.printing import contact as core
from firstsheet.printing import lamp as lamps
from firstsheet.printing import negative as negatives
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.own import Owned
    from firstsheet.acts.reader import Reader

WAY = "contact_print"
USUAL_RANGE_SD = 0.08  # of a range told by a grade or a data sheet [log10]; ours, no source
FITS_D = 0.12  # half a grade, so near a negative fits [D]; ours, no source
SEEN_STOPS = 0.15  # a corner less lit by more is seen in an even tone [stop]; ours, no source
OTHER_BOX_SD = 0.3  # two boxes as fast at the mid-tone need not turn black together [stop]; ours, no source
EVENING = timedelta(hours=12)  # an evening that passes midnight is one
SIDES = {
    "together": "Emulsion to emulsion: the print is sharp and comes the right way round, a lens's paper negative being reversed. With a mirror before the lens it comes reversed.",
    "apart": "Negative's back to the paper: the print comes left-right reversed and softer by the thickness of the paper. With a mirror before the lens it comes right.",
}


@dataclass(frozen=True, slots=True)
class Said:
    """What was said, checked: lamp and negative as the book has them, the paper. range_log [log10]; lengths [mm]."""

    lamp: dict[str, Any]
    negative: dict[str, Any]
    height_mm: float | None
    range_log: float | None
    grade: float | None
    first: str
    sheet_mm: tuple[float, float]
    facing: str
    glass: bool
    printed: bool
    judged: str
    box: Owned
    developer: Owned


@dataclass(frozen=True, slots=True)
class Lit:
    """The light a print stands in, without what long exposures lose.

    seconds    metered, before anything shared was added; links led there; at_mm lamp to sheet tonight
    shared     effects by which judged prints teach: the lamp's strip, the negative, the evening; with another box, both boxes and developers
    strip_stops  how far above 1 s the lamp's strip stood, metered [stop]: what long exposures lose counts from there
    scaled     in words, where the lamp's strip was of another box or developer; else ""
    """

    said: Said
    lamp: lamps.Lamp
    at_mm: float
    seconds: core.Seconds
    range_words: str
    links: tuple[Link, ...]
    shared: tuple[Effect, ...]
    strip_stops: float
    scaled: str

    @property
    def off_mm(self) -> float:
        """From the sheet's middle to its corners [mm]."""
        return math.hypot(*self.said.sheet_mm) / 2

    @property
    def corner_stops(self) -> float | None:
        """How much less the corners get [stop]; None where a beam was not measured there."""
        return lamps.corner_stops(self.lamp, self.at_mm, self.off_mm)

    def spoils(self) -> tuple[str, ...]:
        """What no seconds mend: a negative that does not fit the paper, corners that get less."""
        corner = self.corner_stops
        fits, even = abs(self.seconds.over_d) <= FITS_D, corner is not None and corner <= SEEN_STOPS
        return (*(() if fits else (fit_words(self.seconds),)), *(() if even else (corner_words(self),)))


def fit_words(s: core.Seconds) -> str:
    """How the negative's range stands to the paper's, and what would hold it."""
    if abs(s.over_d) <= FITS_D:
        return "The negative fits this paper."
    grade = core.grade_for(s.range_d)
    want = f"Grade {grade}, or the filter that gives it, holds it." if grade is not None else "No grade from 0 to 5 holds it."
    if s.over_d > 0:
        return f"The negative is {s.over_d:.2f} D longer than this paper: the other end is lost. {want}"
    return f"The negative is {-s.over_d:.2f} D shorter than this paper: the print comes flat. {want}"


def corner_words(light: Lit) -> str:
    """What the corners get, and from which height they get nearly as much as the middle."""
    corner = light.corner_stops
    if corner is None:
        return "What a beam leaves the corners is not known: measure it at this height, with a meter or a scrap there and in the middle."
    out = f"The corners get {wording.stops_apart(corner)} less."
    if corner <= 0.5 or (even := lamps.even_height_mm(light.lamp, light.off_mm)) is None:
        return out
    longer = lamps.moved_stops(light.lamp, even)[0] - lamps.moved_stops(light.lamp, light.at_mm)[0]
    return f"{out} From {wording.length(even)} up it is less than a third of a stop, for {wording.stops_apart(longer)} more time."


def lit(reader: Reader, form: Form | None, known: Posterior) -> Lit:
    """From what was said to metered seconds. Fields as of `contact.contact`. Refusal with every problem."""
    said = read(reader, form)
    b, n = said.lamp["body"], said.negative["body"]
    lamp = lamps.Lamp(b["kind"], b["black_s"], b["sd"], b["height_mm"], b["across_mm"], lamps.SAG_SD["battery" if b["battery"] else "mains"], b["corner"], b["corner_mm"])  # fmt: skip
    range_log, range_words = _range(reader, said)
    at = said.height_mm or lamp.height_mm
    moved, moved_sd = lamps.moved_stops(lamp, at)
    extra = lamps.glass_stops() * (said.glass - bool(b["glass"]))
    darker, dry_sd = response.dry_down(CONTACT, wet=said.judged == "wet")
    dry = response.need_from_tone(CONTACT, darker)  # a print judged wet is made paler by what it will dry down
    boxes, scaled = _other_paper(reader, said)
    faster = _speed_stops(reader, said) if scaled else 0.0
    ends_sd = USUAL_RANGE_SD * math.log2(10) if said.first == "highlights" else 0.0
    tonight = math.hypot(lamp.sag_sd, moved_sd, dry_sd, ends_sd)
    bare, strip_stops = _metered_black(b, known)
    black = bare * 2.0 ** (moved + extra + dry + faster)
    found = core.seconds(black, 0.0, negatives.Negative(n["clear_d"], n["dense_d"], n["sd_d"], n["state"]), range_log, said.first)
    links = [Link("lamp", f"{said.lamp['name']} blackens bare paper, at {wording.length(lamp.height_mm)}", None, bare, "s", "its strip, long exposure taken out", lamp.sd_stops)]
    t = bare
    for key, words, stops, source in (
        ("height", f"lamp at {wording.length(at)}", moved, "1/h²; a flat lamp 1/(h² + a²)"),
        ("glass", "glass against none", extra, "2n/(n² + 1), Fresnel"),
        ("dry", "the strip was judged wet", dry, "common practice, no source"),
        ("box", "this paper against the strip's", faster, "speeds of both boxes"),
        ("negative", f"through {said.negative['name']}, {said.first} first", math.log2(found.time_s / black), "factor = 10^density"),
    ):
        if stops:
            t *= 2.0**stops
            links.append(Link(key, words, stops, t, "s", source))
    evening = (reader.now() - EVENING).date().isoformat()
    shared = (
        Effect(f"lamp:{said.lamp['name']}#{said.lamp['id']}", 1.0, 0.0, lamp.sd_stops, f"{said.lamp['name']} by its strip", "its strip"),
        Effect(f"negative:{said.negative['name']}#{said.negative['id']}", 1.0, 0.0, n["sd_d"] * math.log2(10.0), f"the negative {said.negative['name']}", "how it was read"),
        Effect(f"reading:{said.lamp['name']} {evening}", 1.0, 0.0, tonight, "the lamp tonight", "sag, height; no source"),
        *boxes,
    )
    return Lit(said, lamp, at, found, range_words, tuple(links), shared, strip_stops, scaled)


def through(known: Posterior, metered_s: float, light: Lit) -> tuple[float, float]:
    """Seconds to give for metered ones, everything shared and then the long exposure in, and their doubt [stop]."""
    counted = metered_s * 2.0 ** known.predict(light.shared)[0]
    lever = reciprocity.stops_above_reference(counted)
    r = loss(known)
    return reciprocity.corrected_s(counted, r), math.sqrt(known.predict(prior.through_reciprocity(WAY, light.shared, lever, r, light.strip_stops))[1])


def loss(known: Posterior) -> float:
    """Schwarzschild's 1/p − 1 for a contact print's paper, as known [1]."""
    return loss_of(WAY, known)[0]


def _metered_black(b: dict[str, Any], known: Posterior) -> tuple[float, float]:
    """The strip's black step as it was lost to long exposure by its own time, under what lay over it [s]; and how far that stood above 1 s [stop]."""
    over = 10.0 ** b["over_d"]
    given = b["black_s"] * over
    above = reciprocity.stops_above_reference(given)
    metered = reciprocity.metered_stops_from_given(given, loss(known))
    return float(given * 2.0 ** (metered - above) / over), metered


def _lamps_paper(reader: Reader, b: dict[str, Any]) -> tuple[Owned, Owned]:
    return own.one(reader, "box", b["box"]), own.one(reader, "developer", b["developer"])


def _speed_stops(reader: Reader, said: Said) -> float:
    """How much more light this box wants than the strip's by where both speeds start [stop]."""
    theirs = _lamps_paper(reader, said.lamp["body"])[0]
    return math.log2(prior.starting_speed(WAY, theirs.body).ei / prior.starting_speed(WAY, said.box.body).ei)


def _other_paper(reader: Reader, said: Said) -> tuple[tuple[Effect, ...], str]:
    """What another box or developer than the strip's adds: the difference of all that is known of both; and so in words."""
    b = said.lamp["body"]
    if (b["box"], b["developer"]) == (said.box.name, said.developer.name):
        return (), ""
    box, developer = _lamps_paper(reader, b)
    sums: dict[str, Effect] = {}
    for sign, x, dev in ((1.0, said.box, said.developer), (-1.0, box, developer)):
        for e in (*prior.speed_effects(WAY, x.name, x.body), *prior.developer_effects(dev.name, dev.body["kind"], x.name)):
            so_far = sums[e.key].coefficient if e.key in sums else 0.0
            sums[e.key] = replace(e, coefficient=so_far + sign * e.coefficient)
    effects = [e for e in sums.values() if e.coefficient]
    if box.name != said.box.name:
        effects.append(Effect(f"ends:{box.name}|{said.box.name}", 1.0, 0.0, OTHER_BOX_SD, "black of one box by another", "no source"))
    words = (
        f"The lamp's strip was on {own_words(box.name)} in {developer.name}, this is {own_words(said.box.name)} in {said.developer.name}: counted over by "
        "what is known of both, with that much more doubt. A strip of this paper under the lamp tells it."
    )
    return tuple(effects), words


def read(reader: Reader, form: Form | None) -> Said:
    """What was said, or a refusal with every problem."""
    d = Door(form)
    known_lamp, known_negative = _kept(reader, d, LAMP, "lamp"), _kept(reader, d, NEGATIVE, "negative")
    height = d.read("height", q.length_mm)
    said_range = d.read(
        "range",
        lambda t: q.plain_number(t.upper().removeprefix("ISO").strip().removeprefix("R").strip(), 30, 250) / 100,
    )
    grade = d.read("grade", contact_kept.grade)
    first = d.pick("first", ("shadows", "highlights")) or "shadows"
    size = d.read("sheet", q.sheet_size_mm)  # else the box's
    facing = _asked(
        d, "facing", tuple(SIDES), "Emulsion to emulsion, or the negative's back to the paper: together or apart."
    )
    glass = _asked(d, "glass", ("yes", "no"), "Glass over both, or none: yes or no.")
    printed = _asked(d, "back_print", ("yes", "no"), "The maker's name on the negative's back: yes or no. It prints.")
    state = d.pick("state", ("dry", "wet")) or "dry"
    judged = d.pick("judged", ("dry", "wet")) or "dry"
    if said_range is not None and grade is not None:
        d.problems.add("grade", grade, "The range or the grade, one of them.", "Leave the other out.")
    if known_negative and known_negative["body"]["state"] != state:
        d.problems.add(
            "state",
            state,
            f"This negative was read {known_negative['body']['state']}; wet paper lets more light through.",
            "Read it again as it will be printed.",
        )
    if height is not None:
        with d.problems.at("height"):
            lamps.check_height(height)
    today = reader.get_setting("today") or {}
    things: dict[str, Owned] = {}
    for kind in ("box", "developer"):
        with d.problems.at(kind):
            things[kind] = own.one(reader, kind, d.name(kind) or today.get(kind) or (known_lamp["body"][kind] if known_lamp else None))
    if "box" in things:
        own.way_of_paper(d.problems, things["box"], WAY, "box")
    d.close()
    assert known_lamp is not None
    assert known_negative is not None
    body = things["box"].body
    return Said(
        known_lamp, known_negative, height, said_range, grade, first, size or (body["width_mm"], body["height_mm"]), str(facing), glass == "yes", printed == "yes", judged, things["box"], things["developer"]
    )  # fmt: skip


def _asked(d: Door, key: str, allowed: tuple[str, ...], question: str) -> str | None:
    """Asked before the print, not after: saying nothing is refused."""
    if d.said(key) is None:
        d.problems.add(key, "", question, "Look before the lamp is lit.")
        return None
    return d.pick(key, allowed)


def _kept(reader: Reader, d: Door, kind: str, field: str) -> dict[str, Any] | None:
    """The thing named, or the only one."""
    name = d.name(field)
    rows = reader.things(kind)
    found = [t for t in rows if name is None or t["name"].lower() == name.lower()]
    if len(found) == 1:
        return dict(found[0])
    names = ", ".join(t["name"] for t in rows) or "none yet"
    d.problems.add(field, name or "", f"One of: {names}.", f"Keep one first: firstsheet contact {field} --help")
    return None


def _range(reader: Reader, said: Said) -> tuple[float, str]:
    if said.range_log is not None:
        return said.range_log, f"R {said.range_log * 100:.0f}, as said"
    if said.grade is not None:
        return core.range_of(said.grade), f"grade {said.grade:g}, the middle of its range"
    for row in calibrate_kept.of(reader, said.box.name, said.developer.name, way="contact_print"):
        for f in row["body"].get("figures", ()):
            if f["key"] == "iso_r" and f["value"]:
                return f["value"] / 100, f"R {f['value']:.0f} from the curve of {calibrate_kept.words_of(row['body'])}"
    raise Refusal.one(
        "range", "", "The paper's R or its grade; no curve of this box tells it.", "Try range “R 110”, or grade “2”."
    )
