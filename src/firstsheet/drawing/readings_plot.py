"""Density by transmission over density by reflection of one paper, both to one scale, with the pairs and where it is refused."""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape

from firstsheet.answer import Z90
from firstsheet.paper.transmission import Pair

WIDTH, LEFT, BOTTOM, TOP, RIGHT = 360.0, 40.0, 40.0, 20.0, 10.0


def readings_plot(pairs: Sequence[Pair], table: Sequence[Sequence[float]], name: str = "") -> str:
    """The relation as a standalone SVG with title and description.

    pairs  as measured, above bare paper [D]
    table  rows of D_R, D_T, low, high [D] between the limits; outside them nothing is drawn
    A unit of either density is as long on the drawing, so that slopes can be measured on it.
    """
    across = max(0.5, math.ceil(5 * (table[-1][0] + 0.1)) / 5)
    up = max(0.4, math.ceil(5 * (max(row[3] for row in table) + 0.05)) / 5)
    unit = (WIDTH - LEFT - RIGHT) / across
    height = TOP + up * unit + BOTTOM
    base = TOP + up * unit

    def at(r: float, t: float) -> tuple[float, float]:
        return LEFT + max(r, 0.0) * unit, base - max(t, 0.0) * unit

    title = "Looked at and shone through" + (f", {name}" if name else "")
    said = f"Density by transmission against density by reflection, both above bare paper, from {table[0][0]:.2f} to {table[-1][0]:.2f} by reflection."
    edge = [at(r, h) for r, _, _, h in table] + [at(r, low) for r, _, low, _ in reversed(table)]
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="curve-plot" viewBox="0 0 {WIDTH:g} {height:.0f}" role="img" font-family="sans-serif" '
        f'font-size="11" fill="currentColor"><title>{escape(title)}</title><desc>{escape(said)}</desc>',
        f'<path class="axis" d="M{LEFT:g},{TOP:g} V{base:.1f} H{WIDTH - RIGHT:g}" fill="none" stroke="currentColor" stroke-width="1"/>',
        f'<text x="2" y="{TOP - 8:g}">density by transmission</text>',
        f'<text x="{WIDTH - RIGHT:g}" y="{base + 32:.1f}" text-anchor="end">density by reflection, both above bare paper</text>',
        *_ticks(across, up, unit, base),
        *_half(across, up, unit, base),
        f'<polygon class="ninety" points="{_points(edge)}" fill-opacity="0.16"/>',
        f'<polyline class="curve" points="{_points([at(r, t) for r, t, _, _ in table])}" fill="none" stroke="currentColor" stroke-width="1.4"/>',
    ]
    for p in pairs:
        x, y = at(p.reflection, p.transmission)
        rx, ry = Z90 * p.reflection_sd * unit, Z90 * p.transmission_sd * unit
        parts.append(f'<path class="doubt" d="M{x - rx:.1f},{y:.1f} H{x + rx:.1f} M{x:.1f},{y - ry:.1f} V{y + ry:.1f}" stroke="currentColor" stroke-width="0.8" fill="none"/>'
                     f'<circle class="step" cx="{x:.1f}" cy="{y:.1f}" r="2.2"/>')  # fmt: skip
    return "".join([*parts, "</svg>"])


def _ticks(across: float, up: float, unit: float, base: float) -> list[str]:
    out = []
    every = 0.5 if across > 1.2 else 0.2
    for k in range(int(across / every + 1e-9) + 1):
        x = LEFT + k * every * unit
        out.append(
            f'<path d="M{x:.1f},{base:.1f} v4" stroke="currentColor" stroke-width="1"/><text x="{x:.1f}" y="{base + 16:.1f}" text-anchor="middle">{k * every:.1f}</text>'
        )
    for k in range(int(up / every + 1e-9) + 1):
        y = base - k * every * unit
        out.append(
            f'<path d="M{LEFT - 4:g},{y:.1f} h4" stroke="currentColor" stroke-width="1"/><text x="{LEFT - 7:g}" y="{y + 4:.1f}" text-anchor="end">{k * every:.1f}</text>'
        )
    return out


def _half(across: float, up: float, unit: float, base: float) -> list[str]:
    """Where light would pass just twice: half the density by reflection."""
    end = min(across, 2 * up)
    x, y = LEFT + end * unit, base - end / 2 * unit
    xm, ym = LEFT + 0.55 * end * unit, base - 0.275 * end * unit
    return [f'<path class="level" d="M{LEFT:g},{base:.1f} L{x:.1f},{y:.1f}" stroke="currentColor" stroke-width="0.6" stroke-dasharray="2 3" fill="none"/>'
            f'<text x="{xm:.1f}" y="{ym + 22:.1f}">half as dense</text>']  # fmt: skip


def _points(at: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in at)
