"""The tones of a scene on a scale of stops, under them what the paper holds. Shapes tell the fates apart, so it reads in red light."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

WIDTH, ROW, LEFT = 360.0, 26.0, 8.0
LETTER = 7.4  # about how wide a letter of 14 px is set
FATE_WORDS = {"holds": "holds detail", "white": "blown white", "black": "dead black"}


def tone_scale(tones: Sequence[tuple[str, float, float, str]], holds: tuple[float, float]) -> str:
    """One SVG: each tone a row at its place from the mid-tone, its 9-in-10 doubt as a bar.

    tones  name, stops from the mid-tone, doubt sd [stop], fate (holds, white, black); in the order they are shown
    holds  from which to which stop from the mid-tone the paper holds detail
    """
    ends = [s + side * 1.645 * sd for _, s, sd, _ in tones for side in (-1, 1)]
    low, high = min([-2.0, holds[0], *ends]) - 0.3, max([2.0, holds[1], *ends]) + 0.3

    def x(stops: float) -> float:
        return LEFT + (WIDTH - 2 * LEFT) * (stops - low) / (high - low)

    top, bottom = 24.0, 24.0 + 2 * ROW * len(tones)
    said = "; ".join(f"{name}, {_signed(s)} stop: {FATE_WORDS[fate]}" for name, s, _, fate in tones)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="tone-scale" viewBox="0 0 {WIDTH:g} {bottom + 26:g}" role="img" '
        f'font-family="sans-serif" font-size="14" fill="currentColor"><title>{escape(said)}</title>',
        f'<rect class="holds" x="{x(holds[0]):.1f}" y="{top - 4:g}" width="{x(holds[1]) - x(holds[0]):.1f}" '
        f'height="{bottom - top + 4:g}" fill-opacity="0.14"/>',
        f'<text x="{(x(holds[0]) + x(holds[1])) / 2:.1f}" y="14" text-anchor="middle">the paper holds this</text>',
        f'<line x1="{LEFT:g}" x2="{WIDTH - LEFT:g}" y1="{bottom:g}" y2="{bottom:g}" stroke="currentColor"/>',
    ]
    every = 1 if high - low <= 12 else 2
    for stop in range(-30, 31):
        if stop % every == 0 and low <= stop <= high:
            mark = f"{stop:+d}".replace("-", "−") if stop else "mid"
            parts.append(f'<line x1="{x(stop):.1f}" x2="{x(stop):.1f}" y1="{bottom:g}" y2="{bottom + 5:g}" stroke="currentColor"/>')
            parts.append(f'<text x="{x(stop):.1f}" y="{bottom + 21:g}" text-anchor="middle">{mark}</text>')
    for i, (name, stops, sd, fate) in enumerate(tones):
        parts += _row(name, (x(stops), x(stops - 1.645 * sd), x(stops + 1.645 * sd)), fate, top + 2 * ROW * i)
    return "".join([*parts, "</svg>"])


def _row(name: str, at: tuple[float, float, float], fate: str, top: float) -> list[str]:
    middle, left, right = at
    words = f"{name}: {FATE_WORDS[fate]}"
    half = min(LETTER * len(words) / 2, WIDTH / 2 - 2)
    label = min(max(middle, half + 2), WIDTH - half - 2)
    y = top + ROW + 8
    bar = f'<line x1="{left:.1f}" x2="{right:.1f}" y1="{y:g}" y2="{y:g}" stroke="currentColor" stroke-width="2"/>'
    shape = {
        "holds": f'<circle cx="{middle:.1f}" cy="{y:g}" r="6"/>',
        "white": f'<circle class="blown" cx="{middle:.1f}" cy="{y:g}" r="6" fill="none" stroke="currentColor" stroke-width="2"/>',
        "black": f'<rect class="dead" x="{middle - 6:.1f}" y="{y - 6:g}" width="12" height="12"/>',
    }[fate]
    return [f'<text x="{label:.1f}" y="{top + 18:g}" text-anchor="middle">{escape(words)}</text>', bar, shape]


def _signed(stops: float) -> str:
    return f"{stops:+.1f}".replace("-", "−")
