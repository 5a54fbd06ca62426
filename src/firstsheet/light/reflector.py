"""A board beside the sitter: what a white, silver or black one of this size at this distance does to the shadow side.

Seen from above: x points to where the shadow side of the face looks, y a quarter turn left of it, z up; the face is the origin. The
board stands upright with its middle level with the face. A white board gives light back evenly (Lambert): what reaches the face is the
board's light times its reflectance times the configuration factor, exact for any board by the sum round its edge [LAMBERT-1760],
[HOWELL-CATALOG]. A silver board gives part of it back as a mirror blurred by the foil's creases. Left out: the sitter's own shadow on
the board (up to the whole of its sun where the sitter sits between), and light going to and fro between face and board, under 2 %.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from firstsheet.refusal import Problems

Vector = tuple[float, float, float]
SIDE_M = (0.05, 20.0)
FAR_M = (0.2, 50.0)
FINE = 36  # pieces of a board's side where the foil's mirror is summed; twice as many move it by less than 0.2 %


@dataclass(frozen=True, slots=True)
class Surface:
    """What a board is covered with.

    evenly   part of the light given back evenly to all sides [0–1]
    mirror   part given back as by a blurred mirror [0–1]; both together at most 1
    blur_deg standard deviation of the mirrored light about its direction [°]
    """

    key: str
    words: str
    evenly: float
    mirror: float
    blur_deg: float
    source: str


SURFACES = {
    s.key: s
    for s in (
        Surface("white", "white board", 0.85, 0.0, 0.0, "matt white paint or card gives back 0.8 to 0.9: common practice, no source"),
        Surface("silver", "silver board, matt foil", 0.25, 0.55, 12.0, "creased aluminium foil gives back 0.8 in all, two thirds of it blurred 12° about the mirror’s direction: from memory"),
        Surface("black", "black board", 0.04, 0.0, 0.0, "matt black cloth or paint: common practice, no source"),
    )
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Board:
    """A flat upright board.

    wide_m, high_m  its sides [m];  far_m  face to the board's middle [m]
    aside_deg   how far from where the shadow side looks it stands, seen from the face [°], −85 to 85, + towards the sun's side
    turn_deg    how far it is turned from facing the face squarely [°], −85 to 85, + towards the sun's side
    """

    wide_m: float
    high_m: float
    far_m: float
    aside_deg: float = 0.0
    turn_deg: float = 0.0

    def __post_init__(self) -> None:
        p = Problems()
        for key, value, (low, high), unit in (
            ("board", self.wide_m, SIDE_M, "m"), ("board", self.high_m, SIDE_M, "m"), ("distance", self.far_m, FAR_M, "m"),
            ("aside", self.aside_deg, (-85.0, 85.0), "°"), ("turn", self.turn_deg, (-85.0, 85.0), "°"),
        ):  # fmt: skip
            if not low <= value <= high:
                p.add(key, f"{value:g}", f"From {low:g} to {high:g} {unit}.".replace("-", "−"), "Check the unit.")
        p.raise_if_any()

    @property
    def middle(self) -> Vector:
        a = math.radians(self.aside_deg)
        return self.far_m * math.cos(a), self.far_m * math.sin(a), 0.0

    @property
    def square(self) -> Vector:
        """Unit vector square to the board, on the side of the face."""
        # Turned towards the sun's side (+y): from −r the short way round, which is clockwise seen from above.
        a = math.radians(self.aside_deg + 180.0 - self.turn_deg)
        return math.cos(a), math.sin(a), 0.0

    @property
    def corners(self) -> tuple[Vector, ...]:
        (mx, my, _), (nx, ny, _) = self.middle, self.square
        w, h = self.wide_m / 2, self.high_m / 2
        return tuple((mx - ny * u * w, my + nx * u * w, v * h) for u, v in ((-1, -1), (1, -1), (1, 1), (-1, 1)))


@dataclass(frozen=True, slots=True)
class Light:
    """What falls where.

    beam_lx     of the sun, square to it [lx]; 0 where none shines
    sun         unit vector to the sun
    board_sky_lx  of sky and ground on the board [lx]
    fill_lx     on the shadow side without the board [lx], > 0
    key_lx      on the lit side [lx], > 0
    """

    beam_lx: float
    sun: Vector
    board_sky_lx: float
    fill_lx: float
    key_lx: float


@dataclass(frozen=True, slots=True)
class Added:
    """What the board does, on the shadow side [lx]: given evenly, mirrored, and taken away of what stood behind it; factor F [1].

    lift_stops  the shadow side brighter by (− darker);  before_stops, after_stops  lit side against shadow side
    """

    factor: float
    on_board_lx: float
    evenly_lx: float
    mirrored_lx: float
    hidden_lx: float
    fill_lx: float
    lift_stops: float
    before_stops: float
    after_stops: float


def seen_from(corners: Sequence[Vector], square: Vector) -> float:
    """Configuration factor from a small flat piece at the origin to a flat polygon [0–1].

    corners  of the polygon in order round it, in any unit;  square  unit vector square to the piece. What lies behind the piece's own
    plane does not count. Light on the piece is the polygon's luminous exitance times this. [LAMBERT-1760] [HOWELL-CATALOG]
    """
    front = _front(corners, square)
    if len(front) < 3:
        return 0.0
    total = 0.0
    for a, b in zip(front, (*front[1:], front[0]), strict=True):
        cross = _cross(a, b)
        size = math.hypot(*cross)
        if size > 0.0:
            total += math.atan2(size, _dot(a, b)) * _dot(cross, square) / size
    return min(1.0, abs(total) / (2.0 * math.pi))


def added(board: Board, surface: Surface, light: Light, face: Vector = (1.0, 0.0, 0.0)) -> Added:
    """What this board does to the shadow side in this light. The surroundings it hides count as evenly bright as the shadow side finds them."""
    factor = seen_from(board.corners, face) if _dot(board.square, board.middle) < 0 else 0.0
    sunny = light.beam_lx * max(0.0, _dot(board.square, light.sun))
    on_board = sunny + light.board_sky_lx
    # Sky and ground come from everywhere, so even a mirror hands them on evenly.
    evenly = factor * (surface.evenly * on_board + surface.mirror * light.board_sky_lx)
    mirrored = _mirrored(board, surface, light, face) if factor and sunny and surface.mirror else 0.0
    hidden = factor * light.fill_lx
    fill = light.fill_lx - hidden + evenly + mirrored
    lift = math.log2(fill / light.fill_lx)
    before = math.log2(light.key_lx / light.fill_lx)
    return Added(factor, on_board, evenly, mirrored, hidden, fill, lift, before, before - lift)


def best_turn_deg(board: Board, surface: Surface, light: Light) -> float:
    """The turn, in whole 5°, with which this board lifts the shadow side most; 0 where none does better."""
    from dataclasses import replace

    return max(
        range(-60, 65, 5),
        key=lambda t: (round(added(replace(board, turn_deg=float(t)), surface, light).fill_lx, 6), -abs(t)),
    )


def distance_for(board: Board, surface: Surface, light: Light, wanted_stops: float) -> float | None:
    """Farthest distance [m] at which the lit side is at most `wanted_stops` over the shadow side; None where none from 0.3 m is near enough.

    Halved between a distance that does and the one beyond that does not; the board's turn stays as it is.
    """
    from dataclasses import replace

    def over(far: float) -> float:
        return added(replace(board, far_m=far), surface, light).after_stops - wanted_stops

    steps = [0.3 * 1.15**i for i in range(36)]
    far = next((i for i in reversed(range(len(steps))) if over(steps[i]) <= 0.0), None)
    if far is None:
        return None
    if far == len(steps) - 1:
        return steps[far]
    low, high = steps[far], steps[far + 1]
    for _ in range(40):
        mid = (low + high) / 2
        low, high = (mid, high) if over(mid) <= 0.0 else (low, mid)
    return low


def direction(aside_deg: float, up_deg: float) -> Vector:
    """Unit vector to something so far round from where the shadow side looks and so high [°]."""
    a, u = math.radians(aside_deg), math.radians(up_deg)
    return math.cos(u) * math.cos(a), math.cos(u) * math.sin(a), math.sin(u)


def _mirrored(board: Board, surface: Surface, light: Light, face: Vector) -> float:
    """The sun in a blurred mirror, summed over the board's pieces [lx]: a wide flat mirror gives mirror × beam × cosine at the face."""
    n, s = board.square, light.sun
    facing = _dot(n, s)
    out = tuple(2 * facing * a - b for a, b in zip(n, s, strict=True))
    sd = math.radians(surface.blur_deg)
    (mx, my, _), piece = board.middle, board.wide_m * board.high_m / FINE**2
    total = 0.0
    for i in range(FINE):
        u = ((i + 0.5) / FINE - 0.5) * board.wide_m
        for j in range(FINE):
            p = (mx - n[1] * u, my + n[0] * u, ((j + 0.5) / FINE - 0.5) * board.high_m)
            far = math.hypot(*p)
            at_face = _dot(p, face) / far
            leaves = -_dot(p, n) / far
            if at_face <= 0.0 or leaves <= 0.0:
                continue
            off = math.acos(max(-1.0, min(1.0, -sum(a * b for a, b in zip(p, out, strict=True)) / far)))
            total += math.exp(-0.5 * (off / sd) ** 2) * at_face / far**2
    # Intensity of a piece is what falls on it spread over the blur; no 1/cosine of leaving is due for an intensity.
    return surface.mirror * light.beam_lx * facing * piece * total / (2 * math.pi * sd * sd)


def _front(corners: Sequence[Vector], square: Vector) -> list[Vector]:
    """The part of a polygon before the piece's own plane."""
    out: list[Vector] = []
    for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
        da, db = _dot(a, square), _dot(b, square)
        if da >= 0:
            out.append(a)
        if (da > 0) != (db > 0) and da != db:
            t = da / (da - db)
            if 0.0 < t < 1.0:
                out.append((a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), a[2] + t * (b[2] - a[2])))
    return out


def _dot(a: Sequence[float], b: Sequence[float]) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _cross(a: Vector, b: Vector) -> Vector:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]
