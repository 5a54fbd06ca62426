"""Undoes uneven light: one smooth surface through table, card and border, each at a level of its own; and the flare.

A surface of degree 4 in log10, its high terms held small, over the picture. Table, card and strip lie in one plane, so a
surface over the picture is one over the table.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from firstsheet.strips import card as cards
from firstsheet.strips import field, plane
from firstsheet.strips.find import Found, frame, straightened, widened

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[Any]]

DEGREE = 4
FLARE_SD = 0.006  # of a white's light: veiling flare of a lens before anything is known of it (common practice, no source)


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
    own = np.stack([(kind == k).astype(float) for k in range(1, len(groups))], axis=1) if len(groups) > 1 else np.zeros((len(u), 0))
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
    flare, sd = 0.0, prior
    for _ in range(3):
        seen, noise, at = patch_light(light, found.card, 5)
        expected = 10 ** (float(flat.log_at(at)) + flat.white_log - (black.density - white.density))
        own = ((expected * 2.303) ** 2 * (black.sd**2 + 0.01**2) + noise**2) ** 0.5
        weight = prior**2 / (prior**2 + own**2)
        flare, sd = max(-0.1 * expected, weight * (seen - expected)), weight**0.5 * own
        flat = flat_of(light, found, flare)
    return replace(flat, flare=flare, flare_sd=sd)


def patch_light(light: Floats, card: Floats, k: int) -> tuple[float, float, Floats]:
    """Mean light of the card's patch k, its doubt from place to place, and where it is in the picture."""
    import numpy as np

    left, top, wide, high = cards.patch_boxes_mm()[k]
    y, x = np.mgrid[0.22:0.78:20j, 0.22:0.78:20j]
    at = plane.mapped(card, np.stack([left + wide * x, top + high * y], axis=-1))
    value = plane.sampled(light, at).astype(float)
    middle = np.nanmedian(value)
    spread = 1.4826 * float(np.nanmedian(np.abs(value - middle))) + 2e-4
    kept = np.where(np.abs(value - middle) < 3 * spread, value, np.nan)
    cells = kept.reshape(4, 5, 4, 5).transpose(0, 2, 1, 3).reshape(16, 25)
    means = [float(np.nanmean(c)) for c in cells if np.isfinite(c).any()]
    return float(np.nanmean(kept)), float(np.std(means)) / 4 + 1e-5, at.mean(axis=(0, 1))


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
    white = sure & ~widened(dark > 0, wide)
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
