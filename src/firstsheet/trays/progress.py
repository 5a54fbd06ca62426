"""Where a run stands: a pure function of its process, the marks made so far and the time.

Marks are only ever added. There is no pause among them: a liquid does not wait. Stopped (the sheet is kept
as it is), finished (it went all the way) and abandoned (it is given up) are three different ends.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from firstsheet.trays.cues import Cue, next_cue
from firstsheet.trays.process import Process, Step

KINDS = ("begun", "lifted", "lights_on", "taken_back", "stopped", "finished", "abandoned")
ENDS = ("stopped", "finished", "abandoned")


@dataclass(frozen=True, slots=True)
class Mark:
    """Something that happened, `at_s` [s] after the beginning; `step` is a step's key or ""."""

    kind: str
    step: str
    at_s: float


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the sheet is now.

    step       the step it is in, or is draining from; None before the run and after its last drain
    elapsed_s  in this liquid, or draining, so far [s]
    left_s     until its time is up, never below 0 [s]
    next_cue   the next sound that is more than a tick
    overdue_s  how far past its time [s]; 0 while in time
    state      "waiting", "in", "draining", "done" (every step over, not yet closed) or an end: "stopped",
               "finished", "abandoned"
    window     "early", "open" or "late" against the step's window while "in"; "" otherwise
    lights_on_at_s  each time white light was reported [s]
    """

    step: Step | None
    elapsed_s: float
    left_s: float
    next_cue: Cue | None
    overdue_s: float
    state: str
    window: str = ""
    lights_on_at_s: tuple[float, ...] = ()


def where(process: Process, marks: Iterable[Mark], now_s: float) -> Standing:
    """Where the run stands at `now_s` [s] since it began.

    Marks later than `now_s` have not happened yet. They may come in any order and more than once (two that
    are equal are one); those of an unknown kind, about an unknown step or without a usable time are passed
    over. A lift of a later step than the sheet is in says that those before it were left too; a lift of an
    earlier one says nothing new. "taken_back" undoes the last lift that still stands, as if it had not been
    made; one that names another step is passed over.
    """
    begun_s: float | None = None
    lifts: list[tuple[int, float]] = []
    lights: list[float] = []
    end: tuple[str, float] | None = None
    for mark in _usable(marks, now_s):
        if mark.kind == "begun":
            begun_s = mark.at_s if begun_s is None else begun_s
        elif mark.kind == "lifted":
            number = process.number_of(mark.step)
            if begun_s is not None and number > (lifts[-1][0] if lifts else 0):
                lifts.append((number, mark.at_s))
        elif mark.kind == "taken_back":
            if lifts and mark.step in ("", process.steps[lifts[-1][0] - 1].key):
                lifts.pop()
        elif mark.kind == "lights_on":
            lights.append(mark.at_s)
        else:
            end = (mark.kind, mark.at_s)
            break
    at_s = end[1] if end else now_s
    standing = _standing(process, begun_s, lifts, at_s)
    return Standing(
        step=standing.step,
        elapsed_s=standing.elapsed_s,
        left_s=0.0 if end else standing.left_s,
        next_cue=None if end else standing.next_cue,
        overdue_s=standing.overdue_s,
        state=end[0] if end else standing.state,
        window="" if end else standing.window,
        lights_on_at_s=tuple(lights),
    )


def _usable(marks: Iterable[Mark], now_s: float) -> list[Mark]:
    """Each mark once, in the order of its time; of one moment, in the order a run goes."""
    known = {m for m in marks if m.kind in KINDS and math.isfinite(m.at_s) and m.at_s <= now_s}
    return sorted(known, key=lambda m: (m.at_s, KINDS.index(m.kind), m.step))


def _standing(process: Process, begun_s: float | None, lifts: list[tuple[int, float]], at_s: float) -> Standing:
    if begun_s is None:
        return Standing(None, 0.0, 0.0, None, 0.0, "waiting")
    number, since_s = 0, begun_s
    if lifts:
        number, lifted_s = lifts[-1]
        left = process.steps[number - 1]
        since_s = lifted_s + left.drain_s
        if at_s < since_s:
            return Standing(left, at_s - lifted_s, since_s - at_s, None, 0.0, "draining")
    if number == len(process.steps):
        return Standing(None, at_s - since_s, 0.0, None, 0.0, "done")
    step = process.steps[number]
    elapsed_s = at_s - since_s
    return Standing(
        step=step,
        elapsed_s=elapsed_s,
        left_s=max(0.0, step.seconds - elapsed_s),
        next_cue=next_cue(process, step, elapsed_s),
        overdue_s=max(0.0, elapsed_s - step.seconds),
        state="in",
        window="early" if elapsed_s < step.low_s else "open" if elapsed_s <= step.high_s else "late",
    )
