"""Lamp over sheet from the side, to scale, as one SVG: the ways to the middle and to the corner, and a rule beside them."""

from __future__ import annotations

WIDE, HIGH, EDGE = 340.0, 320.0, 40.0


def lamp_side(height_mm: float, across_mm: float, diagonal_mm: float, middle: str, corner: str) -> str:
    """The section along the sheet's diagonal [mm]. middle, corner: what is written at each place."""
    scale = min((HIGH - 2 * EDGE) / height_mm, (WIDE - 2 * EDGE) / max(diagonal_mm, across_mm))
    ground, cx = HIGH - EDGE, WIDE / 2
    top, half = ground - scale * height_mm, max(scale * across_mm / 2, 3.0)
    end = cx + scale * diagonal_mm / 2
    rule_mm = next(r for r in (2000, 1000, 500, 200, 100, 50, 20, 10) if r * scale <= WIDE / 3 or r == 10)
    left = cx - scale * diagonal_mm / 2
    return "".join([
        f'<svg xmlns="http://www.w3.org/2000/svg" class="lamp-side" viewBox="0 0 {WIDE:g} {HIGH + 34:g}" role="img" font-family="sans-serif" font-size="12" fill="currentColor">',
        "<title>From the side: lamp and sheet</title>",
        f'<g fill="none" stroke="currentColor"><path stroke-width="3" d="M{cx - half:.1f} {top:.1f}H{cx + half:.1f}M{left:.1f} {ground:.1f}H{end:.1f}"/>',
        f'<path stroke-dasharray="3 3" d="M{cx:.1f} {top:.1f}V{ground:.1f}M{cx:.1f} {top:.1f}L{end:.1f} {ground:.1f}"/>',
        f'<path d="M{EDGE:g} {HIGH + 14:g}h{rule_mm * scale:.1f}m0 -4v8M{EDGE:g} {HIGH + 10:g}v8"/></g>',
        f'<text x="{EDGE:g}" y="{HIGH + 31:g}">{rule_mm / 10:g} cm</text>',
        f'<text x="{cx:.1f}" y="{top - 8:.1f}" text-anchor="middle">lamp</text>',
        f'<text x="{cx - 6:.1f}" y="{ground + 16:.1f}" text-anchor="end">{middle}</text>',
        f'<text x="{max(end, cx + 30):.1f}" y="{ground + 16:.1f}" text-anchor="middle">{corner}</text>',
        "</svg>",
    ])  # fmt: skip
