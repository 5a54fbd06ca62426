"""The loop of a timed run: what time it is, which cues have come, what was marked. It draws nothing itself."""

from __future__ import annotations

import contextlib
import queue
import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

from firstsheet import wording
from firstsheet.acts import run as running
from firstsheet.trays import interrupt, progress
from firstsheet.trays.cues import cues_of

if TYPE_CHECKING:
    from firstsheet.book.store import Book
    from firstsheet.trays.process import Process
    from firstsheet.trays.progress import Mark, Standing

LEFT_OPEN = 2
LOOK_EVERY_S = 0.2
KEYS = (
    "Enter: lift.  b: take back.  i: the image shows.  p: pause.  w and its number: in the wrong tray.  l: lights on, o: off.  "
    "s: stop.  g: give the sheet up.  (each with Enter)"
)


class Face(Protocol):
    """What the loop needs of whoever stands before it."""

    def listen(self) -> None: ...
    def wait(self, for_s: float) -> str | None: ...
    def bell(self) -> None: ...
    def show(self, step: str, left: str) -> None: ...
    def blank(self) -> None: ...


@dataclass(slots=True)
class Run:
    """One run: its process and its marks, those in the book and those made here."""

    book: Book
    code: str
    process: Process
    marks: list[Mark] = field(default_factory=list)
    began_wall_s: float | None = None

    @classmethod
    def of(cls, book: Book, code: str) -> Run:
        found = cls(book, code.strip().upper(), running.process_of(book, code))
        for m in running.run_marks(book, code):
            found.marks.append(progress.Mark(m["kind"], m["step"], m["elapsed_s"] or 0.0))
            if m["kind"] == "begun":
                found.began_wall_s = m["wall_ms"] / 1000.0
        return found

    @property
    def over(self) -> str:
        """How the run ended, "" while it has not."""
        return next((m.kind for m in self.marks if m.kind in progress.ENDS), "")

    def mark(self, kind: str, step: str, at_s: float) -> None:
        """Keep one mark now: in the book before anything else happens."""
        row = {
            "id": secrets.token_hex(8),
            "kind": kind,
            "step": step,
            "elapsed_s": at_s,
            "wall_ms": self.book.now().timestamp() * 1000,
        }
        running.mark(self.book, self.code, [row])
        self.marks.append(progress.Mark(kind, step, at_s))

    def standing(self, at_s: float) -> Standing:
        return progress.where(self.process, self.marks, at_s)


def tick_s() -> float:
    """Seconds that also pass while the computer sleeps, where the system can tell."""
    clock = getattr(time, "CLOCK_BOOTTIME", None)
    return time.monotonic() if clock is None else time.clock_gettime(clock)


def play(run: Run, face: Face, speed: float = 1.0) -> str:
    """Run to the end: "finished", "stopped", "abandoned", or "left" where nobody can mark any more.

    speed  above 1 the sheet is lifted by itself, each time to the second
    """
    by_itself = speed > 1.0
    if not by_itself:
        face.listen()
    if run.began_wall_s is None:
        first = run.process.steps[0]
        if not by_itself:
            face.show(f"Enter when the sheet goes into the {first.tray}.", "")
            try:
                _typed(face, None)
            except EOFError:
                return "left"
        run.mark("begun", first.key, 0.0)
        offset_s = 0.0
    else:
        offset_s = max(0.0, run.book.now().timestamp() - run.began_wall_s)
    if not by_itself:
        face.show(KEYS, "")
    started = tick_s()

    def now_s() -> float:
        return offset_s + (tick_s() - started) * speed

    return _by_itself(run, face, speed) if by_itself else _by_hand(run, face, now_s)


def _by_hand(run: Run, face: Face, now_s: Callable[[], float]) -> str:
    heard_s = now_s()
    while True:
        at_s = now_s()
        standing = run.standing(at_s)
        if standing.state == "done":
            run.mark("finished", "", at_s)
            return "finished"
        _ring(run, face, standing, at_s - heard_s)
        heard_s = at_s
        _draw(run, face, standing)
        try:
            line = _typed(face, LOOK_EVERY_S)
        except EOFError:
            return "left"
        if line is not None:
            end = _key(run, face, line, standing, now_s())
            if end:
                return end


def _typed(face: Face, for_s: float | None) -> str | None:
    while True:
        try:
            return face.wait(LOOK_EVERY_S if for_s is None else for_s)
        except queue.Empty:
            if for_s is not None:
                return None


def _key(run: Run, face: Face, line: str, standing: Standing, at_s: float) -> str:
    """What a typed line means; the end it makes, or ""."""
    step = standing.step.key if standing.step else ""
    if line == "":
        return _enter(run, standing, at_s)
    if line == "b":
        run.mark("taken_back", "" if standing.aside is None else standing.aside.key, at_s)
    elif line == "i":
        run.mark("appeared", step, at_s)
        _say_shown(run, face, at_s)
    elif line == "p":
        if standing.step:
            run.mark("paused", step, at_s)
            face.show(interrupt.wait(run.process, standing.step).words, "")
    elif line == "l":
        run.mark("lights_on", step, at_s)
        if standing.step and (lit := interrupt.lit(run.process, standing.step)).means:
            face.show(f"{lit.means} {lit.do}", "")
    elif line == "o":
        run.mark("lights_off", step, at_s)
    elif line[:1] == "w":
        _wrong_tray(run, face, line[1:].strip(), standing, at_s)
    elif line in ("s", "g"):
        end = "stopped" if line == "s" else "abandoned"
        run.mark(end, step, at_s)
        face.show(interrupt.ended(run.process, standing.step, end), "")
        return end
    return ""


def _enter(run: Run, standing: Standing, at_s: float) -> str:
    """Enter goes on with whatever comes next: a lift, the end of a pause, the sheet back where it belongs."""
    if standing.step and standing.state == "in":
        run.mark("lifted", standing.step.key, at_s)
    elif standing.step and standing.state == "paused":
        run.mark("resumed", standing.step.key, at_s)
    elif standing.step and standing.aside:
        on = interrupt.wrong(run.process, standing.step, standing.aside).on
        run.mark("resumed" if on else "abandoned", on, at_s)
        return "" if on else "abandoned"
    return ""


def _wrong_tray(run: Run, face: Face, which: str, standing: Standing, at_s: float) -> None:
    steps = run.process.steps
    due = run.process.after(standing.step.key) if standing.step and standing.state == "draining" else standing.step
    into = steps[int(which) - 1] if which.isdecimal() and 0 < int(which) <= len(steps) else None
    if due is None or into is None or into.key == due.key:
        trays = ", ".join(f"w{i} {s.tray}" for i, s in enumerate(steps, 1) if due is None or s.key != due.key)
        face.show(f"Which tray does it lie in? {trays}", "")
        return
    answer = interrupt.wrong(run.process, due, into)
    run.mark("wrong_tray", into.key, at_s)
    if answer.stays:
        run.mark("resumed", answer.on, at_s)
    then = "" if answer.stays else " Enter when it is there." if answer.on else " Enter gives it up; b takes this back."
    face.show(f"{answer.means} {answer.do}{then}", "")


def _say_shown(run: Run, face: Face, at_s: float) -> None:
    now = run.standing(at_s)
    if now.shown_s is None or now.step is None:
        face.show("Where nothing can be seen, or not in a developer, that says nothing.", "")
    else:
        total, low, high = now.step.seconds, now.step.low_s, now.step.high_s
        said = f"{wording.seconds(total)} in all, by that; between {wording.seconds(low)} and {wording.seconds(high)}."
        rows = {r[0] for r in now.step.appears}
        face.show(said if int(now.shown_s) in rows else "Noted. The planned time stands.", "")


def _by_itself(run: Run, face: Face, speed: float) -> str:
    """From event to event, sleeping the real time between them; lifts fall on the second they are due."""
    at_s = max((m.at_s for m in run.marks), default=0.0)
    while True:
        standing = run.standing(at_s)
        if standing.state == "done":
            run.mark("finished", "", at_s)
            return "finished"
        _draw(run, face, standing)
        with contextlib.suppress(queue.Empty):
            face.wait(standing.left_s / speed)
        at_s += standing.left_s
        if standing.state == "in" and standing.step:
            run.mark("lifted", standing.step.key, at_s)
            face.bell()
        elif standing.state in ("paused", "aside"):  # taken up with nobody there: it goes on where the answer says
            end = _enter(run, standing, at_s)
            if end:
                return end
        elif standing.left_s == 0.0:
            at_s += 0.001  # a drain that ends exactly now is over a moment later


def _ring(run: Run, face: Face, standing: Standing, since_s: float) -> None:
    """The bell for every cue that came in the last `since_s` [s]."""
    if standing.step is not None and standing.state == "paused":
        wait = interrupt.wait(run.process, standing.step)
        gone = standing.broken_s if wait.kind == "waits" else standing.elapsed_s
        if gone - since_s < wait.most_s <= gone:
            face.bell()
        return
    if standing.step is None or standing.state != "in":
        return
    for cue in cues_of(run.process, standing.step):
        if cue.kind != "tick" and standing.elapsed_s - since_s < cue.at_s <= standing.elapsed_s:
            face.bell()


def _draw(run: Run, face: Face, standing: Standing) -> None:
    step = standing.step
    if step is None:
        return
    if step.light == "none":
        face.blank()
        return
    if standing.aside is not None:
        face.show(
            f"In the {standing.aside.tray}, due in the {step.tray}", f"{wording.seconds(standing.broken_s)} there"
        )
        return
    if standing.state == "paused":
        wait = interrupt.wait(run.process, step)
        over = standing.broken_s if wait.kind == "waits" else standing.elapsed_s
        most_s = wait.most_s - over
        words = "waited too long: Enter, and on"
        if most_s > 0:
            words = f"{wording.seconds(max(1.0, most_s))} to wait; Enter goes on"
        face.show(f"Paused in the {step.tray}. {step.light_words}", words)
        return
    number, count = run.process.number_of(step.key), len(run.process.steps)
    where = step.tray if standing.state == "in" else f"draining from {step.tray}"
    if standing.overdue_s:
        left = f"{wording.seconds(standing.overdue_s)} over: lift"
    else:
        left = f"{wording.seconds(max(1.0, standing.left_s))} left"
    face.show(f"{number}/{count} {where}. {step.light_words}", left)
