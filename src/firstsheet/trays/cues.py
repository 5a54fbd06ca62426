"""What is heard during a run, and when; and the shape of each tone.

Cues count from the start of their step. The lift of one step and the start of the next are two sounds; the
end of a drain *is* the start of the next step, so `drain_end` sounds only where no step follows.
"""

from __future__ import annotations

from dataclasses import dataclass

from firstsheet.trays.process import Process, Step

TICK_S = 10.0  # a missing tick is how silence is noticed
READY_S = 10.0
CLEAR_S = 1.0  # no tick closer than this to a cue that means something


@dataclass(frozen=True, slots=True)
class Cue:
    """One sound. `at_s` [s] from the start of its step, or of the whole run in a `schedule`.

    kind    "start", "tick", "ready", "lift", "late" or "drain_end"
    number  the step, from 1; a start is told by so many pips; 0 before the first step
    """

    at_s: float
    kind: str
    text: str
    step: str
    number: int


@dataclass(frozen=True, slots=True)
class Note:
    """Part of a tone: from `at_s` [s] after its onset, `hz` [1/s], for `for_s` [s], `gain` 0 to 1."""

    at_s: float
    hz: float
    for_s: float
    gain: float


# Two notes never sound at once and every gain is below 1, so nothing can clip. Told apart by number of
# notes and by direction, not by pitch alone: lost high hearing and small loudspeakers both take pitch away.
TONES: dict[str, tuple[Note, ...]] = {
    "tick": (Note(0.0, 1000.0, 0.03, 0.14),),
    "ready": (Note(0.0, 880.0, 0.12, 0.5), Note(0.2, 880.0, 0.12, 0.5)),
    "lift": (Note(0.0, 660.0, 0.16, 0.7), Note(0.18, 880.0, 0.16, 0.7), Note(0.36, 1320.0, 0.3, 0.7)),
    "late": (Note(0.0, 1320.0, 0.16, 0.7), Note(0.18, 660.0, 0.3, 0.7)),
    "drain_end": (Note(0.0, 523.0, 0.6, 0.6),),
    "kept": (Note(0.0, 1320.0, 0.08, 0.5), Note(0.1, 1760.0, 0.08, 0.5)),
    "open": (Note(0.0, 1320.0, 0.3, 0.7),),
    "close": (Note(0.0, 880.0, 0.16, 0.7), Note(0.2, 550.0, 0.16, 0.7)),
    "early": (Note(0.0, 220.0, 0.35, 0.6),),
}
PIP = Note(0.0, 990.0, 0.1, 0.7)
PIP_EVERY_S = 0.22


def tone(kind: str, number: int = 1) -> tuple[Note, ...]:
    """The notes of a cue. A start is `number` pips; an unknown kind is a tick."""
    if kind == "start":
        return tuple(Note(i * PIP_EVERY_S, PIP.hz, PIP.for_s, PIP.gain) for i in range(max(1, number)))
    return TONES.get(kind, TONES["tick"])


def cues_of(process: Process, step: Step) -> tuple[Cue, ...]:
    """What sounds while the sheet stays in a step: start, ticks, ready, lift, late; drain_end at the last."""
    number = process.number_of(step.key)
    following = process.after(step.key)

    def cue(at_s: float, kind: str, text: str) -> Cue:
        return Cue(at_s, kind, text, step.key, number)

    found = [cue(0.0, "start", f"{_step_words(number)}: {step.tray}")]
    if step.seconds > READY_S + CLEAR_S:
        found.append(cue(step.seconds - READY_S, "ready", "Ready: ten seconds"))
    found.append(cue(step.seconds, "lift", "Lift"))
    if step.high_s > step.seconds + CLEAR_S:
        found.append(cue(step.high_s, "late", f"Lift now: longest in {step.tray}"))
    found += _ticks(found, step.high_s, step.key, number)
    if following is None:
        found.append(cue(step.seconds + step.drain_s, "drain_end", "The run is over"))
    return tuple(sorted(found, key=lambda c: c.at_s))


def schedule(process: Process, lead_s: float = 0.0) -> tuple[Cue, ...]:
    """Every cue of a run that nothing interrupts, each lift at its time; for the sound file of a dark run.

    lead_s  from the start of the file until the sheet goes into the first liquid [s]; ticks, and a ready ten
            seconds before its end
    """
    out: list[Cue] = []
    if lead_s > 0:
        ready = Cue(lead_s - READY_S, "ready", "Ready: ten seconds", "", 0)
        before = [ready] if lead_s > READY_S + CLEAR_S else []
        out += sorted(before + _ticks(before, lead_s - CLEAR_S, "", 0), key=lambda c: c.at_s)
    begin_s = lead_s
    for step in process.steps:
        for cue in cues_of(process, step):
            if cue.at_s <= step.seconds or cue.kind == "drain_end":
                out.append(Cue(begin_s + cue.at_s, cue.kind, cue.text, cue.step, cue.number))
        begin_s += step.seconds + step.drain_s
    return tuple(out)


def next_cue(process: Process, step: Step, elapsed_s: float) -> Cue | None:
    """The first cue of `step` later than `elapsed_s` [s] after its start that is more than a tick."""
    return next((c for c in cues_of(process, step) if c.at_s > elapsed_s and c.kind != "tick"), None)


def _ticks(kept: list[Cue], until_s: float, key: str, number: int) -> list[Cue]:
    count = int(until_s // TICK_S)
    times = (TICK_S * i for i in range(1, count + 1))
    return [Cue(t, "tick", "", key, number) for t in times if all(abs(t - c.at_s) >= CLEAR_S for c in kept)]


def _step_words(number: int) -> str:
    names = ("", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten")
    return names[number] if number < len(names) else str(number)
