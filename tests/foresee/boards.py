"""Photos of a board made by a forward model of its own: known illuminance → white board → a tilted phone's lens, sensor and file.

All invented. sRGB is written out from IEC 61966-2-1, exposure from ISO 12232: a mid-tone of luminance 15.38·N²/(t·S) comes out at 0.18.
"""

from __future__ import annotations

import io
import math
from dataclasses import dataclass

import numpy as np
from PIL import Image

WIDE, HIGH = 400, 300


@dataclass(frozen=True)
class Shot:
    """One photo with its truth: `lux_at(x, y)` [lx] for a place of the photo."""

    jpeg: bytes
    f_number: float
    time_s: float
    iso: float
    lux: np.ndarray

    def lux_at(self, x, y, radius=6):
        col, row = int(x * WIDE), int(y * HIGH)
        return float(self.lux[max(row - radius, 0) : row + radius + 1, max(col - radius, 0) : col + radius + 1].mean())


def picture_on_the_board(rng, shadow=False):
    """Illuminance [lx]: a person-like blob, a window, a dark ground; log-normal about a few lux."""
    x, y = np.meshgrid(np.linspace(-1, 1, WIDE), np.linspace(-1, 1, HIGH))
    lux = 0.25 + 0.5 * (1 + y)
    for _ in range(5):
        cx, cy, size, gain = rng.uniform(-0.7, 0.7), rng.uniform(-0.7, 0.7), rng.uniform(0.15, 0.5), rng.uniform(0.3, 2.0)
        lux = lux + gain / (1 + np.exp((np.hypot(x - cx, y - cy) / size - 1) * 8))
    lux = lux * 2 ** rng.normal(1.0, 1.0)
    if shadow:
        lux = lux * (1 - 0.995 / (1 + np.exp((x - rng.uniform(-0.1, 0.0)) * 60)))
    return lux


def shoot(rng, shadow=False, offset_sd=0.4, warm=True):
    """A phone's photo of it, tilted; its exposure data are off by a lasting offset [stop], its white balance by what it makes of the light."""
    truth = picture_on_the_board(rng, shadow)
    tilt = rng.uniform(-0.12, 0.12, size=8).reshape(4, 2)
    seen = _warped(truth, tilt)
    rho = float(np.clip(rng.normal(0.85, 0.06), 0.6, 0.97))
    luminance = rho * seen / math.pi
    f_number, time_s = 1.8, float(rng.uniform(1 / 3, 8.0))
    middle = float(np.quantile(luminance, 0.6)) / 0.18 / rng.uniform(1.0, 2.0)
    iso = 15.3846 * f_number**2 / (time_s * middle * 0.18)
    y = luminance / (15.3846 * f_number**2 / (time_s * iso)) * 0.18 * 2 ** rng.normal(0.0, offset_sd)
    xx, yy = np.meshgrid(np.linspace(-1, 1, WIDE), np.linspace(-1, 1, HIGH))
    y = y * (1 - rng.uniform(0, 0.08) * (xx**2 + yy**2) / 2)
    y = y + 0.003 * y.mean()
    y = 0.18 * (y / 0.18) ** rng.normal(1.0, 0.05)  # how a phone bends its tones
    gains = (rng.uniform(1.0, 1.35), 1.0, rng.uniform(0.65, 1.0)) if warm else (1.0, 1.0, 1.0)
    noise = math.sqrt(iso / 100.0)
    rgb = np.stack([g * y for g in gains], axis=2)
    rgb = rgb + rng.normal(size=rgb.shape) * noise * np.sqrt(np.maximum(rgb, 0) * 2e-5 + 1e-7)
    rgb = np.clip(rgb, 0, 1)
    code = np.where(rgb <= 0.0031308, 12.92 * rgb, 1.055 * rgb ** (1 / 2.4) - 0.055)
    out = io.BytesIO()
    Image.fromarray(np.rint(255 * code).astype(np.uint8)).save(out, "JPEG", quality=92)
    return Shot(out.getvalue(), f_number, time_s, iso, seen)


def _warped(plane, by):
    """The plane seen from the side: corners moved by shares of its size; its own border goes on beyond."""
    ends = np.array([(0, 0), (WIDE, 0), (WIDE, HIGH), (0, HIGH)], dtype=float)
    moved = ends + by * (WIDE, HIGH) * np.array([(1, 1), (-1, 1), (-1, -1), (1, -1)]) * np.sign(by) * np.sign(by)
    rows, right = [], []
    for (u, v), (x, y) in zip(ends, moved, strict=True):
        rows += [[u, v, 1, 0, 0, 0, -u * x, -v * x], [0, 0, 0, u, v, 1, -u * y, -v * y]]
        right += [x, y]
    a = np.append(np.linalg.solve(np.array(rows), np.array(right)), 1.0).reshape(3, 3)
    c, r = np.meshgrid(np.arange(WIDE) + 0.5, np.arange(HIGH) + 0.5)
    p = a @ np.stack([c.ravel(), r.ravel(), np.ones(c.size)])
    x, y = np.clip(p[0] / p[2], 0, WIDE - 1), np.clip(p[1] / p[2], 0, HIGH - 1)
    return plane[y.astype(int), x.astype(int)].reshape(HIGH, WIDE)
