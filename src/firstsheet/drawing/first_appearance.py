"""First appearance of the image over a bath's life: how many times later than when it was fresh, warmth allowed for."""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape

WIDTH, LEFT, RIGHT, TOP, BOTTOM, HIGH = 360.0, 34.0, 12.0, 22.0, 38.0, 130.0


def first_appearance(points: Sequence[tuple[float, float]], tired: float, noise: float, name: str = "") -> str:
    """A standalone SVG with title and description.

    points  hours since it was poured [h] and times later than the first reading [1], in the order of time; at least one
    tired   from which on the bath is thrown away [1]; noise: share by which one reading may be off, drawn as its bar
    """
    hours = _up(max(h for h, _ in points) or 0.5, (0.5, 1, 2, 3, 4, 6, 8, 12, 24, 48, 96, 240, 1000, 1e6))
    top = max(2.0, math.ceil(2 * max(y for _, y in points)) / 2)
    base = TOP + HIGH

    def at(h: float, y: float) -> tuple[float, float]:
        return LEFT + h / hours * (WIDTH - LEFT - RIGHT), base - min(max(y, 0.5), top) / top * HIGH

    said = f"First appearance of the image, {len(points)} readings: " + ", ".join(f"{y:.2g} times after {h:.1f} h" for h, y in points) + "."  # fmt: skip
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="curve-plot" viewBox="0 0 {WIDTH:g} {base + BOTTOM:g}" role="img" font-family="sans-serif" '
        f'font-size="11" fill="currentColor"><title>First appearance{", " + escape(name) if name else ""}</title><desc>{escape(said)}</desc>',
        f'<path class="axis" d="M{LEFT:g},{TOP:g} V{base:g} H{WIDTH - RIGHT:g}" fill="none" stroke="currentColor" stroke-width="1"/>',
        f'<text x="2" y="{TOP - 8:g}">times later than fresh</text>',
        f'<text x="{WIDTH - RIGHT:g}" y="{base + 32:g}" text-anchor="end">hours since it was poured</text>',
    ]
    for level, words in ((1.0, ""), (tired, "tired")):
        _, y = at(0, level)
        dash = "" if level == 1.0 else ' stroke-dasharray="4 3"'
        parts.append(f'<path class="level" d="M{LEFT - 4:g},{y:.1f} H{WIDTH - RIGHT:g}" fill="none" stroke="currentColor" stroke-width="0.7"{dash}/>'
                     f'<text x="{LEFT - 7:g}" y="{y + 4:.1f}" text-anchor="end">{level:g}</text><text x="{WIDTH - RIGHT:g}" y="{y - 4:.1f}" text-anchor="end">{words}</text>')  # fmt: skip
    for k in (0.0, hours / 2, hours):
        x, _ = at(k, 0)
        parts.append(f'<path d="M{x:.1f},{base:g} v4" stroke="currentColor" stroke-width="1"/><text x="{x:.1f}" y="{base + 16:g}" text-anchor="middle">{k:g}</text>')  # fmt: skip
    line = " ".join(f"{x:.1f},{y:.1f}" for x, y in (at(h, t) for h, t in points))
    parts.append(f'<polyline class="curve" points="{line}" fill="none" stroke="currentColor" stroke-width="1.4"/>')
    for h, t in points:
        (x, y), (_, up), (_, down) = at(h, t), at(h, t * math.exp(noise)), at(h, t * math.exp(-noise))
        parts.append(f'<path class="doubt" d="M{x:.1f},{up:.1f} V{down:.1f}" stroke="currentColor" stroke-width="0.8" fill="none"/>'
                     f'<circle class="step" cx="{x:.1f}" cy="{y:.1f}" r="2.6"/>')  # fmt: skip
    return "".join([*parts, "</svg>"])


def _up(value: float, steps: Sequence[float]) -> float:
    return next(s for s in steps if s >= value)
