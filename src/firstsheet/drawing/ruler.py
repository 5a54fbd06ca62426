"""The board's ruler: a strip to lay along the slide, printed at true size, with the sitter's distance at each place.

Longer than a sheet of paper it comes in pieces, each beginning where the one before ends; every piece carries a line to
check with a rule.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape

from firstsheet.camera.remedy import metres
from firstsheet.camera.solve import Tick
from firstsheet.drawing import paper

PIECE_MM = 240.0
WIDE_MM, HIGH_MM = 265.0, 34.0
CHECK_MM = 100.0


def pieces(ticks: Sequence[Tick], low_mm: float, high_mm: float) -> list[str]:
    """One SVG a piece, in millimetres: `low_mm` to `high_mm` behind the lens."""
    count = max(1, math.ceil((high_mm - low_mm) / PIECE_MM - 1e-9))
    return [_piece(ticks, low_mm + i * PIECE_MM, min(high_mm, low_mm + (i + 1) * PIECE_MM), (i + 1, count)) for i in range(count)]


def _piece(ticks: Sequence[Tick], low: float, high: float, number: tuple[int, int]) -> str:
    left = 10.0
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="ruler" width="{WIDE_MM:g}mm" height="{HIGH_MM:g}mm" viewBox="0 0 {WIDE_MM:g} {HIGH_MM:g}" '
        'role="img" fill="none" stroke="#000" stroke-width="0.25" font-family="sans-serif" font-size="4">',
        f"<title>Ruler for the board, piece {number[0]} of {number[1]}: from {low:.0f} to {high:.0f} mm behind the lens</title>",
        f'<path d="M{left:g},1 H{left + high - low:.3f} V20 H{left:g} Z"/>',
    ]
    for t in ticks:
        if not low - 1e-9 <= t.board_mm <= high + 1e-9:
            continue
        x = left + t.board_mm - low
        out.append(f'<path class="tick" d="M{x:.3f},1 V{8 if t.labelled else 4.5:g}"/>')
        if t.labelled:
            said = "far" if math.isinf(t.subject_mm) else metres(t.subject_mm).removesuffix(" m")
            out.append(f'<text transform="translate({x + 1.4:.3f} 18.5) rotate(-90)" fill="#000" stroke="none">{escape(said)}</text>')
    said = f"Piece {number[0]} of {number[1]}: from {low:.0f} to {high:.0f} mm behind the lens. Sitter’s eyes to lens, in metres."
    out += [
        f'<text x="{left:g}" y="25" fill="#000" stroke="none">{escape(said)}</text>',
        f'<path class="check" stroke-width="0.35" d="M{left:g},28 v4 M{left:g},30 h{CHECK_MM:g} M{left + CHECK_MM:g},28 v4"/>',
        f'<text x="{left + CHECK_MM + 3:g}" y="31.4" fill="#000" stroke="none">This line is 100 mm: lay a rule to it.</text>',
        "</svg>",
    ]
    return "\n".join(out) + "\n"


def page(svgs: Sequence[str], title: str) -> str:
    """All pieces as one HTML page that prints at true size, needing nothing else."""
    return paper.page(f"<p>{escape(title)}. Print at 100 %, without “fit to page”.</p>\n{''.join(svgs)}", title)
