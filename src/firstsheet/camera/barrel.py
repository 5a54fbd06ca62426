"""What the barrel cuts off: the rims before and behind the pupil, seen from the side.

From off the axis the pupil is seen through two rims that slide over it in opposite directions; what is left is the
overlap of three discs whose centres lie on one line. It is worst wide open and gone once the pupil is small enough, so
the circle a lens lights shrinks as it is opened. Thin lens with pupils: each rim is taken to stand at its distance from
the pupil next to it, no glass between rim and pupil bending the light (left out: about a tenth of the shading; from
memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from firstsheet.refusal import Problems

SLICES = 400  # half the pupil in so many strips: within 0.001 of the pupil's area
HALF_LIGHT_STOPS = 1.0
"""A lens is said to light as far as half of the middle's light comes through its barrel [stop]; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Barrel:
    """The two rims that hold the glass.

    length_mm   rim to rim, outside to outside [mm]
    front_mm    clear width of the rim towards the sitter [mm]
    back_mm     clear width of the rim towards the board [mm]
    before      what share of the length lies before the pupil, 0–1; 0.5 for a symmetrical lens

    Raises Refusal with every problem at once.
    """

    length_mm: float
    front_mm: float
    back_mm: float
    before: float = 0.5

    def __post_init__(self) -> None:
        p = Problems()
        for where, value in (("length", self.length_mm), ("front", self.front_mm), ("back", self.back_mm)):
            if not (math.isfinite(value) and 1 <= value <= 3000):
                p.add(where, f"{value:g} mm", "From 1 mm to 3 m.", "Lay a rule across it, rim to rim.")
        if not 0 <= self.before <= 1:
            p.add("before", self.before, "A share from 0 to 1.", "0.5 where the iris is in the middle.")
        p.raise_if_any()


def clear_share(barrel: Barrel, entrance_mm: float, height_mm: float, reach: Reach) -> float:
    """Share of the pupil's area that sends light to a point `height_mm` off the axis on the sheet [mm], 0–1.

    entrance_mm   width of the entrance pupil at the aperture set [mm]
    """
    half, p = entrance_mm / 2, reach.pupil
    side_in = height_mm / reach.image_mm
    side_out = side_in * p
    before, behind = barrel.length_mm * barrel.before, barrel.length_mm * (1 - barrel.before)
    discs = [(0.0, 1.0)]
    for sign, gap, width, side, far, pupil_half in (
        (-1.0, before, barrel.front_mm, side_out, reach.object_mm, half),
        (1.0, behind, barrel.back_mm, side_in, reach.image_mm, half * p),
    ):
        nearer = max(1 - gap / far, 1e-9) * pupil_half
        discs.append((sign * gap * side / nearer, width / 2 / nearer))
    return overlap(discs) / math.pi


@dataclass(frozen=True, slots=True)
class Reach:
    """How far from the pupils: entrance pupil to the sitter, exit pupil to the sheet [mm], and exit ÷ entrance width."""

    object_mm: float
    image_mm: float
    pupil: float = 1.0


def reach(focal_mm: float, magnification: float, pupil: float = 1.0) -> Reach:
    """The pupils' distances at a magnification above nothing: f(1/m + 1/p) and f(m + p)."""
    far = focal_mm * (1 / magnification + 1 / pupil) if magnification > 0 else math.inf
    return Reach(far, focal_mm * (magnification + pupil), pupil)


def overlap(discs: list[tuple[float, float]]) -> float:
    """Area common to discs (centre along one line, radius); by strips along that line, symmetrical about it.

    The strips are laid evenly in the angle of the smallest disc, so that its edge is not lost between two of them.
    """
    least = min(r for _, r in discs)
    total = 0.0
    for i in range(SLICES):
        angle = (i + 0.5) / SLICES * math.pi / 2
        across = least * math.sin(angle)
        reaches = [(c, math.sqrt(max(r * r - across * across, 0.0))) for c, r in discs]
        long = min(c + w for c, w in reaches) - max(c - w for c, w in reaches)
        total += max(long, 0.0) * least * math.cos(angle)
    return 2 * total * math.pi / 2 / SLICES


def shading_stops(barrel: Barrel, entrance_mm: float, height_mm: float, at: Reach) -> float:
    """The barrel's shading against the middle of the sheet [stop], zero or negative; -inf where nothing comes through."""
    middle = clear_share(barrel, entrance_mm, 0.0, at)
    here = clear_share(barrel, entrance_mm, height_mm, at)
    return math.log2(here / middle) if here > 1e-9 else -math.inf


def choked_stops(barrel: Barrel, entrance_mm: float, at: Reach) -> float:
    """How much the rims take from the middle itself [stop], zero or negative: the pupil is then not what limits."""
    return math.log2(max(clear_share(barrel, entrance_mm, 0.0, at), 1e-9))


def lit_circle_mm(barrel: Barrel, entrance_mm: float, at: Reach, lost_stops: float = HALF_LIGHT_STOPS) -> float:
    """Diameter on the sheet within which the barrel takes no more than `lost_stops` [mm]; inf where it never does."""
    low, high = 0.0, at.image_mm * 3.0
    if shading_stops(barrel, entrance_mm, high, at) >= -lost_stops:
        return math.inf
    for _ in range(40):
        middle = (low + high) / 2
        if shading_stops(barrel, entrance_mm, middle, at) >= -lost_stops:
            low = middle
        else:
            high = middle
    return 2 * low


def two_circles(radius_a: float, radius_b: float, apart: float) -> float:
    """Area common to two discs, in closed form: the empty tube seen from the side, both its rims in line."""
    if apart >= radius_a + radius_b:
        return 0.0
    if apart <= abs(radius_a - radius_b):
        return math.pi * min(radius_a, radius_b) ** 2
    a = (apart**2 + radius_a**2 - radius_b**2) / (2 * apart)
    b = apart - a
    return (radius_a**2 * math.acos(a / radius_a) - a * math.sqrt(radius_a**2 - a * a)
            + radius_b**2 * math.acos(b / radius_b) - b * math.sqrt(radius_b**2 - b * b))  # fmt: skip
