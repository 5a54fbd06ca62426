"""A point of the picture at true size: how wide sway smears it and how round the focus blurs it, one place for each pose."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

WIDE_MM = 88.0
ROW_MM = 16.0
EYE_MM, IRIS_MM = 30.0, 11.8  # an open eye, corner to corner, and its iris; common practice, no source


@dataclass(frozen=True, slots=True)
class Spot:
    """One pose: its words, how far it is smeared and how round it is blurred on the sheet [mm]."""

    words: str
    smear_mm: float
    round_mm: float


def true_blur(spots: Sequence[Spot], magnification: float) -> str:
    """An SVG in millimetres: for each pose an eye as large as on the sheet, its catchlight as it will be smeared, and the words."""
    row = max(ROW_MM, EYE_MM * magnification * 0.55 + 8)
    eye = min(EYE_MM * magnification, 34.0)
    cut = " The eye is drawn smaller than it will be." if eye < EYE_MM * magnification else ""
    high = row * len(spots) + 6
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="true-size" width="{WIDE_MM:g}mm" height="{high:.1f}mm" viewBox="0 0 {WIDE_MM:g} {high:.1f}" '
        'role="img" fill="none" stroke="currentColor" stroke-width="0.2" font-family="sans-serif" font-size="3.6">',
        f"<title>Blur at true size</title><desc>{escape('; '.join(f'{s.words}: smeared {s.smear_mm:.1f} mm, blurred {s.round_mm:.1f} mm' for s in spots))}.{cut}</desc>",
    ]
    for i, s in enumerate(spots):
        y, x = row * i + row / 2, 2 + eye / 2
        iris = IRIS_MM * magnification / 2 * eye / (EYE_MM * magnification)
        out += [
            f'<path class="eye" d="M{x - eye / 2:.2f},{y:.2f} Q{x:.2f},{y - eye * 0.36:.2f} {x + eye / 2:.2f},{y:.2f} Q{x:.2f},{y + eye * 0.3:.2f} {x - eye / 2:.2f},{y:.2f} Z"/>',
            f'<circle class="iris" cx="{x:.2f}" cy="{y:.2f}" r="{iris:.2f}"/>',
            _smeared(42.0, y, s),
            f'<text x="53" y="{y - 0.6:.2f}" fill="currentColor" stroke="none">{escape(s.words)}</text>',
            f'<text x="53" y="{y + 4:.2f}" fill="currentColor" stroke="none">{s.smear_mm:.1f} by {s.round_mm:.1f} mm</text>',
        ]
    out.append(f'<path class="check" d="M2,{high - 3:.1f} v2 M2,{high - 2:.1f} h20 M22,{high - 3:.1f} v2"/>')
    out.append(f'<text x="24" y="{high - 0.8:.1f}" fill="currentColor" stroke="none">20 mm, on paper</text></svg>')
    return "\n".join(out) + "\n"


def _smeared(x: float, y: float, s: Spot) -> str:
    """The point: a disc drawn out sideways."""
    r = max(s.round_mm / 2, 0.1)
    half = s.smear_mm / 2
    return f'<rect class="spot" x="{x - half - r:.3f}" y="{y - r:.3f}" width="{2 * (half + r):.3f}" height="{2 * r:.3f}" rx="{r:.3f}" fill="currentColor" stroke="none"/>'
