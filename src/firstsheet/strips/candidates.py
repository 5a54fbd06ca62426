"""Quadrilaterals in a picture that may be the strip or the card: what stands out from the table, and what sharp edges enclose.

Two ways, because each fails where the other holds: a reflection or a shadow stands out from the table and joins strip and
card, but has no sharp edge; a step as light as the table has no edge there, and the others stand out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet.strips import plane

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[Any]]

THRESHOLDS = (0.09, 0.055, 0.14, 0.20, 0.035)  # |log10 ratio to the table's light|
LEAST_SHARE = 0.004  # of the picture
SOLID = 0.93  # hull over its quadrilateral
EDGE = 0.03  # log10 across three pixels


@dataclass(frozen=True, slots=True)
class Cut:
    """The hull of something that runs out of the picture [px]; sharp: it is bounded by edges, no reflection and no shadow."""

    outline: Floats
    sharp: bool


def enclosed(ratio: Floats) -> Floats:
    """What cannot be walked to from the table without crossing a sharp edge (bool)."""
    import numpy as np

    smooth = ratio.copy()
    smooth[1:-1, 1:-1] = (
        sum(
            ratio[1 + i : ratio.shape[0] - 1 + i, 1 + j : ratio.shape[1] - 1 + j]
            for i in (-1, 0, 1)
            for j in (-1, 0, 1)
        )
        / 9
    )
    steep = np.zeros(ratio.shape)
    steep[:, 1:-1] = np.abs(smooth[:, 2:] - smooth[:, :-2])
    steep[1:-1] = np.maximum(steep[1:-1], np.abs(smooth[2:] - smooth[:-2]))
    limit = max(EDGE, 5 * float(np.median(steep)))
    free = ~(steep > limit)
    table = np.zeros(ratio.shape, dtype=bool)
    for row, first, last in max(plane.components(free, 1), key=lambda c: int((c[:, 2] - c[:, 1]).sum()), default=()):
        table[row, first:last] = True
    return ~plane.widened(table, 1)


def quads(ratio: Floats, scatter: float, factor: int, edged: Floats) -> tuple[list[Floats], list[Cut]]:
    """Quadrilaterals [px of the picture], and hulls of what runs out of it.

    ratio, edged   log10 light over the table's, and `enclosed` of it, in a picture shrunk by `factor`
    """
    import numpy as np

    found: list[Floats] = []
    cut: list[Cut] = []
    masks = [(edged, True)] + [(np.abs(ratio) > t, False) for t in THRESHOLDS if t >= 4 * scatter]
    for mask, sharp in masks:
        rims = []
        for runs in plane.components(plane.opened(mask), int(LEAST_SHARE / 4 * ratio.size)):
            rim = plane.rim(runs)
            outline = plane.hull(rim)
            if _runs_out(rim, ratio.shape):
                inside = int((runs[:, 2] - runs[:, 1]).sum())
                if inside > 0.6 * plane.area(outline):
                    cut.append(Cut(np.asarray(outline * factor), sharp))
                continue
            rims.append(outline)
        for outline in rims + _joined(rims):
            quad = _solid_quad(outline, ratio.size)
            if quad is not None and not any(_same(quad * factor, q, 4.0 * factor) for q in found):
                found.append(np.asarray(quad * factor + (factor - 1) / 2))
    return found, cut


def _runs_out(rim: Floats, shape: tuple[int, ...]) -> bool:
    (x0, y0), (x1, y1) = rim.min(axis=0), rim.max(axis=0)
    return bool(x0 < 2 or y0 < 2 or x1 > shape[1] - 3 or y1 > shape[0] - 3)


def goes_on(quad: Floats, cut: Cut) -> bool:
    """Whether something that runs out of the picture is the strip's own other end."""
    import numpy as np

    if not cut.sharp:
        return False  # a reflection, or a shadow over the strip and the table beside it
    both = plane.hull(np.concatenate([quad, cut.outline]))
    return plane.area(quad) + plane.area(cut.outline) > 0.7 * plane.area(both)


def inside(point: Floats, outline: Floats) -> bool:
    """Whether a point lies within a convex outline."""
    import numpy as np

    side = np.roll(outline, -1, axis=0) - outline
    turn = side[:, 0] * (point[1] - outline[:, 1]) - side[:, 1] * (point[0] - outline[:, 0])
    return bool((turn > 0).all() or (turn < 0).all())


def _solid_quad(outline: Floats, size: int) -> Floats | None:
    if plane.area(outline) < LEAST_SHARE * size:
        return None
    quad = plane.quad_of(outline)
    return quad if quad is not None and plane.area(outline) > SOLID * plane.area(quad) else None


def _joined(rims: list[Floats]) -> list[Floats]:
    """Hulls of two or three parts in a row: a step may look like the table and part the strip in two."""
    import numpy as np

    out = []
    for i, a in enumerate(rims[:6]):
        for b in rims[i + 1 : 7]:
            both = plane.hull(np.concatenate([a, b]))
            if plane.area(a) + plane.area(b) > 0.6 * plane.area(both):
                out.append(both)
    return out


def _same(a: Floats, b: Floats, within: float) -> bool:
    import numpy as np

    return any(float(np.abs(np.roll(a, k, axis=0) - b).max()) < within for k in range(4))
