"""The soft tick that says that the sound still goes: how long a cue sounds, and where ticks belong between cues.

The rule: while nothing else is heard a tick sounds every ten seconds, counted in a tray from going into it, in an exposure on whole tens of
seconds left, elsewhere from the last thing heard. It is left out only where another cue begins within a second of it, or still sounds. So
no eleven seconds are silent.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from firstsheet.trays import voice
from firstsheet.trays.cues import CLEAR_S, PIP, PIP_EVERY_S, TICK_S, TONES, tone
from firstsheet.trays.striptrack import Spoken


def tone_s(kind: str, number: int = 1) -> float:
    """From the onset of a tone to where a word may follow [s]."""
    end = (number - 1) * PIP_EVERY_S + PIP.for_s if kind == "start" else max(n.at_s + n.for_s for n in TONES[kind])
    return end + 0.1


def end_s(cue: Spoken) -> float:
    """When the cue is over, its tone and its words [s]."""
    words = cue.after_s + voice.lasts_s(cue.clips) if cue.clips else 0.0
    sound = max(n.at_s + n.for_s for n in tone(cue.tone, cue.number)) if cue.tone else 0.0
    return cue.at_s + max(words, sound)


def ticked(cues: Sequence[Spoken]) -> tuple[Spoken, ...]:
    """In order, without the ticks that fall upon other cues, with those that are wanting between."""
    firm = sorted((c for c in cues if c.tone != "tick"), key=lambda c: c.at_s)
    out = firm + [t for t in cues if t.tone == "tick" and _clear(t.at_s, firm)]
    out.sort(key=lambda c: c.at_s)
    more = []
    for a, b in pairwise(out):
        at = a.at_s + TICK_S
        while at <= b.at_s - CLEAR_S:
            if end_s(a) < at:
                more.append(Spoken(at, "tick", ()))
            at += TICK_S
    return tuple(sorted([*out, *more], key=lambda c: c.at_s))


def _clear(at: float, firm: Sequence[Spoken]) -> bool:
    return all(abs(c.at_s - at) >= CLEAR_S and not c.at_s <= at < end_s(c) + 0.1 for c in firm)
