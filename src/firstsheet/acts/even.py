"""How evenly the sheet is lit, what to do about it, and what the print can mend."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts import own
from firstsheet.acts.distances import camera_and_sheet
from firstsheet.acts.door import Door, Form
from firstsheet.acts.found import Figure, Found, Table
from firstsheet.acts.room import room
from firstsheet.acts.sharp import ROOM_FIELDS
from firstsheet.camera import coverage, even, fits
from firstsheet.camera.even import Place
from firstsheet.camera.room import BARREL_SOURCE, COVERAGE_SOURCE, RoomAnswer
from firstsheet.drawing.even_map import even_map

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.camera.lens import Lens

SHOWS_STOPS = 0.3  # an edge this much darker is seen in a plain ground; common practice, no source
SIDES = ("left", "right", "up", "down")


def evenness(reader: Reader, form: Form | None = None) -> Found:
    """Light over the sheet in stops. Fields: those of the room, aperture, and how far the sheet's middle hangs off the lens's axis,
    seen facing it: left, right, up, down."""
    d = Door(form)
    for key in ROOM_FIELDS:
        d.said(key)
    aperture = d.read("aperture", q.f_number)
    off = {side: d.read(side, q.length_mm) or 0.0 for side in SIDES}
    for one, other in (("left", "right"), ("up", "down")):
        if off[one] and off[other]:
            d.problems.add(one, d.said(one), f"{one} or {other}, not both.", "Leave one out.")
    asked = {k: v for k, v in (form or {}).items() if k in ROOM_FIELDS}
    a: RoomAnswer | None = None
    with d.problems.at(""):
        a = room(reader, asked | ({"aperture": f"f/{aperture:g}"} if aperture else {}))
    camera: own.Owned | None = None
    size: tuple[float, float] | None = None
    if a is not None:
        camera, size = camera_and_sheet(reader, Door({k: asked[k] for k in ("camera", "size", "box") if k in asked}))
        for side, most in (("left", camera and camera.body["width_mm"]), ("right", camera and camera.body["width_mm"]), ("up", camera and camera.body["height_mm"]), ("down", camera and camera.body["height_mm"])):
            if most and off[side] > most:
                d.problems.add(side, d.said(side), f"No more than the room, {most:g} mm.", "Measure from the middle of the sheet to the lens’s height and side.")
    d.close()
    assert a is not None
    assert camera is not None
    assert size is not None
    lens = own.lens_of(camera.body)
    offset = (off["right"] - off["left"], off["up"] - off["down"])
    rows = even.places(lens, a.magnification, size, a.aperture, offset)
    return _found(a, lens, size, offset, rows)


def _found(a: RoomAnswer, lens: Lens, size: tuple[float, float], offset: tuple[float, float], rows: tuple[tuple[Place, ...], ...]) -> Found:
    dark, light = even.darkest(rows), even.lightest(rows)
    spread = light.stops - dark.stops
    centred = even.darkest(even.places(lens, a.magnification, size, a.aperture))
    source = COVERAGE_SOURCE if lens.barrel is None else BARREL_SOURCE
    where = _where(dark, offset)
    figures = (
        Figure("spread_stops", "Darkest against lightest", wording.stops_apart(spread), spread, "stop", f"at the {where}, {wording.f_number(a.aperture)}", source),
        Figure("darkest_stops", "Darkest against the axis", wording.stops(dark.stops), dark.stops, "stop", "", source),
        Figure("centred_stops", "The same if the sheet hung on the axis", wording.stops(centred.stops), centred.stops, "stop", "", source),
    )  # fmt: skip
    notes = [*_moves(offset, dark, centred), *_mends(spread, where), *_stop_down(a, lens, size, offset)]
    if lens.barrel is None:
        notes.append("Nobody measured the barrel: wide open its shading comes on top. Measure it: “What its barrel cuts off”.")
    data: tuple[dict[str, Any], ...] = tuple({"right_mm": p.right_mm, "up_mm": p.up_mm, "stops": p.stops} for row in rows for p in row)
    stops = []
    for n in fits.stops_of(lens):
        worst = even.darkest(even.places(lens, a.magnification, size, n, offset, (3, 3)))
        stops.append((wording.f_number(n), "dark" if worst.stops <= even.DARK_STOPS else wording.stops(worst.stops)))
    table = Table("By stop, the darkest corner", ("stop", "corner"), tuple(stops), data)
    shows = "it shows in a plain ground" if spread > SHOWS_STOPS else "hardly anyone sees it"
    first = f"The sheet is uneven by {wording.stops_apart(spread)}, darkest at the {where}: {shows}."
    drawing = even_map(rows, size, offset, coverage.circle_mm(lens, a.magnification))
    return Found("even", first, figures, (table,), tuple(notes), drawing=drawing)


def _where(p: Place, offset: tuple[float, float]) -> str:
    """The darkest corner by its name; where two or four are alike, all of them."""
    along = ("top" if p.up_mm > 0 else "bottom") if offset[1] else ""
    across = ("left" if p.right_mm < 0 else "right") if offset[0] else ""
    return f"{along} {across}" if along and across else f"{along or across} corners".strip()


def _moves(offset: tuple[float, float], dark: Place, centred: Place) -> list[str]:
    """Which way to shift the sheet, and what it brings."""
    if centred.stops - dark.stops < 0.05:
        return []
    ways = [f"{wording.length(abs(mm))} {word}" for mm, word in ((offset[0], "left" if offset[0] > 0 else "right"), (offset[1], "down" if offset[1] > 0 else "up")) if mm]
    return [f"Move the sheet {' and '.join(ways)}: its darkest place gains {wording.stops_apart(centred.stops - dark.stops)}."]


def _mends(spread: float, where: str) -> list[str]:
    if spread <= SHOWS_STOPS:
        return []
    verb = "come" if where.endswith("corners") else "comes"
    return [f"On a direct positive the {where} {verb} out darker, and nothing mends it afterwards. A paper negative is thin there and prints darker: in the contact print hold the light back there by {wording.stops_apart(spread)} at the very edge, less inwards."]


def _stop_down(a: RoomAnswer, lens: Lens, size: tuple[float, float], offset: tuple[float, float]) -> list[str]:
    """The widest stop at which the barrel adds no more than a tenth of a stop."""
    if lens.barrel is None:
        return []
    corner = (size[0] / 2 + abs(offset[0]), size[1] / 2 + abs(offset[1]))
    alone = coverage.falloff_at_stops(corner, lens, a.magnification)
    free = [n for n in fits.stops_of(lens) if coverage.shade_stops(corner, lens, a.magnification, n) >= alone - 0.1]
    if not free:
        return ["The barrel shades the corner at every stop of this lens."]
    return [] if min(free) <= a.aperture else [f"From {wording.f_number(min(free))} on the barrel shades no more: what is left is geometry."]
