"""From light to densities, step by step of a strip, each with its doubt or the reason why it has none.

All in one straightened view in which the table is 1 everywhere. What cannot be read is said, not guessed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet.strips import glare as glares
from firstsheet.strips import plane
from firstsheet.strips.decode import Linear
from firstsheet.strips.find import Found, frame, straightened
from firstsheet.strips.flat import Flat

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[Any]]

LN10 = math.log(10)
GROW = 0.22  # of the strip's height, table shown round the straightened strip
CLIPPED_SHARE = 0.12  # of a step's pixels at the end of the scale
TEXTURE_SD = 0.0025  # paper that is not the same everywhere, and a surface that is not quite right
GLARE_SHARE = 0.6  # of a step's own light; more added light than this and the step is not read
GLARE_SD = 0.12  # share of the added light that the bell may be wrong by
COVERED = 0.30  # of a step's pixels off its level: dust, a hand, an edge
UNEVEN = 0.05  # one half of a step against the other [density]
LOST_SD = 0.25  # a step less sure than this is hardly told from the flare: a bound in light, not in density


@dataclass(frozen=True, slots=True)
class Step:
    """One step as the picture has it, left to right.

    level      light over the table's, flare and reflection taken off
    sd_log     doubt of log10 level, flare included
    censored   None, "at_least" or "at_most" (of the density)
    rejected   why it is not read, or ""
    flare_sd   the part of sd_log that all steps share: flare that was not known
    """

    level: float
    sd_log: float
    censored: str | None
    rejected: str
    flare_sd: float = 0.0


@dataclass(frozen=True, slots=True)
class Measured:
    steps: tuple[Step, ...]
    border: float | None  # level of the strip's border; None where it has none
    glare: float  # height of the reflection found [of the table's light]; 0 = none
    ripple: float  # how far the light beside the steps strayed from the smooth surface [log10]


def measured(light: Floats, picture: Linear, found: Found, flat: Flat) -> Measured:
    """All steps. `light` is picture.light, or that with a phone's tone curve undone."""
    import numpy as np

    wide, high, matrix = frame(found.corners)
    seen = straightened(light, found.corners, GROW) - np.float32(flat.flare)
    y, x = np.mgrid[0 : seen.shape[0], 0 : seen.shape[1]] + 0.5
    x, y = x - GROW * high, y - GROW * high
    log_lamp = _surface(flat, matrix, seen.shape, GROW * high)
    even = seen / 10.0**log_lamp
    region = _regions(found, x / wide, y / high, wide, high)
    away = straightened(found.masked.astype(np.float32), found.corners, GROW) > 0.3
    region[(region == 1) & away] = -1
    region[~np.isfinite(even)] = -1
    added, height = glares.spot(np.nan_to_num(even), region)
    even = even - added
    ripple = _ripple(found, even, region, x / wide)
    clip = [straightened(a, found.corners, GROW) for a in (picture.high, picture.low)]
    columns = _columns(found, wide, high)
    steps = []
    for k, (left, top, right, bottom) in enumerate(columns):
        box = (
            slice(*_cut(top, bottom, GROW * high, seen.shape[0])),
            slice(*_cut(left, right, GROW * high, seen.shape[1])),
        )
        lamp = 10 ** float(np.nanmean(log_lamp[box]))
        part = even[box] / 10 ** ripple[k]
        steps.append(
            _step(part, added[box], [float(np.nanmean(c[box])) for c in clip], lamp, flat, picture, float(ripple.std()))
        )
    border = even[region == 2]
    level = float(np.nanmedian(border)) if len(border) > 30 else None
    return Measured(tuple(steps), level, height, float(ripple.std()))


def _surface(flat: Flat, matrix: Floats, shape: tuple[int, ...], shift: float) -> Floats:
    """The table's light under the straightened view, worked out every 8 pixels and joined."""
    import numpy as np

    rows, columns = -(-shape[0] // 8) + 1, -(-shape[1] // 8) + 1
    y, x = np.mgrid[0:rows, 0:columns] * 8.0
    coarse = flat.log_at(plane.mapped(matrix, np.stack([x + 0.5 - shift, y + 0.5 - shift], axis=-1)))
    yy, xx = np.mgrid[0 : shape[0], 0 : shape[1]] / 8.0
    return plane.sampled(coarse, np.stack([xx, yy], axis=-1))


def _cut(low: float, far: float, shift: float, most: int) -> tuple[int, int]:
    first = max(0, math.ceil(low + shift))
    return first, min(most, max(first + 2, int(far + shift)))


def _columns(found: Found, wide: float, high: float) -> list[tuple[float, float, float, float]]:
    """The inner part of each step [px of the straightened strip]: left, top, right, bottom; clear of blurred edges."""
    lay = found.lay
    pitch = (lay.right - lay.left) * wide / lay.steps
    inset = min(max(0.20 * pitch, 0.75 * found.soft_px + 1), 0.38 * pitch)
    tall = (lay.bottom - lay.top) * high
    down = min(max(0.18 * tall, found.soft_px + 1), 0.4 * tall)
    out = []
    for k in range(lay.steps):
        left, right = lay.left * wide + k * pitch, lay.left * wide + (k + 1) * pitch
        out.append((left + inset, lay.top * high + down, right - inset, lay.bottom * high - down))
    return out


def _regions(found: Found, u: Floats, v: Floats, wide: float, high: float) -> Floats:
    """1 = table, 2 = border, 10 + k = step k, −1 = edges between."""
    import numpy as np

    out = np.full(u.shape, -1, dtype=np.int32)
    lay, skip = found.lay, found.soft_px * 0.9 + 1
    outside = np.maximum(np.maximum(-u, u - 1) * wide, np.maximum(-v, v - 1) * high)
    out[outside > skip + 1] = 1
    if lay.top > 0:
        gap = np.maximum(np.maximum(lay.left - u, u - lay.right) * wide, np.maximum(lay.top - v, v - lay.bottom) * high)
        out[(outside < -skip) & (gap > skip)] = 2
    for k, (left, top, right, bottom) in enumerate(_columns(found, wide, high)):
        out[(u * wide > left) & (u * wide < right) & (v * high > top) & (v * high < bottom)] = 10 + k
    return out


def _ripple(found: Found, even: Floats, region: Floats, u: Floats) -> Floats:
    """Per step, log10 of how much brighter table and border beside it are than the smooth surface has them.

    It takes away what the surface cannot follow: a hand's shadow, a phone's local brightening. Drawn towards zero by its
    own noise.
    """
    import numpy as np

    lay = found.lay
    many = lay.steps
    place = np.floor((u - lay.left) / (lay.right - lay.left) * many).astype(int)
    parts = []
    half = even.shape[0] // 2
    log_even = np.log10(np.maximum(even, 1e-3))
    for label in (1, 2):
        mine = region == label
        if mine.sum() < 100 or (label == 2 and float(np.nanmedian(even[mine])) < 0.4):
            continue
        middle = float(np.nanmedian(log_even[mine])) if label == 2 else 0.0
        for rows in (slice(0, half), slice(half, None)):
            line = np.full(many, np.nan)
            for k in range(many):
                inside = log_even[rows][mine[rows] & (place[rows] == k)]
                inside = inside[np.abs(inside - middle) < 0.12]
                if len(inside) > 20:
                    line[k] = float(np.median(inside)) - middle
            parts.append(line)
    if not parts:
        return np.zeros(many)
    stack = np.array(parts)
    counted = np.isfinite(stack).any(axis=0)
    line = np.zeros(many)
    line[counted] = np.nanmean(stack[:, counted], axis=0)
    if counted.sum() < 3:
        return np.zeros(many)
    line = np.interp(np.arange(many), np.nonzero(counted)[0], line[counted])
    noise = float(np.median(np.abs(np.diff(line, 2)))) ** 2 * 0.37 + 1e-7  # second differences: variance × 6, and 1.48²
    padded = np.pad(line, 1, mode="edge")
    smooth = 0.25 * padded[:-2] + 0.5 * padded[1:-1] + 0.25 * padded[2:]
    signal = float((smooth**2).mean())
    return np.asarray(smooth * signal / (signal + noise))


def _step(
    part: Floats, added: Floats, clip: list[float], lamp: float, flat: Flat, picture: Linear, ripple: float
) -> Step:
    import numpy as np

    value = part[np.isfinite(part)].astype(float)
    if len(value) < 12:
        return Step(float("nan"), float("inf"), None, "it is not all in the picture")
    middle = float(np.median(value))
    spread = 1.4826 * float(np.median(np.abs(value - middle)))
    own = max(spread, 0.6 * _code(middle * lamp + flat.flare, picture) / lamp)
    kept = np.abs(part - middle) < 3.2 * own + 0.006 * abs(middle)
    level = float(part[kept].mean())
    light = max(level * lamp, 1e-5)
    if clip[0] > CLIPPED_SHARE:
        return Step(level, 0.01, "at_most", "")
    if clip[1] > CLIPPED_SHARE:
        return Step(max(level, 1e-4), 0.05, "at_least", "")
    glare = float(added.mean())
    if glare > GLARE_SHARE * max(level, 1e-4):
        return Step(level, float("inf"), None, "a reflection lies over it")
    if 1 - float(kept.mean()) > COVERED:
        return Step(level, float("inf"), None, "dust, a hand or an edge covers too much of it")
    uneven, noise = _unevenness(np.where(kept, part, np.nan), max(level, 1e-5))
    if uneven > UNEVEN + 3 * noise + 0.3 * glare / max(level, 1e-5):
        return Step(level, float("inf"), None, "it is uneven: a shadow, a stain or a reflection")
    flare = flat.flare_sd / light / LN10
    quantum = _quantisation(light + flat.flare, spread * lamp, picture) / light / LN10
    shine = GLARE_SD * glare / max(level, 1e-5) / LN10
    lamp_sd = math.hypot(TEXTURE_SD, 0.7 * max(0.0, flat.scatter - 0.004))
    sd = math.sqrt(noise**2 + (0.3 * uneven) ** 2 + lamp_sd**2 + (0.7 * ripple) ** 2 + flare**2 + quantum**2 + shine**2)
    if sd > LOST_SD or level <= 0:
        bound = max(level, 0.0) + 1.3 * flat.flare_sd / lamp + 2 * noise * max(level, 1e-5) * LN10
        return Step(max(bound, 1e-4), sd, "at_least", "")
    return Step(level, sd, None, "", flare)


def _unevenness(part: Floats, level: float) -> tuple[float, float]:
    """The largest difference between halves, and the doubt of the mean from sixteen sub-blocks, both in density."""
    import numpy as np

    rows, columns = np.array_split(np.arange(part.shape[0]), 4), np.array_split(np.arange(part.shape[1]), 4)
    block = np.full((4, 4), np.nan)
    for i, r in enumerate(rows):
        for j, c in enumerate(columns):
            inside = part[r[:, None], c] if len(r) and len(c) else np.zeros(0)
            if np.isfinite(inside).sum() > 0.3 * inside.size > 0:
                block[i, j] = np.nanmean(inside)
    if np.isfinite(block).sum() < 4:
        return 0.0, 0.02
    halves = []
    for a, b in ((block[:2], block[2:]), (block[:, :2], block[:, 2:])):
        if np.isfinite(a).any() and np.isfinite(b).any():
            halves.append(abs(float(np.nanmean(a) - np.nanmean(b))))
    noise = float(np.nanstd(block)) / math.sqrt(int(np.isfinite(block).sum()))
    return max(halves, default=0.0) / level / LN10, noise / level / LN10


def _code(light: float, picture: Linear) -> float:
    """How much light one code is at `light` [the picture's own unit]; from the sRGB curve [IEC-61966-2-1]."""
    y = max(light, 1e-5)
    slope = 12.92 if y <= 0.0031308 else 1.055 / 2.4 * math.pow(y, 1 / 2.4 - 1.0)
    return float(1.0 / (2**picture.bits - 1) / slope)


def _quantisation(light: float, spread: float, picture: Linear) -> float:
    """What rounding to codes leaves in a mean: all of it without noise, next to none where noise spans a code.

    The first term of the error of a dithered rounding, step/π · exp(−2π²s²), s the noise in codes [closed form].
    """
    step = _code(light, picture)
    noise = spread * picture.factor / step
    return step / math.pi / math.sqrt(2) * math.exp(-2 * (math.pi * min(noise, 2.0)) ** 2) + 0.02 * step
