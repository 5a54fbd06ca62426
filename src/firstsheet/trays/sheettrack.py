"""A sheet led by ear, from the checklist through the box, the exposure and every tray to white light; or its exposure alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from firstsheet.refusal import Refusal
from firstsheet.trays import voice
from firstsheet.trays.cues import schedule
from firstsheet.trays.process import Process
from firstsheet.trays.striptrack import AFTER_S, LONGEST_S, PAPER_S, Spoken, opening, said_in_turn
from firstsheet.trays.ticking import end_s, ticked, tone_s
from firstsheet.trays.traytrack import run_cues, tray_clip

__all__ = ["Given", "Moment", "SheetTrack", "dark_run", "moments", "sheet_track", "tray_clip", "volume_test"]

Given = Literal["cap", "flap", "shutter", "held", "lamp"]
TO_TRAYS_S = 30.0  # the sheet off the board and to the first tray, by touch
LEAST_S = 0.05
TOUCH_S = 4.0  # to touch or do what was just asked
TRAYS_S = 9.0
BY_HAND_S = 4.0  # shorter exposures leave no time for two marks
EARLY_S, LATE_S = 15.0, 5.0  # a lift may be marked so long before its time, and so long into the next tray
SHUT = {"cap": "lens_capped", "shutter": "lens_capped", "flap": "lens_shut", "held": "lens_shut", "lamp": "lamp_is_off"}
LIGHT = {"colour": "no_light", "ortho": "deep_red_only", "blue": "red_lamp_only"}


@dataclass(frozen=True, slots=True)
class SheetTrack:
    """open_s, close_s  the light in the sound [s]
    first_s  when the sheet goes into the first liquid [s]; white_s: when white light may be switched on; None where only the
             exposure is told
    """

    how: Given
    total_s: float
    open_s: float
    close_s: float
    first_s: float | None
    white_s: float | None
    cues: tuple[Spoken, ...]


@dataclass(frozen=True, slots=True)
class Moment:
    """What a hand may mark while the sound runs: `kind` and `step` of the mark, told at at_s, taken from from_s to to_s [s]."""

    kind: str
    step: str
    at_s: float
    from_s: float
    to_s: float


def sheet_track(
    time_s: float, how: Given, process: Process | None = None, *, no_light: bool = False, flash: bool = False
) -> SheetTrack:
    """The cues of one sheet given `time_s` [s]; with a process, of its run as well. Refusal for no time or over an hour.

    no_light  for a paper that bears none, where no process says it; flash: it is to be flashed besides
    how  "cap", "flap", "shutter" (that keeps the time itself) or "held" open: in the camera; "lamp": a contact print
    """
    if not LEAST_S <= time_s <= LONGEST_S:  # NaN fails this too
        raise Refusal.one("given", f"{time_s:g} s", "From 0.05 s to an hour.", "A longer one is counted by a clock.")
    begun = Spoken(0.5, "", ("lights_on_first",))
    told, at = said_in_turn([(("tick_told",), 1.6)], end_s(begun) + 1.2)
    cues = [begun, *told, Spoken(at - 0.8, "tick", ())]
    some, at = said_in_turn(_before(how, process, no_light, flash), at + 1.0)
    cues += some
    some, begin, end = opening(at, time_s, how, sitter=how != "lamp")
    cues += some
    after = end + AFTER_S + 0.4
    if how != "lamp":
        cues.append(Spoken(after, "", ("you_may_move",)))
        after = end_s(cues[-1]) + 0.8
    if process is None:
        cues.append(Spoken(after, "", (SHUT[how], "done_exposed")))
        return SheetTrack(how, end_s(cues[-1]) + 1.0, begin, end, None, None, ticked(cues))
    off = (SHUT[how], "off_the_board", "gloves_on") if how != "lamp" else (SHUT[how], "off_the_board", "gloves")
    going, liquid = said_in_turn([(off, TO_TRAYS_S)], after)
    cues += going
    cues.append(Spoken(liquid - 10.0, "ready", voice.number(10), tone_s("ready")))
    run, white, over = run_cues(process, liquid)
    return SheetTrack(how, over, begin, end, liquid, white, ticked([*cues, *run]))


def _before(how: Given, process: Process | None, no_light: bool, flash: bool) -> Sequence[tuple[tuple[str, ...], float]]:
    """What is said, each with the time it leaves [s], before the count: the checklist in the light, then the paper."""
    parts: list[tuple[tuple[str, ...], float]] = [(("checklist",), 0.8)]
    if process:
        parts += [((clip,), pause) for clip, pause in _checklist(process)]
    if how == "lamp":
        parts += [(("lamp_dry",), TOUCH_S), (("negative_ready",), TOUCH_S)]
    else:
        parts += [(("sitter_set",), TOUCH_S), (("sun_off",), TOUCH_S)]
    parts += [(("flashed_once",), TOUCH_S)] if flash else []
    parts += [(("box_near",), TOUCH_S), (("screen_off",), 3.0)]
    light = LIGHT[process.sensitivity] if process else "no_light" if no_light else "light_allowed"
    parts += [((light,), 3.0)]
    parts += [((SHUT[how],), 1.5), (("take_paper",), PAPER_S), (("emulsion_side",), TOUCH_S)]
    if how == "lamp":
        parts += [(("paper_flat",), PAPER_S / 2), (("under_negative",), PAPER_S / 2)]
    else:
        parts += [(("paper_board",), PAPER_S)]
    parts += [(("box_is_shut",), TOUCH_S), (("nothing_moves",), 2.0) if how == "lamp" else (("sitter_ready",), 2.0)]
    return parts


def _checklist(process: Process) -> list[tuple[str, float]]:
    """What this run asks of the room, from the door to the trays, each with the time to see to it [s]."""
    coffee = [("coffee_label", TOUCH_S)] if process.developer == "coffee" else []
    colour = [("white_lamp", TOUCH_S)] if any(s.wants == "white" for s in process.steps) else []
    dark = [("lamps_off", TOUCH_S)] if process.sensitivity == "colour" else []
    return [
        ("told_where", TOUCH_S), ("way_out", TOUCH_S), ("gloves_on", TOUCH_S), *coffee, ("trays_known", TRAYS_S), ("measured", TOUCH_S),
        ("found_by_touch", TRAYS_S), *colour, *dark,
    ]  # fmt: skip


def dark_run(process: Process, lead_s: float) -> tuple[tuple[Spoken, ...], float]:
    """The cues of a run in the dark that begins with the sheet in the hand, its first liquid after `lead_s` [s]; and the whole [s].

    The moments of the tones are those of `firstsheet.trays.cues.schedule`; words follow them.
    """
    run, _, over = run_cues(process, lead_s)
    lead = [
        Spoken(c.at_s, c.kind, voice.number(10) if c.kind == "ready" else (), tone_s("ready"))
        for c in schedule(process, lead_s)
        if c.at_s < lead_s
    ]
    said = [(0.8, ("lights_on_first",)), (4.6, ("screen_off",)), (11.0, ("no_light",)), (21.0, ("in_hand",))]
    lead += [Spoken(at, "", clips) for at, clips in said if at + voice.lasts_s(clips) < lead_s - 12.0]
    return ticked([*lead, *run]), over


def volume_test(how: Given) -> tuple[tuple[Spoken, ...], float]:
    """What is tried before a box is opened: the softest sounds there are, heard from the trays; then the sitter’s. And the whole [s]."""
    cues, at = said_in_turn([(("volume_test",), 7.0)], 0.5)
    cues += [Spoken(at, "tick", ()), Spoken(at + 2.0, "", ("in_word",)), Spoken(at + 4.0, "tick", ())]
    cues.append(Spoken(at + 6.0, "", ("volume_asked",)))
    if how != "lamp":
        count = end_s(cues[-1]) + 2.0
        cues += [Spoken(count, "", ("sitter_ready",))]
        cues += [Spoken(count + 5.0 + n, "", (k,)) for n, k in enumerate(("sitter_3", "sitter_2", "sitter_1", "still"))]
        cues += [Spoken(count + 10.0, "", ("you_may_move",)), Spoken(count + 12.0, "", ("volume_sitter",))]
    return tuple(sorted(cues, key=lambda c: c.at_s)), end_s(max(cues, key=lambda c: c.at_s)) + 1.0


def moments(track: SheetTrack, process: Process | None) -> tuple[Moment, ...]:
    """What may be marked, in order; no two of them at one time. Light of less than four seconds is marked once, when it is over."""
    middle = (track.open_s + track.close_s) / 2.0
    longer = track.close_s - track.open_s >= BY_HAND_S
    out = [Moment("opened", "", track.open_s, track.open_s - 2.0, middle)] if longer else []
    out.append(Moment("capped", "", track.close_s, middle if longer else track.open_s, track.close_s + 10.0))
    if process is None or track.first_s is None:
        return tuple(out)
    starts = {c.number: c.at_s for c in track.cues if c.tone == "start"}
    lifts = iter([c.at_s for c in track.cues if c.tone == "lift"])
    for number, step in enumerate(process.steps, 1):
        at = next(lifts, None)
        if at is None:
            break
        begin = starts[number]
        early = begin + min(step.low_s, max(0.0, step.seconds - EARLY_S))
        late = starts.get(number + 1, at + step.drain_s) + LATE_S
        out.append(Moment("lifted", step.key, at, max(early, out[-1].to_s), late))
    over = next((c.at_s for c in track.cues if c.tone == "drain_end"), None)
    if over is not None:
        out.append(Moment("finished", "", over, max(over, out[-1].to_s), max(over, out[-1].to_s) + 60.0))
    return tuple(out)


def file_bytes(total_s: float, rate: int = 8000) -> int:
    """Size of the sound file: 16 bit a sample after a head of 44 bytes."""
    return 44 + 2 * round(total_s * rate)
