"""A schedule of cues as one sound file: cues inside one playing file do not drift against each other."""

from __future__ import annotations

import io
import math
import sys
import wave
from array import array
from collections.abc import Sequence

from firstsheet.trays import voice
from firstsheet.trays.cues import Cue, Note, tone
from firstsheet.trays.striptrack import Spoken

FULL = 32767
RAMP_S = 0.002  # enough against clicks, too short to blur an onset
TAIL_S = 2.0
GAP_S = 0.035  # of silence before every sound


def render_wav(schedule: Sequence[Cue], rate: int = 8000) -> bytes:
    """A mono 16-bit WAV file in which each cue begins at sample round(at_s · rate).

    schedule  cues with `at_s` ≥ 0 from the start of the file [s], in any order
    rate      samples per second [1/s]; at least twice the highest note
    """
    shapes: dict[tuple[str, int], array[int]] = {}
    placed = []
    for cue in schedule:
        which = (cue.kind, cue.number if cue.kind == "start" else 0)
        if which not in shapes:
            shapes[which] = _shape(tone(cue.kind, cue.number), rate)
        placed.append((cue.at_s, shapes[which]))
    return _wav(placed, max((c.at_s for c in schedule), default=0.0) + TAIL_S, rate)


def render_spoken(cues: Sequence[Spoken], total_s: float, rate: int = 8000) -> bytes:
    """The same of spoken cues: each begins, with its tone where it has one, at sample round(at_s · rate).

    total_s  length of the file [s]; rate: that of the clips [1/s]
    """
    placed = []
    shapes: dict[tuple[str, int], array[int]] = {}
    for cue in cues:
        if cue.tone:
            which = (cue.tone, cue.number)
            if which not in shapes:
                shapes[which] = _shape(tone(cue.tone, cue.number), rate)
            placed.append((cue.at_s, shapes[which]))
        if cue.clips:
            placed.append((cue.at_s + cue.after_s, voice.joined(cue.clips, rate)))
    return _wav(placed, total_s, rate)


def _wav(placed: Sequence[tuple[float, array[int]]], total_s: float, rate: int) -> bytes:
    """The sounds each from its moment [s]; one that is not over `GAP_S` before the next begins is faded out there, so that each has an onset."""
    count = round(total_s * rate)
    samples = array("h", bytes(2 * count))
    firsts = [(round(at_s * rate), shape) for at_s, shape in sorted(placed, key=lambda p: p[0])]
    nexts = [*(first for first, _ in firsts[1:]), count + round(GAP_S * rate)]
    for (first, shape), following in zip(firsts, nexts, strict=False):  # one more where there is none at all
        room = max(0, min(len(shape), following - first - round(GAP_S * rate), count - first))
        samples[first : first + room] = shape[:room] if room == len(shape) else _faded(shape[:room], rate)
    if sys.byteorder == "big":
        samples.byteswap()
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(samples.tobytes())
    return out.getvalue()


def _faded(shape: array[int], rate: int) -> array[int]:
    many = min(len(shape), round(RAMP_S * rate))
    for i in range(many):
        shape[-1 - i] = round(shape[-1 - i] * i / many)
    return shape


def _shape(notes: tuple[Note, ...], rate: int) -> array[int]:
    length = max(round((n.at_s + n.for_s) * rate) for n in notes)
    shape = array("h", bytes(2 * length))
    for note in notes:
        first, many = round(note.at_s * rate), round(note.for_s * rate)
        for i in range(many):
            ramp = min(1.0, (i + 1) / (RAMP_S * rate), (many - i) / (RAMP_S * rate))
            # a cosine starts at its peak: the onset is the first sample, not a quarter wave later
            shape[first + i] = round(FULL * note.gain * ramp * math.cos(2 * math.pi * note.hz * i / rate))
    return shape
