"""How fast a box is: what was believed before its sheets above, what is known now below, on one scale of stops."""

from __future__ import annotations

import math
from html import escape

WIDTH = 360.0
HEIGHT = 84.0
BASE = 58.0
STEPS = (1.0, 2.0, 5.0)


def known_box(began: tuple[float, float, float], now: tuple[float, float, float]) -> str:
    """Two bands on a logarithmic scale of exposure index, each (low, middle, high) of its 90 % range [EI], all > 0."""
    low = math.log2(min(began[0], now[0])) - 0.2
    high = math.log2(max(began[2], now[2])) + 0.2

    def x(ei: float) -> float:
        return 34 + (WIDTH - 44) * (math.log2(ei) - low) / (high - low)

    said = f"Before: EI {began[1]:.2g}, {began[0]:.2g} to {began[2]:.2g}. Now: EI {now[1]:.2g}, {now[0]:.2g} to {now[2]:.2g}."
    ticks = [t for t in _ticks(2.0**low, 2.0**high) if 40 < x(t) < WIDTH - 12]
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="known-box" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" role="img" '
        f'font-family="sans-serif" font-size="13" fill="currentColor"><title>{escape(said)}</title>',
        *_band(x(began[0]), x(began[1]), x(began[2]), 6, 0.15, "then"),
        *_band(x(now[0]), x(now[1]), x(now[2]), 32, 0.45, "now"),
        f'<line x1="34" x2="{WIDTH:g}" y1="{BASE}" y2="{BASE}" stroke="currentColor"/>',
        f'<text x="0" y="{BASE + 16}">EI</text>',
    ]
    for t in ticks:
        parts.append(f'<line x1="{x(t):.1f}" x2="{x(t):.1f}" y1="{BASE}" y2="{BASE + 4}" stroke="currentColor"/>')
        parts.append(f'<text x="{x(t):.1f}" y="{BASE + 17}" text-anchor="middle">{t:g}</text>')
    return "".join([*parts, "</svg>"])


def _band(left: float, middle: float, right: float, y: float, opacity: float, word: str) -> list[str]:
    return [
        f'<text x="0" y="{y + 15:g}">{word}</text>',
        f'<rect class="{word}" x="{left:.1f}" y="{y:g}" width="{max(right - left, 1):.1f}" height="20" fill-opacity="{opacity}"/>',
        f'<line x1="{middle:.1f}" x2="{middle:.1f}" y1="{y - 2:g}" y2="{y + 22:g}" stroke="currentColor" stroke-width="2.6"/>',
    ]


def _ticks(low: float, high: float) -> list[float]:
    """1, 2, 5 … within; only tens where that would crowd."""
    steps = STEPS if math.log2(high / low) < 9 else (1.0,)
    decades = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    return [s * 10.0**d for d in decades for s in steps if low <= s * 10.0**d <= high]
