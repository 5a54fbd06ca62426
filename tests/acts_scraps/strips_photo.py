"""A photo of two strips beside a white card: flat patches of known sRGB, lit unevenly or not."""

from __future__ import annotations

import io

import numpy as np
from PIL import Image

PLACES = {
    "white": (0.5, 0.5),
    "first_base": (0.2, 0.25),
    "first_mid": (0.2, 0.75),
    "second_base": (0.8, 0.25),
    "second_mid": (0.8, 0.75),
}

COLOURS = {
    "white": (0.8, 0.8, 0.8), "first_base": (0.70, 0.70, 0.70), "second_base": (0.72, 0.68, 0.55), "first_mid": (0.2, 0.2, 0.2),
    "second_mid": (0.22, 0.195, 0.15),
}  # fmt: skip


def encoded(light):
    """sRGB codes of linear light. [IEC-61966-2-1]"""
    light = np.clip(np.asarray(light, dtype=float), 0, 1)
    return np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)


def photo(linear, lamp=(1.0, 1.0, 1.0), quality=97):
    """linear: name → linear light of each place, the card 0.8 of the lamp; lamp: its colour."""
    canvas = np.full((600, 900, 3), 0.18)
    for name, (x, y) in PLACES.items():
        col, row = int(x * 900), int(y * 600)
        canvas[row - 90 : row + 90, col - 90 : col + 90] = linear[name]
    codes = np.rint(255 * encoded(canvas * np.asarray(lamp))).astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(codes).save(out, "JPEG", quality=quality, subsampling=0)
    return out.getvalue()


def said(**more):
    return {k: f"{x},{y}" for k, (x, y) in PLACES.items()} | more
