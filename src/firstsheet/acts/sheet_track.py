"""A sheet led by ear: its exposure, and where its paper bears no light at all, everything from the box to white light."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet.acts.run import process_of
from firstsheet.acts.sheet import sheet
from firstsheet.acts.strip_track import SCREEN, TrackCue
from firstsheet.refusal import Refusal
from firstsheet.trays import sheettrack
from firstsheet.trays.process import Process
from firstsheet.trays.soundtrack import render_spoken

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader

FIRST = "If anything happens, white light first: the sheet is worth less."
SUN = "Keep the sun out of the lens: behind it, it sets fire. Cap it until the tone."
LAMP = "Lamp, switch and leads away from trays and wet hands."
BEFORE = {
    "cap": "Sitter in place, focused, stop set, lens capped; the box of paper within reach.",
    "lamp": "Lamp hung and tried, then off; its switch, the box of paper, the negative and the glass within reach.",
}  # common practice, no source
TRAYS = "Every tray in its order, water, lamp switch and door known by touch; gloves on before the sound begins."


@dataclass(frozen=True, slots=True)
class SheetTrack:
    """A sheet's sound. cautions come first; before: what must be in place.

    whole             whether the run is in it too, for a paper that bears no light
    time_s            of the exposure; open_s, close_s: from when to when in the sound [s]
    first_s, white_s  when the first liquid comes, when light may be switched on [s]; None where only the exposure is told
    """

    code: str
    how: str
    whole: bool
    total_s: float
    time_s: float
    open_s: float
    close_s: float
    first_s: float | None
    white_s: float | None
    cautions: tuple[str, ...]
    before: tuple[str, ...]
    cues: tuple[TrackCue, ...]


def of(reader: Reader, code: str) -> SheetTrack:
    """The sound of a sheet that was kept, given as planned. Refusal for a test strip, which has its own."""
    made, time_s, whole, told = _made(reader, code)
    caution = SUN if made.how == "cap" else LAMP
    process_cautions = told.cautions if told else ()
    before = (BEFORE[made.how], *((TRAYS,) if whole else ()), SCREEN)
    cues = tuple(TrackCue(c.at_s, c.words) for c in made.cues)
    return SheetTrack(sheet(reader, code).code, made.how, whole, made.total_s, time_s, made.open_s, made.close_s, made.first_s, made.white_s,
                      (FIRST, caution, *process_cautions), before, cues)  # fmt: skip


def wav(reader: Reader, code: str) -> bytes:
    made = _made(reader, code)[0]
    return render_spoken(made.cues, made.total_s)


def _made(reader: Reader, code: str) -> tuple[sheettrack.SheetTrack, float, bool, Process | None]:
    now = sheet(reader, code)
    if now.strip:
        raise Refusal.one(
            "sheet",
            now.code,
            "A sheet.",
            "A test strip has a sound of its own: firstsheet strip track --sheet " + now.code,
        )
    process = process_of(reader, code)
    told = process if process.steps[0].light == "none" else None
    time_s = float(now.plan["time_s"])
    made = sheettrack.sheet_track(time_s, "lamp" if now.plan["way"] == "contact_print" else "cap", told)
    return made, time_s, told is not None, told
