"""A sheet led by ear, from the checklist through the exposure and its run to white light; or its exposure alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet import wording
from firstsheet.acts.run import process_of
from firstsheet.acts.sheet import sheet
from firstsheet.acts.strip_track import SCREEN, SCREEN_DARK, TrackCue, bears_no_light
from firstsheet.refusal import Refusal
from firstsheet.trays import sheettrack, traytrack
from firstsheet.trays.process import Process
from firstsheet.trays.sheettrack import Given
from firstsheet.trays.soundtrack import render_spoken

if TYPE_CHECKING:
    from firstsheet.acts.answers import SheetState
    from firstsheet.acts.reader import Reader

FIRST = "If anything happens, white light first: the sheet is worth less."
SUN = "Keep the sun out of the lens: behind it, it sets fire. Cap it until the tone."
LAMP = "Lamp, switch and leads away from trays and wet hands."
AGAIN = "This sheet’s run has begun already: told to the letter, the sound would expose it once more."
BEFORE = {
    "lens": "Sitter in place, focused, stop set, lens shut; the box of paper within reach.",
    "lamp": "Lamp hung and tried, then off; its switch, the box of paper, the negative and the glass within reach.",
}  # common practice, no source
TRAYS = "Every tray in its order, water, lamp switch and door known by touch; gloves on before the sound begins."
GIVEN: dict[str, Given] = {
    "by lens cap": "cap",
    "by a hand flap": "flap",
    "by the shutter": "shutter",
    "by the shutter, held open": "held",
    "by the lamp’s switch": "lamp",
}  # fmt: skip; what a plan says of the hand or the shutter


@dataclass(frozen=True, slots=True)
class TrackMoment:
    """What a hand may mark: kind and step of its mark, when the sound tells it, from when to when a mark is taken for it [s]."""

    kind: str
    step: str
    at_s: float
    from_s: float
    to_s: float


@dataclass(frozen=True, slots=True)
class SheetTrack:
    """A sheet's sound. cautions come first; before: what must be in place; notes: what is longer today and why, what goes by a clock.

    how               cap, flap, shutter, held (a shutter held open) or lamp
    whole             whether the run is in it too
    no_light          whether its paper bears none, so that the screen must be off
    time_s            of the exposure; open_s, close_s: from when to when in the sound [s]
    first_s, white_s  when the first liquid comes, when white light may be switched on [s]; None where only the exposure is told
    bytes             size of the sound file
    """

    code: str
    how: str
    whole: bool
    no_light: bool
    total_s: float
    bytes: int
    time_s: float
    open_s: float
    close_s: float
    first_s: float | None
    white_s: float | None
    cautions: tuple[str, ...]
    before: tuple[str, ...]
    notes: tuple[str, ...]
    cues: tuple[TrackCue, ...]
    moments: tuple[TrackMoment, ...]


def of(reader: Reader, code: str, *, exposure_only: bool = False) -> SheetTrack:
    """The sound of a sheet that was kept, given as planned. Refusal for a test strip, which has its own."""
    now = _sheet(reader, code)
    made, process = _made(reader, now, exposure_only)
    lamp = made.how == "lamp"
    dark = bears_no_light(reader, now.plan["way"], now.plan["box"])
    again = (AGAIN,) if now.state not in ("planned", "flashed", "exposed") else ()
    before = (BEFORE["lamp" if lamp else "lens"], *((TRAYS,) if process else ()), *_flash_words(now), *_pack_words(now), SCREEN_DARK if dark else SCREEN)
    marked = sheettrack.moments(made, process)
    return SheetTrack(
        now.code, made.how, process is not None, dark, made.total_s, sheettrack.file_bytes(made.total_s), float(now.plan["time_s"]),
        made.open_s, made.close_s, made.first_s, made.white_s,
        (FIRST, *again, LAMP if lamp else SUN, *(process.cautions if process else ())), before, _notes(process),
        tuple(TrackCue(c.at_s, c.words) for c in made.cues),
        tuple(TrackMoment(m.kind, m.step, m.at_s, m.from_s, m.to_s) for m in marked),
    )  # fmt: skip


def wav(reader: Reader, code: str, *, exposure_only: bool = False) -> bytes:
    """The sound itself (WAV), made anew by the baths as they are."""
    made, _ = _made(reader, _sheet(reader, code), exposure_only)
    return render_spoken(made.cues, made.total_s)


def volume(how: str = "cap") -> tuple[TrackCue, ...]:
    """What is heard in the test of the volume."""
    return tuple(TrackCue(c.at_s, c.words) for c in sheettrack.volume_test(_given(how))[0])


def volume_wav(how: str = "cap") -> bytes:
    """The sound to try the volume with before a box is opened (WAV); with lamp, without the sitter’s part. Refusal for another way."""
    return render_spoken(*sheettrack.volume_test(_given(how)))


def _given(how: str) -> Given:
    for known in GIVEN.values():
        if how == known:
            return known
    raise Refusal.one("how", how, "One of: " + ", ".join(GIVEN.values()) + ".", "Leave it out for a lens cap.")


def _sheet(reader: Reader, code: str) -> SheetState:
    now = sheet(reader, code)
    if now.strip:
        hint = "A test strip has a sound of its own: firstsheet strip track --sheet " + now.code
        raise Refusal.one("sheet", now.code, "A sheet.", hint)
    if now.patches:
        raise Refusal.one("sheet", now.code, "A sheet of one picture; patches are given by hand, one after another.", "Its run at the trays leads it: firstsheet run " + now.code)
    return now


def _made(reader: Reader, now: SheetState, exposure_only: bool) -> tuple[sheettrack.SheetTrack, Process | None]:
    process = None if exposure_only else process_of(reader, now.code)
    how: Given = "lamp" if now.plan["way"] == "contact_print" else GIVEN.get(now.plan.get("how_given", ""), "cap")
    dark = bears_no_light(reader, now.plan["way"], now.plan["box"])
    return sheettrack.sheet_track(float(now.plan["time_s"]), how, process, no_light=dark, flash=bool(now.plan.get("flash_share"))), process


def _pack_words(now: SheetState) -> tuple[str, ...]:
    """The pack that belongs on the lens, for colour paper."""
    pack = now.plan.get("pack")
    return (f"On the lens: {pack['words']}.",) if pack else ()


def _flash_words(now: SheetState) -> tuple[str, ...]:
    """What is still to be done about a flash that was planned."""
    if not now.plan.get("flash_share"):
        return ()
    if now.flashed:
        return ("It is flashed: once is enough.",)
    return ("It is to be flashed, once, before the picture or after it: firstsheet flash dose tells the seconds, firstsheet flash given notes it.",)


def _notes(process: Process | None) -> tuple[str, ...]:
    if process is None:
        return ()
    clocked = traytrack.by_clock(process)
    left = [f"{s.tray} {wording.seconds(s.seconds)}" for s in process.steps[clocked - 1 :]] if clocked else []
    by_clock = (f"Longer than a sound serves, so by a clock, in white light: {', '.join(left)}.",) if left else ()
    changed = (f"{s.tray[:1].upper()}{s.tray[1:]}: {s.changed}." for s in process.steps if s.changed)
    return (*changed, *by_clock)
