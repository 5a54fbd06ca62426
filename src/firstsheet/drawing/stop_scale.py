"""A range on a scale of stops: equal lengths are equal factors."""

from __future__ import annotations

import math
from html import escape

from firstsheet import wording

WIDTH = 360.0
TOP, BASE = 6.0, 34.0
APART = 10.0  # clear between two labels
LETTER = 7.1  # about how wide a letter is set


def stop_scale(range90: tuple[float, float], range50: tuple[float, float], at: float, unit: str = "s") -> str:
    """The 90 % and 50 % range and the value chosen, as one SVG. All > 0, in one unit, each range low first."""
    low, high = range90
    span = max(math.log2(high / low), 0.25)
    middle = math.log2(low * high) / 2

    def x(value: float) -> float:
        place = 0.5 + (math.log2(value) - middle) / span * 0.86
        return WIDTH * min(max(place, 0.0), 1.0)

    said = f"In 9 of 10 cases between {_words(low, unit)} and {_words(high, unit)}, in half between "
    said += f"{_words(range50[0], unit)} and {_words(range50[1], unit)}; chosen {_words(at, unit)}."
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="stop-scale" viewBox="0 0 {WIDTH:g} 54" role="img" '
        f'font-family="sans-serif" font-size="14" fill="currentColor"><title>{escape(said)}</title>',
        _band("ninety", x(low), x(high), 0.13),
        _band("fifty", x(range50[0]), x(range50[1]), 0.22),
        f'<line x1="0" x2="{WIDTH:g}" y1="{BASE}" y2="{BASE}" stroke="currentColor" stroke-width="1.2"/>',
        f'<line x1="{x(at):.1f}" x2="{x(at):.1f}" y1="{TOP - 5}" y2="{BASE}" stroke="currentColor" stroke-width="3.4"/>',
        *_labels(
            [(x(at), at), (x(low), low), (x(high), high), (x(range50[0]), range50[0]), (x(range50[1]), range50[1])],
            unit,
        ),
        "</svg>",
    ]
    return "".join(parts)


def _band(name: str, left: float, right: float, opacity: float) -> str:
    return (
        f'<rect class="{name}" x="{left:.1f}" y="{TOP}" width="{max(right - left, 1):.1f}" height="{BASE - TOP}" '
        f'fill-opacity="{opacity}"/>'
    )


def _labels(wanted: list[tuple[float, float]], unit: str) -> list[str]:
    """The most important first; one that would touch another is left out."""
    taken: list[tuple[float, float]] = []
    out = []
    for place, value in wanted:
        text = _words(value, unit)
        half = LETTER * len(text) / 2
        middle = min(max(place, half + 1), WIDTH - half - 1)
        if all(middle + half + APART < a or middle - half - APART > b for a, b in taken):
            taken.append((middle - half, middle + half))
            out.append(f'<text x="{middle:.1f}" y="{BASE + 17}" text-anchor="middle">{escape(text)}</text>')
    return out


def _words(value: float, unit: str) -> str:
    return wording.seconds(value) if unit == "s" else f"{unit} {value:.2g}"
