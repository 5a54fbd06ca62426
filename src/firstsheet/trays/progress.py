"""Where a run stands: a pure function of its process, the marks made so far and the time.

Marks are only ever added. A pause is only a pause where the step allows it; elsewhere a liquid does not wait, and
the mark says nothing. Stopped (the sheet is kept as it is), finished (it went all the way) and abandoned (it is given
up) are three different ends.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from firstsheet.trays import interrupt
from firstsheet.trays.cues import Cue, next_cue
from firstsheet.trays.process import Process, Step

# In the order a run goes, for marks of one moment.
KINDS = (
    "begun", "lifted", "appeared", "lights_on", "lights_off", "wrong_tray", "paused", "resumed", "taken_back",
    "stopped", "finished", "abandoned",
)  # fmt: skip
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

    step       the step it is in, or is draining from, with its times as first appearance made them; the one it was
               due in while it is "aside"; None before the run and after its last drain
    elapsed_s  in this liquid, or draining, so far [s]; a pause in which the time stands still is left out
    left_s     until its time is up, never below 0 [s]
    next_cue   the next sound that is more than a tick; None in a pause and aside
    overdue_s  how far past its time [s]; 0 while in time
    state      "waiting", "in", "paused", "aside" (in a wrong tray), "draining", "done" (every step over, not yet
               closed) or an end: "stopped", "finished", "abandoned"
    window     "early", "open" or "late" against the step's window while "in"; "" otherwise
    lights_on_at_s  each time white light was reported [s]
    lit_s      so long the white light has been on now [s]; None where it is off or was never reported
    aside      the wrong tray it lies in; None elsewhere
    broken_s   paused or aside for so long [s]; 0 elsewhere
    shown_s    from going in until the image showed [s]; None where that was not marked in this step
    """

    step: Step | None
    elapsed_s: float
    left_s: float
    next_cue: Cue | None
    overdue_s: float
    state: str
    window: str = ""
    lights_on_at_s: tuple[float, ...] = ()
    lit_s: float | None = None
    aside: Step | None = None
    broken_s: float = 0.0
    shown_s: float | None = None


@dataclass(slots=True)
class _Visit:
    """From the moment the sheet left step `left` (a number, 0 before the first) until it leaves the next one."""

    left: int
    since_s: float  # goes into the next one
    lifted_s: float | None = None  # None where it was no lift that brought it here
    shown: list[float] = field(default_factory=list)
    paused_s: float | None = None
    aside: tuple[str, float] | None = None


def where(process: Process, marks: Iterable[Mark], now_s: float) -> Standing:
    """Where the run stands at `now_s` [s] since it began.

    Marks later than `now_s` have not happened yet. They may come in any order and more than once (two that
    are equal are one); those of an unknown kind, about an unknown step or without a usable time are passed
    over. A lift of a later step than the sheet is in says that those before it were left too; a lift of an
    earlier one says nothing new. "taken_back" undoes the last lift that still stands, or what was marked last
    where it is now (“the image shows”, a wrong tray), as if it had not been made; one that names another step is passed over.
    "wrong_tray" names the tray it lies in; "resumed" ends a pause, or names the step in which it goes on.
    """
    visits: list[_Visit] = []
    lights: list[float] = []
    lit: float | None = None
    end: tuple[str, float] | None = None
    for mark in _usable(marks, now_s):
        if mark.kind in ENDS:
            end = (mark.kind, mark.at_s)
            break
        if mark.kind == "lights_on":
            lights.append(mark.at_s)
            lit = mark.at_s if lit is None else lit
        elif mark.kind == "lights_off":
            lit = None
        elif mark.kind == "begun":
            if not visits:
                visits.append(_Visit(0, mark.at_s))
        elif visits:
            _moved(process, visits, mark)
    at_s = end[1] if end else now_s
    standing = _standing(process, visits[-1] if visits else None, at_s)
    standing = replace(standing, lights_on_at_s=tuple(lights), lit_s=None if lit is None else at_s - lit)
    return standing if end is None else replace(standing, left_s=0.0, next_cue=None, state=end[0], window="")


def timed(step: Step, shown_s: float | None) -> Step:
    """The step with its times as the image's first appearance makes them, `shown_s` [s] after going in."""
    if shown_s is None:
        return step
    row = next((r for r in step.appears if r[0] == math.floor(shown_s)), None)
    return step if row is None else replace(step, seconds=row[1], low_s=row[2], high_s=max(row[3], row[1]))


def _usable(marks: Iterable[Mark], now_s: float) -> list[Mark]:
    """Each mark once, in the order of its time; of one moment, in the order a run goes."""
    known = {m for m in marks if m.kind in KINDS and math.isfinite(m.at_s) and m.at_s <= now_s}
    return sorted(known, key=lambda m: (m.at_s, KINDS.index(m.kind), m.step))


def _moved(process: Process, visits: list[_Visit], mark: Mark) -> None:
    """What one mark does to where the sheet is."""
    here = visits[-1]
    step = process.steps[here.left] if here.left < len(process.steps) else None
    inside = step is not None and here.since_s <= mark.at_s and here.aside is None
    named = step is not None and mark.step == step.key
    number = process.number_of(mark.step)
    if mark.kind == "lifted":
        if number > here.left:
            visits.append(_Visit(number, mark.at_s + process.steps[number - 1].drain_s, mark.at_s))
    elif mark.kind == "taken_back":
        if here.aside is not None:
            here.aside = None if mark.step in ("", here.aside[0]) else here.aside
        elif here.shown and (named or not mark.step):
            here.shown.pop()
        elif here.lifted_s is not None and mark.step in ("", process.steps[here.left - 1].key):
            visits.pop()
    elif mark.kind == "appeared":
        if inside and named and here.paused_s is None:
            here.shown.append(mark.at_s - here.since_s)
    elif mark.kind == "wrong_tray":
        if number:
            here.aside = (mark.step, mark.at_s)
    elif mark.kind == "paused":
        if inside and step and (named or not mark.step) and interrupt.wait(process, step).kind != "no":
            here.paused_s = mark.at_s if here.paused_s is None else here.paused_s
    elif mark.kind == "resumed":
        if here.aside is not None and number:
            visits.append(_Visit(number - 1, mark.at_s))
        elif here.aside is None and here.paused_s is not None and step:
            if interrupt.wait(process, step).kind == "waits":
                here.since_s += mark.at_s - here.paused_s
            here.paused_s = None


def _standing(process: Process, here: _Visit | None, at_s: float) -> Standing:
    if here is None:
        return Standing(None, 0.0, 0.0, None, 0.0, "waiting")
    step = process.steps[here.left] if here.left < len(process.steps) else None
    if here.aside is not None:
        key, since_s = here.aside
        aside = process.steps[process.number_of(key) - 1]
        return Standing(step or aside, at_s - since_s, 0.0, None, 0.0, "aside", aside=aside, broken_s=at_s - since_s)
    if here.lifted_s is not None and at_s < here.since_s:
        left = process.steps[here.left - 1]
        return Standing(left, at_s - here.lifted_s, here.since_s - at_s, None, 0.0, "draining")
    if step is None:
        return Standing(None, at_s - here.since_s, 0.0, None, 0.0, "done")
    shown_s = here.shown[-1] if here.shown else None
    step = timed(step, shown_s)
    paused = here.paused_s is not None
    still = here.paused_s is not None and interrupt.wait(process, step).kind == "waits"
    elapsed_s = (here.paused_s if still and here.paused_s is not None else at_s) - here.since_s
    return Standing(
        step=step,
        elapsed_s=elapsed_s,
        left_s=max(0.0, step.seconds - elapsed_s),
        next_cue=None if paused else next_cue(process, step, elapsed_s),
        overdue_s=max(0.0, elapsed_s - step.seconds),
        state="paused" if paused else "in",
        window="" if paused else "early" if elapsed_s < step.low_s else "open" if elapsed_s <= step.high_s else "late",
        broken_s=0.0 if here.paused_s is None else at_s - here.paused_s,
        shown_s=shown_s,
    )
