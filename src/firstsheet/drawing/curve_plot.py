"""The characteristic curve of a paper with its steps and doubt, and a scene's tones laid on it, as one SVG.

Density upward, exposure to the right one unit per stop, thin ink, labelled in place. Colour is `currentColor` and
looks are by class and presentation attribute: a strict content policy refuses nothing in it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

import numpy as np

from firstsheet import wording
from firstsheet.answer import Z90
from firstsheet.paper import curve_points as points
from firstsheet.paper.curve import Curve, StepSeen
from firstsheet.paper.curve_scene import ToneLaid

WIDTH, HEIGHT = 360.0, 300.0
LEFT, RIGHT, TOP, BASE = 34.0, 8.0, 18.0, 236.0
LETTER_PX = 6.1  # about how wide a letter is set at 11 px
STOP = math.log10(2.0)
FATES = {"holds": "holds", "white": "bare white", "black": "full black", "unknown": "not known"}


@dataclass(frozen=True, slots=True)
class Frame:
    """From log H and density to the drawing."""

    low: float
    high: float
    d_top: float

    def x(self, log_h: float) -> float:
        return LEFT + (min(max(log_h, self.low), self.high) - self.low) / (self.high - self.low) * (
            WIDTH - LEFT - RIGHT
        )

    def y(self, d: float) -> float:
        return BASE - min(max(d, 0.0), self.d_top) / self.d_top * (BASE - TOP)


def curve_plot(curve: Curve, tones: Sequence[ToneLaid] = (), name: str = "") -> str:
    """The curve as a standalone SVG with title and description.

    tones  as laid by `curve_scene.lay`; those beyond the drawing stand at its edge
    name   of the paper, for the title
    """
    frame = _frame(curve, tones)
    title = "Characteristic curve" + (f", {name}" if name else "")
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="curve-plot" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" role="img" '
        f'font-family="sans-serif" font-size="11" fill="currentColor"><title>{escape(title)}</title>'
        f"<desc>{escape(_said(curve, tones))}</desc>",
        *axes(curve, frame),
        *_band_and_line(curve, frame),
        *(step_mark(s, frame) for s in curve.steps if math.isfinite(s.log_h)),
        *_marks(curve, frame),
        *_tones(tones, frame),
        "</svg>",
    ]
    return "".join(parts)


def _frame(curve: Curve, tones: Sequence[ToneLaid]) -> Frame:
    low, high = curve.span
    finite = [s.log_h for s in curve.steps if math.isfinite(s.log_h)] + [t.log_h for t in tones]
    low, high = max(min([low, *finite]), low - 3 * STOP), min(max([high, *finite]), high + 3 * STOP)
    most = max(s.density + (s.density_sd if s.censored is None else 0.1) for s in curve.steps)
    return Frame(low - 0.06, high + 0.06, max(1.0, math.ceil((most + 0.05) * 5) / 5))


def axes(curve: Curve, frame: Frame) -> list[str]:
    """Density upward and exposure to the right, with their ticks and units."""
    every = 0.5 if frame.d_top > 1.2 else 0.2
    out = [
        f'<path class="axis" d="M{LEFT:g},{TOP:g} V{BASE:g} H{WIDTH - RIGHT:g}" fill="none" stroke="currentColor" stroke-width="1"/>'
    ]
    out.append(f'<text x="2" y="{TOP - 6:g}">density by {curve.kind}</text>')
    for k in range(int(frame.d_top / every + 1e-9) + 1):
        y = frame.y(k * every)
        out.append(f'<path d="M{LEFT - 4:g},{y:.1f} H{LEFT:g}" stroke="currentColor" stroke-width="1"/>'
                   f'<text x="{LEFT - 7:g}" y="{y + 4:.1f}" text-anchor="end">{k * every:.1f}</text>')  # fmt: skip
    return out + _exposures(curve, frame)


def _exposures(curve: Curve, frame: Frame) -> list[str]:
    """Ticks a stop apart; every so many bear a figure: lx·s, or stops from the first step where log H is relative."""
    start = 0.0 if curve.absolute else curve.span[0]
    first, last = math.ceil((frame.low - start) / STOP), math.floor((frame.high - start) / STOP)
    texts = {
        k: _short(2.0**k) if curve.absolute else f"{abs(k)}" if k >= 0 else f"{wording.MINUS}{abs(k)}"
        for k in range(first, last + 1)
    }
    per = STOP / (frame.high - frame.low) * (WIDTH - LEFT - RIGHT)
    every = next(
        n for n in (1, 2, 3, 4, 6, 8, 12, 99) if n * per > LETTER_PX * max(map(len, texts.values()), default=1) + 12
    )
    out = []
    for k, text in texts.items():
        x = frame.x(start + k * STOP)
        long = k % every == 0
        out.append(f'<path d="M{x:.1f},{BASE:g} v{6 if long else 3}" stroke="currentColor" stroke-width="1"/>')
        half = LETTER_PX * len(text) / 2
        if long and x - half >= LEFT - 4 and x + half <= WIDTH:
            out.append(f'<text x="{x:.1f}" y="{BASE + 17:g}" text-anchor="middle">{text}</text>')
    unit = "exposure in lx·s, a tick each stop" if curve.absolute else "exposure in stops from the first step"
    out.append(f'<text x="{WIDTH - RIGHT:g}" y="{BASE + 61:g}" text-anchor="end">{unit}</text>')
    return out


def _short(lxs: float) -> str:
    """An exposure of a power of two, short: "1/8", "16"."""
    if lxs < 1:
        return f"1/{round(1 / lxs)}"
    return f"{lxs:.0f}"


def _band_and_line(curve: Curve, frame: Frame) -> list[str]:
    low, high = curve.span
    x = np.linspace(low, high, 90)
    mid, under, over = curve.density(x)
    line = " ".join(f"{frame.x(a):.1f},{frame.y(d):.1f}" for a, d in zip(x, mid, strict=True))
    edge = [f"{frame.x(a):.1f},{frame.y(d):.1f}" for a, d in zip(x, over, strict=True)]
    edge += [f"{frame.x(a):.1f},{frame.y(d):.1f}" for a, d in zip(x[::-1], under[::-1], strict=True)]
    return [f'<polygon class="ninety" points="{" ".join(edge)}" fill-opacity="0.16"/>',
            f'<polyline class="curve" points="{line}" fill="none" stroke="currentColor" stroke-width="1.4"/>']  # fmt: skip


def step_mark(step: StepSeen, frame: Frame) -> str:
    """One step as a dot with its doubt, or as an arrow where it is a bound."""
    x, y = frame.x(step.log_h), frame.y(step.density)
    if step.censored is not None:  # an open arrow: it is so much or more (or less), and no point
        turn = -1 if step.censored == "at_least" else 1
        return (f'<path class="step" d="M{x - 3:.1f},{y:.1f} h6 M{x:.1f},{y:.1f} v{turn * 9} m-2.5,{-turn * 3.5} l2.5,{turn * 3.5} l2.5,{-turn * 3.5}" '
                'fill="none" stroke="currentColor" stroke-width="1"/>')  # fmt: skip
    reach_d, reach_h = Z90 * step.density_sd, Z90 * step.log_h_sd
    bars = f"M{x:.1f},{frame.y(step.density - reach_d):.1f} V{frame.y(step.density + reach_d):.1f}"
    if reach_h > 0:
        bars += f" M{frame.x(step.log_h - reach_h):.1f},{y:.1f} H{frame.x(step.log_h + reach_h):.1f}"
    return (f'<path class="doubt" d="{bars}" stroke="currentColor" stroke-width="0.8" fill="none"/>'
            f'<circle class="step" cx="{x:.1f}" cy="{y:.1f}" r="2"/>')  # fmt: skip


def _marks(curve: Curve, frame: Frame) -> list[str]:
    """Base+fog and Dmax where measured, named at the side where the curve is not."""
    out = []
    for end in ("base", "dmax"):
        figure = points.level(curve, end)
        if figure.value is None:
            continue
        y = frame.y(figure.value)
        name = ("base+fog " if end == "base" else "Dmax ") + f"{figure.value:.2f}"
        right = (end == "base") == (curve.sense > 0)
        x, anchor = (WIDTH - RIGHT, "end") if right else (LEFT + 5, "start")
        out.append(f'<path class="level" d="M{LEFT:g},{y:.1f} H{WIDTH - RIGHT:g}" stroke="currentColor" stroke-width="0.6" stroke-dasharray="2 3" fill="none"/>'
                   f'<text x="{x:g}" y="{y - 4:.1f}" text-anchor="{anchor}">{name}</text>')  # fmt: skip
    return out


def _tones(tones: Sequence[ToneLaid], frame: Frame) -> list[str]:
    """From each tone's exposure up to the curve and across to its density; names below, kept clear of one another."""
    out, ends = [], [-9.0, -9.0]
    for tone in sorted(tones, key=lambda t: t.log_h):
        x = frame.x(tone.log_h)
        top = frame.y(tone.density[0]) if tone.density else BASE - 10
        across = f" M{LEFT:g},{top:.1f} H{x:.1f}" if tone.density else ""
        dash = "" if tone.density else ' stroke-dasharray="1 2"'
        out.append(
            f'<path class="tone" d="M{x:.1f},{BASE:g} V{top:.1f}{across}" stroke="currentColor" stroke-width="0.6" fill="none"{dash}/>'
        )
        text = tone.name if tone.fate == "holds" else f"{tone.name}: {FATES[tone.fate]}"
        half = LETTER_PX * len(text) / 2
        middle = min(max(x, half + 2), WIDTH - half - 2)
        row = next((r for r in (0, 1) if middle - half > ends[r] + 6), None)
        if row is not None:
            ends[row] = middle + half
            out.append(
                f'<text class="{tone.fate}" x="{middle:.1f}" y="{BASE + 32 + 14 * row:g}" text-anchor="middle">{escape(text)}</text>'
            )
    return out


def _said(curve: Curve, tones: Sequence[ToneLaid]) -> str:
    way = (
        "Negative-working: density rises with exposure."
        if curve.sense > 0
        else "Positive-working: density falls with exposure."
    )
    said = [way, f"{len(curve.steps)} steps, density by {curve.kind}."]
    for end, name in (("base", "Base+fog"), ("dmax", "Dmax")):
        figure = points.level(curve, end)
        said.append(f"{name} {figure.value:.2f}." if figure.value is not None else f"{name} not reached.")
    for tone in tones:
        what = f"density {tone.density[0]:.2f}, {FATES[tone.fate]}" if tone.density else FATES[tone.fate]
        said.append(f"{tone.name}: {what}.")
    return " ".join(said)
