"""A paper's curve without and with a flash, and under it the scene's range against the paper's, as one SVG.

The same frame, ink and units as the characteristic curve; the flashed curve is dashed, both are named where they part.
"""

from __future__ import annotations

import math
from html import escape

import numpy as np

from firstsheet.drawing.curve_plot import BASE, HEIGHT, STOP, WIDTH, Frame, axes
from firstsheet.paper.curve import Curve
from firstsheet.paper.curve_points import mid_place, summary

BAR, ROOM = 34.0, 88.0  # from the axis' ticks down to the scene's bar, and what is added below the drawing
POINTS = 140


def flash_curve(curve: Curve, flash: float, scene_stops: float, name: str = "") -> str:
    """The curve as a standalone SVG.

    flash        even exposure given besides the picture [lx·s, or in the curve's relative exposure]; 0 for none
    scene_stops  range of the scene, drawn about the mid-tone's place as a bar [stop]
    name         of the paper, for the title
    """
    frame = _frame(curve, scene_stops)
    x = np.linspace(frame.low + 0.06, frame.high - 0.06, POINTS)
    plain = curve.density(x)[0]
    title = "The curve without and with a flash" if flash else "The curve"
    title += f", {name}" if name else ""
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="curve-plot" viewBox="0 0 {WIDTH:g} {HEIGHT + ROOM - 30:g}" role="img" '
        f'font-family="sans-serif" font-size="11" fill="currentColor"><title>{escape(title)}</title><desc>{escape(_said(flash, scene_stops))}</desc>',
        *axes(curve, frame),
        _line(frame, x, plain, "curve", ""),
    ]
    if flash:
        with_it = curve.density(np.log10(10.0**x + flash))[0]
        parts += [_line(frame, x, with_it, "flashed", "5 3"), *_named(curve, frame, x, plain, with_it)]
    return "".join([*parts, *_scene(curve, frame, scene_stops), "</svg>"])


def _frame(curve: Curve, scene_stops: float) -> Frame:
    low, high = curve.span
    middle = _middle(curve)
    half = 0.5 * scene_stops * STOP
    low, high = min(low, middle - half, middle - 1.2), max(high, middle + half)
    top = float(np.max(curve.density(np.array([low, high]))[2]))
    return Frame(low - 0.06, high + 0.06, max(1.0, math.ceil((top + 0.05) * 5) / 5))


def _middle(curve: Curve) -> float:
    at = mid_place(curve)
    return summary(at.log_h, curve.draws.weight)[1] if at.reached else 0.5 * sum(curve.span)


def _line(frame: Frame, x: np.ndarray, d: np.ndarray, kind: str, dash: str) -> str:
    points = " ".join(f"{frame.x(a):.1f},{frame.y(b):.1f}" for a, b in zip(x, d, strict=True))
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<polyline class="{kind}" points="{points}" fill="none" stroke="currentColor" stroke-width="1.4"{dashed}/>'


def _named(curve: Curve, frame: Frame, x: np.ndarray, plain: np.ndarray, with_it: np.ndarray) -> list[str]:
    """The word “flashed” where the two lie furthest apart, on the side of the flashed one that is free."""
    k = int(np.argmax(np.abs(with_it - plain)))
    at, d = frame.x(float(x[k])), frame.y(float(with_it[k]))
    above = with_it[k] > plain[k]
    lead, word = (-14.0, -20.0) if above else (-14.0, 24.0)
    return [
        f'<path d="M{at:.1f},{d:.1f} L{at + lead:.1f},{d + word * 0.6:.1f}" stroke="currentColor" stroke-width="0.7" fill="none"/>',
        f'<text x="{at + lead - 3:.1f}" y="{d + word * 0.75:.1f}" text-anchor="{"end" if at > 90 else "start"}">flashed</text>',
    ]


def _scene(curve: Curve, frame: Frame, stops: float) -> list[str]:
    """The scene about the mid-tone: shadows at its left end, lights at its right."""
    middle, half = _middle(curve), 0.5 * stops * STOP
    left, right = frame.x(middle - half), frame.x(middle + half)
    y = BASE + 62 + BAR
    return [
        f'<path class="scene" d="M{left:.1f},{y:g} H{right:.1f} M{left:.1f},{y - 5:g} v10 M{right:.1f},{y - 5:g} v10" stroke="currentColor" stroke-width="1.4" fill="none"/>',
        f'<text x="{left:.1f}" y="{y + 17:g}">shadows</text><text x="{right:.1f}" y="{y + 17:g}" text-anchor="end">lights</text>',
        f'<text x="{(left + right) / 2:.1f}" y="{y - 5:g}" text-anchor="middle">the scene, {stops:.1f} stops</text>',
    ]


def _said(flash: float, stops: float) -> str:
    both = "Density upward, exposure to the right. The flashed curve differs only at the small exposures, the scene's shadows. " if flash else ""
    return f"{both}Under it the scene, {stops:.1f} stops, about the mid-tone."
