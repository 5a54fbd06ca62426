"""How evenly the sheet is lit: cos⁴ and the barrel, all over a sheet that may hang off the lens's axis."""

from __future__ import annotations

from dataclasses import dataclass

from firstsheet.camera import coverage
from firstsheet.camera.lens import Lens

DARK_STOPS = -9.9  # nothing below it is told apart


@dataclass(frozen=True, slots=True)
class Place:
    """A place of the sheet, seen facing it: from its middle, right and up [mm]; its light against the lens's axis [stop]."""

    right_mm: float
    up_mm: float
    stops: float


def places(lens: Lens, magnification: float, sheet_mm: tuple[float, float], aperture: float,
           offset_mm: tuple[float, float] = (0.0, 0.0), counts: tuple[int, int] = (7, 7)) -> tuple[tuple[Place, ...], ...]:
    """Rows from the top, edge to edge. offset_mm is how far the sheet's middle hangs right of and above the lens's axis [mm]."""
    rows = []
    for j in range(counts[1]):
        up = sheet_mm[1] * (0.5 - j / (counts[1] - 1))
        row = []
        for i in range(counts[0]):
            right = sheet_mm[0] * (i / (counts[0] - 1) - 0.5)
            point = (right + offset_mm[0], up + offset_mm[1])
            row.append(Place(right, up, max(coverage.shade_stops(point, lens, magnification, aperture), DARK_STOPS)))
        rows.append(tuple(row))
    return tuple(rows)


def darkest(rows: tuple[tuple[Place, ...], ...]) -> Place:
    return min((p for row in rows for p in row), key=lambda p: p.stops)


def lightest(rows: tuple[tuple[Place, ...], ...]) -> Place:
    return max((p for row in rows for p in row), key=lambda p: p.stops)
