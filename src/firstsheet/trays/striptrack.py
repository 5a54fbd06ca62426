"""A test strip told by ear: what to hold, the tone at which light begins, the seconds left, the tone at which it ends, the card.

Every exposure is counted backwards on whole seconds to its end, and counted in on whole seconds to its beginning, so that the
hand answers both in the same way and what it is late by falls out of the difference.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from firstsheet.refusal import Problems
from firstsheet.trays import voice

How = Literal["cap", "lamp", "tablet"]
LONGEST_S = 3600.0  # of one opening
MOST_OPENINGS = 40
PAPER_S = 30.0  # to take the paper out and lay or mount it by touch
TONE_SAID_S = 5.4  # from “… at the tone” to the tone: the sentence, then three, two, one
SITTER_SAID_S = 6.4  # the same where a sitter is counted in: three, two, one, still
MOVE_S = 6.2  # from the end of an opening to the next “… at the tone”
AFTER_S = 1.4  # from the end of the last opening to “Done”
WORD_S = 0.45  # the word at the end of an opening, after its two notes
ROOM_S = 0.62  # a number is spoken within this
TICK_S = 10.0
TICK = "(tick)"
SAYS = {
    "cap": ("uncover", "cap"),
    "flap": ("uncover", "lens_shut"),
    "shutter": ("release", "cap"),
    "held": ("open_shutter", "lens_shut"),
    "lamp": ("lamp_on", "lamp_off"),
    "tablet": ("lamp_on", "lamp_off"),
}  # fmt: skip; what opens and what ends an exposure


@dataclass(frozen=True, slots=True)
class Spoken:
    """One cue: at `at_s` [s] from the start of the file its tone ("open", "close", "tick" or ""), then its clips.

    after_s  from the onset of the cue to its first word [s]; 0 where no tone comes first
    number   of pips, where the tone is the start of a step
    """

    at_s: float
    tone: str
    clips: tuple[str, ...]
    after_s: float = 0.0
    number: int = 1

    @property
    def words(self) -> str:
        return (
            voice.said(self.clips) if self.clips else {"open": "(tone: light on)", "tick": TICK}.get(self.tone, "")
        )


@dataclass(frozen=True, slots=True)
class Opening:
    """One exposure: light from open_s to close_s of the file [s] for the `open_steps` steps that are not covered.

    step     the step that is covered after it, 1 the least exposed
    time_s   of this opening; whole_s: what that step got in all
    """

    step: int
    open_steps: int
    open_s: float
    close_s: float
    time_s: float
    whole_s: float


@dataclass(frozen=True, slots=True)
class StripTrack:
    how: How
    total_s: float
    openings: tuple[Opening, ...]
    cues: tuple[Spoken, ...]


def strip_track(moves: Sequence[tuple[int, float]], how: How, *, no_light: bool = False) -> StripTrack:
    """The cues of a strip made by these moves: (steps open, seconds of light), all open first.

    how       "cap": in the camera, by the lens cap; "lamp": by the switch of a lamp; "tablet": one exposure, nothing is covered
    no_light  for a paper that bears none, not even red: it is said so, and the screen goes off first
    Raises Refusal for no move or more than 40, for an opening of nothing or of more than an hour.
    """
    found = Problems()
    if not 1 <= len(moves) <= MOST_OPENINGS or (how == "tablet" and len(moves) != 1):
        found.add("steps", len(moves), f"From 1 to {MOST_OPENINGS} exposures; one under a step tablet.")
    for k, (_, time_s) in enumerate(moves, 1):
        if not 0.05 <= time_s <= LONGEST_S:  # NaN fails this too
            found.add(
                "first",
                f"step {k}: {time_s:g} s",
                "Each opening from 0.05 s to an hour.",
                "Choose another first step, or a smaller factor.",
            )
    found.raise_if_any()
    cues, at = _before(moves, how, no_light)
    openings: list[Opening] = []
    for k, (open_steps, time_s) in enumerate(moves):
        some, begin, end = opening(at, time_s, how)
        cues += some
        whole = sum(t for _, t in moves[: k + 1])
        openings.append(Opening(k + 1, open_steps, begin, end, time_s, whole))
        if k + 1 < len(moves):
            cues.append(Spoken(end + 1.9, "", ("move_card",)))
            left = moves[k + 1][0]
            cues.append(Spoken(end + 4.3, "", (*voice.number(left), "step_open" if left == 1 else "steps_open")))
            at = end + MOVE_S + 0.4
    done = ("done_camera",) if how == "cap" else ("done_lamp",)
    cues.append(Spoken(openings[-1].close_s + AFTER_S + 0.4, "", done))
    total = cues[-1].at_s + voice.lasts_s(done) + 1.0
    return StripTrack(how, total, tuple(openings), tuple(sorted(cues, key=lambda c: c.at_s)))


def opening(at: float, time_s: float, how: str, *, sitter: bool = False) -> tuple[list[Spoken], float, float]:
    """One exposure, announced from `at` [s] on: its cues, and when its light begins and ends [s].

    how     a key of `SAYS`
    sitter  counted aloud for someone behind a wall: three, two, one, still, each a second apart, then the tone
    """
    begins, ends = SAYS[how]
    begin = at + (SITTER_SAID_S if sitter else TONE_SAID_S)
    end = begin + time_s
    cues = [Spoken(at, "", (begins,))]
    if sitter:
        beats = ("sitter_3", "sitter_2", "sitter_1", "still")
        cues += [Spoken(begin - 4.0 + n, "", (k,)) for n, k in enumerate(beats)]
    else:
        cues += [Spoken(begin - n, "", voice.number(n)) for n in (3, 2, 1)]
    cues.append(Spoken(begin, "open", ()))
    cues += _left(begin, time_s)
    cues.append(Spoken(end, "close", (ends,), WORD_S))
    return cues, begin, end


def said_in_turn(parts: Sequence[tuple[tuple[str, ...], float]], at: float) -> tuple[list[Spoken], float]:
    """Sentences one after the other from `at` [s], each with the time it leaves to do it [s]; ticks in long pauses; and the end."""
    cues = []
    for clips, pause in parts:
        cues.append(Spoken(at, "", clips))
        begin, at = at, at + voice.lasts_s(clips) + pause
        ticks = int((at - begin) // TICK_S)
        cues += [Spoken(begin + TICK_S * n, "tick", ()) for n in range(1, ticks + 1) if begin + TICK_S * n < at - 1.0]
    return cues, at


def _before(moves: Sequence[tuple[int, float]], how: How, no_light: bool) -> tuple[list[Spoken], float]:
    """What is said before the first light, and when that may begin [s]."""
    first: tuple[str, ...] = ("tablet",) if how == "tablet" else ("test_strip", *voice.number(len(moves)), "steps")
    parts: list[tuple[tuple[str, ...], float]] = [
        (("lights_on_first",), 1.2),
        (first, 1.0),
        (("lens_capped",) if how == "cap" else ("lamp_is_off",), 1.0),
        *([(("screen_off",), 1.5), (("no_light",), 1.5)] if no_light else [(("light_allowed",), 1.2)]),
        (("paper_board",) if how == "cap" else ("paper_flat",), PAPER_S),
    ]
    parts += [(("tablet_on",), PAPER_S / 2), (("nothing_moves",), 3.0)] if how == "tablet" else [(("card_clear",), 8.0)]
    return said_in_turn(parts, 0.5)


def _left(begin: float, time_s: float) -> list[Spoken]:
    """The seconds left, spoken on whole seconds before the end: each of the last ten, then tens, then minutes; ticks between."""
    out = []
    for left in range(1, int(time_s) + 1):
        if time_s - left < (0.35 if left == 1 else ROOM_S):  # still the tone at the beginning
            continue
        at = begin + time_s - left
        if left <= 10 or (left < 60 and left % 10 == 0):
            out.append(Spoken(at, "", voice.number(left)))
        elif left % 60 == 0 and left < 3600:
            out.append(Spoken(at, "", (*voice.number(left // 60), "minute" if left == 60 else "minutes")))
        elif left % 10 == 0:
            out.append(Spoken(at, "tick", ()))
    return out
