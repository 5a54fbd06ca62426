"""What a look at the sheet ahead rests on: the photo, the paper's curve, the plan, gathered from a form; the slow part remembered."""

from __future__ import annotations

import hashlib
import math
import threading
from collections import OrderedDict
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet.acts import calibrate_kept, own, versions
from firstsheet.acts import plan as planning
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
KEPT_PLANES = 3  # of about 12 MB each
MOST_STOPS = 6.0
BLACK_ROOM_FLARE = 0.01  # of the mean light; a black room and a clean lens; common practice, no source
UNPLANNED_SD = 1.0  # of the exposure where nothing is planned [stop]; ours
# Colours of a print as density added to red, green and blue [D]: by eye, ours; no source.
TINTS: dict[str, tuple[str, tuple[float, float, float], tuple[float, float, float]]] = {
    "neutral": ("neutral", (0.0, 0.0, 0.0), (0.0, 0.0, 0.0)),
    "warm": ("a warm base", (0.0, 0.01, 0.05), (0.0, 0.02, 0.06)),
    "cold": ("a cold image", (0.0, 0.0, 0.0), (0.04, 0.02, 0.0)),
    "coffee": ("the stain of a coffee developer", (0.01, 0.03, 0.10), (0.0, 0.03, 0.12)),
}
_LOCK = threading.Lock()
_PLANES: OrderedDict[tuple[Any, ...], Floats] = OrderedDict()


@dataclass(frozen=True, slots=True, eq=False)
class AheadLook:
    """One look. light: exposure over the mid-tone's on the sheet; chain: how it comes out; p: the plan, None where none can be made.

    sd_stops  doubt of the exposure [stop]; tone: key of what was touched, face its place in the shown picture or None
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


def at(book: Book, picture: int, form: Form | None) -> AheadLook:
    """Gather one look. Fields: of (board or scene), corners (four places), face (a place) and tone, stops (from the plan's answer),
    or give (seconds), preflash (share of the threshold), shows (sheet or print), printed (stops more for the print), range (ISO R of the
    printing paper), wet, colour, flare, depths (“x,y metres; …”), size (of another sheet to crop to), pack
    (filters beyond the balance, colour paper alone), pose, outline."""
    d = Door(form)
    seen_on = d.pick("of", SEEN_ON) or "board"
    corners = d.read("corners", corners_said)
    face = d.read("face", place)
    tone = d.said("tone") or "face_light"
    with d.problems.at("tone"):
        tone = light_words.tone(tone).key
    stops = d.read("stops", _stops)
    give = d.read("give", lambda t: q.duration_s(t, bare="s"))
    preflash = d.read("preflash", lambda t: q.plain_number(t.rstrip(" %"), 0.0, 150.0) / (100.0 if "%" in t else 1.0))
    shows = d.pick("shows", ("sheet", "print")) or "sheet"
    printed = d.read("printed", _stops) or 0.0
    iso_r = d.read("range", lambda t: q.plain_number(t.lower().removeprefix("r").strip(), 30.0, 250.0))
    wet = d.flag("wet") or False
    colour = d.pick("colour", TINTS) or "neutral"
    flare = d.read("flare", lambda t: q.plain_number(t.rstrip(" %"), 0.0, 30.0) / (100.0 if "%" in t else 1.0))
    depths = d.read("depths", _depths)
    size = d.read("size", q.sheet_size_mm)
    pack = d.read("pack", _pack)
    pose = d.said("pose")
    outline = d.flag("outline") or False
    if stops is not None and give is not None:
        d.problems.add("give", d.said("give"), "Stops or seconds, one of them.", "Leave one out.")
    if depths and seen_on == "board":
        d.problems.add("depths", d.said("depths"), "With a photo of the scene: on the board the blur is in the picture already.", "Leave them out.")
    p = plan_or_none(book)
    if give is not None and p is None:
        d.problems.add("give", d.said("give"), "Seconds count from a plan, and none can be made yet.", "Say it in stops, or complete the plan.")
    way = p.way if p else str((book.get_setting("today") or {}).get("way") or "direct_positive")
    if way == CONTACT:
        way = "paper_negative"
    if shows == "print" and way != "paper_negative":
        d.problems.add("shows", "print", "The sheet: it is itself the picture.", "Only a paper negative is contact-printed.")
    if pack and response.way_of(way)["sensitivity"] != "colour":
        d.problems.add("pack", d.said("pack"), "With colour paper: other papers see no colour.", "Leave it out.")
    d.close()
    box, developer, kind = (p.box, p.developer, p.light) if p else ("", "", "")
    tones, _ = versions.tones_of(book, way, box, developer, kind)
    more = stops if stops is not None else math.log2(give / p.wanted_s) if give is not None and p else 0.0
    laid, notes = _laid(book, p, seen_on, flare, pose)
    light = _plane(book, picture, _Frame(way, seen_on, corners, face, tone, shows == "print", depths, size, laid), p)
    chain = _chain(book, way, tones, _Said(more, preflash or 0.0, shows == "print", printed, iso_r, wet, colour, pack or (0.0, 0.0, 0.0)), p)
    sd = p.sd_stops if p else UNPLANNED_SD
    return AheadLook(light, chain, p, way, sd, tone, seen_on, outline, tones.measured, tones.words, tuple(notes))


@dataclass(frozen=True, slots=True)
class _Frame:
    way: str
    seen_on: str
    corners: tuple[tuple[float, float], ...] | None
    face: tuple[float, float] | None
    tone: str
    printed: bool
    depths: tuple[tuple[float, float, float], ...] | None
    size: tuple[float, float] | None
    laid: Laid


@dataclass(frozen=True, slots=True)
class _Said:
    more: float
    preflash: float
    printed: bool
    print_stops: float
    iso_r: float | None
    wet: bool
    colour: str
    pack: tuple[float, float, float]


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
    return route.Chain(way, tones, s.more, s.preflash, "print" if s.printed else "sheet", through, print_tones, s.print_stops, tint, s.wet, s.pack)


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


def _plane(book: Book, picture: int, f: _Frame, p: Plan | None) -> Floats:
    """Exposure over the mid-tone's, remembered for as long as only the last stage changes."""
    data: bytes = book.get_picture(picture)["data"]
    size = f.size or size_of(book, p)
    weights = _weights(f.way, p)
    key = (hashlib.sha256(data).digest(), replace(f), size, weights)
    with _LOCK:
        if key in _PLANES:
            _PLANES.move_to_end(key)
            return _PLANES[key]
    made = _made(data, f, size, weights, p)
    with _LOCK:
        _PLANES[key] = made
        while len(_PLANES) > KEPT_PLANES:
            _PLANES.popitem(last=False)
    return made


def _made(data: bytes, f: _Frame, size: tuple[float, float], weights: tuple[Any, ...], p: Plan | None) -> Floats:
    import numpy as np

    from firstsheet.foresee import depth, picture, redraw

    rgb, clipped = redraw.linear_rgb(data, 2000)
    middle = _middle(rgb, clipped, f, weights)
    if f.corners:
        rgb, clipped = picture.framed(rgb, clipped, f.corners, _aspect(f.corners, rgb.shape, size))  # type: ignore[arg-type]
    else:
        rgb, clipped = picture.cropped(rgb, clipped, size[0] / size[1])
    # On the board the picture hangs upside down and, seen facing it, as the sheet will have it; a scene is as the lens looks at it.
    mirrored = (f.seen_on == "scene") != f.printed
    rgb = np.ascontiguousarray(picture.turned(rgb, f.seen_on == "board", mirrored))
    across = max(size) if rgb.shape[1] > rgb.shape[0] else min(size)
    got = picture.receive(rgb, weights, middle, across)
    if f.depths and p and p.subject_mm:
        got = replace(got, exposure=depth.blurred(got, rgb, depth.placed(f.depths, f.corners, mirrored), depth.Optics(p.subject_mm, _focal(p), p.aperture or 8.0)))
    return picture.laid(got, f.laid)


def _aspect(corners: Any, shape: tuple[int, ...], size: tuple[float, float]) -> float:
    """Width over height of the sheet as its corners lie in the photo, upright or across."""
    across = math.dist(*[(x * shape[1], y * shape[0]) for x, y in corners[:2]])
    down = math.dist(*[(x * shape[1], y * shape[0]) for x, y in corners[1:3]])
    short, long = min(size), max(size)
    return long / short if across > down else short / long


def _focal(p: Plan) -> float:
    """Focal length that the plan's distances imply [mm]: u = f(1 + 1/m)."""
    assert p.subject_mm is not None
    assert p.magnification is not None
    return p.subject_mm / (1.0 + 1.0 / p.magnification)


def _middle(rgb: Any, clipped: Any, f: _Frame, weights: tuple[Any, ...]) -> float:
    """The photo's value of a mid-tone: from the touched place and its tone as a meter sees it, else the middle of the picture."""
    import numpy as np

    from firstsheet.foresee import redraw

    if f.face is None:
        return max(float(np.median(rgb[::4, ::4] @ redraw.REC709)), 1e-4)
    there = redraw.disc(rgb.shape, f.face)
    if clipped[there].mean() > 0.5:
        raise Refusal.one("face", "clipped in the photo", "A place with tone in it.", "Touch it elsewhere, or photograph it a little darker.")
    value = float(rgb[there].mean(axis=0) @ redraw.REC709)
    return max(value, 1e-4) / math.pow(2.0, light_words.tone(f.tone).stops)


def _weights(way: str, p: Plan | None) -> tuple[Any, ...]:
    """Red, green and blue as this paper sees them in this light, through a lens of clear glass; a row for each layer of colour paper."""
    from firstsheet.light import spectrum as sp
    from firstsheet.paper import emulsion, subjects

    kind = str(response.way_of(way)["sensitivity"])
    light = sp.kinds()[p.light if p else "sun"].spectrum
    if kind == "colour":
        return tuple(subjects.rgb_weights(light, key, (sp.lens_glass(),)) for key in emulsion.LAYERS)
    return subjects.rgb_weights(light, emulsion.OF_PAPER[kind], (sp.lens_glass(),))


def size_of(book: Book, p: Plan | None) -> tuple[float, float]:
    """Width and height of the sheet [mm]: the planned box's, else 16 × 20 inches, near enough."""
    if p is None:
        return (400.0, 500.0)
    box = own.one(book, "box", p.box).body
    return float(box["width_mm"]), float(box["height_mm"])


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
