"""The run told by ear: lift … drain … the next tray … now; when light may be switched on, and what can hurt, each at its moment."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from firstsheet.trays import voice
from firstsheet.trays.cues import schedule
from firstsheet.trays.process import Process, Step
from firstsheet.trays.striptrack import Spoken
from firstsheet.trays.ticking import end_s, tone_s

NOW_S = 0.8  # from the name of the next tray to the moment it goes in
ROOM_S = 0.3  # between two things said
BY_CLOCK_S = 900.0  # a step in white light that is longer is left to a clock: a file of hours serves nobody
CAUTIONS = {"bleach-fix": "fresh_air", "fixer": "fresh_air", "second fixer": "fresh_air", "colour developer": "gloves", "permanganate bleach": "fresh_air", "clearing bath": "fresh_air"}
SILVER = ("fixer", "bleach-fix", "permanganate bleach")


def run_cues(process: Process, begin_s: float) -> tuple[list[Spoken], float | None, float]:
    """The run's cues, its first liquid at `begin_s` [s]; when white light may be switched on; the end of the sound [s].

    From the first step in white light that is longer than a quarter of an hour on, steps are named and left to a clock.
    """
    clocked = by_clock(process)
    light, white = process.steps[0].light, None
    cues: list[Spoken] = []
    for c in schedule(process):
        at, step = begin_s + c.at_s, process.steps[max(0, c.number - 1)]
        if clocked and c.number >= clocked and (c.number, c.kind) != (clocked, "start"):
            continue
        if c.kind == "start":
            brighter = {"white": ("switch_on",), "red": ("red_lamp_on",)}[step.light] if step.light != light else ()
            if step.light == "white" and light != "white":
                white = at
            light = step.light
            cues += _start(step, c.number, at, brighter, cues[-1] if cues else None)
        elif c.kind == "lift":
            cues.append(Spoken(at, "lift", ("lift_drain",), tone_s("lift")))
        elif c.kind == "ready":
            cues.append(Spoken(at, "ready", voice.number(10), tone_s("ready")))
        elif c.kind == "drain_end":
            cues.append(Spoken(at, "drain_end", ("run_over",), tone_s("drain_end")))
        else:
            cues.append(Spoken(at, c.kind, ()))
    cues = _fitting(cues)
    return cues, white, _closing(cues, process, bool(clocked))


def by_clock(process: Process) -> int:
    """The number of the first step that the sound leaves to a clock; 0 where it tells them all."""
    return next(
        (i for i, s in enumerate(process.steps, 1) if s.light == "white" and s.seconds > BY_CLOCK_S and i > 1), 0
    )


def tray_clip(tray: str) -> str:
    """The clip that names a tray; one of one's own that has none is “next tray”."""
    key = tray.replace(" ", "_").replace("-", "_")
    return key if voice.has(key) else "next_tray"


def _start(step: Step, number: int, at: float, brighter: tuple[str, ...], before: Spoken | None) -> list[Spoken]:
    """Going into a tray: named just before, so that the pips are “now”. Where more light is allowed from then on, named only then."""
    name = (tray_clip(step.tray),)
    caution = (CAUTIONS[step.tray],) if step.tray in CAUTIONS else ()
    early = at - NOW_S - voice.lasts_s(name)
    free = end_s(before) + ROOM_S if before else 5.0
    if brighter or early < free:
        return [Spoken(at, "start", (*name, *brighter, *caution), tone_s("start", number), number)]
    now = Spoken(at, "start", ("now_word", *caution), tone_s("start", number), number)
    return [Spoken(early, "", name), now]


def _fitting(cues: list[Spoken]) -> list[Spoken]:
    """Words that would run into the next cue make room: the caution first, then the tray’s name; that light is allowed goes last."""
    firm = [c for c in cues if c.tone != "tick"]
    out = [c for c in cues if c.tone == "tick"]
    for a, b in pairwise(firm):
        clips = a.clips
        while clips and a.at_s + a.after_s + voice.lasts_s(clips) > b.at_s - 0.1:
            last_is_caution = len(clips) > 1 and clips[-1] in CAUTIONS.values()
            clips = clips[:-1] if last_is_caution else clips[1:]
        out.append(replace(a, clips=clips))
    return sorted([*out, firm[-1]], key=lambda c: c.at_s)


def _closing(cues: list[Spoken], process: Process, clocked: bool) -> float:
    """What is said when the run is over, appended to the cues; and the end of the sound [s]."""
    said = [("by_clock",)] if clocked else []
    said += [("keep_silver",)] if any(s.tray in SILVER for s in process.steps) else []
    for clips in [*said, ("pencil_code",)]:
        cues.append(Spoken(end_s(cues[-1]) + 2.0 * ROOM_S, "", clips))
    return end_s(cues[-1]) + 1.0
