"""The camera room and its sitter in section, to scale, as one SVG.

Drawn 360 units wide so that its letters are 12 pixels tall on a telephone 360 pixels wide, 13 on one of 390. Colour is
`currentColor` and looks are by class: nothing in it is refused by a strict content policy. Where the sitter
is too far to draw at a readable scale a piece of the distance is left out, marked and said. Heights the room
does not tell are customary: a seated adult's eyes, and the lens, at 1200 mm (common practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from html import escape

from firstsheet import wording
from firstsheet.camera import focus
from firstsheet.camera.lens import Lens
from firstsheet.camera.remedy import chair_mm, metres
from firstsheet.camera.room import Room, RoomAnswer
from firstsheet.refusal import Refusal

WIDTH = 360.0
MARGIN = 8.0
EYES_MM = 1200.0
BEHIND_EYES_MM = 330.0  # the chair's back
BOARD_EDGE_MM = 70.0  # how far the board is drawn to reach beyond the sheet
KNEES_MM = 560.0  # before the eyes
BREAK_PX = 9.0
SMALLEST_SCALE = 0.046  # px per mm; below it the sitter is too small to read and the distance is broken
LETTER_PX = 13.5
ROW_PX = 16.0
TOP_PX = 2 * ROW_PX + 7  # two rows of labels

WORDS = {
    "en": {
        "title": "The room in section: board, lens and sitter",
        "desc": "{lens} in the wall. The board is {board} behind it, the sitter's eyes {subject} before it. "
        "On the sheet, {sheet}, the picture is upside down and a head {head} tall.",
        "broken": " The distance to the sitter is drawn shortened.",
        "closest": "closest sitter, {distance}",
        "far": "far window",
        "furthest": "furthest sitter, {distance}",
        "trays": "trays",
        "shortened": "drawn shortened",
    },
}

# The sitter in profile, facing the lens: mm from the eyes, right and up. The chair is apart: lines.
HEAD = (
    "M-8,20 L-28,-22 L-10,-28 L-12,-62 L0,-104 Q30,-120 62,-104 L66,-90 L160,-70 Q196,0 176,60 "
    "Q140,118 75,115 Q8,112 -8,20 Z"
)
BODY = (
    "M62,-60 L58,-150 Q-30,-200 -36,-330 L-40,-560 L-400,-585 Q-470,-590 -470,-650 L-440,-1120 "
    "L-545,-1165 L-545,-1200 L-345,-1200 L-330,-735 L170,-735 "
    "Q240,-720 236,-600 L222,-300 Q214,-190 152,-150 L156,-50 Z"
)
CHAIR = "M-170,-748 H262 M-150,-748 V-1200 M252,-748 V-1200 M258,-748 L296,-330"


@dataclass(frozen=True, slots=True)
class Scale:
    """From mm (x from the lens towards the sitter, y up from the lens's axis) to the drawing."""

    per_mm: float
    lens_px: float
    axis_px: float
    cut_from_mm: float = 0.0
    cut_mm: float = 0.0

    def x(self, mm: float) -> float:
        if self.cut_mm and mm >= self.cut_from_mm + self.cut_mm:
            return self.lens_px + (mm - self.cut_mm) * self.per_mm + BREAK_PX
        return self.lens_px + mm * self.per_mm

    def y(self, mm: float) -> float:
        return self.axis_px - mm * self.per_mm


def room_section(lens: Lens, room: Room, answer: RoomAnswer, sheet_mm: tuple[float, float], lang: str = "en") -> str:
    """The section as a standalone SVG, with title and description for those who cannot see it.

    sheet_mm   width and height of the sheet as it hangs [mm]
    lang       "en"; Refusal for another
    """
    if lang not in WORDS:
        raise Refusal.one("lang", lang, f"The drawing is worded in: {', '.join(WORDS)}.", "Use one of these.")
    words = WORDS[lang]
    lens_height = lens_height_mm(room, sheet_mm[1])
    s = scale_of(room, answer.subject_mm, lens_height)
    ground = -max(lens_height, EYES_MM)
    height = s.y(ground) + 18 + ROW_PX + 8
    desc = words["desc"].format(
        lens=f"{lens.focal_mm:g} mm, {wording.f_number(answer.aperture)}",
        board=wording.millimetres(answer.board_mm),
        subject=wording.millimetres(answer.subject_mm),
        sheet=wording.sheet_size(*sheet_mm),
        head=wording.millimetres(answer.head_mm),
    )
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="room-section" data-units-per-mm="{s.per_mm:.6f}" viewBox="0 0 {WIDTH:g} {height:.1f}" '
        'role="img" fill="none" stroke="currentColor" stroke-width="1" font-family="sans-serif" '
        f'font-size="{LETTER_PX:g}">',
        f"<title>{escape(words['title'])}</title>",
        f"<desc>{escape(desc + (words['broken'] if s.cut_mm else ''))}</desc>",
        *_walls(s, room, lens, lens_height, ground),
        *_trays(s, room, lens_height, words),
        *board_range(s, lens, room, sheet_mm[1], words),
        *_rays(s, lens, answer),
        *_board(s, room, answer, sheet_mm),
        *_sitter(s, answer.subject_mm, ground),
        _lens_label(s, lens, answer),
        *dimensions(s, answer, s.y(ground) + 18, words),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def lens_height_mm(room: Room, sheet_height_mm: float) -> float:
    """Lens above the room's floor: at a seated sitter's eyes where floor and ceiling leave room for it."""
    board = sheet_height_mm / 2 + BOARD_EDGE_MM + 30
    low, high = board, room.height_mm - board
    return room.height_mm / 2 if low > high else min(max(EYES_MM, low), high)


def scale_of(room: Room, subject_mm: float, lens_height_mm: float) -> Scale:
    usable = WIDTH - 2 * MARGIN
    whole = room.length_mm + subject_mm + BEHIND_EYES_MM
    per_mm = min(usable / whole, 0.09)
    cut_from = cut = 0.0
    if per_mm < SMALLEST_SCALE:
        # the least that still shows rays on both sides of the break
        shortest = room.length_mm + 2 * KNEES_MM + BEHIND_EYES_MM
        per_mm = min(SMALLEST_SCALE * 1.1, (usable - BREAK_PX) / shortest)
        cut = whole - (usable - BREAK_PX) / per_mm
        cut_from = (subject_mm - KNEES_MM - cut) * 0.55
    top = TOP_PX + max(room.height_mm - lens_height_mm, 160) * per_mm
    left = MARGIN + max(0.0, usable - whole * per_mm) / 2 if not cut else MARGIN
    return Scale(per_mm, left + room.length_mm * per_mm, top, cut_from, max(cut, 0.0))


def _walls(s: Scale, room: Room, lens: Lens, lens_height_mm: float, ground_mm: float) -> list[str]:
    left, right = s.x(-room.length_mm), s.lens_px
    top, bottom = s.y(room.height_mm - lens_height_mm), s.y(-lens_height_mm)
    glass = max(5.0, lens.focal_mm / lens.f_number / 2 * s.per_mm)
    gap = glass + 2
    parts = [
        f'<path class="wall" stroke-width="1.6" d="M{right:.1f},{s.axis_px - gap:.1f} V{top:.1f} H{left:.1f} '
        f'V{bottom:.1f} H{right:.1f} V{s.axis_px + gap:.1f}"/>',
        f'<ellipse class="lens" cx="{right:.1f}" cy="{s.axis_px:.2f}" rx="2.6" ry="{glass:.1f}"/>',
        line("ground", right, s.y(ground_mm), WIDTH - 2, s.y(ground_mm), 'stroke-width="0.6"'),
    ]
    if -lens_height_mm > ground_mm:  # a van, or a box on trestles: its floor is above the ground
        parts += [line("leg", x, bottom, x, s.y(ground_mm)) for x in (left + 8, right - 8)]
        parts.append(line("ground", left, s.y(ground_mm), right, s.y(ground_mm), 'stroke-width="0.6"'))
    return parts


def _lens_label(s: Scale, lens: Lens, a: RoomAnswer) -> str:
    """Just above the rays outside; above the crown where the sitter is too near for that."""
    said = f"{lens.focal_mm:g} mm, {wording.f_number(a.aperture)}"
    clear = s.lens_px + 7 + long(said) < s.x(a.subject_mm) - 4
    return text(s.lens_px + 7, s.axis_px - 15 if clear else s.y(125) - 5, said, "start")


def _trays(s: Scale, room: Room, lens_height_mm: float, words: dict[str, str]) -> list[str]:
    """Three trays on shelves at the end of the room, below the board's travel."""
    wide, tall = 420 * s.per_mm, max(3.0, 60 * s.per_mm)
    left = s.x(-room.length_mm) + 5
    heights = (130.0, 300.0, 470.0) if lens_height_mm > 800 else (80.0, 220.0, 360.0)
    parts = [
        f'<rect class="tray" x="{left:.1f}" y="{s.y(up - lens_height_mm) - tall:.1f}" '
        f'width="{wide:.1f}" height="{tall:.1f}"/>'
        for up in heights
    ]
    middle = s.y(heights[1] - lens_height_mm) - tall / 2 + 4
    return [*parts, text(left + wide + 5, middle, words["trays"], "start")]


def board_range(s: Scale, lens: Lens, room: Room, sheet_height_mm: float, words: dict[str, str]) -> list[str]:
    """Where the board may slide, as dashed marks that say what is sharp there."""
    low = s.y(-sheet_height_mm / 2 - BOARD_EDGE_MM)
    parts = []
    if room.board_max_mm > lens.focal_mm:
        closest = focus.subject_for_board(lens.focal_mm, room.board_max_mm)
        said = words["closest"].format(distance=metres(chair_mm(closest, math.inf)))
        parts += mark(s.x(-room.board_max_mm), 13, low, said)
    if room.board_min_mm <= lens.focal_mm <= room.board_max_mm:
        parts += mark(s.x(-lens.focal_mm), 13 + ROW_PX, low, words["far"])
    elif room.board_min_mm > lens.focal_mm:
        furthest = focus.subject_for_board(lens.focal_mm, room.board_min_mm)
        said = words["furthest"].format(distance=metres(chair_mm(furthest, 0.0)))
        parts += mark(s.x(-room.board_min_mm), 13 + ROW_PX, low, said)
    return parts


def mark(x: float, text_y: float, low: float, label: str) -> list[str]:
    """Labels stand in two rows and run right from their mark, so that no mark crosses a label."""
    return [
        text(x - 1, text_y, label, "start"),
        line("mark", x, text_y + 3, x, low, 'stroke-width="0.7" stroke-dasharray="2 2.4"'),
    ]


def _rays(s: Scale, lens: Lens, a: RoomAnswer) -> list[str]:
    """From crown and chin through top, middle and bottom of the aperture, to their places on the board."""
    half = lens.focal_mm / a.aperture / 2
    parts = []
    for along, up in ((a.subject_mm + 75, 115.0), (a.subject_mm + 20, -110.0)):
        for at_lens in (-half, 0.0, half):
            d = (
                f"M{s.x(-a.board_mm):.1f},{s.y(-up * a.magnification):.2f} "
                f"L{s.lens_px:.1f},{s.y(at_lens):.2f}" + outside(s, at_lens, along, up)
            )
            parts.append(f'<path class="ray" stroke-width="0.5" stroke-opacity="0.65" d="{d}"/>')
    return parts


def outside(s: Scale, at_lens: float, along: float, up: float) -> str:
    """The ray's way from the lens to the sitter, with the left-out piece left out at its true slope."""
    path = ""
    if s.cut_mm:
        for i, mm in enumerate((s.cut_from_mm, s.cut_from_mm + s.cut_mm)):
            high = at_lens + (up - at_lens) * mm / along
            path += f" {'LM'[i]}{s.x(mm) if i else s.lens_px + mm * s.per_mm:.1f},{s.y(high):.1f}"
    return f"{path} L{s.x(along):.1f},{s.y(up):.2f}"


def _board(s: Scale, room: Room, a: RoomAnswer, sheet_mm: tuple[float, float]) -> list[str]:
    """The board edge on, the sheet on it, and the picture upside down, drawn as if it stood before it."""
    x, half = s.x(-a.board_mm), sheet_mm[1] / 2
    edge = half + BOARD_EDGE_MM
    size = a.magnification * s.per_mm
    # a nested svg cuts the picture off at the edge of the sheet
    picture = (
        f'<svg class="picture" x="{x:.1f}" y="{s.y(half):.1f}" width="{max(900 * size, 1):.1f}" '
        f'height="{2 * half * s.per_mm:.1f}"><g fill="currentColor" stroke="none" '
        f'transform="translate({270 * size:.2f} {half * s.per_mm:.2f}) scale({-size:.5f} {size:.5f})">'
        f'<path d="{HEAD}"/><path d="{BODY}"/></g></svg>'
    )
    label = wording.sheet_size(*sheet_mm)
    return [
        picture,
        line("board", x - 1.8, s.y(edge), x - 1.8, s.y(-edge), 'stroke-width="2"'),
        line("sheet", x, s.y(half), x, s.y(-half), 'stroke-width="1"'),
        text(max(x, s.x(-room.length_mm) + 4 + long(label) / 2), s.y(-edge) + ROW_PX - 2, label),
    ]


def _sitter(s: Scale, subject_mm: float, ground_mm: float) -> list[str]:
    place = f'transform="translate({s.x(subject_mm):.2f} {s.axis_px:.2f}) scale({s.per_mm:.5f} {-s.per_mm:.5f})"'
    parts = [
        f'<g class="sitter" {place}><g fill="currentColor" stroke="none"><path d="{HEAD}"/>'
        f'<path d="{BODY}"/></g>'
        f'<path class="chair" stroke-width="{1.6 / s.per_mm:.0f}" d="{CHAIR}"/></g>'
    ]
    if ground_mm < -EYES_MM:  # a tall sheet has raised the lens: the chair stands on a platform
        parts.append(
            f'<rect class="platform" x="{s.x(subject_mm) - 600 * s.per_mm:.1f}" '
            f'y="{s.y(-EYES_MM):.1f}" width="{920 * s.per_mm:.1f}" '
            f'height="{(-EYES_MM - ground_mm) * s.per_mm:.1f}"/>'
        )
    return parts


def dimensions(s: Scale, a: RoomAnswer, y: float, words: dict[str, str]) -> list[str]:
    """Board to lens and lens to eyes, with ticks a person can lay a rule to."""
    board, lens, eyes = s.x(-a.board_mm), s.lens_px, s.x(a.subject_mm)
    parts = [line("tick", x, y - 4, x, y + 4) for x in (board, lens, eyes)]
    said = wording.millimetres(a.board_mm)
    narrow = lens - board < long(said) + 2
    parts.append(
        text(lens - 4, y + ROW_PX, said, "end") if narrow else text((board + lens) / 2, y + ROW_PX, said, "middle")
    )
    parts.append(text((lens + eyes) / 2, y + ROW_PX, wording.millimetres(a.subject_mm), "middle"))
    if not s.cut_mm:
        return [line("dimension", board, y, eyes, y), *parts]
    left = lens + s.cut_from_mm * s.per_mm
    right = left + BREAK_PX
    ground = s.y(-EYES_MM)
    zigzag = [
        f'<path class="break" stroke-width="0.7" d="M{x + 2:.1f},{s.y(250):.1f} '
        f"L{x - 2:.1f},{s.y(60):.1f} L{x + 2:.1f},{s.y(-60):.1f} "
        f'L{x - 2:.1f},{s.y(-250):.1f}"/>'
        for x in (left, right)
    ]
    return [
        line("dimension", board, y, left, y),
        line("dimension", right, y, eyes, y),
        *(line("tick", x - 2, y + 4, x + 2, y - 4) for x in (left, right)),
        *zigzag,
        text((left + right) / 2, ground - 7, words["shortened"]),
        *parts,
    ]


def line(name: str, x1: float, y1: float, x2: float, y2: float, more: str = 'stroke-width="0.9"') -> str:
    return f'<line class="{name}" x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" {more}/>'


def long(said: str, size: float = LETTER_PX) -> float:
    """About how long a text is set; drawings are not measured in letters, so a little generous."""
    return 0.56 * size * len(said)


def text(x: float, y: float, said: str, anchor: str = "middle", size: float = LETTER_PX) -> str:
    before = long(said, size) * {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
    after = long(said, size) - before
    x = min(max(x, before + 2), WIDTH - 2 - after)  # never off the drawing
    return (
        f'<text class="label" x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" font-size="{size:g}" '
        f'fill="currentColor" stroke="none">{escape(said)}</text>'
    )
