"""The camera room and its sitter in plan, seen from above, to the scale of its section; and both on paper at a chosen scale.

The lens is taken to look out of the middle of its wall. Trays and way out are drawn where they do well: trays along one side,
the way out opposite, opening outward; nobody said where they are.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from html import escape

from firstsheet import wording
from firstsheet.camera import focus
from firstsheet.camera.lens import Lens
from firstsheet.camera.room import Room, RoomAnswer
from firstsheet.drawing import paper
from firstsheet.drawing.room_section import (
    BEHIND_EYES_MM,
    BOARD_EDGE_MM,
    LETTER_PX,
    MARGIN,
    ROW_PX,
    WIDTH,
    Scale,
    dimensions,
    lens_height_mm,
    line,
    outside,
    scale_of,
    text,
)
from firstsheet.refusal import Refusal

EARS_MM, SHOULDERS_MM = 80.0, 230.0  # half the width of a head and of shoulders; common practice, no source
TRAY_MM = (560.0, 460.0)  # along the wall and out from it
DOOR_MM = 700.0
SCALES = (10, 20, 25, 50, 100)
CHECK_MM = 14.0  # the line to check by and the words over it, and room between drawings
A4_MM, A3_MM = (273.0, 186.0), (396.0, 273.0)  # lying, less their margins


@dataclass(frozen=True, slots=True)
class Moved:
    """A chair somewhere else: where it is [% of the drawing's width], and how far chair and board are moved to the right of where they were drawn."""

    left: float
    chair: float
    board: float


def chair_plan(lens: Lens, room: Room, a: RoomAnswer, sheet_mm: tuple[float, float], reach: tuple[float, tuple[float, ...]]) -> tuple[str, tuple[Moved, ...]]:
    """The plan with nothing left out as far as `reach`[0] [mm], and what moves where for a chair at each of `reach`[1] [mm].

    The SVG says in `data-axis` how far down the lens's axis is [% of its height].
    """
    far_mm, chairs = reach
    per_mm = (WIDTH - 2 * MARGIN) / (room.length_mm + far_mm + BEHIND_EYES_MM)
    s = Scale(per_mm, MARGIN + room.length_mm * per_mm, 0.0)
    svg = _plan(s, lens, room, a, sheet_mm)
    moved = []
    for u in chairs:
        v = focus.board_for_subject(lens.focal_mm, u)
        moved.append(Moved(round(100 * s.x(u) / WIDTH, 2), round(s.x(u) - s.x(a.subject_mm), 2), round(s.x(-v) - s.x(-a.board_mm), 2)))
    return svg, tuple(moved)


def room_plan(lens: Lens, room: Room, a: RoomAnswer, sheet_mm: tuple[float, float]) -> str:
    """The plan as a standalone SVG, with title and description for those who cannot see it."""
    return _plan(scale_of(room, a.subject_mm, lens_height_mm(room, sheet_mm[1])), lens, room, a, sheet_mm)


def _plan(flat: Scale, lens: Lens, room: Room, a: RoomAnswer, sheet_mm: tuple[float, float]) -> str:
    half = room.width_mm / 2
    widest = max(half, a.field_mm[0] / 2 if a.field_mm[0] < 2 * room.width_mm else half, SHOULDERS_MM)
    s = replace(flat, axis_px=ROW_PX + 6 + widest * flat.per_mm)
    door = (DOOR_MM + 60) * s.per_mm
    low = max(s.y(-half) + door, s.y(-widest)) + 12
    height = low + ROW_PX + 8
    said = (f"From above: the board {wording.millimetres(a.board_mm)} behind the lens, the sitter {wording.millimetres(a.subject_mm)} before it. "
            "The picture’s left is the sitter’s other side: it lies upside down and turned about on the board.")  # fmt: skip
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="room-plan" data-axis="{100 * s.axis_px / height:.2f}" data-units-per-mm="{s.per_mm:.6f}" viewBox="0 0 {WIDTH:g} {height:.1f}" '
        f'role="img" fill="none" stroke="currentColor" stroke-width="1" font-family="sans-serif" font-size="{LETTER_PX:g}">',
        "<title>The room in plan: board, lens, trays, way out and sitter</title>",
        f"<desc>{escape(said)}</desc>",
        *_walls(s, lens, room),
        *_inside(s, lens, room, a, sheet_mm),
        *_trays(s, room),
        '<g class="stands">',
        *_rays(s, lens, a),
        *[p for p in dimensions(s, a, low, {"shortened": "drawn shortened"}) if 'class="break"' not in p and "drawn shortened" not in p],
        "</g>",
        *_sitter(s, a.subject_mm),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _walls(s: Scale, lens: Lens, room: Room) -> list[str]:
    left, right, half = s.x(-room.length_mm), s.lens_px, room.width_mm / 2
    gap = max(5.0, lens.focal_mm / lens.f_number / 2 * s.per_mm)
    from_mm = min(80.0, room.length_mm * 0.1)
    wide = min(DOOR_MM, room.length_mm * 0.5)
    a, b = s.x(-room.length_mm + from_mm), s.x(-room.length_mm + from_mm + wide)
    low = s.y(-half)
    return [
        f'<path class="wall" stroke-width="1.6" d="M{right:.1f},{s.axis_px - gap - 2:.1f} V{s.y(half):.1f} H{left:.1f} V{low:.1f} H{a:.1f} M{b:.1f},{low:.1f} '
        f'H{right:.1f} V{s.axis_px + gap + 2:.1f}"/>',
        f'<ellipse class="lens" cx="{right:.1f}" cy="{s.axis_px:.2f}" rx="2.6" ry="{gap:.1f}"/>',
        line("way-out", a, low, a, low + wide * s.per_mm),
        f'<path class="swing" stroke-width="0.6" stroke-dasharray="2 2.4" d="M{a:.1f},{low + wide * s.per_mm:.1f} A{wide * s.per_mm:.1f},{wide * s.per_mm:.1f} 0 0 0 {b:.1f},{low:.1f}"/>',
        text(b + 4, low + ROW_PX, "way out", "start"),
        text((left + right) / 2, s.y(half) - 6, f"{room.length_mm / 1000:.2f} × {room.width_mm / 1000:.2f} m inside"),
    ]


def _inside(s: Scale, lens: Lens, room: Room, a: RoomAnswer, sheet_mm: tuple[float, float]) -> list[str]:
    """The board edge on with its sheet, its range, and on the sheet the picture of head and shoulders, turned about."""
    x, half = s.x(-a.board_mm), sheet_mm[0] / 2
    edge = half + BOARD_EDGE_MM
    parts = [
        '<g class="board-moves">',
        line("board", x - 1.8, s.y(edge), x - 1.8, s.y(-edge), 'stroke-width="2"'),
        line("sheet", x, s.y(half), x, s.y(-half)),
    ]
    for name, of, wide in (("shoulders", SHOULDERS_MM, 1.6), ("head", EARS_MM, 3.2)):
        on = min(of * a.magnification, half)
        parts.append(line(f"picture {name}", x + wide / 2, s.y(on), x + wide / 2, s.y(-on), f'stroke-width="{wide:g}"'))
    parts.append("</g>")
    for at in (room.board_min_mm, room.board_max_mm):
        if abs(at - a.board_mm) > 30:
            parts.append(line("mark", s.x(-at), s.y(edge), s.x(-at), s.y(-edge), 'stroke-width="0.7" stroke-dasharray="2 2.4"'))
    return parts


def _trays(s: Scale, room: Room) -> list[str]:
    """As many of three trays as the wall takes, first to last from the far end."""
    count = min(3, int((room.length_mm - 80) // (TRAY_MM[0] + 40)))
    deep = min(TRAY_MM[1], room.width_mm * 0.3)
    top = s.y(room.width_mm / 2 - 40)
    parts = []
    for i in range(count):
        left = s.x(-room.length_mm + 40 + i * (TRAY_MM[0] + 40))
        parts.append(f'<rect class="tray" x="{left:.1f}" y="{top:.1f}" width="{TRAY_MM[0] * s.per_mm:.1f}" height="{deep * s.per_mm:.1f}"/>')
    if count:
        parts.append(text(s.x(-room.length_mm + 40) + 1, top + deep * s.per_mm + ROW_PX - 2, "trays", "start"))
    return parts


def _rays(s: Scale, lens: Lens, a: RoomAnswer) -> list[str]:
    """From both ears through both sides of the aperture to their places on the board."""
    half = lens.focal_mm / a.aperture / 2
    parts = []
    for up in (EARS_MM, -EARS_MM):
        for at_lens in (-half, half):
            d = f"M{s.x(-a.board_mm):.1f},{s.y(-up * a.magnification):.2f} L{s.lens_px:.1f},{s.y(at_lens):.2f}" + outside(s, at_lens, a.subject_mm, up)
            parts.append(f'<path class="ray" stroke-width="0.5" stroke-opacity="0.65" d="{d}"/>')
    return parts


def _sitter(s: Scale, subject_mm: float) -> list[str]:
    """Head and shoulders from above; the eyes at their distance."""
    p = s.per_mm
    x = s.x(subject_mm)
    return [
        '<g class="chair-moves">',
        f'<ellipse class="sitter shoulders" cx="{x + 110 * p:.1f}" cy="{s.axis_px:.1f}" rx="{120 * p:.1f}" ry="{SHOULDERS_MM * p:.1f}"/>',
        f'<ellipse class="sitter head" cx="{x + 95 * p:.1f}" cy="{s.axis_px:.1f}" rx="{100 * p:.1f}" ry="{EARS_MM * p:.1f}" fill="currentColor"/>',
        "</g>",
    ]


def paper_mm(svg: str, scale: float) -> tuple[float, float]:
    """How large a drawing is on paper at 1:`scale` [mm, mm]."""
    box = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
    per = re.search(r'data-units-per-mm="([\d.]+)"', svg)
    assert box
    assert per
    return float(box[1]) / float(per[1]) / scale, float(box[2]) / float(per[1]) / scale


def printed(svgs: Sequence[str], scale: float | None, title: str) -> tuple[str, float]:
    """Both drawings as one HTML page at 1:`scale`, and that scale; None takes the largest of the customary ones at which both lie on one A4.

    At a larger scale each has a sheet of its own.

    Raises Refusal where a drawing would not fit A3, naming a scale that does.
    """
    def fits(of: float, most: tuple[float, float]) -> bool:
        return all(w <= most[0] and h <= most[1] for w, h in (paper_mm(svg, of) for svg in svgs))

    def together(of: float, most: tuple[float, float]) -> bool:
        return sum(paper_mm(svg, of)[1] for svg in svgs) + CHECK_MM * len(svgs) <= most[1] and fits(of, most)

    fitting = [c for c in SCALES if together(c, A4_MM)]
    if scale is None:
        if not fitting:
            raise Refusal.one("scale", "", "It fits A4 at none of the customary scales.", "Say one, like “1:200”.")
        scale = fitting[0]
    if not fits(scale, A3_MM):
        small = min(math.ceil(scale * max(max(w / A3_MM[0], h / A3_MM[1]) for w, h in (paper_mm(svg, scale) for svg in svgs))), 10_000)
        raise Refusal.one("scale", f"1:{scale:g}", "A drawing that fits A3, 420 × 297 mm.", f"Try 1:{next((c for c in SCALES if c >= small), small)}.")
    size = "A4" if fits(scale, A4_MM) else "A3"
    sized = []
    for svg in svgs:
        w, h = paper_mm(svg, scale)
        sized.append(svg.replace("<svg ", f'<svg width="{w:.2f}mm" height="{h:.2f}mm" ', 1))
    check = '<svg width="102mm" height="5mm" viewBox="0 0 102 5" stroke="#000" stroke-width="0.3" fill="none"><path d="M1,0 v4 M1,2 h100 M101,0 v4"/></svg>'
    said = f"{escape(title)}, 1:{scale:g}. Print at 100 %; this line is 100 mm, {wording.millimetres(100 * scale)} in the room."
    sheets = ["".join(sized)] if together(scale, A4_MM if size == "A4" else A3_MM) else sized
    body = "".join(f"<section><p>{said}</p>{check}{drawn}</section>\n" for drawn in sheets)
    return paper.page(body, title, size), scale
