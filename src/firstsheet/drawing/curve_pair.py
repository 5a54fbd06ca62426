"""Two curves of one paper over one another as one SVG: which is faster, which is steeper, to be measured on the drawing.

The first is drawn whole, the second dashed; each is named beside itself. Between their mid-tones stands how far apart they are.
"""

from __future__ import annotations

import math
from html import escape

import numpy as np

from firstsheet import wording
from firstsheet.drawing.curve_plot import BASE, HEIGHT, LETTER_PX, STOP, WIDTH, Frame, axes, step_mark
from firstsheet.paper import curve_points as points
from firstsheet.paper.curve import Curve, same_kind

SPARE = 2 * STOP  # beyond the steps of either, at most
NAME_AT = 0.30, 0.74  # of the density range: where each curve is named


def curve_pair(first: Curve, second: Curve, names: tuple[str, str], apart_words: str = "") -> str:
    """Both curves as a standalone SVG with title and description.

    names        of the two, in their order, short
    apart_words  how far apart their mid-tones are, told between them; "" where not known
    Refusal for a reflection with a transmission curve.
    """
    same_kind(first, second)
    frame = _frame(first, second)
    title = f"Two characteristic curves: {names[0]} and {names[1]}"
    said = f"Density by {first.kind} against exposure. {names[0]}: solid. {names[1]}: dashed. {apart_words}".strip()
    mids = [_mid(c) for c in (first, second)]
    left = 0 if (mids[0] or (0.0, 0.0))[0] <= (mids[1] or (0.0, 0.0))[0] else 1
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="curve-plot" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" role="img" '
        f'font-family="sans-serif" font-size="11" fill="currentColor"><title>{escape(title)}</title><desc>{escape(said)}</desc>',
        *axes(first, frame),
        *_line(first, frame, ""),
        *_line(second, frame, ' stroke-dasharray="7 4"'),
        *(step_mark(s, frame) for c in (first, second) for s in c.steps if math.isfinite(s.log_h)),
        *_apart(mids, frame, apart_words),
        _name(first, frame, names[0], 0, left == 0),
        _name(second, frame, names[1], 1, left == 1),
        "</svg>",
    ]
    return "".join(parts)


def _frame(first: Curve, second: Curve) -> Frame:
    low = min(first.span[0], second.span[0])
    high = max(first.span[1], second.span[1])
    finite = [s.log_h for c in (first, second) for s in c.steps if math.isfinite(s.log_h)]
    low, high = max(min([low, *finite]), low - SPARE), min(max([high, *finite]), high + SPARE)
    most = max(s.density + (s.density_sd if s.censored is None else 0.1) for c in (first, second) for s in c.steps)
    return Frame(low - 0.06, high + 0.06, max(1.0, math.ceil((most + 0.05) * 5) / 5))


def _line(curve: Curve, frame: Frame, dash: str) -> list[str]:
    x = np.linspace(*curve.span, 90)
    mid, under, over = curve.density(x)
    line = " ".join(f"{frame.x(a):.1f},{frame.y(d):.1f}" for a, d in zip(x, mid, strict=True))
    edge = [f"{frame.x(a):.1f},{frame.y(d):.1f}" for a, d in zip(x, over, strict=True)]
    edge += [f"{frame.x(a):.1f},{frame.y(d):.1f}" for a, d in zip(x[::-1], under[::-1], strict=True)]
    return [f'<polygon class="ninety" points="{" ".join(edge)}" fill-opacity="0.12"/>',
            f'<polyline class="curve" points="{line}" fill="none" stroke="currentColor" stroke-width="1.5"{dash}/>']  # fmt: skip


def _mid(curve: Curve) -> tuple[float, float] | None:
    """log H and density of the mid-tone; None where the strip did not reach it."""
    at = points.mid_place(curve)
    if not at.reached:
        return None
    log_h = points.summary(at.log_h, curve.draws.weight)[1]
    return log_h, float(curve.density(np.array([log_h]))[0][0])


def _apart(mids: list[tuple[float, float] | None], frame: Frame, words: str) -> list[str]:
    """A line from mid-tone to mid-tone along the exposure axis, with its words below the axis."""
    if mids[0] is None or mids[1] is None or not words:
        return []
    (xa, ya), (xb, yb) = ((frame.x(h), frame.y(d)) for h, d in (mids[0], mids[1]))
    out = [f'<path class="tone" d="M{x:.1f},{y:.1f} V{BASE:g}" stroke="currentColor" stroke-width="0.6" stroke-dasharray="1 2" fill="none"/>'
           f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.2" fill="none" stroke="currentColor" stroke-width="1.2"/>' for x, y in ((xa, ya), (xb, yb))]  # fmt: skip
    y = BASE + 34
    out.append(
        f'<path d="M{xa:.1f},{y:g} H{xb:.1f} M{xa:.1f},{y - 4:g} v8 M{xb:.1f},{y - 4:g} v8" stroke="currentColor" stroke-width="1.2" fill="none"/>'
    )
    half = LETTER_PX * len(words) / 2
    middle = min(max((xa + xb) / 2, half + 2), WIDTH - half - 2)
    out.append(
        f'<text x="{middle:.1f}" y="{y + 14:g}" text-anchor="middle">{escape(words.replace("-", wording.MINUS))}</text>'
    )
    return out


def _name(curve: Curve, frame: Frame, name: str, which: int, on_left: bool) -> str:
    """The curve's name beside it, on its outer side."""
    x = np.linspace(*curve.span, 240)
    density = curve.density(x)[0]
    level = density.min() + (density.max() - density.min()) * NAME_AT[1 if on_left == (curve.sense > 0) else 0]
    at = int(np.argmin(np.abs(density - level)))
    px, py = frame.x(float(x[at])), frame.y(float(density[at]))
    room = px - 40 if on_left else WIDTH - px - 10
    anchor = "end" if on_left else "start"
    if LETTER_PX * len(name) > room:  # no room on that side: at the drawing's edge
        px, anchor = (40.0, "start") if on_left else (WIDTH - 8, "end")
        return f'<text class="name" x="{px:.1f}" y="{py:.1f}" text-anchor="{anchor}" font-weight="bold">{escape(name)}</text>'
    return f'<text class="name" x="{px + (-8 if on_left else 11):.1f}" y="{py + (4 if on_left else 9):.1f}" text-anchor="{anchor}" font-weight="bold">{escape(name)}</text>'
