"""The sheet with its light in stops, to scale, seen facing it; the lens's axis marked, the covered circle where it is known."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from firstsheet.camera.even import Place

WIDTH = 360.0
MARGIN = 10.0
LETTER = 13.0


def even_map(rows: Sequence[Sequence[Place]], sheet_mm: tuple[float, float], offset_mm: tuple[float, float], circle_mm: float | None) -> str:
    """An SVG 360 units wide. Each place's stops stand where they are; darker is more shaded."""
    s = min((WIDTH - 2 * MARGIN) / sheet_mm[0], 440.0 / sheet_mm[1])
    wide, high = sheet_mm[0] * s, sheet_mm[1] * s
    left, top = (WIDTH - wide) / 2, MARGIN
    across, down = wide / len(rows[0]), high / len(rows)
    worst = min(p.stops for row in rows for p in row)
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="even-map" viewBox="0 0 {WIDTH:g} {high + 2 * MARGIN:.1f}" role="img" fill="none" '
        f'stroke="currentColor" stroke-width="1" font-family="sans-serif" font-size="{LETTER:g}">',
        f"<title>Light on the sheet, in stops against the lens’s axis; the darkest place {worst:.1f}</title>",
        f'<clipPath id="even-sheet"><rect x="{left:.1f}" y="{top:.1f}" width="{wide:.1f}" height="{high:.1f}"/></clipPath>',
    ]
    for j, row in enumerate(rows):
        for i, p in enumerate(row):
            x, y = left + across * i, top + down * j
            shade = min(0.4, -p.stops * 0.2)
            out.append(f'<rect class="place" x="{x:.2f}" y="{y:.2f}" width="{across:.2f}" height="{down:.2f}" stroke="none" fill="currentColor" fill-opacity="{shade:.3f}"/>')
            said = "dark" if p.stops < -9 else f"{p.stops:.1f}".replace("-", "−").replace("−0.0", "0").replace("0.0", "0")
            out.append(f'<text x="{x + across / 2:.1f}" y="{y + down / 2 + 4.5:.1f}" text-anchor="middle" fill="currentColor" stroke="none">{escape(said)}</text>')
    out.append(f'<rect class="sheet" x="{left:.1f}" y="{top:.1f}" width="{wide:.1f}" height="{high:.1f}" stroke-width="1.6"/>')
    cx, cy = left + wide / 2 - offset_mm[0] * s, top + high / 2 + offset_mm[1] * s
    marks = [f'<path class="axis" d="M{cx - 9:.1f},{cy:.1f} h18 M{cx:.1f},{cy - 9:.1f} v18" stroke-width="0.8"/>']
    if circle_mm is not None:
        marks.append(f'<circle class="circle" cx="{cx:.1f}" cy="{cy:.1f}" r="{circle_mm / 2 * s:.1f}" stroke-dasharray="4 3"/>')
    out += [f'<g clip-path="url(#even-sheet)">{"".join(marks)}</g>', "</svg>"]
    return "\n".join(out) + "\n"
