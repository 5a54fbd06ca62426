"""Synthetic photos of a negative on a light: densities known, an uneven lamp, veil, noise, a camera's mild tones, eight bits, JPEG. Synthetic throughout."""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np
from PIL import Image

WIDE, HIGH = 900, 700
BOX = (0.2, 0.15, 0.8, 0.85)  # of the negative, left, top, right, bottom
CORNERS = "0.2,0.15 0.8,0.15 0.8,0.85 0.2,0.85"
BARE = "0.05,0.1 0.95,0.1 0.05,0.9 0.95,0.9 0.5,0.05"
COIN = (0.1, 0.5)


@dataclass(frozen=True)
class Scene:
    """How it was photographed. tones: exponent of the camera's departure from straight; veil: share of the bare light."""

    fall: float = 0.25
    tilt: float = 0.15
    veil: float = 0.006
    noise: float = 0.004
    tones: float = 1.0
    top: float = 0.80
    coin: bool = True


def wedge(levels: tuple[float, ...]) -> np.ndarray:
    """D_T over the negative's box, steps from left to right."""
    high, wide = round((BOX[3] - BOX[1]) * HIGH), round((BOX[2] - BOX[0]) * WIDE)
    return np.repeat(np.array(levels)[np.minimum(np.arange(wide) * len(levels) // wide, len(levels) - 1)][None, :], high, axis=0)


def light(scene: Scene, size: tuple[int, int] = (WIDE, HIGH)) -> np.ndarray:
    """The bare light: dimmer by `fall` log10 at the edges' middle, `tilt` log10 from side to side; not a quadratic, cos⁴-like."""
    wide, high = size
    v, u = np.mgrid[0:high, 0:wide]
    u, v = 2 * (u + 0.5) / wide - 1, 2 * (v + 0.5) / high - 1
    edge = 10.0 ** (scene.fall / 2) - 1
    return scene.top * (1 + edge * (u**2 + v**2)) ** -2.0 * 10.0 ** (scene.tilt / 2 * (u - 1))


def photo(density: np.ndarray | None, scene: Scene = Scene(), seed: int = 1, size: tuple[int, int] = (WIDE, HIGH)) -> bytes:
    """A JPEG of the negative on the light, `density` filling its box; None: of the bare light alone. size: of the photo [px]."""
    y = light(scene, size)
    wide, high = size
    if density is not None:
        rows, cols = slice(round(BOX[1] * high), round(BOX[3] * high)), slice(round(BOX[0] * wide), round(BOX[2] * wide))
        y[rows, cols] *= 10.0**-density
        if scene.coin:
            r, c = np.mgrid[0:high, 0:wide]
            y[(r - COIN[1] * high) ** 2 + (c - COIN[0] * wide) ** 2 < (30 * wide / 900) ** 2] = 0.0
    y = y + scene.veil * scene.top
    y = y + scene.noise * np.sqrt(y) * np.random.default_rng(seed).normal(size=y.shape)
    y = np.clip(y, 0, 1) ** scene.tones
    code = np.where(y <= 0.0031308, 12.92 * y, 1.055 * np.maximum(y, 1e-9) ** (1 / 2.4) - 0.055)
    out = io.BytesIO()
    Image.fromarray(np.rint(255 * code).astype(np.uint8)).convert("RGB").save(out, "JPEG", quality=92)
    return out.getvalue()
