"""The links of the chain as bars in stops about a line: to the right more time, to the left less."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from firstsheet import wording

WIDTH = 360.0
ROW = 15.0
LEAST_REACH_STOPS = 1.0


def reach_stops(links: Sequence[tuple[float | None, float | None]]) -> float:
    """How far the longest bar with its doubt reaches [stop], so that all bars share one scale."""
    return max([LEAST_REACH_STOPS, *(abs(stops or 0.0) + (sd or 0.0) for stops, sd in links)])


def bar(stops: float, sd: float | None, reach: float) -> str:
    """One bar: its length is `stops`, the thin line ± one standard deviation `sd`; `reach` [stop] fills half the width."""
    per = (WIDTH / 2 - 4) / reach
    zero = WIDTH / 2
    end = zero + stops * per
    left, wide = min(zero, end), abs(end - zero)
    said = wording.stops(stops) + (f", {wording.stops_pm(sd)}" if sd else "")
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="bar" viewBox="0 0 {WIDTH:g} {ROW:g}" role="img" '
        f'fill="currentColor"><title>{escape(said)}</title>',
        f'<line x1="{zero}" x2="{zero}" y1="0" y2="{ROW:g}" stroke="currentColor" stroke-width="1"/>',
        f'<rect x="{left:.1f}" y="3" width="{wide:.1f}" height="9" fill-opacity="0.85"/>',
    ]
    if sd:
        a, b = end - sd * per, end + sd * per
        parts.append(
            f'<path d="M{a:.1f},7.5 H{b:.1f} M{a:.1f},4.5 V10.5 M{b:.1f},4.5 V10.5" stroke="currentColor" fill="none" stroke-width="1"/>'
        )
    return "".join([*parts, "</svg>"])


def share_bar(share: float) -> str:
    """A share of the whole doubt [0 … 1] as a bar from the left."""
    wide = WIDTH * min(max(share, 0.0), 1.0)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="bar" viewBox="0 0 {WIDTH:g} 8" aria-hidden="true" '
        f'fill="currentColor"><rect width="{WIDTH:g}" height="7" fill-opacity="0.12"/>'
        f'<rect width="{wide:.1f}" height="7" fill-opacity="0.85"/></svg>'
    )
