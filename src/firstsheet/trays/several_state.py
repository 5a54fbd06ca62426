"""What stands after some stretches of several sheets, and the order that led there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from firstsheet.trays.several_chain import FOREVER, Task

# a way on: how soon it looks to end, less the next moment by which something must go on, hands free [s]; a number of its own; whether it
# began too late; what stands then
Way = tuple[int, int, int, int, bool, "State"]
# a stretch in an order: its sheet, how long, least and most wait, the row before it of its sheet (-1 none), least since a join, the row
# of that join (-1 none), the tray it leaves
Row = tuple[int, int, int, int, int, int, int, str]


class State:
    """What stands after some stretches: free_s hands, pos the next stretch of each sheet, end_s of its last, dead_s when it must go on."""

    __slots__ = (
        "at",
        "bare",
        "begun",
        "board",
        "dead",
        "end",
        "free",
        "join",
        "joined",
        "last",
        "occ",
        "pos",
        "rows",
        "tracked",
        "upto",
        "wanting",
    )

    def __init__(self, count: int) -> None:
        self.free = 0
        self.pos = [0] * count
        self.end = [0] * count
        self.dead = [FOREVER] * count
        self.occ: dict[str, int] = {}
        self.joined: dict[str, int] = {}
        self.board = -1  # the sheet that has it
        self.bare = 0  # bit by sheet: it does not bear white light
        self.wanting = 0  # bit by sheet: it waits in a light it needs
        self.begun: tuple[int, ...] = ()  # minus one less the sheets, in the order they were begun
        # the order so far: a row and a start [s] of each stretch, the work up to its end [s]; of each sheet, and tray joined, the last row
        self.tracked = True
        self.rows: list[Row] = []
        self.at: list[int] = []
        self.upto: list[int] = []
        self.last = [-1] * count
        self.join: dict[str, int] = {}

    def copy(self, tracked: bool) -> State:
        new = State.__new__(State)
        new.free, new.pos, new.end, new.dead = self.free, self.pos[:], self.end[:], self.dead[:]
        new.occ, new.joined, new.board, new.bare = self.occ, self.joined, self.board, self.bare
        new.wanting, new.begun, new.tracked = self.wanting, self.begun, tracked
        if tracked:
            new.rows, new.at, new.upto, new.last, new.join = (
                self.rows[:],
                self.at[:],
                self.upto[:],
                self.last[:],
                self.join,
            )
        return new


def rank(way: Way) -> tuple[int, ...]:
    return way[:4]


def row(i: int, task: Task, before: int, join: Mapping[str, int]) -> Row:
    return i, task.for_s, *task.wait_s, before, task.since_join_s, join.get(task.leaves, -1), task.leaves


def by_tray(s: State, places: int, loads: list[list[int]], tails: list[int], heads: list[list[int]]) -> int:
    """What is still to lie in a tray cannot lie there sooner than its places allow: no end before this [s]. As `several_least.loads` gives them."""
    taken, after, first = 0, FOREVER, FOREVER
    free, end = s.free, s.end
    for i, k in enumerate(s.pos):
        load = loads[i][k]
        if not load:
            continue
        head, since = heads[i][k], end[i]
        if head < 0:  # it lies there: what is left of that
            left = load if since > free else since + load - free
            if left > 0:
                taken += left
            first = free
        else:
            taken += load
            start = (since if since > free else free) + head
            if start < first:
                first = start
        if tails[i] < after:
            after = tails[i]
    return first + -(-taken // places) + after if taken else 0


@dataclass(frozen=True, slots=True)
class Found:
    """The best order: each (sheet, stretch, start [s]), in turn; and how many stretches were tried."""

    starts: tuple[tuple[int, int, int], ...]
    end_s: int
    nodes: int


def starts_of(s: State, begin: State) -> tuple[tuple[int, int, int], ...]:
    pos, out = begin.pos[:], []
    for (i, *_), at in zip(s.rows, s.at, strict=True):
        out.append((i, pos[i], at))
        pos[i] += 1
    return tuple(out)


def ends(s: State | None) -> int:
    """When the last sheet is done [s]; never where there is no order."""
    return max(s.end) if s is not None else FOREVER
