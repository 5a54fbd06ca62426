"""Draws how often a stated chance of a keeper was kept, from what `practitioners.py --json` wrote.

python bench/reliability.py practice.json docs/reliability.svg
"""

from __future__ import annotations

import json
import sys

SIDE, LEFT, TOP, GAP = 150.0, 34.0, 30.0, 24.0
LEAST = 30  # sheets, below which a tenth is not drawn


def panel(world: str, error: float, rows: list[list[float]], x0: float) -> list[str]:
    """One world: the diagonal, and for each tenth of stated chance a disc as large as its share of the sheets."""

    def at(stated: float, kept: float) -> tuple[float, float]:
        return x0 + SIDE * stated, TOP + SIDE * (1.0 - kept)

    total = sum(n for _, _, n in rows)
    out = [
        f'<rect x="{x0:.1f}" y="{TOP}" width="{SIDE}" height="{SIDE}" fill="none" stroke="#888"/>',
        f'<line x1="{x0:.1f}" y1="{TOP + SIDE}" x2="{x0 + SIDE:.1f}" y2="{TOP}" stroke="#888" stroke-dasharray="3 3"/>',
        f'<text x="{x0:.1f}" y="{TOP - 16:.0f}">{world}</text>',
        f'<text x="{x0:.1f}" y="{TOP - 4:.0f}" fill="#555">error {error:.3f}</text>',
    ]
    for stated, kept, n in rows:
        if n < LEAST:
            continue
        x, y = at(stated, kept)
        doubt = SIDE * (kept * (1.0 - kept) / n) ** 0.5
        out.append(f'<line x1="{x:.1f}" y1="{y - doubt:.1f}" x2="{x:.1f}" y2="{y + doubt:.1f}" stroke="#000"/>')
        out.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{2.0 + 7.0 * (n / total) ** 0.5:.1f}" fill="#000" fill-opacity="0.55"/>'
        )
    return out


def drawing(found: dict[str, dict[str, list[object]]]) -> str:
    parts: list[str] = []
    for i, (world, told) in enumerate(found.items()):
        error, rows = told["calibration/advised"]
        parts += panel(world, error, rows, LEFT + i * (SIDE + GAP))  # type: ignore[arg-type]
    width = LEFT + len(found) * (SIDE + GAP)
    height = TOP + SIDE + 30.0
    foot = f'<text x="{LEFT:.0f}" y="{height - 10:.0f}">across: chance stated, 0 to 1; up: share kept, 0 to 1; a larger disc: more sheets; bar: one standard error</text>'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" font-family="sans-serif" font-size="11">'
    return "\n".join([head, f'<rect width="{width:.0f}" height="{height:.0f}" fill="#fff"/>', *parts, foot, "</svg>\n"])


if __name__ == "__main__":
    with open(sys.argv[1], encoding="utf-8") as file:
        text = drawing(json.load(file))
    with open(sys.argv[2], "w", encoding="utf-8") as out:
        out.write(text)
