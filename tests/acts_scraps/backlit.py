"""Pictures of one strip, looked at and on a light table, from its densities: a lamp that falls off, noise, a slight turn."""

from __future__ import annotations

import io
import math

import numpy as np
from PIL import Image

from .strips_photo import encoded

STEP, HIGH, MARGIN, SIZE = 90, 160, 14, (1400, 700)


def layer_reflection(d_t, base=0.85, inner=0.6):
    """Density by reflection of a layer of this density by transmission over a white base, both above the bare base: light goes
    through twice, and of what comes up the share `inner` is sent down again, in its simplest form [Williams-1953]."""
    t2 = 10 ** (-2 * d_t)
    white = (1 - inner) * base / (1 - inner * base)
    return -math.log10((1 - inner) * base * t2 / (1 - inner * base * t2) / white)


def picture(densities, border, table, seed=1):
    """JPEG of a strip whose steps and border have these densities [D], on a table of linear light `table`."""
    rng = np.random.default_rng(seed)
    wide, high = SIZE
    strip = np.full((HIGH + 2 * MARGIN, len(densities) * STEP + 2 * MARGIN), 10.0**-border)
    for k, d in enumerate(densities):
        strip[MARGIN : MARGIN + HIGH, MARGIN + k * STEP : MARGIN + (k + 1) * STEP] = 10.0**-d
    canvas = Image.new("F", SIZE, table)
    seen = Image.fromarray(strip.astype("f"))
    canvas.paste(seen, ((wide - seen.width) // 2, (high - seen.height) // 2))
    light = np.array(canvas.rotate(3.0, resample=Image.Resampling.BICUBIC, fillcolor=table))
    y, x = np.mgrid[0:high, 0:wide]
    light *= 0.8 * (1 - 0.3 * (((x - wide / 2) / wide) ** 2 + ((y - high / 2) / high) ** 2))
    light *= 1 + 0.004 * rng.standard_normal((high, wide))
    out = io.BytesIO()
    Image.fromarray(np.rint(255 * encoded(light)).astype("uint8")).convert("RGB").save(out, "JPEG", quality=95)
    return out.getvalue()
