"""A test strip led by ear: what its sound file says and when, and what each step then got."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet import quantities as q
from firstsheet import tables
from firstsheet.acts import calibrate
from firstsheet.acts.sheet import sheet
from firstsheet.exposure.hand import HAND_LEAST_S, HAND_SD_S
from firstsheet.paper import response
from firstsheet.refusal import Refusal
from firstsheet.trays import striptrack
from firstsheet.trays.soundtrack import render_spoken
from firstsheet.trays.striptrack import How

if TYPE_CHECKING:
    from firstsheet.acts.door import Form
    from firstsheet.acts.reader import Reader

HOW: dict[str, How] = {"even_tone": "cap", "opal": "cap", "lamp": "lamp", "tablet": "tablet"}
BEFORE = {
    "cap": "Sitter or grey card in place, lens focused, stop set, lens capped; the box of paper and a card as wide as the strip within reach.",
    "opal": "Opal glass or tracing paper over the lens, stop set, lens capped over it; the box of paper and a card as wide as the strip within reach.",
    "lamp": "Lamp hung and tried, then off; its switch, the box of paper and a card as wide as the strip within reach of your hands.",
    "tablet": "Lamp hung and tried, then off; its switch, the box of paper, the step tablet and the glass within reach of your hands.",
}  # common practice, no source
FIRST = "If anything happens, white light first: the strip is worth less."
NO_LIGHT = "This paper bears no light at all, not even red: from opening its box until the strip is stopped and rinsed, or back in the dark."
SCREEN_DARK = "No screen for this paper: begin the sound, then the phone face down in a pouch, sound up, before the box is opened."
SCREEN = "A screen is a lamp: begin the sound, then put the phone face down in a pouch, sound up, or test it with your paper first."


@dataclass(frozen=True, slots=True)
class TrackStep:
    """One exposure of the strip: its light from open_s to close_s of the sound [s], the steps that were open for it.

    time_s    of this opening; whole_s: what the step that is covered after it got in all [s]
    sd_stops  doubt of the whole by hand [stop]
    """

    step: int
    open_steps: int
    open_s: float
    close_s: float
    time_s: float
    whole_s: float
    sd_stops: float


@dataclass(frozen=True, slots=True)
class TrackCue:
    """What is heard at a moment of the sound [s]."""

    at_s: float
    words: str


@dataclass(frozen=True, slots=True)
class StripTrack:
    """cautions come first and in that order; before: what must be in place; notes: what to mind."""

    how: str
    total_s: float
    cautions: tuple[str, ...]
    before: tuple[str, ...]
    steps: tuple[TrackStep, ...]
    cues: tuple[TrackCue, ...]
    notes: tuple[str, ...]


def of_making(reader: Reader, form: Form | None = None) -> StripTrack:
    """The track of a strip to be made: the fields of `calibrate.instructions`. Refusal with every problem."""
    return _told(_making(reader, form))


def of_sheet(reader: Reader, code: str) -> StripTrack:
    """The track of a test strip that was kept as a sheet: its own times, covered step by step."""
    return _told(_sheet(reader, code))


def wav_of_making(reader: Reader, form: Form | None = None) -> bytes:
    return _wav(_making(reader, form))


def wav_of_sheet(reader: Reader, code: str) -> bytes:
    return _wav(_sheet(reader, code))


def clock(at_s: float) -> str:
    """A moment of the sound to a tenth [s], as on a clock.

    >>> clock(61.26), clock(5.0)
    ('1:01.3', '0:05.0')
    """
    tenths = round(10.0 * at_s)
    return f"{tenths // 600}:{tenths % 600 // 10:02d}.{tenths % 10}"


Moves = list[tuple[int, float]]


@dataclass(frozen=True, slots=True)
class _Asked:
    """before: the key of what must be in place; no_light: for a paper that bears none."""

    moves: Moves
    how: How
    before: str
    no_light: bool


def bears_no_light(reader: Reader, way: str | None, box: str | None) -> bool:
    """Whether this way of working, or the paper in this box, bears no light at all."""
    way_is = way is not None and response.way_of(way)["sensitivity"] == "colour"
    papers = (t["body"]["paper"] for t in reader.things("box") if t["name"] == box)
    return way_is or any(tables.load("papers")[p]["sensitivity"] == "colour" for p in papers if p)


def _making(reader: Reader, form: Form | None) -> _Asked:
    made = calibrate.instructions(reader, form)
    how = HOW[made.way]
    today = reader.get_setting("today") or {}
    dark = bears_no_light(reader, today.get("way"), today.get("box"))
    before = made.way if made.way in BEFORE else how
    if how == "tablet":
        first = (form or {}).get("first")
        return _Asked([(len(made.steps), q.duration_s(str(first), bare="s") if first else 1.0)], how, before, dark)
    moves = [(s.open_steps, s.time_s) for s in made.steps if s.open_steps is not None and s.time_s is not None]
    return _Asked(moves, how, before, dark)


def _sheet(reader: Reader, code: str) -> _Asked:
    now = sheet(reader, code)
    if not now.strip:
        raise Refusal.one(
            "sheet", now.code, "A test strip.", "Keep one: firstsheet expose --strip, or “Test strip first”."
        )
    how: How = "lamp" if now.plan["way"] == "contact_print" else "cap"
    dark = bears_no_light(reader, now.plan["way"], now.plan["box"])
    return _Asked(moves_of(now.plan["strip"]["times_s"]), how, how, dark)


def moves_of(times_s: Sequence[float]) -> Moves:
    """Steps open and seconds more, from what each step gets in all [s], shortest first."""
    before = [0.0, *times_s[:-1]]
    return [(len(times_s) - k, t - b) for k, (t, b) in enumerate(zip(times_s, before, strict=True))]


def _wav(asked: _Asked) -> bytes:
    track = striptrack.strip_track(asked.moves, asked.how, no_light=asked.no_light)
    return render_spoken(track.cues, track.total_s)


def _told(asked: _Asked) -> StripTrack:
    how = asked.how
    track = striptrack.strip_track(asked.moves, how, no_light=asked.no_light)
    steps = tuple(
        TrackStep(o.step, o.open_steps, o.open_s, o.close_s, o.time_s, o.whole_s, math.log2(1.0 + HAND_SD_S * math.sqrt(o.step) / o.whole_s))
        for o in track.openings
    )  # fmt: skip
    cues = tuple(TrackCue(c.at_s, c.words) for c in track.cues)
    sun = ("Keep the sun out of the lens: behind it, it sets fire. Cap it until the tone.",) if how == "cap" else ()
    lamp = () if how == "cap" else ("Lamp, switch and leads away from trays and wet hands.",)
    dark = (NO_LIGHT,) if asked.no_light else ()
    return StripTrack(
        how,
        track.total_s,
        (FIRST, *dark, *sun, *lamp),
        (BEFORE[asked.before], SCREEN_DARK if asked.no_light else SCREEN),
        steps,
        cues,
        _notes(asked.moves, how),
    )


def _notes(moves: Moves, how: How) -> tuple[str, ...]:
    shortest, first = min(t for _, t in moves), moves[0][1]
    if shortest >= HAND_LEAST_S:
        return ()
    grown = math.ceil(10.0 * first * HAND_LEAST_S / shortest) / 10.0
    by = "by cap" if how == "cap" else "by a switch"
    dim = "a smaller stop" if how == "cap" else "a dimmer lamp"
    return (
        f"The shortest opening is {shortest:.2g} s: less than a second {by} is a gamble. With a first step of {grown:g} s "
        f"and {dim}, none is shorter than a second.",
    )
