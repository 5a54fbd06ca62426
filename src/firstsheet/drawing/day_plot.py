"""A day as one drawing: seconds for a sheet down the hours with their band, best light, sun in the lens, sun and shade on the face.

Hours run across. A stop is as high everywhere and short times stand on top, so that more light stands higher. Beneath, to the same
hours, two lanes. Where there are no seconds yet, light itself is drawn. 360 units wide like its neighbours, in `currentColor`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape

WIDTH, LEFT, RIGHT = 360.0, 46.0, 6.0
TOP, PLOT, LANE = 38.0, 168.0, 36.0
LETTER_PX = 12.0
SECONDS = ((1 / 60, "1/60 s"), (1 / 15, "1/15 s"), (1 / 4, "1/4 s"), (1.0, "1 s"), (4.0, "4 s"), (15.0, "15 s"), (60.0, "1 min"),
           (240.0, "4 min"), (900.0, "15 min"), (3600.0, "1 h"))  # fmt: skip
LUX = ((1.0, "1 lx"), (10.0, "10 lx"), (100.0, "100 lx"), (1e3, "1000 lx"), (1e4, "10 000 lx"), (1e5, "100 000 lx"))
Span = tuple[float, float]
Place = Callable[[float], float]


@dataclass(frozen=True, slots=True)
class Point:
    """One moment. hour  from the day's first moment [h];  value  [s] or [lx];  ranges in the same unit, None for light"""

    hour: float
    value: float
    fifty: Span | None = None
    ninety: Span | None = None


@dataclass(frozen=True, slots=True)
class DayDrawing:
    """What is drawn, in hours from the day's first moment [h].

    points    without gaps; ticks  hour and what the clock says then;  rise, set, now  None where there is none
    best      the stretch of most light and its words
    lens      spans of sun in the lens, None where no lens is known; face, of sun on the face, `shade` its words for the rest
    """

    title: str
    points: tuple[Point, ...]
    seconds: bool
    ticks: tuple[tuple[float, str], ...]
    rise: tuple[float, str] | None
    set: tuple[float, str] | None
    now: float | None
    best: tuple[Span, str] | None
    lens: tuple[tuple[Span, str], ...] | None
    face: tuple[tuple[Span, str], ...]


def day_plot(d: DayDrawing) -> str:
    """The day as a standalone SVG with title and description."""
    if not d.points:
        return ""
    first, last = math.floor(d.points[0].hour), math.ceil(d.points[-1].hour)
    per_hour = (WIDTH - LEFT - RIGHT) / max(1, last - first)

    def x(hour: float) -> float:
        return LEFT + (min(max(hour, first), last) - first) * per_hour

    low, high = _reach(d)
    per_stop = PLOT / (high - low)

    def y(value: float) -> float:
        at = math.log2(value)
        up = (high - at) if d.seconds else (at - low)
        return TOP + PLOT - min(max(up, 0.0), high - low) * per_stop

    lanes = ([("sun in the lens", d.lens)] if d.lens is not None else []) + [("sun on the face", d.face)]
    bottom = TOP + PLOT
    height = bottom + 22 + LANE * len(lanes) + 4
    said = f"{'Seconds' if d.seconds else 'Light'} from {_clock(d, first)} to {_clock(d, last)}; {_told(lanes)}"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="day-plot" viewBox="0 0 {WIDTH:g} {height:.0f}" role="img" font-family="sans-serif" '
        f'font-size="{LETTER_PX:g}" fill="currentColor"><title>{escape(d.title)}</title><desc>{escape(said)}</desc>',
        *_levels(d, low, high, y),
        *_bands(d, x, y),
        *_suns(d, x, bottom),
        f'<path class="axis" d="M{LEFT:g},{bottom:g} H{WIDTH - RIGHT:g}" stroke="currentColor" stroke-width="1" fill="none"/>',
        *_hours(d, x, bottom, per_hour, (first, last)),
        *_best(d, x),
    ]
    for i, (name, spans) in enumerate(lanes):
        parts += _lane(name, spans, x, bottom + 26 + i * LANE, heavy=name == "sun in the lens")
    if d.now is not None and first <= d.now <= last:
        parts.append(
            f'<path class="now" d="M{x(d.now):.1f},{TOP:g} V{bottom:g}" stroke="currentColor" stroke-width="2.4" fill="none"/>'
        )
        parts.append(
            _text(
                x(d.now) + (5 if x(d.now) < WIDTH - 60 else -5),
                bottom - 6,
                "now",
                "start" if x(d.now) < WIDTH - 60 else "end",
            )
        )
    return "".join([*parts, "</svg>"])


def _reach(d: DayDrawing) -> tuple[float, float]:
    """The least and the most that is drawn, as log2: the curve whole, and its band where times are short; where they grow long it is cut."""
    values = [math.log2(p.value) for p in d.points]
    edges = [math.log2(e) for p in d.points if p.ninety for e in p.ninety[:1]]
    low, high = min([*values, *edges]) - 0.3, max(values) + 0.3
    return low, max(high, low + 2)


def _levels(d: DayDrawing, low: float, high: float, y: Place) -> list[str]:
    out = []
    for value, words in SECONDS if d.seconds else LUX:
        if low <= math.log2(value) <= high:
            at = y(value)
            out.append(
                f'<path class="level" d="M{LEFT:g},{at:.1f} H{WIDTH - RIGHT:g}" stroke="currentColor" stroke-width="0.5" stroke-opacity="0.45"/>'
            )
            out.append(_text(LEFT - 5, at + 4, words if d.seconds else words.removesuffix(" lx"), "end"))
    if not d.seconds:
        out.append(_text(LEFT - 5, TOP - 6, "lux", "end"))
    return out


def _bands(d: DayDrawing, x: Place, y: Place) -> list[str]:
    out = []
    for name, opacity in (("ninety", 0.13), ("fifty", 0.22)):
        edge = [(p.hour, r) for p in d.points if (r := getattr(p, name))]
        if edge:
            round_ = [(x(h), y(r[0])) for h, r in edge] + [(x(h), y(r[1])) for h, r in reversed(edge)]
            out.append(f'<polygon class="{name}" points="{_points(round_)}" fill-opacity="{opacity}"/>')
    line = [(x(p.hour), y(p.value)) for p in d.points]
    return [
        *out,
        f'<polyline class="curve" points="{_points(line)}" fill="none" stroke="currentColor" stroke-width="1.8"/>',
    ]


def _suns(d: DayDrawing, x: Place, bottom: float) -> list[str]:
    """Sunrise and sunset: a thin dashed line each, its words on top, kept apart."""
    out = []
    for at, side in ((d.rise, "start"), (d.set, "end")):
        if at:
            px = x(at[0])
            out.append(
                f'<path class="level" d="M{px:.1f},{TOP - 20:g} V{bottom:g}" stroke="currentColor" stroke-width="0.8" stroke-dasharray="2 3" fill="none"/>'
            )
            out.append(_text(px + (4 if side == "start" else -4), 12, at[1], side))
    return out


def _hours(d: DayDrawing, x: Place, bottom: float, per_hour: float, reach: tuple[int, int]) -> list[str]:
    every = 1 if per_hour > 34 else 2 if per_hour > 17 else 3 if per_hour > 12 else 4
    out = []
    for hour, words in d.ticks:
        if not reach[0] <= hour <= reach[1]:
            continue
        named = int(words) % every == 0
        out.append(f'<path d="M{x(hour):.1f},{bottom:g} v{5 if named else 3}" stroke="currentColor" stroke-width="1"/>')
        if named:
            out.append(_text(min(x(hour), WIDTH - 9), bottom + 17, words, "middle"))
    return out


def _best(d: DayDrawing, x: Place) -> list[str]:
    if d.best is None:
        return []
    (a, b), words = d.best
    left, right = x(a), x(b)
    half = 0.28 * LETTER_PX * len(words)
    middle = min(max((left + right) / 2, LEFT + half), WIDTH - RIGHT - half)
    return [f'<path class="best" d="M{left:.1f},{TOP + 2:g} v-5 H{right:.1f} v5" stroke="currentColor" stroke-width="1.4" fill="none"/>',
            _text(middle, TOP - 9, words, "middle")]  # fmt: skip


def _lane(name: str, spans: Sequence[tuple[Span, str]], x: Place, top: float, heavy: bool) -> list[str]:
    """A name, its hours in words, and a bar for each of them on a thin line."""
    told = ", ".join(words for _, words in spans) or "none"
    base = top + 25
    out = [
        _text(2, top + 12, f"{name}: {told}", "start", "600" if heavy and spans else "400"),
        f'<path class="level" d="M{LEFT:g},{base:g} H{WIDTH - RIGHT:g}" stroke="currentColor" stroke-width="0.6" fill="none"/>',
    ]
    for (a, b), _ in spans:
        wide = max(1.5, x(b) - x(a))
        out.append(
            f'<rect class="{"lens" if heavy else "sun"}" x="{x(a):.1f}" y="{base - (8 if heavy else 5):g}" width="{wide:.1f}" height="{8 if heavy else 5}"/>'
        )
    return out


def _told(lanes: Sequence[tuple[str, Sequence[tuple[Span, str]]]]) -> str:
    return "; ".join(f"{name}: {', '.join(w for _, w in spans) or 'none'}" for name, spans in lanes) + "."


def _clock(d: DayDrawing, hour: float) -> str:
    return next((words for h, words in d.ticks if abs(h - hour) < 0.01), f"{hour:g}") + " h"


def _text(px: float, py: float, words: str, anchor: str, weight: str = "400") -> str:
    bold = f' font-weight="{weight}"' if weight != "400" else ""
    return f'<text x="{px:.1f}" y="{py:.1f}" text-anchor="{anchor}"{bold}>{escape(words)}</text>'


def _points(at: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{px:.1f},{py:.1f}" for px, py in at)
