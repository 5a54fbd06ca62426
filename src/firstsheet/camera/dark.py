"""One room, one light: what the picture on the board sends back into the room, and onto the sheet itself; and what an eye sees of a leak.

Light from the lens falls on the board and, round it, on the wall behind. What these send back goes round the room. After many
bounces a room is an integrating sphere: the mean illuminance of all its surfaces is Φ·ρ₁/(A·(1 − ρ̄)), with Φ the flux, ρ₁ what
is hit first, A all surfaces and ρ̄ their mean reflectance [Goebel-1967]. The first returns are not spread so evenly: what a tray sees
of the board itself, and what the walls before the board send straight back to it, are counted piece by piece, and only the
rest is taken as even. All surfaces are taken as matt. Left out: people, trays and the board's slide, which mostly absorb, and the lens's own
flare, which comes on top.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from firstsheet.camera.room import Room

Point = tuple[float, float, float]
PIECES = 8  # of a side of board or wall; twice as many change a share by under one in a hundred
BELOW_MM = 400.0  # a tray below the lens's axis: a bench under a lens at a sitter's eyes; common practice, no source
AWAY_MM = 1000.0  # a tray a step from the middle of the board; common practice, no source
HALF_TRAY_MM = 230.0  # of a tray, across


@dataclass(frozen=True, slots=True)
class Place:
    """Where light falls in the room.

    room           inside
    board_at_mm    from the lens's wall to the board's face [mm], ≤ the room's length
    board_mm       width and height of the board [mm]
    circle_mm      diameter of what the lens lights at the board [mm]
    axis_high_mm   the lens's axis above the floor [mm]; in the middle of the room's width
    """

    room: Room
    board_at_mm: float
    board_mm: tuple[float, float]
    circle_mm: float
    axis_high_mm: float


@dataclass(frozen=True, slots=True)
class Shape:
    """What does not hang on reflectances. Areas [m²]; `tray` and `back` are shares of the lit board's exitance.

    on_board   lit part of the board; past_it  light beside the board, on the wall behind
    walls      walls, floor, ceiling and the board's back; board  its face
    tray       illuminance where a tray lies, by the board straight
    back       mean illuminance of the lit board, by what the walls before it get from it, were they wholly white
    """

    on_board: float
    past_it: float
    walls: float
    board: float
    tray: float
    back: float


@dataclass(frozen=True, slots=True)
class Stray:
    """Light as a share of the mean illuminance of the picture: all surfaces on average, where a tray lies, and back on the sheet (the veil)."""

    average: float
    tray: float
    veil: float


def sphere_share(first_m2: float, area_m2: float, mean: float) -> float:
    """Mean illuminance of all surfaces over that of the picture: S·ρ₁/(A·(1 − ρ̄)) [Goebel-1967].

    first_m2  lit area times what it sends back [m²]; area_m2  all surfaces [m²]; mean  their reflectance, 0 ≤ ρ̄ < 1
    """
    return first_m2 / (area_m2 * (1.0 - mean))


def shape(p: Place, away_mm: float = AWAY_MM, below_mm: float = BELOW_MM) -> Shape:
    """Areas and first returns. The tray lies flat before the board, see `tray_at`."""
    lit = _lit_board(p)
    piece = p.board_mm[0] * p.board_mm[1] / PIECES**2
    on_board = piece * len(lit)
    tray = tray_at(p, away_mm, below_mm)
    r = p.room
    walls = 2 * (r.length_mm * r.width_mm + r.length_mm * r.height_mm + r.width_mm * r.height_mm)
    board = p.board_mm[0] * p.board_mm[1]
    back = 0.0
    for at, normal, area in _before(p):
        back += area * seen(at, normal, lit, piece) ** 2
    return Shape(on_board / 1e6, max(_in_room(p) - on_board, 0.0) / 1e6, (walls + board) / 1e6, board / 1e6,
                 seen(tray, (0.0, 0.0, 1.0), lit, piece), back / on_board if on_board else 0.0)  # fmt: skip


def tray_at(p: Place, away_mm: float, below_mm: float) -> Point:
    """A tray's middle `away_mm` from the board's on the floor plan, half a right angle aside, where the walls leave it room; x from
    the lens's wall, y and z from the axis [mm]."""
    aside = min(away_mm / math.sqrt(2.0), max(p.room.width_mm / 2 - HALF_TRAY_MM, 0.0))
    before = math.sqrt(max(away_mm**2 - aside**2, 0.0))
    return max(p.board_at_mm - before, min(HALF_TRAY_MM, p.board_at_mm / 2)), aside, -min(below_mm, p.axis_high_mm)


def stray(s: Shape, walls: float, board: float) -> Stray:
    """Shares for walls and board of these reflectances, each 0 ≤ ρ < 1."""
    area = s.walls + s.board
    mean = (s.walls * walls + s.board * board) / area
    from_board, from_wall = s.on_board * board, s.past_it * walls
    average = sphere_share(from_board + from_wall, area, mean)
    later = sphere_share((from_board * walls + from_wall * mean), area, mean)
    tray = board * s.tray + from_wall / area + later
    veil = board * walls * s.back + sphere_share((from_board * walls + from_wall) * mean, area, mean)
    return Stray(average, tray, veil)


def lifted_stops(veil: float, tone_stops: float) -> float:
    """By how much a veil, a share of the mid-tone's light, lifts a tone so far from mid-tone [stop]: log2(1 + veil ÷ 2^tone).

    >>> round(lifted_stops(0.25, -2.0), 3)
    1.0
    """
    return math.log2(1.0 + veil / 2.0**tone_stops)


def seen(at: Point, normal: Point, lit: list[Point], piece_mm2: float) -> float:
    """Illuminance at a point over the exitance of a matt face at x = const that looks to smaller x: Σ cos·cos·dA/(π·r²)."""
    total = 0.0
    for x, y, z in lit:
        dx, dy, dz = x - at[0], y - at[1], z - at[2]
        towards = dx * normal[0] + dy * normal[1] + dz * normal[2]
        if dx > 0 and towards > 0:
            r2 = dx * dx + dy * dy + dz * dz
            total += dx * towards / (r2 * r2)
    return total * piece_mm2 / math.pi


def _lit_board(p: Place) -> list[Point]:
    """Middles of the board's pieces within the lens's circle; the axis is y = z = 0, x runs from the lens."""
    wide, high = p.board_mm
    mids = [((i + 0.5) / PIECES - 0.5) for i in range(PIECES)]
    return [(p.board_at_mm, a * wide, b * high) for a in mids for b in mids if math.hypot(a * wide, b * high) <= p.circle_mm / 2]


def _in_room(p: Place) -> float:
    """Area of the lens's circle within the room's section [mm²], by strips across its height."""
    r = p.circle_mm / 2
    low, high = max(-r, -p.axis_high_mm), min(r, p.room.height_mm - p.axis_high_mm)
    steps = 200
    tall = max(high - low, 0.0) / steps
    return sum(2 * min(math.sqrt(max(r * r - (low + (i + 0.5) * tall) ** 2, 0.0)), p.room.width_mm / 2) * tall for i in range(steps))


def _before(p: Place) -> Iterator[tuple[Point, Point, float]]:
    """Pieces of the walls between lens and board: middle, the way they face, area [mm²]."""
    deep, half = p.board_at_mm, p.room.width_mm / 2
    floor, ceiling = -p.axis_high_mm, p.room.height_mm - p.axis_high_mm
    mids = [(i + 0.5) / PIECES for i in range(PIECES)]
    tall = ceiling - floor
    for a in mids:
        for b in mids:
            y, z, x = (a - 0.5) * 2 * half, floor + b * tall, a * deep
            yield (0.0, y, z), (1.0, 0.0, 0.0), 2 * half * tall / PIECES**2
            for side in (-1.0, 1.0):
                yield (x, side * half, z), (0.0, -side, 0.0), deep * tall / PIECES**2
            across = (b - 0.5) * 2 * half
            yield (x, across, floor), (0.0, 0.0, 1.0), 2 * half * deep / PIECES**2
            yield (x, across, ceiling), (0.0, 0.0, -1.0), 2 * half * deep / PIECES**2


# ── leaks ──


def white_cdm2(illuminance_lx: float, reflectance: float = 0.85) -> float:
    """Luminance of a matt white sheet under so much light: ρ·E/π [cd/m²]."""
    return reflectance * illuminance_lx / math.pi
