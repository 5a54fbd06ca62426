"""One sheet as what hands do in turn: rigid stretches of work, and waits between them that may be shorter or longer."""

from __future__ import annotations

import math
from dataclasses import dataclass

from firstsheet.trays.process import Process, Step

LEVEL = {"none": 0, "red": 1, "white": 2, "lens": 2}
COVERED = 2  # in a shut box, or past the step after which it bears white light
FOREVER = 10**9


@dataclass(frozen=True, slots=True)
class Wanted:
    """One sheet to be made.

    name        what it is called aloud, "1", "2", …
    process     its timed steps
    ready_s     not before this moment, when its sitter is there [s]
    compose_s   with the lens open, before its box is opened; 0 for none [s]
    mount_s     box open, on the board, box shut [s]
    expose_s    lens open, the sheet on the board [s]
    carry_s     from the board to the trays or to the box [s]
    hold_s      longest wait composed, and longest mounted [s]
    box_s       into, and out of, a shut box for exposed sheets [s]; None where there is none and it goes straight on
    keep_s      longest wait in that box [s]
    early       lift at the low end of the windows instead of at each step's own time
    """

    name: str
    process: Process
    ready_s: int = 0
    compose_s: int = 120
    mount_s: int = 40
    expose_s: int = 10
    carry_s: int = 15
    hold_s: int = 60
    box_s: int | None = None
    keep_s: int = 7200
    early: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """A piece of a stretch of work: from `from_s` after its start, for `for_s` [s].

    kind   "compose", "mount", "expose", "carry", "box", "unbox", "enter", "rock", "lift" (and drain)
    step   the tray step it belongs to, "" before the trays
    bears  what light the sheet bears meanwhile: 0 none, 1 red, 2 white or covered
    """

    kind: str
    step: str
    from_s: int
    for_s: int
    bears: int


@dataclass(frozen=True, slots=True)
class Task:
    """A stretch of work that hands do without a break.

    key          unique within the sheet; what is marked when it begins
    wait_s       least and most between the end of the stretch before and this one [s]
    since_join_s least since the last sheet joined the tray it leaves, where that tray restarts [s]; else 0
    leaves, through, enters   tray it lies in before; those it passes; the one it lies in afterwards
    joins        trays that restart and that this stretch enters
    takes_board, frees_board  at the start, at the end
    wants_light  whether the stretch needs white light or the open lens; wants_after: the wait after it does
    bears, bears_after  the least light it bears during the stretch; what it bears in the wait afterwards
    """

    key: str
    parts: tuple[Part, ...]
    for_s: int
    wait_s: tuple[int, int]
    since_join_s: int
    leaves: str
    through: tuple[str, ...]
    enters: str
    joins: str
    takes_board: bool
    frees_board: bool
    wants_light: bool
    wants_after: bool
    bears: int
    bears_after: int


class _Stretch:
    """Parts gathered until the hands are free."""

    def __init__(self, key: str, wait_s: tuple[int, int], since_join_s: int = 0, leaves: str = "") -> None:
        self.key, self.wait_s, self.since_join_s, self.leaves = key, wait_s, since_join_s, leaves
        self.parts: list[Part] = []
        self.through: list[str] = []
        self.at_s = 0
        self.wants = self.takes = self.frees = False

    def add(self, kind: str, step: str, for_s: int, bears: int) -> None:
        self.parts.append(Part(kind, step, self.at_s, for_s, bears))
        self.at_s += for_s
        self.wants |= kind in ("compose", "expose")

    def done(self, bears_after: int, enters: str = "", joins: str = "", wants_after: bool = False) -> Task:
        return Task(
            self.key,
            tuple(self.parts),
            self.at_s,
            self.wait_s,
            self.since_join_s,
            self.leaves,
            tuple(self.through),
            enters,
            joins,
            self.takes,
            self.frees,
            self.wants,
            wants_after,
            min(p.bears for p in self.parts),
            bears_after,
        )


def chain(sheet: Wanted) -> tuple[Task, ...]:
    """The stretches of one sheet, in order. Pure; times are whole seconds, least times rounded up and longest down."""
    first = LEVEL[sheet.process.steps[0].light]
    out: list[Task] = []
    if sheet.compose_s:
        composing = _Stretch("compose", (0, FOREVER))
        composing.takes = True
        composing.add("compose", "", sheet.compose_s, COVERED)
        out.append(composing.done(COVERED))
    mounting = _Stretch("mount", (0, sheet.hold_s if out else FOREVER))
    mounting.takes = not out
    mounting.add("mount", "", sheet.mount_s, first)
    out.append(mounting.done(first))
    now = _Stretch("expose", (0, sheet.hold_s))
    now.frees = True
    now.add("expose", "", sheet.expose_s, first)
    now.add("carry", "", sheet.carry_s, first)
    if sheet.box_s is not None:
        now.add("box", "", sheet.box_s, first)
        out.append(now.done(COVERED))
        now = _Stretch("unbox", (0, sheet.keep_s))
        now.add("unbox", "", sheet.box_s, first)
    return (*out, *_trays(sheet, now))


def _trays(sheet: Wanted, now: _Stretch) -> list[Task]:
    out: list[Task] = []
    for step in sheet.process.steps:
        bears = LEVEL[step.light]
        low, high = window(step, sheet.early)
        if step.hands == "all":
            now.through.append(step.tray)
            now.wants |= bool(step.wants)
            now.add("rock", step.key, low, bears)
        else:
            enter = min(math.ceil(step.enter_s), low)
            now.add("enter", step.key, enter, bears)
            out.append(now.done(bears, step.tray, step.tray if step.restarts else "", bool(step.wants)))
            since = max(0, low - enter) if step.restarts else 0
            now = _Stretch(step.key, (low - enter, high - enter), since, step.tray)
        now.add("lift", step.key, math.ceil(step.drain_s), bears)
    out.append(now.done(COVERED))
    return out


def window(step: Step, early: bool) -> tuple[int, int]:
    """Least and most whole seconds of a stay [s]: from its own time, or from the low end of its window, to the high end."""
    low = math.ceil(step.low_s if early else step.seconds)
    return low, max(low, math.floor(step.high_s))
