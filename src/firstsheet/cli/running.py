"""`run`: the timed work at the trays, in a terminal. Marks go into the book as they happen."""

from __future__ import annotations

import queue
import sys
import threading
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

import typer

from firstsheet.cli.face import Here, Shown, act, wrapped
from firstsheet.cli.loop import Code
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.strip_track import TrackCue
    from firstsheet.book.store import Book
    from firstsheet.cli import timer
    from firstsheet.trays.process import Process

FASTEST = 100_000.0


def register(app: typer.Typer) -> None:
    act(app, "run")(run)
    act(app, "track")(track)
    act(app, "volume")(volume)


def run(
    here: Here,
    code: Code,
    steps: Annotated[bool, typer.Option("--steps", help="Only print the steps.", show_default=False)] = False,
    speed: Annotated[float, typer.Option(min=1.0, max=FASTEST, metavar="N", help="So many times as fast, lifting by itself: to see how it goes. It is marked like any run.")] = 1.0,
    covered: Annotated[bool, typer.Option("--covered", help="The screen is covered where no light is allowed; only the bell tells.", show_default=False)] = False,
) -> Shown:  # fmt: skip
    """Time the trays: a bell at every cue, Enter when you lift."""
    from firstsheet.acts import run as running
    from firstsheet.cli import timer

    if steps:
        with here.reading() as reader:
            process = running.process_of(reader, code)
        lines = [line for words in running.spoken(process) for line in wrapped(words, "", "   ")]
        return Shown(process, [*lines, *before_lines(process)])
    with here.writing() as book:
        run_of = timer.Run.of(book, code)
        _check(run_of, speed, covered)
        told = [] if speed > 1 else _of_tests(book, code)  # a look at how it goes has no paper out
        for line in [*before_lines(run_of.process), *told]:
            here.tell(line)
        face = Terminal(here, quick=speed > 1)
        try:
            ended = timer.play(run_of, face, speed)
        except KeyboardInterrupt:
            ended = "left"
        from firstsheet.acts import sheet as sheets

        state = sheets.sheet(book, code)
    return Shown(state, ["", *wrapped(ENDED[ended].format(code=state.code))], timer.LEFT_OPEN if ended == "left" else 0)


ENDED = {
    "finished": "The run is over. Next: firstsheet judge {code} --border … --seen …",
    "stopped": "Stopped; the sheet stays as it is.",
    "abandoned": "The sheet was given up.",
    "left": "Nobody counts any more; the run stays open in the book. Take it up again: firstsheet run {code}",
}


def before_lines(process: Process) -> list[str]:
    """What is said before every run: white light first if anything happens, then what can hurt, then the screen itself."""
    from firstsheet.trays.runpage import EMERGENCY

    said = ["If anything happens: " + EMERGENCY[0][:1].lower() + EMERGENCY[0][1:], *EMERGENCY[1:], *process.cautions]
    said += [SCREEN_DARK if any(s.light == "none" for s in process.steps) else SCREEN, process.afterwards]
    return ["", *[line for sentence in said for line in wrapped(sentence, "  ", "  ")], ""]


def _of_tests(book: Book, code: str) -> list[str]:
    """What the list before the box opens, and the tests of lamps and room, leave to say of this run; nothing where all is well."""
    from firstsheet.acts import readiness

    try:
        now = readiness.of_sheet(book, code)
    except Refusal:  # its box may have been renamed since; the run goes on without
        return []
    return [] if now.begun else [line for f in now.tests if not f.well for line in wrapped(f.words, "! ", "  ")]


SCREEN_DARK = "No screen for this paper before its first stop and rinse: off, or covered so that nothing shines through."
SCREEN = "A screen is a lamp: keep it turned away from the paper, and test it with the paper like any lamp."


def _check(run_of: timer.Run, speed: float, covered: bool) -> None:
    if run_of.over:
        raise Refusal.one("sheet", run_of.code, "A sheet whose run is not over.", f"It was {run_of.over}.")
    if speed == 1.0 and not covered and any(s.light == "none" for s in run_of.process.steps):
        hint = "Cover the screen and say --covered, or play the sound file of the page: firstsheet page"
        raise Refusal.one("covered", "a lit terminal", "No light at all for this paper.", hint)


@dataclass(slots=True)
class Terminal:
    """What a run needs of a terminal: lines typed, one line redrawn, a bell."""

    here: Here
    quick: bool = False
    typed: queue.SimpleQueue[str | None] | None = None
    last: str = ""

    def listen(self) -> None:
        self.typed = queue.SimpleQueue()
        threading.Thread(target=self._read, args=(self.typed,), daemon=True).start()

    @staticmethod
    def _read(typed: queue.SimpleQueue[str | None]) -> None:
        for line in sys.stdin:
            typed.put(line.strip().lower())
        typed.put(None)

    def wait(self, for_s: float) -> str | None:
        """What was typed within `for_s` [s]; raises queue.Empty where nothing was, EOFError where no more can come."""
        if self.typed is None:
            time.sleep(for_s)
            raise queue.Empty
        line = self.typed.get(timeout=for_s)
        if line is None:
            raise EOFError
        return line

    def bell(self) -> None:
        if not self.here.json and sys.stdout.isatty():
            print("\a", end="", flush=True)

    def show(self, step: str, left: str) -> None:
        """One line redrawn in a terminal; elsewhere one line for each new step."""
        from firstsheet.cli.face import width

        if self.here.json:
            return
        if sys.stdout.isatty():
            line = f"{step}  {left}"
            print("\r" + line[: width() - 1].ljust(width() - 1), end="", flush=True)
        elif step != self.last:
            print(step, flush=True)
        self.last = step

    def blank(self) -> None:
        """Nothing to be seen: the paper tolerates no light."""
        if not self.here.json and sys.stdout.isatty() and self.last:
            print("\x1b[2J\x1b[H", end="", flush=True)
        self.last = ""


def track(
    here: Here,
    code: Code,
    to: Annotated[str | None, typer.Argument(metavar="[FILE.wav]", help="A new file for the sound; without one, only what it says.", show_default=False)] = None,
    exposure: Annotated[bool, typer.Option("--exposure", help="Only the exposure; the trays go by their page or by the timer.", show_default=False)] = False,
) -> Shown:  # fmt: skip
    """A sound that leads you through a sheet without a touch: the checklist, the box, the exposure, every tray, white light."""
    from firstsheet.acts import sheet_track
    from firstsheet.acts.strip_track import clock
    from firstsheet.cli.files import write_new

    with here.reading() as reader:
        found = sheet_track.of(reader, code, exposure_only=exposure)
        data = sheet_track.wav(reader, code, exposure_only=exposure) if to else b""
    if to:
        write_new(to, data)
    lines = [line for c in (*found.cautions, *found.before, *found.notes) for line in wrapped(c)]
    lines += ["", "What is heard; a soft tick every ten seconds between", *heard(found.cues)]
    size = f"{clock(found.total_s)} in all, {found.bytes / 1e6:.0f} MB as sound."
    onward = f"Written to {to}." if to else "Name a file to have it as sound. Before a box is opened: firstsheet volume"
    return Shown(found, [*lines, "", *wrapped(f"{size} {onward}")])


def heard(cues: tuple[TrackCue, ...]) -> list[str]:
    """Each moment and its words, without the ticks."""
    from firstsheet.acts.strip_track import clock
    from firstsheet.trays.striptrack import TICK

    return [f"  {clock(c.at_s):>8}  {c.words}" for c in cues if c.words != TICK]


def volume(
    here: Here,
    to: Annotated[str | None, typer.Argument(metavar="[FILE.wav]", help="A new file for the sound; without one, only what it says.", show_default=False)] = None,
    how: Annotated[str, typer.Option(help="cap, flap, shutter or held for a sitter; lamp for a contact print, without one.")] = "cap",
) -> Shown:  # fmt: skip
    """A sound to try the volume with, from the trays and through the sitter's wall, before a box is opened."""
    from firstsheet.acts import sheet_track
    from firstsheet.acts.strip_track import clock
    from firstsheet.cli.files import write_new

    cues = sheet_track.volume(how)
    if to:
        write_new(to, sheet_track.volume_wav(how))
    lines = [f"  {clock(c.at_s):>8}  {c.words}" for c in cues]
    asked = "Did you hear the tick, the word and the tick from the trays, phone in its pouch? If not, make it louder and try again."
    return Shown({"how": how, "cues": cues}, [*lines, "", *wrapped(asked), *([f"Written to {to}."] if to else [])])
