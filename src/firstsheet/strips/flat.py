"""Undoes uneven light: one smooth surface through table, card and border, each at a level of its own; and the flare.

A surface of degree 4 in log10, its high terms held small, over the picture. Table, card and strip lie in one plane, so a
surface over the picture is one over the table.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from firstsheet.strips import card as cards
from firstsheet.strips import field, plane
from firstsheet.strips import glare as glares
from firstsheet.strips.find import Found, frame, straightened

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[Any]]

DEGREE = 4
FLARE_SD = (
    0.006  # of a white's light: veiling flare of a lens before anything is known of it (common practice, no source)
)


@dataclass(frozen=True, slots=True)
class Flat:
    """The light over the picture.

    coefficients   of the surface, log10
    white_log      the card's white above the table [log10], NaN without a card
    border_log     the strip's border above the table, NaN where there is none
    scatter        of table, card and border about the surface [log10]
    shape          of the picture
    flare, flare_sd  light added everywhere, in the picture's own linear units
    """

    coefficients: Floats
    white_log: float
    border_log: float
    scatter: float
    shape: tuple[int, ...]
    flare: float = 0.0
    flare_sd: float = 0.0

    def log_at(self, points: Floats) -> Floats:
        """The surface at picture points (…, 2) [log10]."""
        u, v = field.scaled(points[..., 0], points[..., 1], self.shape)
        return field.terms(u, v, DEGREE) @ self.coefficients


def flat_of(light: Floats, found: Found, flare: float = 0.0) -> Flat:
    """The surface for a picture whose flare is `flare`."""
    import numpy as np

    less = light - np.float32(flare)
    size = max(6, max(light.shape) // 90)
    bare = np.where(found.masked, np.nan, np.log10(np.maximum(less, 1e-5)))
    x, y, value = field.blocks(bare.astype(np.float32), size)
    groups = [(np.stack([x, y], axis=-1).reshape(-1, 2), value.ravel())]
    if found.card is not None:
        groups.append(_card_white(less, found.card))
    border = _border(less, found)
    if border is not None:
        groups.append(border)
    points = np.concatenate([g[0] for g in groups])
    values = np.concatenate([g[1] for g in groups])
    kind = np.repeat(np.arange(len(groups)), [len(g[1]) for g in groups])
    good = np.isfinite(values)
    points, values, kind = points[good], values[good], kind[good]
    u, v = field.scaled(points[:, 0], points[:, 1], light.shape)
    count = (DEGREE + 1) * (DEGREE + 2) // 2
    own = (
        np.stack([(kind == k).astype(float) for k in range(1, len(groups))], axis=1)
        if len(groups) > 1
        else np.zeros((len(u), 0))
    )
    design = np.concatenate([field.terms(u, v, DEGREE), own], axis=1)
    ridge = np.full(design.shape[1], 1e-6)
    ridge[6:count] = 0.5
    near = _nearness(points, found)
    coefficients, _, scatter = field.robust_fit(design, values, near, floor=0.004, ridge=ridge)
    levels = list(coefficients[count:]) + [float("nan")] * 2
    white = levels.pop(0) if found.card is not None else float("nan")
    edge = levels.pop(0) if border is not None else float("nan")
    return Flat(coefficients[:count], float(white), float(edge), scatter, light.shape, flare)


def with_flare(light: Floats, found: Found, black: cards.Known | None, white: cards.Known | None) -> Flat:
    """Surface and flare together: from the card's black patch where its density is known, else none found and a wide doubt."""
    flat = flat_of(light, found)
    top = _white_light(light, found, flat)
    prior = FLARE_SD * top
    if black is None or white is None or found.card is None:
        return replace(flat, flare=0.0, flare_sd=prior)
    seen = card_seen(light, found.card, flat)[5]
    flare, sd = 0.0, prior
    for _ in range(2):
        expected = 10 ** (float(flat.log_at(seen.at)) + flat.white_log - (black.density - white.density))
        own = ((expected * 2.303) ** 2 * (black.sd**2 + 0.01**2) + seen.sd**2) ** 0.5
        weight = prior**2 / (prior**2 + own**2)
        flare, sd = max(-0.1 * expected, weight * (seen.light - expected)), weight**0.5 * own
        flat = flat_of(light, found, flare)
    return replace(flat, flare=flare, flare_sd=sd)


@dataclass(frozen=True, slots=True)
class Seen:
    """One patch of the card: its light with a reflection taken off, the doubt of it, and where it is [px]."""

    light: float
    sd: float
    at: Floats


def card_seen(light: Floats, card: Floats, flat: Flat) -> list[Seen]:
    """The card's six patches. A lamp seen in the card's gloss is fitted and taken off as on the strip."""
    import numpy as np

    seen = cards.straightened(light, card)
    y, x = (np.mgrid[0 : seen.shape[0], 0 : seen.shape[1]] + 0.5) / cards.PX_PER_MM
    rough = flat.log_at(plane.mapped(card, np.stack([x[::8, ::8], y[::8, ::8]], axis=-1)))
    yy, xx = np.mgrid[0 : seen.shape[0], 0 : seen.shape[1]] / 8.0
    top = np.array(rough.shape[::-1]) - 1.001
    lamp = 10.0 ** plane.sampled(rough, np.minimum(np.stack([xx, yy], axis=-1), top))
    dark, sure = cards.drawing()
    region = np.where(sure & ~plane.widened(dark > 0, cards.PX_PER_MM), 1, -1)
    for k, (left, upper, wide, high) in enumerate(cards.patch_boxes_mm()):
        inside = (np.abs(x - left - wide / 2) < 0.36 * wide) & (np.abs(y - upper - high / 2) < 0.36 * high)
        region[inside] = 10 + k
    region[~np.isfinite(seen)] = -1
    added, _ = glares.spot(np.nan_to_num(seen / lamp), region)
    shine = added * lamp
    return [_patch_seen(seen - shine, shine, region == 10 + k, x, y, card) for k in range(6)]


def _patch_seen(less: Floats, shine: Floats, inside: Floats, x: Floats, y: Floats, card: Floats) -> Seen:
    import numpy as np

    rows, columns = np.nonzero(inside)
    if len(rows) < 40:
        return Seen(float("nan"), float("inf"), np.zeros(2))
    part = less[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1]
    middle = float(np.median(part))
    spread = 1.4826 * float(np.median(np.abs(part - middle))) + 2e-4
    kept = np.where(np.abs(part - middle) < 3 * spread, part, np.nan)
    i, j = part.shape[0] // 2, part.shape[1] // 2
    halves = [float(np.nanmean(h)) for h in (kept[:i], kept[i:], kept[:, :j], kept[:, j:])]
    uneven = max(abs(halves[0] - halves[1]), abs(halves[2] - halves[3]))
    sd = 0.35 * uneven + spread / 12 + 0.12 * float(shine[inside].mean())
    at = plane.mapped(card, np.array([[x[inside].mean(), y[inside].mean()]]))[0]
    return Seen(float(np.nanmean(kept)), sd, at)


def _white_light(light: Floats, found: Found, flat: Flat) -> float:
    """About how much light a white gives at the strip."""
    import numpy as np

    centre = float(flat.log_at(found.corners.mean(axis=0)))
    if np.isfinite(flat.white_log):
        return float(10 ** (centre + flat.white_log + 0.08))
    return float(np.nanquantile(found.straight, 0.98)) * float(10**centre)


def _card_white(light: Floats, card: Floats) -> tuple[Floats, Floats]:
    import numpy as np

    dark, sure = cards.drawing()
    wide = cards.PX_PER_MM
    white = sure & ~plane.widened(dark > 0, wide)
    seen = np.where(white, np.log10(np.maximum(cards.straightened(light, card), 1e-5)), np.nan)
    x, y, value = field.blocks(seen, 2 * wide)
    return plane.mapped(card, np.stack([(x + 0.5) / wide, (y + 0.5) / wide], axis=-1).reshape(-1, 2)), value.ravel()


def _border(light: Floats, found: Found) -> tuple[Floats, Floats] | None:
    """The strip's border by blocks, where it is wide and light enough to say something."""
    import numpy as np

    lay, high = found.lay, found.straight.shape[0]
    size = int(lay.top * high - 2 * found.soft_px)
    if lay.top == 0 or size < 4:
        return None
    straight = straightened(light, found.corners)
    y, x = np.mgrid[0 : straight.shape[0], 0 : straight.shape[1]] + 0.5
    skip = 0.9 * found.soft_px + 0.5
    edge = np.minimum(np.minimum(x, straight.shape[1] - x), np.minimum(y, high - y)) > skip
    inside = (x > lay.left * straight.shape[1] - skip) & (x < lay.right * straight.shape[1] + skip)
    inside &= (y > lay.top * high - skip) & (y < lay.bottom * high + skip)
    log_border = np.where(edge & ~inside, np.log10(np.maximum(straight, 1e-5)), np.nan)
    if float(np.nanmedian(found.straight[edge & ~inside])) < 0.4:
        return None  # a black border is too near the flare to tell the light
    bx, by, value = field.blocks(log_border, max(4, size))
    _, _, matrix = frame(found.corners)
    return plane.mapped(matrix, np.stack([bx + 0.5, by + 0.5], axis=-1).reshape(-1, 2)), value.ravel()


def _nearness(points: Floats, found: Found) -> Floats:
    """Weights that fall off away from strip and card: only the light there matters."""
    import numpy as np

    centre = found.corners.mean(axis=0)
    reach = float(np.hypot(*(found.corners - centre).T).max())
    if found.card is not None:
        ends = plane.mapped(found.card, cards.card_corners())
        reach = max(reach, float(np.hypot(*(ends - centre).T).max()))
    far = np.hypot(*(points - centre).T) / reach
    return np.asarray(1 / (1 + np.maximum(far - 0.8, 0) ** 2 * 12))
