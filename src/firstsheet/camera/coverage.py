"""How much of the sheet the lens covers, and how evenly.

Angles are taken at the exit pupil, f(m + p) from the sheet: for a symmetrical lens that is the board distance
v = f(1 + m). cos⁴ is geometry alone: the barrel's own shading comes on top where its rims were measured (see
`barrel`); a lens whose pupil is seen larger from the side does a little better.
"""

from __future__ import annotations

import math

from firstsheet.camera import barrel
from firstsheet.camera.lens import Lens


def circle_mm(lens: Lens, magnification: float) -> float | None:
    """Diameter of the covered circle on the sheet [mm]; grows as 1 + m. None where the lens's coverage is
    unknown."""
    if lens.circle_mm is not None:
        return lens.circle_mm * (1 + magnification)
    if lens.coverage_deg is not None:
        return 2 * lens.focal_mm * (1 + magnification) * math.tan(math.radians(lens.coverage_deg / 2))
    return None


def sheet_diagonal_mm(sheet_mm: tuple[float, float]) -> float:
    """Corner to corner [mm]."""
    return math.hypot(*sheet_mm)


def corner_height_mm(sheet_mm: tuple[float, float], offset_mm: tuple[float, float] = (0.0, 0.0)) -> float:
    """Distance of the worst corner from the lens's axis [mm]; `offset_mm` is how far the sheet's centre is
    off it."""
    return math.hypot(sheet_mm[0] / 2 + abs(offset_mm[0]), sheet_mm[1] / 2 + abs(offset_mm[1]))


def needed_circle_mm(sheet_mm: tuple[float, float], offset_mm: tuple[float, float] = (0.0, 0.0)) -> float:
    """Diameter of the smallest circle about the axis that holds the sheet [mm]; its diagonal when centred."""
    return 2 * corner_height_mm(sheet_mm, offset_mm)


def covers(lens: Lens, magnification: float, sheet_mm: tuple[float, float],
           offset_mm: tuple[float, float] = (0.0, 0.0)) -> bool | None:
    """Whether the circle holds the whole sheet; None where the coverage is unknown."""
    circle = circle_mm(lens, magnification)
    return None if circle is None else circle >= needed_circle_mm(sheet_mm, offset_mm)


def pupil_distance_mm(focal_mm: float, magnification: float, pupil: float = 1.0) -> float:
    """Exit pupil to sheet [mm], f(m + p)."""
    return focal_mm * (magnification + pupil)


def falloff_stops(height_mm: float, distance_mm: float) -> float:
    """Light at `height_mm` off the axis against the centre [stop], zero or negative.

    cos⁴θ with tan θ = height ÷ distance; `distance_mm` is exit pupil to sheet [mm].
    """
    return -2 * math.log2(1 + (height_mm / distance_mm) ** 2)


def falloff_at_stops(point_mm: tuple[float, float], lens: Lens, magnification: float) -> float:
    """The same for any point of the sheet, given from the axis [mm, mm]."""
    return falloff_stops(math.hypot(*point_mm), pupil_distance_mm(lens.focal_mm, magnification, lens.pupil))


def corner_falloff_stops(lens: Lens, magnification: float, sheet_mm: tuple[float, float],
                         offset_mm: tuple[float, float] = (0.0, 0.0)) -> float:
    """The same for the worst corner of the sheet."""
    return falloff_at_stops((corner_height_mm(sheet_mm, offset_mm), 0.0), lens, magnification)


def shade_stops(point_mm: tuple[float, float], lens: Lens, magnification: float, aperture: float) -> float:
    """cos⁴ and, where the rims were measured, the barrel's own shading together [stop], at a point from the axis [mm, mm]."""
    geometry = falloff_at_stops(point_mm, lens, magnification)
    if lens.barrel is None:
        return geometry
    at = barrel.reach(lens.focal_mm, magnification, lens.pupil)
    return geometry + barrel.shading_stops(lens.barrel, lens.focal_mm / aperture, math.hypot(*point_mm), at)


def corner_shade_stops(lens: Lens, magnification: float, sheet_mm: tuple[float, float], aperture: float,
                       offset_mm: tuple[float, float] = (0.0, 0.0)) -> float:
    """The same for the worst corner of the sheet; −99 where no light reaches it."""
    corner = (corner_height_mm(sheet_mm, offset_mm), 0.0)
    return max(shade_stops(corner, lens, magnification, aperture), -99.0)
