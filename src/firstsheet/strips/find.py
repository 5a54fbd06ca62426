"""Finds the strip and the card in a picture of both on an even table."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet.light import pixels
from firstsheet.refusal import Refusal
from firstsheet.strips import candidates, field, layout, plane
from firstsheet.strips import card as cards
from firstsheet.strips.whole import BLURRED, LEAST_PITCH_PX, refused, softness

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[Any]]

FIND_PX = 800
OVER_SHARE = 0.10  # of the card at the end of the scale
SOFT = 0.42  # width of the strip's own edge (10–90 %) over the pitch
MOST_TRIED, ENOUGH = 10, 1.25
HELD, BARELY = 0.80, 0.30  # share of the worst side that has an edge where its line says
STEPPED = 0.50  # slope share above which it is a ramp, a photograph or a blur


@dataclass(frozen=True, slots=True)
class Found:
    """A strip in a picture.

    corners     of the strip, clockwise or anti-clockwise so that 0→1 is a long side [px]
    straight    strip seen from above: relative light / table light, rows × columns, long side across
    lay         where its steps are
    proposed    the count the picture itself proposes
    soft_px     width of the strip's edge, 10–90 % [px of the picture]
    card        card mm → picture px, or None; match its correlation
    table_log   log10 of the table's light, whole picture
    """

    corners: Floats
    straight: Floats
    lay: layout.Layout
    proposed: int
    soft_px: float
    card: Floats | None
    match: float
    table_log: Floats
    masked: Floats  # bool: strip, card and whatever else lies on the table, and a little round them


def find(
    light: Floats, high: Floats, steps: int | None, corners: Floats | None = None, want_card: bool = True
) -> Found:
    """The strip, refused by name where there is none that can be read.

    light, high   of decode.Linear
    corners       four corners [px] as dragged by the person; then only the steps are looked for
    """
    import numpy as np

    if float(high.mean()) > 0.30:
        raise refused("overexposed")
    log_light = np.log10(light + 1e-4)
    factor = max(1, round(max(light.shape) / FIND_PX))
    small = plane.shrunk(log_light, factor)
    table, scatter = field.table_light(small)
    ratio = small - table
    if softness(light) > BLURRED * max(light.shape):  # an empty table is soft too, and nothing on it is blurred
        raise refused(
            "blurred"
            if float((np.abs(ratio) > candidates.THRESHOLDS[0]).mean()) > candidates.LEAST_SHARE * 4
            else "none"
        )
    whole_table = plane.grown(table, factor, light.shape)
    edged = candidates.enclosed(ratio)
    quads, cut = candidates.quads(ratio, scatter, factor, edged)
    card, match, rest = _card_among(log_light, quads) if want_card else (None, 0.0, quads)
    if card is not None:  # again without it: a reflection may join card and strip
        hidden = _covered(card, ratio.shape, factor)
        again, _ = candidates.quads(np.where(hidden, 0.0, ratio), scatter, factor, edged & ~hidden)
        rest = [q for q in again if not candidates.inside(q.mean(axis=0), plane.mapped(card, cards.card_corners()))]
    flat = light / 10.0**whole_table
    spare = plane.widened(np.abs(ratio) > max(0.05, 4 * scatter), 2)
    masked = plane.grown(spare.astype(np.float32), factor, light.shape) > 0
    given = None if corners is None else np.asarray(corners, dtype=float)
    tried: list[Tried | None] = []
    largest = sorted(rest, key=plane.area, reverse=True)[:MOST_TRIED]
    for quad in [given] if given is not None else largest:
        tried.append(_examined(flat, quad, steps, refine=given is None))
        if tried[-1] is not None and _merit(tried[-1], plane.area(largest[0]) if largest else 1.0) > ENOUGH:
            break
    good = [t for t in tried if t is not None and _wrong(t) is None]
    widest = max((plane.area(t[0]) for t in good), default=1.0)
    best = max(good, key=lambda t: _merit(t, widest), default=None)
    _check_over(high, card, best[0] if best else None)
    if best is None or (best[5] < BARELY and given is None):
        raise _why(tried, cut, light.size)
    if given is None and (
        (want_card and card is None and any(c.sharp for c in cut)) or any(candidates.goes_on(best[0], c) for c in cut)
    ):
        raise refused("cut")
    corners_px, straight, lay, soft, *_ = best
    return Found(
        corners_px, straight, lay, layout.proposal(layout.grey(straight)), soft, card, match, whole_table, masked
    )


# --- the card ---------------------------------------------------------------------------------------


def _card_among(log_light: Floats, quads: list[Floats]) -> tuple[Floats | None, float, list[Floats]]:
    """The card's homography and match, and the quadrilaterals that are not on it."""
    best, matrix = 0.0, None
    for quad in quads:
        score, tried = cards.recognised(log_light, quad)
        if score > best:
            best, matrix = score, tried
    if matrix is None or best < cards.MATCH:
        return None, best, quads
    outline = plane.mapped(matrix, cards.card_corners())
    return matrix, best, [q for q in quads if not candidates.inside(q.mean(axis=0), outline)]


def _covered(card: Floats, shape: tuple[int, ...], factor: int) -> Floats:
    """Where the card lies, a little wider, in the shrunk picture (bool)."""
    import numpy as np

    corners = cards.card_corners()
    wider = corners + 1.5 * np.sign(corners - corners.mean(axis=0))
    outline = (plane.mapped(card, wider) - (factor - 1) / 2) / factor
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]]
    side = np.roll(outline, -1, axis=0) - outline
    turns = [side[k, 0] * (y - outline[k, 1]) - side[k, 1] * (x - outline[k, 0]) for k in range(4)]
    return np.asarray(np.all([t > 0 for t in turns], axis=0) | np.all([t < 0 for t in turns], axis=0))


# --- one candidate ---------------------------------------------------------------------------------

Tried = tuple[
    Any, Any, layout.Layout, float, float, float
]  # corners, straight, layout, edge width, pitch [px], support


def _examined(flat: Floats, quad: Floats, steps: int | None, refine: bool) -> Tried | None:
    """The candidate straightened both ways, and the better lie of steps on it."""
    soft, held = edge_width(flat, quad), 1.0
    if refine:
        quad, _ = refined(flat, quad)
        quad, held = refined(flat, quad)
    best: Tried | None = None
    for turn in (0, 1):
        corners = plane_order(quad, turn)
        straight = straightened(flat, corners)
        if min(straight.shape) < 12:
            continue
        lay = layout.laid_out(layout.grey(straight), steps)
        pitch = (lay.right - lay.left) * straight.shape[1] / lay.steps
        tried = (corners, straight, lay, soft, pitch, held)
        if best is None or _worse(best) > _worse(tried):
            best = tried
        if straight.shape[1] > 2.2 * straight.shape[0]:
            break
    return best


def _merit(tried: Tried, widest: float) -> float:
    """Edges where the lines say, the whole strip rather than a part of it, and steps even within; 1.3 at the best."""
    if _wrong(tried) is not None:
        return 0.0
    uneven = tried[2].scatter / _spread(tried[1], tried[2])
    return min(tried[5], HELD) + 0.5 * min(plane.area(tried[0]) / widest, 1.0) - 8 * min(uneven, 0.1)


def _worse(tried: Tried) -> tuple[bool, float]:
    """Orders two ways round: what cannot be a strip last, then by the scatter within steps."""
    return _wrong(tried) is not None, tried[2].scatter / (tried[2].between + 1e-6)


def plane_order(quad: Floats, turn: int) -> Floats:
    """Corners rolled so that 0→1 is along the longer sides (turn 0) or the shorter (turn 1)."""
    import numpy as np

    side = np.hypot(*(np.roll(quad, -1, axis=0) - quad).T)
    longer = 0 if side[0] + side[2] >= side[1] + side[3] else 1
    return np.roll(quad, -(longer ^ turn), axis=0)


def straightened(image: Floats, corners: Floats, grow: float = 0.0) -> Floats:
    """The quadrilateral from above at about the picture's own resolution; `grow` of the height added all round."""
    import numpy as np

    wide, high, matrix = frame(corners)
    g = grow * high
    y, x = np.mgrid[0 : int(high + 2 * g), 0 : int(wide + 2 * g)]
    return plane.sampled(image, plane.mapped(matrix, np.stack([x + 0.5 - g, y + 0.5 - g], axis=-1)))


def frame(corners: Floats) -> tuple[float, float, Floats]:
    """Width and height of the straightened strip [px] and the homography from it to the picture."""
    import numpy as np

    side = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
    wide, high = float(round((side[0] + side[2]) / 2)), float(round((side[1] + side[3]) / 2))
    box = np.array([[0.0, 0.0], [wide, 0.0], [wide, high], [0.0, high]])
    return wide, high, pixels.homography(box, corners)


def _normals(flat: Floats, quad: Floats, reach: float, many: int) -> tuple[Floats, Floats, Floats, Floats]:
    """Log profiles across the four sides: (4, many, k); the points on the sides, unit normals, and the places along."""
    import numpy as np

    share = np.linspace(0.06, 0.94, many)[:, None]
    a, b = quad, np.roll(quad, -1, axis=0)
    points = a[:, None] + (b - a)[:, None] * share
    way = (b - a) / np.hypot(*(b - a).T)[:, None]
    normal = np.stack([-way[:, 1], way[:, 0]], axis=1)
    t = np.arange(-reach, reach + 0.25, 0.5)
    at = points[:, :, None] + normal[:, None, None] * t[:, None]
    return np.log10(np.maximum(plane.sampled(flat, at), 0) + 0.01), points, normal, t


def refined(flat: Floats, quad: Floats) -> tuple[Floats, float]:
    """Sides as least-squares lines through the steepest places across them, blunders left out; their crossings.

    And the share of the worst side that has its edge on its line: a hull drawn out by a hair or a reflection has not.
    """
    import numpy as np

    reach = max(4.0, 0.004 * max(flat.shape))
    profile, points, normal, t = _normals(flat, quad, reach, 80)
    slope = np.abs(np.nan_to_num(profile[:, :, 4:] - profile[:, :, :-4]))
    place = slope.argmax(axis=2)
    strength = np.take_along_axis(slope, place[:, :, None], axis=2)[:, :, 0]
    power = slope**4
    offset = (power * t[2:-2]).sum(axis=2) / np.maximum(power.sum(axis=2), 1e-12)
    lines, held = [], []
    for k in range(4):
        along = np.linspace(-1, 1, 80)
        design = np.stack([np.ones(80), along], axis=1)
        weight = np.where(strength[k] > max(0.03, 0.3 * float(np.median(strength[k]))), 1.0, 0.0)
        if weight.sum() < 16:
            line = np.zeros(2)
        else:
            line, _, _ = field.robust_fit(design, offset[k], weight, floor=0.15)
        held.append(float(((np.abs(offset[k] - design @ line) < 1.2) & (weight > 0)).mean()))
        ends = points[k][[0, -1]] + normal[k] * np.array([[line[0] - line[1]], [line[0] + line[1]]])
        lines.append((ends[0], ends[1] - ends[0]))
    corners = [plane.crossing(*lines[k - 1], *lines[k]) for k in range(4)]
    if any(c is None for c in corners):
        return quad, 0.0
    new = np.array(corners)
    return (new, min(held)) if float(np.abs(new - quad).max()) < 4 * reach else (quad, 0.0)


def edge_width(flat: Floats, quad: Floats) -> float:
    """10–90 % width of the strip's clearest edges [px]: 1.02 × contrast ÷ steepest slope, as for a bell-shaped blur."""
    import numpy as np

    side = np.hypot(*(np.roll(quad, -1, axis=0) - quad).T)
    reach = float(np.clip(0.10 * side.min(), 5, 60))
    profile, *_ = _normals(flat, quad, reach, 60)
    linear = 10.0**profile
    kept = max(1, linear.shape[2] // 6)
    inner, outer = linear[:, :, -kept:].mean(axis=2), linear[:, :, :kept].mean(axis=2)
    gap = np.abs(inner - outer)
    steep = np.abs(linear[:, :, 2:] - linear[:, :, :-2]).max(axis=2)  # per pixel: samples half a pixel apart
    use = np.isfinite(gap) & (gap >= np.nanquantile(gap, 0.6)) & (gap > 0.05)
    if not use.any():
        return 0.0
    return float(np.median(gap[use] / np.maximum(steep[use], 1e-6))) * 1.02


# --- whole-picture refusals --------------------------------------------------------------------------


def _wrong(tried: Tried) -> str | None:
    _, straight, lay, soft, pitch, _ = tried
    if soft > SOFT * pitch:
        return "blurred"
    if pitch < LEAST_PITCH_PX or (lay.bottom - lay.top) * straight.shape[0] < 12:
        return "small"
    if lay.between < 0.02**2 or lay.slope > STEPPED or lay.scatter > 0.08 * _spread(straight, lay):
        return "none"
    return None if _even_across(straight, lay) else "none"


def _spread(straight: Floats, lay: layout.Layout) -> float:
    import numpy as np

    profile = layout.along(layout.grey(straight), lay.top, lay.bottom)
    return float(np.var(profile)) + 1e-9


def _even_across(straight: Floats, lay: layout.Layout) -> bool:
    """Whether the steps are even from top to bottom: a photograph is not."""
    import numpy as np

    log_strip = layout.grey(straight)
    high = log_strip.shape[0]
    cut = [lay.top + (lay.bottom - lay.top) * s for s in (0.15, 0.38, 0.62, 0.85)]
    bands = [np.median(log_strip[int(a * high) : int(b * high) + 1], axis=0) for a, b in itertools.pairwise(cut)]
    inner = slice(int(lay.left * log_strip.shape[1]), int(lay.right * log_strip.shape[1]))
    stack = np.stack(bands)[:, inner]
    across = float(np.median(stack.std(axis=0)))
    return across < 0.25 * float(stack[1].std()) + 0.01


def _check_over(high: Floats, card: Floats | None, corners: Floats | None) -> None:
    """A tenth of the card, or without one of the strip and what lies round it, at the end of the scale."""
    import numpy as np

    if card is not None:
        seen = cards.straightened(high, card)
    elif corners is not None:
        seen = straightened(high, corners, 0.35)
    else:
        seen = high * (OVER_SHARE / 0.04)
    if float(np.nanmean(seen)) >= OVER_SHARE:
        raise refused("overexposed")


def _why(tried: list[Tried | None], cut: list[candidates.Cut], size: int) -> Refusal:
    """By name; where several things were tried, the largest of them tells."""
    reason = next((_wrong(t) for t in tried if t is not None), None)
    if any(plane.area(c.outline) > 0.012 * size for c in cut):
        return refused("cut")
    return refused(reason if reason in ("blurred", "small") else "none")
