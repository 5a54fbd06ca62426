"""Where the misses came from: the share of each source, and the thin line within which it lies 9 in 10."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

WIDTH = 360.0
LEFT, RIGHT = 4.0, 346.0
ROW = 46.0
AXIS = 30.0
TEXT = 15
TICKS = ((0.0, "none"), (0.5, "half"), (1.0, "all"))


def miss_shares(parts: Sequence[tuple[str, float, float, float]]) -> str:
    """One row for each (words, share, low, high), shares of 0 … 1 on one scale, in the order given."""

    def x(share: float) -> float:
        return LEFT + (RIGHT - LEFT) * min(max(share, 0.0), 1.0)

    high = ROW * len(parts) + AXIS
    base = ROW * len(parts)
    said = "; ".join(f"{words}: {share:.0%}, 9 in 10 between {a:.0%} and {b:.0%}" for words, share, a, b in parts)
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="miss-shares" viewBox="0 0 {WIDTH:g} {high:g}" role="img" '
        f'font-family="sans-serif" font-size="{TEXT}" fill="currentColor"><title>{escape(said)}</title>'
    ]
    for i, (words, share, a, b) in enumerate(parts):
        top = ROW * i
        out += [
            f'<text x="{LEFT:g}" y="{top + 16:g}">{escape(words)}</text>',
            f'<rect x="{LEFT:g}" y="{top + 23:g}" width="{x(share) - LEFT:.1f}" height="14" fill-opacity="0.45"/>',
            f'<path d="M{x(a):.1f},{top + 30:g} H{x(b):.1f} M{x(a):.1f},{top + 24:g} v12 M{x(b):.1f},{top + 24:g} v12" '
            f'stroke="currentColor" fill="none" stroke-width="1.6"/>',
        ]
    out.append(f'<line x1="{LEFT:g}" x2="{RIGHT:g}" y1="{base:g}" y2="{base:g}" stroke="currentColor"/>')
    for (share, words), anchor in zip(TICKS, ("start", "middle", "end"), strict=True):
        out.append(
            f'<line x1="{x(share):.1f}" x2="{x(share):.1f}" y1="{base:g}" y2="{base + 5:g}" stroke="currentColor"/>'
        )
        out.append(f'<text x="{x(share):.1f}" y="{base + 21:g}" text-anchor="{anchor}">{words}</text>')
    return "".join([*out, "</svg>"])
