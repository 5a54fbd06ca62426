"""A sheet made by a forward model of its own: scene → log H → a curve in closed form → light → sRGB → a photo. All invented.

The curve is an error function in log H, as grains of log-normally spread sensitivity would give; the project's own stand-in is
a logistic, and its tables are interpolated. sRGB is written out from IEC 61966-2-1.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from math import erf, log10

import numpy as np
from PIL import Image

BASE, DMAX, WIDTH = 0.08, 1.85, 0.34  # D, D, log10
WHITE_D = 0.05  # the card beside the sheet [D]
STOP = log10(2.0)
WIDE, HIGH = 800, 600
WHITE_AT, BORDER_AT = (0.05, 0.5), (0.5, 0.06)  # card at the left, masked border along the top of the sheet
SHEET = (slice(20, 580), slice(90, 780))
FACE = (slice(90, 560), slice(120, 760))  # inside the border

_ERF = np.vectorize(erf)


def curve(log_h, sense):
    """Density at log H: base + net·Φ(sense·log H / width)."""
    return BASE + (DMAX - BASE) * 0.5 * (1.0 + _ERF(sense * np.asarray(log_h) / (WIDTH * 2**0.5)))


def table(sense):
    """The same curve as twenty-five points, as a measured one would be kept."""
    log_h = np.linspace(-1.8, 1.8, 73)
    return log_h.tolist(), curve(log_h, sense).tolist()


def scene():
    """log H over the sheet before any change: a ramp across, a slow wave down, 1.2 from end to end [log10]."""
    high, wide = FACE[0].stop - FACE[0].start, FACE[1].stop - FACE[1].start
    x, y = np.linspace(-0.5, 0.5, wide)[None, :], np.linspace(0, 6.0, high)[:, None]
    return 1.0 * x + 0.10 * np.sin(y)


@dataclass(frozen=True)
class Print:
    """sense +1 negative, −1 positive; stops more exposure; border_d the masked border's density."""

    sense: int
    stops: float = 0.0
    border_d: float | None = None

    def density(self):
        """The whole picture in densities: a grey table, the white card, the sheet with its border and its image."""
        d = np.full((HIGH, WIDE), 0.6)
        d[100:500, 0:80] = WHITE_D
        d[SHEET] = self.border_d if self.border_d is not None else (BASE if self.sense > 0 else DMAX)
        d[FACE] = curve(scene() + self.stops * STOP, self.sense)
        return d


def linear(d, tint=(1.0, 1.0, 1.0), level=0.8, across=0.0, veil=0.0):
    """Light that reaches the camera [1]: reflectance in a light of that tint, `across` brighter at the right; veil of the white."""
    light = level * (1.0 + across * (np.linspace(-0.5, 0.5, WIDE)[None, :, None]))
    return light * (10.0 ** -d[:, :, None]) * np.array(tint) + veil * level * 10.0**-WHITE_D * np.array(tint)


def photo(d, form="PNG", **light):
    """The same as a file in sRGB of eight bits."""
    y = np.clip(linear(d, **light), 0.0, 1.0)
    code = np.where(y <= 0.0031308, 12.92 * y, 1.055 * y ** (1 / 2.4) - 0.055)
    out = io.BytesIO()
    Image.fromarray(np.rint(255 * code).astype(np.uint8)).save(out, form, quality=95)
    return out.getvalue()
