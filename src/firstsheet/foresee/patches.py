"""Places touched in a kept picture as linear light, each against the white beside it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from firstsheet.foresee import redraw
from firstsheet.light.photo import half_code_of
from firstsheet.refusal import Problems

MOST_CLIPPED = 0.05
MOST_UNEVEN = 0.15  # spread of the light within one touched place, of its mean; an edge or dust; ours


@dataclass(frozen=True, slots=True)
class Touched:
    """Linear light of one place [1], its luminance, and the doubt of log10 of that from its spread and eight bits [log10]."""

    rgb: tuple[float, float, float]
    luminance: float
    log_sd: float


def touched(
    kept_jpeg: bytes, places: Mapping[str, tuple[float, float]], bright: tuple[str, ...] = ()
) -> dict[str, Touched]:
    """Each place by its name. Refusal, all at once, for clipped ones, for edges, and for those of `bright` that are dark.

    places  fractions from left and top
    bright  names of places that are whites
    """
    light, clipped = redraw.linear_rgb(kept_jpeg)
    found = Problems()
    out = {}
    for name, at in places.items():
        there = redraw.disc(light.shape, at)
        pixels = light[there]
        rgb = np.median(pixels, axis=0)
        y = float(rgb @ redraw.REC709)
        spread = float(np.std(pixels @ redraw.REC709))
        if float(clipped[there].mean()) > MOST_CLIPPED:
            found.add(
                name, "too bright in the photo", "A place that is not clipped.", "Photograph it again a little darker."
            )
        elif name in bright and (y < redraw.LEAST_WHITE_Y or float(rgb.min()) <= 0):
            found.add(
                name,
                "dark in the photo",
                "The white card or paper.",
                "Touch the white; if it is that dark, use more light.",
            )
        elif spread > MOST_UNEVEN * max(y, 0.02):
            found.add(
                name,
                "uneven in the photo",
                "A place of one tone, away from edges and dust.",
                "Touch the middle of the patch.",
            )
        y = max(y, half_code_of(0.0))
        sd = math.hypot(spread / math.sqrt(max(len(pixels), 1)), half_code_of(min(y, 1.0)) / 2) / y / math.log(10)
        out[name] = Touched((float(rgb[0]), float(rgb[1]), float(rgb[2])), y, sd)
    found.raise_if_any()
    return out
