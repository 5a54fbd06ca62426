"""An outline dragged by hand beside the one that was found first: whether it lies about a step off, and where."""

from __future__ import annotations

import math

from firstsheet.acts.calibrate_parts import Quad

ABOUT_A_STEP = (0.6, 1.4)  # how far a corner may lie along the strip to be taken for a slip by one [step]; ours
ELSEWHERE = 0.5  # share of the strip's width; a corner moved further across it outlines something else; ours
SAME = 0.002  # share of the picture by which two outlines may differ and be one


def slipped(found: Quad, steps: int, said: Quad, count: int, size: tuple[int, int]) -> str:
    """Which corners of `said` lie about one step from the found outline of so many steps, in words; "" where none does.

    size  of the picture [px]. Corners are fractions of it. Not a slip: an outline longer or shorter by as many steps as `count`
    is more or fewer, or one that lies elsewhere.
    """
    a = [(x * size[0], y * size[1]) for x, y in found]
    b = _in_its_order(a, [(x * size[0], y * size[1]) for x, y in said])
    along = (a[1][0] - a[0][0] + a[2][0] - a[3][0], a[1][1] - a[0][1] + a[2][1] - a[3][1])
    length = math.hypot(*along) / 2
    u = (along[0] / (2 * length), along[1] / (2 * length))
    wide = (math.dist(a[0], a[3]) + math.dist(a[1], a[2])) / 2
    outward = []
    for k, ((ax, ay), (bx, by)) in enumerate(zip(a, b, strict=True)):
        dx, dy = bx - ax, by - ay
        if abs(dy * u[0] - dx * u[1]) > ELSEWHERE * wide:
            return ""
        outward.append((dx * u[0] + dy * u[1]) / (length / steps) * (1 if k in (1, 2) else -1))
    off = [k for k, move in enumerate(outward) if ABOUT_A_STEP[0] <= abs(move) <= ABOUT_A_STEP[1]]
    straight = abs(outward[0] - outward[3]) < 0.5 and abs(outward[1] - outward[2]) < 0.5
    if not off or (count != steps and straight and abs(sum(outward) / 2 - (count - steps)) < 0.5):
        return ""
    names = ", ".join(str(k + 1) for k in off)
    return f"corner {names}" if len(off) == 1 else f"corners {names}"


def same(a: Quad, b: Quad) -> bool:
    """Whether two outlines are one, to what a hand can drag."""
    return all(math.dist(p, q) < SAME for p, q in zip(a, b, strict=True))


def _in_its_order(a: list[tuple[float, float]], b: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """`b` begun at the corner and gone round the way that lies nearest to `a`."""
    ways = [[row[(k + i) % 4] for i in range(4)] for row in (b, b[::-1]) for k in range(4)]
    return min(ways, key=lambda row: sum(math.dist(p, q) ** 2 for p, q in zip(a, row, strict=True)))
