"""Where a picture falls on the curve of its paper: the touched place with its doubt, the spread of the scene, the curve as it may be.

Density upward, exposure to the right a tick each stop from the planned mid-tone; labelled in place; one SVG that prints.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

import numpy as np
from numpy.typing import NDArray

from firstsheet import wording

Array = NDArray[np.float64]
WIDTH, HEIGHT = 360.0, 250.0
LEFT, RIGHT, TOP, BASE = 34.0, 10.0, 22.0, 186.0
LEAST_STOPS = 3.0  # shown either side of the mid-tone
MOST_STOPS = 9.0
LETTER_PX = 6.1  # about how wide a letter is set at 11 px


@dataclass(frozen=True, slots=True)
class Fallen:
    """The touched place: its name, where it falls and its doubt [stop from the mid-tone], its density [D]."""

    name: str
    stops: float
    sd_stops: float
    density: float


def ahead_curve(stops: Array, density: Sequence[Array], face: Fallen, spread: tuple[float, float], ends: tuple[float, float]) -> str:
    """One SVG.

    stops    exposure from the mid-tone, rising [stop]
    density  one array for each version of the curve, the likeliest in the middle of them [D]
    face     the touched place
    spread   between which exposures nine tenths of the picture lie [stop]
    ends     densities beyond which it is blown white and dead black [D]
    """
    low = max(min(-LEAST_STOPS, spread[0] - 0.5, face.stops - 2.0 * face.sd_stops), -MOST_STOPS)
    high = min(max(LEAST_STOPS, spread[1] + 0.5, face.stops + 2.0 * face.sd_stops), MOST_STOPS)
    top_d = max(2.0, float(np.ceil(5.0 * max(d.max() for d in density)) / 5.0))

    def x(s: float) -> float:
        return LEFT + (min(max(s, low), high) - low) / (high - low) * (WIDTH - LEFT - RIGHT)

    def y(d: float) -> float:
        return BASE - min(max(d, 0.0), top_d) / top_d * (BASE - TOP)

    inside = (stops >= low) & (stops <= high)
    at = stops[inside][:: max(1, int(inside.sum()) // 120)]
    curves = [np.interp(at, stops, d) for d in density]
    middle = len(curves) // 2
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="ahead-curve" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" role="img" font-family="sans-serif" font-size="11" '
        f'fill="currentColor"><title>{escape(_said(face, spread))}</title>',
        f'<path d="M{LEFT:g},{TOP:g} V{BASE:g} H{WIDTH - RIGHT:g}" fill="none" stroke="currentColor"/><text x="2" y="12">density</text>',
    ]
    for k in range(int(top_d / 0.5 + 1e-9) + 1):
        parts.append(f'<path d="M{LEFT - 4:g},{y(k / 2):.1f} h4" stroke="currentColor"/><text x="{LEFT - 7:g}" y="{y(k / 2) + 4:.1f}" text-anchor="end">{k / 2:.1f}</text>')
    for s in range(int(np.ceil(low)), int(np.floor(high)) + 1):
        parts.append(f'<path d="M{x(s):.1f},{BASE:g} v5" stroke="currentColor"/>')
        if s % 2 == 0 or high - low < 9:
            label = "mid" if s == 0 else f"{s:+d}".replace("-", wording.MINUS)
            parts.append(f'<text x="{x(s):.1f}" y="{BASE + 17:g}" text-anchor="middle">{label}</text>')
    for d, name in zip(ends, ("blown white", "dead black"), strict=True):
        parts.append(f'<path class="end" d="M{LEFT:g},{y(d):.1f} H{WIDTH - RIGHT:g}" stroke="currentColor" stroke-width="0.6" stroke-dasharray="2 3"/>')
        # Named at the side where the curve is not.
        right = (curves[middle][-1] < top_d / 2) == (name == "dead black")
        parts.append(f'<text x="{WIDTH - RIGHT if right else LEFT + 4:g}" y="{y(d) - 4:.1f}" text-anchor="{"end" if right else "start"}">{name}</text>')
    band = (x(face.stops - 1.645 * face.sd_stops), x(face.stops + 1.645 * face.sd_stops))
    parts.append(f'<rect class="doubt" x="{band[0]:.1f}" y="{TOP:g}" width="{band[1] - band[0]:.1f}" height="{BASE - TOP:g}" fill-opacity="0.12"/>')
    for i, each in enumerate(curves):
        line = " ".join(f"{x(a):.1f},{y(b):.1f}" for a, b in zip(at, each, strict=True))
        parts.append(f'<polyline class="{"curve" if i == middle else "other"}" points="{line}" fill="none" stroke="currentColor" stroke-width="{1.8 if i == middle else 0.5}"/>')
    parts.append(f'<path class="face" d="M{x(face.stops):.1f},{BASE:g} V{y(face.density):.1f} H{LEFT:g}" fill="none" stroke="currentColor" stroke-width="0.8"/>'
                 f'<circle cx="{x(face.stops):.1f}" cy="{y(face.density):.1f}" r="4"/>')  # fmt: skip
    parts.append(_named(f"{face.name} {face.density:.1f}", x(face.stops), TOP - 8))
    parts.append(f'<path class="spread" d="M{x(spread[0]):.1f},{BASE + 28:g} H{x(spread[1]):.1f}" stroke="currentColor" stroke-width="5"/>')
    parts.append(_named("nine tenths of the picture", (x(spread[0]) + x(spread[1])) / 2, BASE + 45))
    parts.append(f'<text x="{WIDTH - RIGHT:g}" y="{BASE + 60:g}" text-anchor="end">stops from the mid-tone</text></svg>')
    return "".join(parts)


def _named(text: str, at: float, y: float) -> str:
    half = LETTER_PX * len(text) / 2
    return f'<text x="{min(max(at, half + 44), WIDTH - half - 2):.1f}" y="{y:g}" text-anchor="middle">{escape(text)}</text>'


def _said(face: Fallen, spread: tuple[float, float]) -> str:
    ends = " to ".join(wording.stops(s) for s in spread)
    return f"{face.name} falls {wording.stops(face.stops)} from the mid-tone, {wording.stops_pm(face.sd_stops)}, at density {face.density:.1f}; nine tenths of the picture lie from {ends}."
