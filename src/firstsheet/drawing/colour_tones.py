"""Things as two greys beside each other: as light as the eye sees them, and as light as the paper makes them."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from firstsheet.light.pixels import code

WIDE, ROW, TOP, LEFT, PATCH = 360, 40, 34, 204, 74


@dataclass(frozen=True, slots=True)
class Pair:
    """A thing, its reflectance to the eye and to the paper [1]; above 1 it is blown."""

    words: str
    to_eye: float
    to_paper: float


def colour_tones(pairs: list[Pair]) -> str:
    """An SVG, 360 wide; the lightness of a patch is that of the reflectance (sRGB [IEC-61966-2-1])."""
    high = TOP + ROW * len(pairs) + 8
    out = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {high}" role="img" aria-label="How light each thing is to the eye and on the paper" font-family="sans-serif" font-size="14">']
    for x, words in ((LEFT, "to the eye"), (LEFT + PATCH + 8, "on paper")):
        out.append(f'<text x="{x + PATCH / 2:.0f}" y="22" text-anchor="middle" fill="currentColor">{words}</text>')
    for i, p in enumerate(pairs):
        y = TOP + ROW * i
        out.append(f'<text x="0" y="{y + 24}" fill="currentColor">{escape(p.words)}</text>')
        for x, value in ((LEFT, p.to_eye), (LEFT + PATCH + 8, p.to_paper)):
            c = code(value)
            out.append(f'<rect class="tint" x="{x}" y="{y}" width="{PATCH}" height="{ROW - 6}" fill="#{c:02x}{c:02x}{c:02x}" stroke="currentColor" stroke-width="0.7"/>')
    out.append("</svg>")
    return "".join(out)
