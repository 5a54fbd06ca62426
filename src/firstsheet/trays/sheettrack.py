"""A sheet led by ear: its exposure, and, where its paper bears no light at all, everything from the box to white light."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

from firstsheet.refusal import Refusal
from firstsheet.trays import voice
from firstsheet.trays.cues import PIP, PIP_EVERY_S, TONES, schedule
from firstsheet.trays.process import Process
from firstsheet.trays.striptrack import AFTER_S, LONGEST_S, PAPER_S, How, Spoken, opening, said_in_turn

TO_TRAYS_S = 30.0  # the sheet off the board and to the first tray, by touch
LEAST_S = 0.05


@dataclass(frozen=True, slots=True)
class SheetTrack:
    """open_s, close_s  the light in the sound [s]
    first_s  when the sheet goes into the first liquid [s]; white_s: when light may be switched on; None where only the
             exposure is told
    """

    how: How
    total_s: float
    open_s: float
    close_s: float
    first_s: float | None
    white_s: float | None
    cues: tuple[Spoken, ...]


def sheet_track(time_s: float, how: How, process: Process | None = None) -> SheetTrack:
    """The cues of one sheet given `time_s` [s]; with a process, of its run as well. Refusal for no time or over an hour.

    how  "cap": in the camera; "lamp": a contact print
    """
    if not LEAST_S <= time_s <= LONGEST_S:  # NaN fails this too
        raise Refusal.one("given", f"{time_s:g} s", "From 0.05 s to an hour.", "A longer one is counted by a clock.")
    first = [(("lights_on_first",), 1.2), (("one_sheet",), 1.0)]
    first += [(("screen_off",), 1.5), (("no_light",), 1.5)] if process else [(("light_allowed",), 1.2)]
    first += [(("lens_capped",) if how == "cap" else ("lamp_is_off",), 1.0), (("take_paper",), PAPER_S)]
    if how == "cap":
        first += [(("paper_board",), PAPER_S), (("sitter_still",), 2.0)]
    else:
        first += [(("paper_flat",), PAPER_S / 2), (("under_negative",), PAPER_S / 2), (("nothing_moves",), 2.0)]
    cues, at = said_in_turn(first, 0.5)
    some, begin, end = opening(at, time_s, how)
    cues += some
    after = end + AFTER_S + 0.4
    if process is None:
        done = ("done_sheet",) if how == "cap" else ("done_print",)
        cues.append(Spoken(after, "", done))
        return SheetTrack(
            how, after + voice.lasts_s(done) + 1.0, begin, end, None, None, tuple(sorted(cues, key=lambda c: c.at_s))
        )
    off = ("lens_capped" if how == "cap" else "lamp_is_off", "off_the_board")
    going, liquid = said_in_turn([(off, TO_TRAYS_S)], after)
    run, white, over = run_cues(process, liquid)
    cues += going + run
    return SheetTrack(how, over, begin, end, liquid, white, tuple(sorted(cues, key=lambda c: c.at_s)))


def dark_run(process: Process, lead_s: float) -> tuple[tuple[Spoken, ...], float]:
    """The cues of a run in the dark that begins with the sheet in the hand, its first liquid after `lead_s` [s]; and the whole [s].

    The moments of the tones are those of `firstsheet.trays.cues.schedule`; words follow them.
    """
    run, _, over = run_cues(process, lead_s)
    lead = [
        Spoken(c.at_s, c.kind, voice.number(10) if c.kind == "ready" else (), _tone_s("ready"))
        for c in schedule(process, lead_s)
        if c.at_s < lead_s
    ]
    said = [(0.8, ("lights_on_first",)), (4.6, ("screen_off",)), (11.0, ("no_light",)), (21.0, ("in_hand",))]
    lead += [Spoken(at, "", clips) for at, clips in said if at + voice.lasts_s(clips) < lead_s - 12.0]
    return tuple(sorted([*lead, *run], key=lambda c: c.at_s)), over


def run_cues(process: Process, begin_s: float) -> tuple[list[Spoken], float | None, float]:
    """The run's cues from `begin_s` on, when light may be switched on, and the end of the sound [s]."""
    cues: list[Spoken] = []
    white: float | None = None
    dark = process.steps[0].light == "none"
    for c in schedule(process):
        at = begin_s + c.at_s
        if c.kind == "start":
            step = process.steps[c.number - 1]
            clips = [tray_clip(step.tray)]
            if dark and step.light != "none":
                dark, white = False, at
                clips.append("switch_on" if step.light == "white" else "red_lamp_on")
            cues.append(Spoken(at, "start", tuple(clips), _tone_s("start", c.number), c.number))
        elif c.kind == "lift":
            cues.append(Spoken(at, "lift", ("lift_drain",), _tone_s("lift")))
        elif c.kind == "ready":
            cues.append(Spoken(at, "ready", voice.number(10), _tone_s("ready")))
        elif c.kind == "drain_end":
            cues.append(Spoken(at, "drain_end", ("run_over",), _tone_s("drain_end")))
        else:
            cues.append(Spoken(at, c.kind, ()))
    cues = _fitting(cues)
    last = cues[-1]
    return cues, white, last.at_s + last.after_s + voice.lasts_s(last.clips) + 1.0


def _fitting(cues: list[Spoken]) -> list[Spoken]:
    """Words that would run into the next tone make room: the tray’s name first, then all of them; the tone says it too."""
    out = []
    for a, b in itertools.pairwise(cues):
        clips = a.clips
        while clips and a.at_s + a.after_s + voice.lasts_s(clips) > b.at_s:
            clips = clips[1:]
        out.append(replace(a, clips=clips))
    return [*out, cues[-1]]


def tray_clip(tray: str) -> str:
    """The clip that names a tray."""
    return tray.replace(" ", "_").replace("-", "_")


def _tone_s(kind: str, number: int = 1) -> float:
    """From the onset of a tone to where a word may follow [s]."""
    end = (number - 1) * PIP_EVERY_S + PIP.for_s if kind == "start" else max(n.at_s + n.for_s for n in TONES[kind])
    return end + 0.1
