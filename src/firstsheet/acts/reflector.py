"""A board beside the sitter, in this sun or sky: what it adds to the shadow side, what the paper makes of it, and what open shade would cost instead."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from firstsheet import quantities as q
from firstsheet import tables, wording
from firstsheet.acts import contrast, day_place
from firstsheet.acts.day_seconds import Seconds
from firstsheet.acts.door import Door, Form
from firstsheet.acts.wish import wish
from firstsheet.light import reflector as core
from firstsheet.light import sky as skies
from firstsheet.light.day import KINDS
from firstsheet.light.horizon import Face
from firstsheet.light.place import Spot
from firstsheet.light.sun import Course, Sun, pressure_mbar
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader

SHEET = ("camera", "box", "developer", "way", "subject", "aperture")
CHEEKS_DEG = 90.0  # between where the lit and the shadow side of a face look: ours, no source
USUAL_SIDE_DEG, USUAL_HEIGHT_DEG = 135.0, 40.0
SAID = "The ratio is to about a third of a stop: faces are round, ground and clothes throw light back too. Read both cheeks, with the board and without."
SHADE_SAID = "What open shade costs is to about a stop: what stands round it, and sunlit ground beyond, throw light in."
EYES = "Nobody looks into the board: foil throws the sun itself, which can burn an eye as the sun does. Tilt it away until it stands, then turn it in slowly while the sitter’s eyes are shut."
LENS = "Never let it throw the sun into the lens: the lens burns what it falls on. Cap on while the board is moved."
WIND = "Tie the board or have somebody hold it; in wind it is a sail."


@dataclass(frozen=True, slots=True)
class Shade:
    """Open shade instead of this sun: stops of light it costs, and for the sheet said, its seconds in sun and in shade (None: not known)."""

    cost_stops: float
    sun_s: float | None
    shade_s: float | None


@dataclass(frozen=True, slots=True)
class Reflector:
    """What the board does. Lux on: lit side, shadow side without and with it. Ratios are lit side over shadow side [stop].

    factor       configuration factor of the board from the shadow side [1]; share of what it gives back that arrives
    scene_before, scene_after  the scene's range [stop], None where neither said nor read;  paper_stops  what the paper holds
    for_ratio_m  farthest distance that gives the ratio wanted; None where none does or none was asked
    """

    kind: str
    words: str
    wide_m: float
    high_m: float
    far_m: float
    turn_deg: float
    sun_deg: float
    side_deg: float
    sky: str
    key_lx: float
    fill_lx: float
    with_lx: float
    on_board_lx: float
    factor: float
    mirrored_lx: float
    lift_stops: float
    ratio_before: float
    ratio_after: float
    wanted_stops: float | None
    for_ratio_m: float | None
    scene_before: float | None
    scene_after: float | None
    paper_stops: float | None
    shade: Shade | None
    says: str
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    assumed: tuple[str, ...]
    plan_svg: str


def reflector(reader: Reader, form: Form | None = None) -> Reflector:
    """Fields: kind (white, silver, black), board (“1 x 1.5 m”), distance, turn (“best” or degrees), sky, sun (its height), side (how far round
    the sun stands from where the shadow side looks), ratio (read, stops), want (stops), range (of the scene), and the sheet's own."""
    d = Door(form)
    surface = core.SURFACES[d.pick("kind", core.SURFACES) or "white"]
    size = d.read("board", _size) or (1.0, 1.5)
    far = d.read("distance", _metres) or 1.0
    turn = d.read("turn", lambda t: None if t.lower() == "best" else _signed_deg(t))
    sky = d.read("sky", skies.whole_sky)
    up = d.read("sun", lambda t: q.angle_deg(t, 0.0, 90.0))
    side = d.read("side", lambda t: q.angle_deg(t, 0.0, 180.0))
    ratio = d.read("ratio", _stops)
    want = d.read("want", _stops)
    scene = d.read("range", contrast.range_of)
    sheet = {k: v for k in SHEET if (v := d.said(k))}
    d.close()
    board = core.Board(*size, far)
    if turn is not None:
        board = replace(board, turn_deg=turn)
    sun, assumed = _sun(reader, up, side)
    if sky is None:
        sky, assumed = "clear_sun", (*assumed, "a clear sky")
    light, shade_lx, warm = _light(reader, sun, sky, ratio)
    if turn is None and surface.key != "black":
        board = replace(board, turn_deg=float(core.best_turn_deg(board, surface, light)))
    got = core.added(board, surface, light)
    paper, before = _paper(reader, scene, {k: v for k, v in sheet.items() if k in ("box", "developer", "way")})
    after = max(0.0, before - got.lift_stops) if before is not None else None
    shade = _shade(reader, sheet, sky, (light, shade_lx), warm) if light.beam_lx > 0 else None
    far_found = core.distance_for(board, surface, light, want) if want is not None else None
    notes = [f"{surface.words[:1].upper()}{surface.words[1:]}: {surface.source}.", SAID, *([SHADE_SAID] if shade else [])]
    if got.lift_stops < 0 and surface.key != "black":
        notes.insert(0, "This board hides more light than it gives back. Turn it to the light, or take it away.")
    cautions = ((EYES, LENS) if surface.key == "silver" and light.beam_lx else ()) + (WIND,)
    from firstsheet.drawing.reflector_plan import reflector_plan

    plan = reflector_plan(board, surface.words, sun.bearing_deg if light.beam_lx else None)
    says = _says(surface, got, (want, far_found), (before, after, paper), shade)
    return Reflector(
        surface.key, surface.words, board.wide_m, board.high_m, board.far_m, board.turn_deg, sun.apparent_deg, sun.bearing_deg, sky,
        light.key_lx, light.fill_lx, got.fill_lx, got.on_board_lx, got.factor, got.mirrored_lx, got.lift_stops, got.before_stops,
        got.after_stops, want, far_found, before, after, paper, shade, says, tuple(notes), cautions, assumed, plan,
    )  # fmt: skip


def _says(
    surface: core.Surface, got: core.Added, wanted: tuple[float | None, float | None],
    ranges: tuple[float | None, float | None, float | None], shade: Shade | None,
) -> str:  # fmt: skip
    """The recommendation: what the board buys, what the paper makes of it, what shade would cost."""
    way = "brighter" if got.lift_stops >= 0 else "darker"
    out = [f"The shadow side comes {wording.stops_apart(abs(got.lift_stops))} {way}: lit side over shadow side {got.before_stops:.1f} stops before, {got.after_stops:.1f} after."]
    want, far = wanted
    if want is not None:
        out.append(
            f"For {want:.1f} stops put it {wording.length(far * 1000)} away, no farther." if far
            else f"No distance of this board gives {want:.1f} stops: a larger one, or shade."
        )  # fmt: skip
    before, after, paper = ranges
    if before is not None and after is not None and paper is not None:
        if before <= paper:
            out.append(f"The scene’s {before:.1f} stops fit the paper’s {paper:.1f} without it: use it for its look.")
        elif after <= paper:
            out.append(f"The scene’s {before:.1f} stops become {after:.1f} and fit the paper’s {paper:.1f}: put it there.")
        else:
            out.append(f"The scene’s {before:.1f} stops become {after:.1f}, the paper holds {paper:.1f}: nearer, larger, or open shade.")
    if shade:
        times = f", {wording.seconds(shade.shade_s)} instead of {wording.seconds(shade.sun_s)}" if shade.sun_s and shade.shade_s else ""
        out.append(f"Open shade would cost {wording.stops_apart(shade.cost_stops)} of light{times}; the board costs none.")
    return " ".join(out)


def _sun(reader: Reader, up: float | None, side: float | None) -> tuple[Sun, tuple[str, ...]]:
    """The sun seen from the chair, its bearing counted from where the shadow side looks: height as said, else now over the place kept, else assumed."""
    assumed = []
    if up is None and day_place.known(reader):
        s = day_place.stand(reader)
        now = reader.now().timestamp()
        spot = Spot(s.latitude_deg, s.longitude_deg)
        course = Course.over(spot.latitude_deg, spot.longitude_deg, now, pressure=pressure_mbar(s.above_sea_m))
        up = course.at(now).apparent_deg
        if up <= 0:
            raise Refusal.one("sun", "", "The sun is down at the place kept.", "Say its height: “40°”.")
        assumed.append(f"the sun as high as now over the place kept, {up:.0f}°")
    if up is None:
        up = USUAL_HEIGHT_DEG
        assumed.append(f"the sun {up:.0f}° high")
    if side is None:
        side = USUAL_SIDE_DEG
        assumed.append(f"the sun {side:.0f}° round from where the shadow side looks")
    return Sun(up, up, side), tuple(assumed)


def _light(reader: Reader, sun: Sun, sky: str, ratio: float | None) -> tuple[core.Light, float, tuple[float, ...]]:
    """What falls on both cheeks and the board, light on the lit side in open shade [lx], and the kinds of light in sun."""
    kept = day_place.stand(reader) if day_place.known(reader) else None
    facts = tables.load("daylight")
    ground = facts["ground"][kept.ground if kept else "grass"]["gives_back"]
    day = skies.daylight(sun, 1.0, sky, skies.Air.over(kept.above_sea_m if kept else 0.0))

    def on(bearing: float) -> tuple[float, float, float]:
        return Face(bearing, (), facts["sky"][sky]["upright"], ground).lit(day, sun)

    lit, dark = on(min(CHEEKS_DEG, sun.bearing_deg)), on(0.0)
    key = sum(lit)
    fill = sum(dark) if ratio is None else key / 2.0**ratio
    shadows = facts["sky"][sky]["beam"] > 0
    beam = day.beam_lx if shadows else 0.0
    # Square to the lit cheek's own sky and ground: the board looks back, between both cheeks.
    around = day.sky_lx * (1 - day.ring) * facts["sky"][sky]["upright"] + lit[2]
    shade = day.sky_lx * ((1 - day.ring) * facts["sky"][sky]["upright"] + ground / 2)
    of_sun = lit[0] / key if shadows else 0.0
    kinds = (of_sun, 0.0, 1.0 - of_sun, 0.0) if shadows else (0.0, 0.0, 0.0, 1.0)
    return core.Light(beam, core.direction(sun.bearing_deg, sun.apparent_deg), around, fill, key), shade, kinds


def _shade(reader: Reader, sheet: dict[str, str], sky: str, of: tuple[core.Light, float], kinds: tuple[float, ...]) -> Shade:
    light, shade_lx = of
    cost = math.log2(light.key_lx / shade_lx)
    try:
        w = wish(reader, sheet | {"reading": "1000 lx", "how": "incident", "light": "sun"})
        s = Seconds(reader, w, sky, [KINDS[0], KINDS[2]], (light.key_lx, KINDS[0]))
    except Refusal as refusal:
        if sheet and any(p.asked for p in refusal.problems):
            raise
        return Shade(cost, None, None)
    return Shade(cost, s.at(light.key_lx, kinds)[0], s.at(shade_lx, (0.0, 0.0, 1.0, 0.0))[0])


def _paper(reader: Reader, scene: float | None, sheet: dict[str, str]) -> tuple[float | None, float | None]:
    """Stops the paper holds and the scene's range; None where the book does not say."""
    try:
        c = contrast.contrast(reader, sheet | ({"range": f"{scene:g}"} if scene else {}))
    except Refusal as refusal:
        if any(p.asked for p in refusal.problems):
            raise
        return None, scene
    return c.paper_stops, c.scene_stops


def _size(text: str) -> tuple[float, float]:
    wide, high = q.sheet_size_mm(text)
    return wide / 1000, high / 1000


def _metres(text: str) -> float:
    return q.length_mm(text) / 1000


def _signed_deg(text: str) -> float:
    low = text.startswith(("-", "−"))
    return q.angle_deg(text.lstrip("-−+"), 0.0, 85.0) * (-1 if low else 1)


def _stops(text: str) -> float:
    word = text.strip().lower().removesuffix("stops").removesuffix("stop").strip()
    return q.plain_number(word, 0.0, 10.0)


def stands_words(r: Reflector) -> str:
    """Where the board stands and what light is where."""
    if r.turn_deg:
        turned = f"turned {abs(r.turn_deg):.0f}° {'towards' if r.turn_deg > 0 else 'away from'} the sun’s side"
    else:
        turned = "facing the cheek"
    return (
        f"{r.words[:1].upper()}{r.words[1:]}, {r.wide_m:g} × {r.high_m:g} m, {wording.length(r.far_m * 1000)} from the face, {turned}. "
        f"Lit side {wording.lux(r.key_lx)}, shadow side {wording.lux(r.fill_lx)}, with the board {wording.lux(r.with_lx)}."
    )
