"""Sitter, board and sun from above, to scale, as one SVG: a metre's rule stands beside it."""

from __future__ import annotations

import math

from firstsheet.light.reflector import Board

SIZE, EDGE, HEAD_M = 360.0, 44.0, 0.11


def reflector_plan(board: Board, words: str, sun_deg: float | None) -> str:
    """The plan. sun_deg: how far round the sun stands from where the shadow side looks [°]; None where no sun shines."""
    (mx, my, _), (nx, ny, _) = board.middle, board.square
    half = board.wide_m / 2
    reach = max(board.far_m + 0.3, abs(my) + half + 0.2, 0.8)
    scale = (SIZE - 2 * EDGE) / (2 * reach)

    def at(x: float, y: float) -> tuple[float, float]:
        return SIZE / 2 + scale * x, SIZE / 2 - scale * y

    cx, cy = at(0, 0)
    x1, y1 = at(mx - ny * half, my + nx * half)
    x2, y2 = at(mx + ny * half, my - nx * half)
    bx, by = at(mx, my)
    nose = math.radians(45.0)
    tip = at(1.5 * HEAD_M * math.cos(nose), 1.5 * HEAD_M * math.sin(nose))
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="reflector-plan" viewBox="0 0 {SIZE:g} {SIZE + 30:g}" role="img" font-family="sans-serif" font-size="12" fill="currentColor">',
        f"<title>From above: sitter, {words} and light</title>",
        f'<g fill="none" stroke="currentColor"><circle cx="{cx:.1f}" cy="{cy:.1f}" r="{HEAD_M * scale:.1f}"/>',
        f'<path d="M{cx:.1f} {cy:.1f}L{tip[0]:.1f} {tip[1]:.1f}"/><path stroke-width="3" d="M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}"/>',
        f'<path stroke-dasharray="3 3" d="M{cx:.1f} {cy:.1f}L{bx:.1f} {by:.1f}"/>',
    ]
    if sun_deg is not None:
        a = math.radians(sun_deg)
        sx, sy = at(0.95 * reach * math.cos(a), 0.95 * reach * math.sin(a))
        ex, ey = at(0.35 * reach * math.cos(a), 0.35 * reach * math.sin(a))
        parts.append(f'<circle cx="{sx:.1f}" cy="{sy:.1f}" r="8"/><path d="M{sx:.1f} {sy:.1f}L{ex:.1f} {ey:.1f}"/>')
    metre = min(1.0, reach)
    parts += [
        f'<path d="M{EDGE:g} {SIZE + 6:g}h{metre * scale:.1f}m0 -4v8M{EDGE:g} {SIZE + 2:g}v8"/></g>',
        f'<text x="{EDGE:g}" y="{SIZE + 24:g}">{metre:.2g} m</text>',
        f'<text x="{cx - 8:.1f}" y="{cy + HEAD_M * scale + 16:.1f}" text-anchor="end">sitter</text>',
        f'<text x="{min(bx, SIZE - 70):.1f}" y="{max(y1, y2) + 16:.1f}" text-anchor="middle">{words}</text>',
    ]
    if sun_deg is not None:
        parts.append(f'<text x="{sx:.1f}" y="{sy - 13:.1f}" text-anchor="middle">sun</text>')
    return "".join([*parts, "</svg>"])
