"""A run's steps stretched by today's baths: once, and said at each step that was changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from firstsheet.trays import warmth
from firstsheet.trays.process import MOST_S, Process, Step


@dataclass(frozen=True, slots=True)
class Change:
    """What today's bath does to a step.

    times    so many times its time at 20 °C in a fresh bath: low, likely, high
    because  what is the cause, “at 16 °C and this bath's age”
    """

    times: warmth.Range
    because: str


def stretched(process: Process, changes: Mapping[str, Change]) -> Process:
    """The process with the steps named changed, by step key; window, spread and the doubt of it go with the time.

    ValueError where a step was changed already: what was stretched once is not stretched again.
    """
    return replace(process, steps=tuple(_changed(s, changes[s.key]) if s.key in changes else s for s in process.steps))


def _changed(step: Step, change: Change) -> Step:
    if step.changed:
        raise ValueError(f"{step.key} was stretched already")
    low, likely, high = change.times
    seconds = min(step.seconds * likely, MOST_S)
    if abs(likely - 1.0) < 1e-9:
        return replace(step, changed=f"{_words(step.seconds)}, unchanged {change.because}")
    return replace(
        step,
        seconds=seconds,
        low_s=step.low_s * likely,
        high_s=step.high_s * likely,
        spread_s=(step.spread_s[0] * likely, step.spread_s[1] * likely),
        plain_s=step.seconds,
        doubt_s=(step.seconds * low, step.seconds * high),
        changed=f"20 °C: {_words(step.seconds)}; {change.because}: {_words(seconds)}, likely {_words(step.seconds * low)} to {_words(step.seconds * high)}",
        appears=warmth.appears(seconds, step.appearance_factor),
    )


def learned(process: Process, key: str, factor: warmth.Range) -> Process:
    """The process with a step's factor of first appearance as it was learned; a step that cannot be seen keeps none."""
    return replace(
        process,
        steps=tuple(
            replace(s, appearance_factor=factor, appears=warmth.appears(s.seconds, factor))
            if s.key == key and s.light != "none"
            else s
            for s in process.steps
        ),
    )


def _words(time_s: float) -> str:
    whole = round(time_s)
    return f"{whole // 60}:{whole % 60:02d}"
