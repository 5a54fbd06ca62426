"""What fits: for each sheet size and sitter's distance whether this lens in this room makes the picture, and why not.

And before a lens is bought: which focal lengths make a picture of this size in this room.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from firstsheet.camera import barrel, coverage, focus
from firstsheet.camera.lens import Lens
from firstsheet.camera.room import Room

SHEETS_IN = ((8, 10), (11, 14), (12, 16), (16, 20), (20, 24), (30, 40))
"""Sizes in which paper is sold, upright [in]; common practice, no source."""
PROCESS_DEG = 46.0
"""Full angle that makers of process lenses state, 45 to 48 [degree]; common practice, no source."""
PORTRAIT_MM = 1200.0
"""Nearer than this a face looks drawn out [mm]; common practice, no source."""
SOLD_MM = (150, 180, 210, 240, 270, 300, 360, 420, 480, 540, 600, 760, 890, 1000, 1210, 1500, 1800)
"""Focal lengths that large lenses come in [mm]; common practice, no source."""
STOPS = tuple(2 ** (k / 2) for k in range(4, 15))  # f/4 to f/128


class Fit(Enum):
    """Why a picture can or cannot be made, the first reason that holds."""

    YES = "possible"
    BIG = "too big"
    CLOSE = "too close"
    FAR = "too far"
    DARK = "dark corners"
    THIN = "too thin"


@dataclass(frozen=True, slots=True)
class Cell:
    """One sheet at one distance. stop is the widest that makes it, None where none does; the rest is what was found on the way.

    needed_mm, circle_mm  circle that the sheet needs and that the lens covers (None: nobody knows, or no end)
    behind_mm             how far behind the eyes is sharp at the last stop tried
    """

    fit: Fit
    stop: float | None
    board_mm: float
    magnification: float
    needed_mm: float
    circle_mm: float | None = None
    behind_mm: float | None = None


def cell(lens: Lens, room: Room, sheet_mm: tuple[float, float], subject_mm: float, confusion_mm: float = focus.CONFUSION_MM) -> Cell:
    """The verdict for a sitter's eyes at `subject_mm` [mm]: the widest stop that holds the ears and lights the corners.

    The corners are dark where the stated circle does not hold the sheet, or the barrel takes more than a stop from them.
    """
    needed = coverage.needed_circle_mm(sheet_mm)
    if subject_mm <= lens.focal_mm:
        return Cell(Fit.CLOSE, None, math.inf, math.inf, needed)
    v = focus.board_for_subject(lens.focal_mm, subject_mm)
    m = focus.magnification_at_board(lens.focal_mm, v)
    if sheet_mm[0] > room.width_mm or sheet_mm[1] > room.height_mm:
        return Cell(Fit.BIG, None, v, m, needed)
    if v > room.board_max_mm + 0.5:
        return Cell(Fit.CLOSE, None, v, m, needed)
    if v < room.board_min_mm - 0.5:
        return Cell(Fit.FAR, None, v, m, needed)
    circle = coverage.circle_mm(lens, m)
    if circle is not None and circle < needed:
        return Cell(Fit.DARK, None, v, m, needed, circle)
    fit, behind = Fit.THIN, None
    for n in stops_of(lens):
        behind = focus.depth_mm(lens.focal_mm, n, m, confusion_mm, lens.pupil)[1]
        if behind < focus.EARS_BEHIND_MM:
            continue
        if _lit(lens, m, n, needed):
            return Cell(Fit.YES, n, v, m, needed, circle, behind)
        fit = Fit.DARK
    return Cell(fit, None, v, m, needed, circle, behind)


def stops_of(lens: Lens) -> tuple[float, ...]:
    """The stops a lens has, widest first; whole stops down to f/128 where none are marked."""
    return tuple(sorted({lens.f_number, *(lens.stops or (n for n in STOPS if n > lens.f_number * 1.05))}))


def _lit(lens: Lens, m: float, n: float, needed_mm: float) -> bool:
    if lens.barrel is None:
        return True
    at = barrel.reach(lens.focal_mm, m, lens.pupil)
    return barrel.shading_stops(lens.barrel, lens.focal_mm / n, needed_mm / 2, at) >= -barrel.HALF_LIGHT_STOPS


def subjects_mm(focal_mm: float, room: Room) -> tuple[float, ...]:
    """Distances for a map: from a little nearer than the board allows to well out, rounded, eight of them [mm]."""
    near = focus.subject_for_board(focal_mm, room.board_max_mm) if room.board_max_mm > focal_mm else 2 * focal_mm
    step = 100.0 if near < 3000 else 500.0
    first = max(math.floor(near / step) * step - step, step)
    ratio = max(6000.0 / first, 3.0) ** (1 / 7)
    return tuple(sorted({round(first * ratio**k / step) * step for k in range(8)}))


@dataclass(frozen=True, slots=True)
class Span:
    """Focal lengths that make a picture of one size here [mm], low to high; empty where low > high.

    low_covers_mm  from here on a lens of the stated angle also covers the sheet
    why_low, why_high  what sets the ends
    """

    low_mm: float
    high_mm: float
    low_covers_mm: float
    why_low: str
    why_high: str


def focal_span(room: Room, magnification: float, sheet_mm: tuple[float, float], angle_deg: float = PROCESS_DEG,
               outside_mm: float = math.inf) -> Span:
    """Which focal lengths do it: the board must reach f(1 + m), the chair f(1 + 1/m) must fit outside, and be no nearer than a portrait stands."""
    by_board = room.board_max_mm / (1 + magnification)
    by_chair = outside_mm / (1 + 1 / magnification)
    nearest = room.board_min_mm / (1 + magnification)
    flattering = PORTRAIT_MM / (1 + 1 / magnification)
    covers = coverage.needed_circle_mm(sheet_mm) / 2 / math.tan(math.radians(angle_deg / 2)) / (1 + magnification)
    low = max(nearest, flattering)
    return Span(low, min(by_board, by_chair), max(low, covers), "the board comes no nearer" if nearest >= flattering else "nearer a face looks drawn out",
                "the board goes no further back" if by_board <= by_chair else "there is no more room outside")  # fmt: skip
