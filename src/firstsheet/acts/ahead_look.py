"""What a look at the sheet ahead rests on: the photo, the paper's curve, the plan, gathered from a form; the slow part remembered."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts import calibrate_kept, own, versions
from firstsheet.acts import plan as planning
from firstsheet.acts.ahead_plane import Frame, field_share, plane
from firstsheet.acts.answers import Plan
from firstsheet.acts.door import Door, Form
from firstsheet.acts.setting import CONTACT
from firstsheet.acts.versions import place
from firstsheet.light import words as light_words
from firstsheet.paper import response
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.book.store import Book
    from firstsheet.foresee.picture import Floats, Laid
    from firstsheet.foresee.route import Chain, Through, Tint
    from firstsheet.foresee.tone import Tones

SEEN_ON = ("board", "scene")
MOST_STOPS = 6.0
BLACK_ROOM_FLARE = 0.01  # of the mean light; a black room and a clean lens; common practice, no source
UNPLANNED_SD = 1.0  # of the exposure where nothing is planned [stop]; ours
# Colours of a print as density added to red, green and blue [D]: by eye, ours; no source.
# How far a photo's three colours miss what an emulsion sees of ordinary things [stop], against the project's own table of them.
COLOUR_SD = {"blue": 0.20, "ortho": 0.15, "colour": 0.15}
TINTS: dict[str, tuple[str, tuple[float, float, float], tuple[float, float, float]]] = {
    "neutral": ("neutral", (0.0, 0.0, 0.0), (0.0, 0.0, 0.0)),
    "warm": ("a warm base", (0.0, 0.01, 0.05), (0.0, 0.02, 0.06)),
    "cold": ("a cold image", (0.0, 0.0, 0.0), (0.04, 0.02, 0.0)),
    "coffee": ("the stain of a coffee developer", (0.01, 0.03, 0.10), (0.0, 0.03, 0.12)),
}
NO_PACK = (0.0, 0.0, 0.0)
FILTERS = ("", "yellow", "orange", "red")


@dataclass(frozen=True, slots=True, eq=False)
class AheadLook:
    """One look. light: exposure over the mid-tone's on the sheet; chain: how it comes out; p: the plan, None where none can be made.

    sd_stops    doubt of the exposure [stop]; tone: key of what was touched
    face_stops  the touched place from the mid-tone, as this paper sees it [stop]; None where nothing was touched
    face_sd     doubt of that from three colours that hold no spectrum [stop]
    """

    light: Floats = field(repr=False)
    chain: Chain = field(repr=False)
    p: Plan | None
    way: str
    sd_stops: float
    tone: str
    seen_on: str
    outline: bool
    measured: bool
    curve_words: str
    notes: tuple[str, ...]
    face_stops: float | None = None
    face_sd: float = 0.0


def at(book: Book, picture: int, form: Form | None, planned: Plan | None = None) -> AheadLook:
    """Gather one look. Fields: of (board or scene), corners (four places), face (a place) and tone, stops (from the plan's answer),
    or give (seconds), preflash (share of the threshold), shows (sheet or print), printed (stops more for the print), range (ISO R of the
    printing paper), wet, colour, flare, depths (“x,y metres; …”), size (of another sheet to crop to), pack
    (filters beyond the balance, colour paper alone), filter (on the lens, other papers), light (another kind of it), developer (another
    one, by its measured curve), aperture (another, for the same exposure), seen_by (a scene photo's focal length as on 35 mm film: it is cut to
    the sheet's field), pose, outline. `planned` is the plan of a sheet that has one already, in place of the one that stands."""
    d = Door(form)
    seen_on = d.pick("of", SEEN_ON) or "board"
    corners = d.read("corners", corners_said)
    face = d.read("face", place)
    tone = d.said("tone") or "face_light"
    with d.problems.at("tone"):
        tone = light_words.tone(tone).key
    stops = d.read("stops", _stops)
    give = d.read("give", lambda t: q.duration_s(t, bare="s"))
    s = _said(d)
    flare = d.read("flare", lambda t: q.plain_number(t.rstrip(" %"), 0.0, 30.0) / 100.0)
    depths = d.read("depths", _depths)
    size = d.read("size", q.sheet_size_mm)
    filter_ = d.read("filter", _filter) or ""
    light_key = d.read("light", _kind_of_light)
    other = d.said("developer")
    aperture = d.read("aperture", q.f_number)
    seen_by = _seen_by(d, seen_on)
    pose = d.said("pose")
    outline = d.flag("outline") or False
    if stops is not None and give is not None:
        d.problems.add("give", d.said("give"), "Stops or seconds, one of them.", "Leave one out.")
    if depths and seen_on == "board":
        d.problems.add("depths", d.said("depths"), "With a photo of the scene: on the board the blur is in the picture already.", "Leave them out.")
    p = planned or plan_or_none(book)
    today = book.get_setting("today") or {}
    p = _through(p, aperture if seen_on == "scene" else None)
    if give is not None and p is None:
        d.problems.add("give", d.said("give"), "Seconds count from a plan, and none can be made yet.", "Say it in stops, or complete the plan.")
    way = p.way if p else str(today.get("way") or "direct_positive")
    if way == CONTACT:
        way = "paper_negative"
    _of_the_way(d, way, s, filter_)
    box, developer, kind = (p.box, p.developer, light_key or p.light) if p else (str(today.get("box") or ""), str(today.get("developer") or ""), light_key or "sun")
    tones = _tones(book, d, (way, box, other or developer, kind), other)
    d.close()
    more = stops if stops is not None else math.log2(give / p.wanted_s) if give is not None and p else 0.0
    laid, notes = _laid(book, p, seen_on, flare, pose)
    share = None
    if seen_by and not corners:
        share, said = field_share(book, p, size, seen_by)
        notes.append(said)
    seen = plane(book, picture, Frame(way, seen_on, corners, face, tone, s.printed, depths, size, laid, filter_, kind, share or 1.0), p)
    if p and p.flash_share:  # its seconds are fewer already, by what the flash adds at the mid-tone
        more += sum(link.stops or 0.0 for link in p.chain if link.key == "flash")
        if s.preflash is None:
            s = replace(s, preflash=p.flash_share)
            notes.append(f"The flash of the plan is drawn in: {wording.share(p.flash_share)} of the threshold.")
    notes += [_filter_words(way, kind, filter_)] if filter_ else []
    notes += [f"As it comes out in {other}; the exposure is put where its own mid-tone wants it."] if other else []
    chain = _chain(book, way, tones, replace(s, more=more), p)
    face_sd = COLOUR_SD[str(response.way_of(way)["sensitivity"])]
    return AheadLook(seen.light, chain, p, way, p.sd_stops if p else UNPLANNED_SD, tone, seen_on, outline, tones.measured, tones.words, (*notes, *seen.notes), seen.face_stops, face_sd)


def _seen_by(d: Door, seen_on: str) -> float | None:
    mm = d.read("seen_by", lambda t: q.length_mm(t if "m" in t else f"{t} mm"))
    if mm is not None and (seen_on == "board" or not 8.0 <= mm <= 400.0):
        d.problems.add("seen_by", d.said("seen_by"), "The photo’s focal length as on 35 mm film, 8 to 400 mm, with a photo of the scene.", "Phones’ plain cameras are 24 to 28 mm.")
    return mm


def _through(p: Plan | None, aperture: float | None) -> Plan | None:
    """The plan through another stop for the same exposure: depth, fall-off and how long the sitter sways change. A plan for the lamp says
    nothing of a sheet in the camera."""
    if p is None or p.way == CONTACT:
        return None
    if not (aperture and p.aperture):
        return p
    times = (aperture / p.aperture) ** 2
    return replace(p, aperture=aperture, wanted_s=p.wanted_s * times, time_s=p.time_s * times)


def _of_the_way(d: Door, way: str, s: _Said, filter_: str) -> None:
    """What is asked of a way of working that has no such thing."""
    if s.printed and way != "paper_negative":
        d.problems.add("shows", "print", "The sheet: it is itself the picture.", "Only a paper negative is contact-printed.")
    colour = response.way_of(way)["sensitivity"] == "colour"
    if s.pack != NO_PACK and not colour:
        d.problems.add("pack", d.said("pack"), "With colour paper: other papers see no colour.", "Leave it out.")
    if filter_ and colour:
        d.problems.add("filter", filter_, "With paper that sees no colour; for colour paper the pack.", "Leave it out.")


@dataclass(frozen=True, slots=True)
class _Said:
    """How the sheet is slid: stops more than planned, preflash (None as the plan has it), the print and its stops and R, wet, colour, pack."""

    more: float
    preflash: float | None
    printed: bool
    print_stops: float
    iso_r: float | None
    wet: bool
    colour: str
    pack: tuple[float, float, float]


def _tones(book: Book, d: Door, of: tuple[str, str, str, str], other: str | None) -> Tones:
    """The curve of this way, box, developer and light; a problem at the door where another developer was asked for that has none."""
    tones, number = versions.tones_of(book, *of)
    if other and number is None:
        known = developers(book, of[0], of[1])
        d.problems.add("developer", other, f"One with a measured curve of this box: {', '.join(known) or 'there is none yet'}.", "Measure a strip in it first.")
    return tones


def developers(book: Book, way: str, box: str) -> tuple[str, ...]:
    """Developers in which a curve of this box by reflection was measured, for this way of working."""
    sense = response.sense(way)
    fits = [b for b in (t["body"] for t in book.things("curve")) if (b["box"], b["kind"]) == (box, "reflection") and not b.get("dropped")]
    return tuple(sorted({str(b["developer"]) for b in fits if response.sense(str(b["way"])) == sense}))


def _filter(text: str) -> str:
    from firstsheet.light import filters

    filters.read(text)
    return " ".join(text.lower().split())


def _kind_of_light(text: str) -> str:
    from firstsheet.light import spectrum as sp

    if text not in sp.kinds():
        raise Refusal.one("", text, "One of: " + ", ".join(sp.kinds()) + ".", "")
    return text


def _filter_words(way: str, light_key: str, filter_: str) -> str:
    from firstsheet.light import filters
    from firstsheet.light import spectrum as sp
    from firstsheet.paper import emulsion

    key = emulsion.OF_PAPER[str(response.way_of(way)["sensitivity"])]
    cost, sd = emulsion.filter_stops(sp.kinds()[light_key].spectrum, key, filters.read(filter_), (sp.lens_glass(),))
    return f"Through {filter_} on the lens: it costs this paper {wording.stops_apart(cost)}, {wording.stops_pm(sd)}; drawn as if that were given."


def _said(d: Door) -> _Said:
    return _Said(
        0.0,
        d.read("preflash", lambda t: q.plain_number(t.rstrip(" %"), 0.0, 150.0) / (100.0 if "%" in t else 1.0)),
        d.pick("shows", ("sheet", "print")) == "print",
        d.read("printed", _stops) or 0.0,
        d.read("range", lambda t: q.plain_number(t.lower().removeprefix("r").strip(), 30.0, 250.0)),
        d.flag("wet") or False,
        d.pick("colour", TINTS) or "neutral",
        d.read("pack", _pack) or NO_PACK,
    )


def plan_or_none(book: Book) -> Plan | None:
    """The plan as it stands; None where something is missing."""
    try:
        return planning.plan(book)
    except Refusal:
        return None


def _chain(book: Book, way: str, tones: Tones, s: _Said, p: Plan | None) -> Chain:
    from firstsheet.foresee import route, tone

    print_tones, through = None, None
    if s.printed:
        box, developer = (p.box, p.developer) if p else ("", "")
        print_tones, _ = versions.tones_of(book, CONTACT, box, developer)
        if s.iso_r is not None:
            print_tones = tone.of_figures(CONTACT, print_tones.base, print_tones.dmax, s.iso_r / 100.0, f"a paper of R {s.iso_r:.0f}")
        through = through_of(book, box, developer)
    _, base, middle = TINTS[s.colour]
    tint: Tint = route.Tint(base, middle)
    return route.Chain(way, tones, s.more, s.preflash or 0.0, "print" if s.printed else "sheet", through, print_tones, s.print_stops, tint, s.wet, s.pack)


def through_of(book: Book, box: str, developer: str) -> Through | None:
    """This box's density by transmission against its density by reflection, where the same strip was read both ways; else None."""
    import numpy as np

    from firstsheet.foresee.route import Through

    both = [calibrate_kept.of(book, box, developer, kind, "paper_negative") for kind in ("reflection", "transmission")]
    if not all(both):
        return None
    a, b = (kept[0]["body"] for kept in both)
    if not (a.get("log_h") and b.get("log_h")):
        return None
    low, high = max(a["log_h"][0], b["log_h"][0]), min(a["log_h"][-1], b["log_h"][-1])
    if high - low < 0.5:
        return None
    x = np.linspace(low, high, 60)
    seen, passed = (np.interp(x, t["log_h"], t["density"]) for t in (a, b))
    seen, passed = np.maximum.accumulate(seen - seen[0]), np.maximum.accumulate(passed - passed[0])
    keep = np.concatenate([[True], np.diff(seen) > 0.005])
    return Through(seen[keep], passed[keep], True) if keep.sum() >= 4 else None


def _laid(book: Book, p: Plan | None, seen_on: str, flare: float | None, pose: str | None) -> tuple[Laid, list[str]]:
    """What lens, sitter and room add. On the board the lens's part is in the picture already."""
    from firstsheet.acts.sharp import poses
    from firstsheet.camera import even, sharp
    from firstsheet.foresee.picture import Laid

    have = poses()
    if pose is not None and pose not in have:
        raise Refusal.one("pose", pose, "One of: " + ", ".join(have) + ".", "Leave it out for a sitter on a chair.")
    veil = BLACK_ROOM_FLARE if flare is None else flare
    if p is None or p.magnification is None:
        return Laid(flare=veil if seen_on == "scene" or flare is not None else 0.0), ["Nobody said how far the sitter is: sway and the lens’s fall-off are left out."]
    motion = have[pose or "seated"][1]
    across = p.magnification * sharp.shift_mm(motion.diffusion_across, motion.rms_across_mm, p.time_s)
    if seen_on == "board":
        return Laid(across_mm=across, flare=flare or 0.0), [f"Sway: {have[pose or 'seated'][0]}."]
    camera = own.todays_camera(book, p.camera)
    lens = own.lens_of(camera.body)
    box = own.one(book, "box", p.box).body
    rows = even.places(lens, p.magnification, (box["width_mm"], box["height_mm"]), p.aperture or lens.f_number)
    falloff = tuple(tuple(cell.stops for cell in row) for row in rows)
    return Laid(across_mm=across, falloff=falloff, flare=veil), [f"Sway: {have[pose or 'seated'][0]}; fall-off and a veil of {100 * veil:.0f} % drawn in."]


def _stops(text: str) -> float:
    return q.plain_number(text.replace("−", "-"), -MOST_STOPS, MOST_STOPS)


def corners_said(text: str) -> tuple[tuple[float, float], ...]:
    """Four places “x,y” with blanks between them. Refusal for more or fewer."""
    parts = text.split()
    if len(parts) != 4:
        raise Refusal.one("", text, "Four places “x,y”: top left, top right, bottom right, bottom left.", "Touch the sheet’s corners as they lie in the photo.")
    return tuple(place(part) for part in parts)


def _depths(text: str) -> tuple[tuple[float, float, float], ...]:
    """“0.5,0.4 3 m; 0.9,0.2 12 m” as places and distances from the lens [mm]."""
    out = []
    for part in text.split(";"):
        where, _, far = part.strip().partition(" ")
        x, y = place(where)
        out.append((x, y, q.length_mm(far.strip())))
    if len(out) > 6:
        raise Refusal.one("", text, "At most six distances.", "The sitter, the wall behind, a hedge: three do.")
    return tuple(out)


def _pack(text: str) -> tuple[float, float, float]:
    """“20Y 10M” beyond the balance as the density it takes from the red, green and blue layer: by its dyes' shapes in daylight [D]."""
    from firstsheet.light import filters
    from firstsheet.light import spectrum as sp
    from firstsheet.paper import emulsion

    curve = filters.read(text)
    light = sp.kinds()["sun"].spectrum
    each = [emulsion.filter_stops(light, key, curve)[0] * math.log10(2.0) for key in emulsion.LAYERS]
    return each[0], each[1], each[2]
