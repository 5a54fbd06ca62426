"""The window of a masked sheet, to print at true size on A4 or Letter and cut out, and where on the sheet it is laid each time."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

WIDE, HIGH = 190.0, 255.0  # fits A4 and Letter with a margin [mm]
RULER_MM, TEXT_MM = 100, 3.6
Window = tuple[float, float, float, float]


def ring_mask(sheet_mm: tuple[float, float], windows: Sequence[Window], said: Sequence[str], made_for: str) -> str:
    """An SVG in mm. windows (left, top, width, height) [mm] on the sheet; said: each patch's pack and time in words; made_for: which light and box."""
    _, _, wide, high = windows[0]
    x, y = (WIDE - wide) / 2, 14.0
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDE:g}mm" height="{HIGH:g}mm" viewBox="0 0 {WIDE:g} {HIGH:g}" role="img" '
        f'font-family="sans-serif" font-size="{TEXT_MM}"><title>Window of {wide:.0f} by {high:.0f} mm for a sheet with {len(windows)} patches</title>',
        f'<text x="{WIDE / 2}" y="4.5" text-anchor="middle" font-weight="bold">For {escape(made_for)}</text>',
        f'<text x="{WIDE / 2}" y="10" text-anchor="middle">Cut this window, {wide:.0f} × {high:.0f} mm, into black card larger than the sheet by a window on each side.</text>',
        f'<rect class="window" x="{x:g}" y="{y:g}" width="{wide:g}" height="{high:g}" fill="none" stroke="#000" stroke-width="0.3"/>',
    ]
    ruler = y + high + 9
    left = (WIDE - RULER_MM) / 2
    ticks = "".join(f"M{left + v:g} {ruler:g}v{-3 if v % 50 == 0 else -1.5:g}" for v in range(0, RULER_MM + 1, 10))
    out.append(f'<path d="M{left:g} {ruler:g}h{RULER_MM}{ticks}" fill="none" stroke="#000" stroke-width="0.25"/>')
    out.append(f'<text x="{WIDE / 2}" y="{ruler + 5:g}" text-anchor="middle">100 mm: check it. If it is not, print again at 100 %.</text>')
    out += _plan(sheet_mm, windows, ruler + 12)
    top = ruler + 16
    for k, ((x, y, _, _), words) in enumerate(zip(windows, said, strict=True)):
        out.append(f'<text x="78" y="{top + k * 11:g}">{k + 1}: {escape(words)}</text>')
        out.append(f'<text x="78" y="{top + k * 11 + 4.6:g}" font-size="3.2">window {x:.0f} mm from the left edge, {y:.0f} mm from the top</text>')
    foot = top + len(windows) * 11 + 3
    for k, line in enumerate(("Seen from the emulsion. Feel for a nick cut in the sheet’s corner by 1: all of this is done in the dark.", "Move the window, never the sheet; cap the lens between.")):
        out.append(f'<text x="8" y="{max(foot, ruler + 90) + k * 5:g}">{line}</text>')
    return "".join(out) + "</svg>"


def _plan(sheet_mm: tuple[float, float], windows: Sequence[Window], top: float) -> list[str]:
    """The sheet, small but to scale, each window in its place."""
    scale = min(60.0 / sheet_mm[0], 70.0 / sheet_mm[1])
    out = [f'<rect x="8" y="{top:g}" width="{scale * sheet_mm[0]:.2f}" height="{scale * sheet_mm[1]:.2f}" fill="none" stroke="#000" stroke-width="0.3"/>',
           f'<path d="M8 {top + 3:g}v-3h3z"/>']  # fmt: skip
    for k, (x, y, wide, high) in enumerate(windows):
        out.append(f'<rect class="place" x="{8 + scale * x:.2f}" y="{top + scale * y:.2f}" width="{scale * wide:.2f}" height="{scale * high:.2f}" fill="none" stroke="#000" stroke-width="0.2"/>')
        out.append(f'<text x="{8 + scale * (x + wide / 2):.2f}" y="{top + scale * (y + high / 2) + 1.3:.2f}" text-anchor="middle">{k + 1}</text>')
    return out
