"""The board measured in a photo of it: lengths by the sheet's corners, its tilt by uprights that converge, a magnet's shadow.

A board that leans is further from the lens at one edge, and the picture is larger there in proportion: two uprights s apart that
part by ds over dy on the board mean tan θ = v·(ds/dy)/s, v being the board's distance. It holds where the uprights outside stand
parallel to the lens's own board.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from firstsheet.light.pixels import homography
from firstsheet.refusal import Refusal

Point = tuple[float, float]
TOUCH_MM = 1.5  # how well a finger finds a place on the sheet [mm]; ours


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """A photo whose places are known on the sheet: pixels to millimetres from the sheet's top left as the photo lies."""

    to_mm: NDArray[Any]
    wide_mm: float
    tall_mm: float

    @classmethod
    def of(cls, corners_px: list[Point], sheet_mm: tuple[float, float]) -> Measured:
        """From the four corners, clockwise from the top left. The sheet hangs as it looks in the photo, upright or across."""
        across = math.dist(corners_px[0], corners_px[1]) + math.dist(corners_px[3], corners_px[2])
        down = math.dist(corners_px[1], corners_px[2]) + math.dist(corners_px[0], corners_px[3])
        wide, tall = (max(sheet_mm), min(sheet_mm)) if across > down else (min(sheet_mm), max(sheet_mm))
        ends = [(0.0, 0.0), (wide, 0.0), (wide, tall), (0.0, tall)]
        turns = [_turn(corners_px[i - 2], corners_px[i - 1], corners_px[i]) for i in range(4)]
        if min(turns) <= 1.0:
            raise Refusal.one("corners", "corners that cross or lie in a line", "The four corners of the sheet.", "Touch them clockwise from the top left.")
        return cls(homography(corners_px, ends), wide, tall)

    def at_mm(self, px: Point) -> Point:
        u, v, w = self.to_mm @ np.array([px[0], px[1], 1.0])
        return float(u / w), float(v / w)

    def length_mm(self, a: Point, b: Point) -> float:
        """On the sheet, between two places of the photo."""
        return math.dist(self.at_mm(a), self.at_mm(b))


def _turn(a: Point, b: Point, c: Point) -> float:
    """Twice the area of a triangle [px²]: above 0 where its corners go clockwise, y down."""
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])


def converging(left: list[Point], right: list[Point]) -> float:
    """(ds/dy)/s of two uprights, each by two of its points on the sheet [1/mm]; + where they part downwards. Refusal for no uprights."""
    lines = []
    for ends in (left, right):
        (ax, ay), (bx, by) = ends
        if abs(by - ay) < 20.0 or abs(bx - ax) > abs(by - ay):
            raise Refusal.one("left" if ends is left else "right", f"{abs(by - ay):.0f} mm high on the sheet", "Something that stands upright, at least 20 mm on the sheet.", "Touch its upper and its lower end.")
        slope = (bx - ax) / (by - ay)
        lines.append((ax - slope * ay, slope))
    middle = sum(p[1] for p in (*left, *right)) / 4.0
    (a, m), (b, n) = lines
    apart = (b + n * middle) - (a + m * middle)
    if abs(apart) < 20.0:
        raise Refusal.one("right", f"{abs(apart):.0f} mm from the left one", "Two uprights well apart.", "The two sides of a door or window.")
    return (n - m) / apart


def converging_sd(left: list[Point], right: list[Point]) -> float:
    """Doubt of `converging` from how well a finger finds the ends [1/mm]."""
    tall = min(abs(ends[1][1] - ends[0][1]) for ends in (left, right))
    apart = abs(sum(p[0] for p in right) - sum(p[0] for p in left)) / 2.0
    return 2.0 * TOUCH_MM / tall / max(apart, 20.0)


def tilt_deg(turn: float, board_mm: float) -> float:
    """Tilt of the board [°] from `converging` [1/mm] and its distance from the lens [mm]; + where its lower edge is further."""
    return math.degrees(math.atan(board_mm * turn))


def magnet_shadow(sheet_mm: tuple[float, float], magnet_mm: tuple[float, float], board_mm: float, lens_mm: float) -> tuple[float, float]:
    """How far in from its corner a magnet keeps light off [mm], and over how much its edge is soft [mm].

    magnet_mm  breadth and thickness; lens_mm the opening's diameter, board_mm its distance. Light falls slantwise at the corner: the
    shadow reaches thickness · (corner's distance from the axis) ÷ board_mm beyond the magnet, away from the axis, and is soft by
    thickness · lens_mm ÷ board_mm. The magnet's own breadth is what it takes of the picture.
    """
    breadth, thick = magnet_mm
    soft = thick * lens_mm / board_mm
    return breadth + 0.5 * soft, soft
