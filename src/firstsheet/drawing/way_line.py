"""A route drawn as one line, downward: places beside it, its light by how the line is drawn, minutes at the right. One SVG.

No light is a solid bar, the red lamp a hatched one, white light an open one: told apart in any ink, in red on black as on paper. Time is not to
scale: a wash of an hour would leave no room for a stop of half a minute; the minutes stand beside each stretch.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from firstsheet.trays.wayline import Leg

WIDTH = 360.0
ROW, HEAD, TOP, KEY = 24.0, 26.0, 10.0, 30.0
BAR_X, BAR = 12.0, 12.0
TEXT_X = 36.0
PLACES = {"outside": "Outside", "board": "At the board", "lamp": "Under the lamp", "trays": "At the trays", "bench": "At the bench"}
LIGHTS = {"none": "no light", "red": "red lamp", "white": "white light"}
HATCH = 5.0


def way_line(legs: Sequence[Leg], clock: Sequence[str], name: str) -> str:
    """The drawing as a standalone SVG.

    legs   the stretches in their order; clock  the time of each in words, "" for none
    name   of the route, for the title
    """
    parts: list[str] = []
    y, place = TOP, ""
    for leg, time in zip(legs, clock, strict=True):
        if leg.place != place:
            place = leg.place
            parts += [f'<text class="place" x="{TEXT_X:g}" y="{y + 17:g}" font-weight="600">{PLACES[place]}</text>', *_bar(leg.light, y, HEAD)]
            y += HEAD
        parts += _bar(leg.light, y, ROW)
        mark = " !" if leg.caution else ""
        parts.append(f'<text x="{TEXT_X + 8:g}" y="{y + 16:g}">{escape(leg.words)}{mark}</text>')
        if time:
            parts.append(f'<text x="{WIDTH - 4:g}" y="{y + 16:g}" text-anchor="end">{escape(time)}</text>')
        y += ROW
    height = y + KEY
    key = _key(sorted({leg.light for leg in legs}, key=list(LIGHTS).index), y + 12.0)
    said = "; ".join(f"{leg.words}, {LIGHTS[leg.light]}{', ' + t if t else ''}" for leg, t in zip(legs, clock, strict=True))
    return "".join([
        f'<svg xmlns="http://www.w3.org/2000/svg" class="way-line" viewBox="0 0 {WIDTH:g} {height:g}" role="img" font-family="sans-serif" '
        f'font-size="13" fill="currentColor"><title>{escape(name)}: its places and lights</title><desc>{escape(said)}</desc>',
        *parts, *key, "</svg>",
    ])  # fmt: skip


def _bar(light: str, y: float, height: float, x: float = BAR_X) -> list[str]:
    """A stretch of the line in its light."""
    frame = f'<rect class="light-{light}" x="{x:g}" y="{y:g}" width="{BAR:g}" height="{height:g}" stroke="currentColor" stroke-width="1"'
    if light == "none":
        return [f'{frame} fill="currentColor"/>']
    out = [f'{frame} fill="none"/>']
    if light == "red":
        at = y + HATCH
        while at <= y + height + 0.01:
            out.append(f'<path d="M{x:g},{at:g} l{BAR:g},{-HATCH:g}" stroke="currentColor" stroke-width="1.6"/>')
            at += HATCH
    return out


def _key(lights: Sequence[str], y: float) -> list[str]:
    """The three manners of the line, named once, those that are on it."""
    out, x = [], BAR_X
    for light in lights:
        out += [*_bar(light, y, 12.0, x), f'<text x="{x + 18:g}" y="{y + 11:g}">{LIGHTS[light]}</text>']
        x += 110.0
    return out
