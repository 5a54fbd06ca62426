"""In which order one pair of hands does the stretches of several sheets, so that the last is finished soonest.

Every stretch needs the hands, and whatever else may collide (places in trays, the room's light, the board, a wash that restarts)
changes only when hands do something. So the order of the stretches decides everything: each begins as soon as the hands, its
own wait and the wash allow. The orders are searched stretch by stretch; the few that promise the earliest end are carried on.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from firstsheet.trays import several_least as least
from firstsheet.trays.several_chain import COVERED, FOREVER, Task

BUDGET = 400  # orders times stretches that one search carries on, where the first one is not proven to end soonest


class Link(NamedTuple):
    """One stretch of an order: what came before it, whose it is, when it begins [s]."""

    before: Link | None
    sheet: int
    at_s: int


class State:
    """What stands after some stretches: free_s hands, pos the next stretch of each sheet, end_s of its last, dead_s when it must go on."""

    __slots__ = ("bare", "begun", "board", "dead", "end", "free", "joined", "occ", "order", "pos", "wanting")

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
        self.order: Link | None = None  # the stretches begun so far, the last first

    def copy(self) -> State:
        new = State.__new__(State)
        new.free, new.pos, new.end, new.dead = self.free, self.pos[:], self.end[:], self.dead[:]
        new.occ, new.joined, new.board, new.bare = self.occ, self.joined, self.board, self.bare
        new.wanting, new.begun, new.order = self.wanting, self.begun, self.order
        return new


@dataclass(frozen=True, slots=True)
class Found:
    """The best order: each (sheet, stretch, start [s]), in turn; and how many orders were carried on."""

    starts: tuple[tuple[int, int, int], ...]
    end_s: int
    width: int


class Search:
    """The sheets' stretches and what is reckoned of them once."""

    def __init__(self, chains: Sequence[tuple[Task, ...]], ready_s: Sequence[int], places: Mapping[str, int]) -> None:
        self.chains, self.ready, self.places = chains, ready_s, places
        self.count = len(chains)
        self.rest = [least.least_from(c) for c in chains]  # from the start of a stretch to the sheet's end
        self.hands = [least.sums([t.for_s for t in c]) for c in chains]
        self.block = [least.light_blocks(c) for c in chains]
        self.light = [least.sums(b) for b in self.block]
        self.covered_in = [least.covered_in(c) for c in chains]
        self.after = [least.after_light(c) for c in chains]
        self.before = self._twins()
        self.start = self.begin()
        self.held = 0  # bit by sheet: not to be begun yet
        wash = [(c[-1].leaves, c[-1].since_join_s) for c in chains]
        one = len({w[0] for w in wash}) == 1 and all(w[1] for w in wash)
        self.last_wash = (wash[0][0], min(w[1] for w in wash)) if one else ("", 0)

    def _twins(self) -> list[int]:
        """For each sheet the one before it that is just like it and no later there, -1 for none: it goes first."""
        out = []
        for i in range(self.count):
            alike = [j for j in range(i) if self.chains[j] == self.chains[i] and self.ready[j] <= self.ready[i]]
            out.append(alike[-1] if alike else -1)
        return out

    def begin(self) -> State:
        state = State(self.count)
        state.end = list(self.ready)
        return state

    # ── what may come next ──

    def earliest(self, s: State, i: int) -> int:
        task = self.chains[i][s.pos[i]]
        at = s.end[i] + task.wait_s[0]
        if task.since_join_s:
            at = max(at, s.joined.get(task.leaves, 0) + task.since_join_s)
        return max(at, s.free)

    def allowed(self, s: State, i: int) -> bool:
        """Whether trays, board and light let sheet i go on now."""
        task, me = self.chains[i][s.pos[i]], 1 << i
        if task.takes_board and s.board != -1:
            return False
        if task.wants_light and s.bare & ~me:
            return False
        if task.wants_after and s.bare & ~me and task.bears_after == COVERED:
            return False
        if task.bears < COVERED and s.wanting & ~me:
            return False
        for tray in (*task.through, task.enters):
            if tray and s.occ.get(tray, 0) - (tray == task.leaves) >= self.places.get(tray, 1):
                return False
        return True

    def pressing(self, s: State) -> list[tuple[list[int], bool]]:
        """Orders, allowed ones, for the sheets that must go on by a moment; each with whether all are in time. One in time ends it.

        The most pressing first; or those that leave a wash before another restarts it.
        """
        due = [i for i in range(self.count) if s.dead[i] < FOREVER and s.pos[i] < len(self.chains[i])]
        due.sort(key=lambda i: s.dead[i])
        tried = [self._in_turn(s, due)]
        if tried[0][1] or len(due) < 2:
            return tried
        first = sorted(due, key=lambda i: not self.chains[i][s.pos[i]].since_join_s)
        if first != due:
            tried.append(self._in_turn(s, first))
        return tried[1:] if tried[-1][1] else tried

    def _in_turn(self, s: State, due: list[int]) -> tuple[list[int], bool]:
        order: list[int] = []
        left, in_time = due[:], True
        while left:
            i = left.pop(next((n for n, i in enumerate(left) if self.allowed(s, i)), 0))
            start = self.earliest(s, i)
            in_time = in_time and start <= s.dead[i]
            order.append(i)
            if left:
                s = self.step(s, i, start)
        return order, in_time

    def step(self, s: State, i: int, at: int) -> State:
        """After the next stretch of sheet i, begun at `at` [s]."""
        task, new, me = self.chains[i][s.pos[i]], s.copy(), 1 << i
        if not s.pos[i]:
            new.begun = (*s.begun, -1 - i)
        new.free = at + task.for_s
        new.pos[i] += 1
        new.end[i] = new.free
        later = self.chains[i][new.pos[i]] if new.pos[i] < len(self.chains[i]) else None
        new.dead[i] = new.free + later.wait_s[1] if later and later.wait_s[1] < FOREVER else FOREVER
        if task.leaves or task.enters:
            new.occ = dict(s.occ)
            if task.leaves:
                new.occ[task.leaves] -= 1
            if task.enters:
                new.occ[task.enters] = new.occ.get(task.enters, 0) + 1
        if task.joins:
            # it lies there from the moment it goes in, some seconds before the hands are free
            new.joined = {**s.joined, task.joins: new.free}
        if task.takes_board:
            new.board = i
        if task.frees_board:
            new.board = -1
        new.bare = new.bare & ~me | (me if task.bears_after < COVERED else 0)
        new.wanting = new.wanting & ~me | (me if task.wants_after else 0)
        new.order = Link(s.order, i, at)
        return new

    # ── how early it can end ──

    def soonest(self, s: State) -> int:
        """No way on from here ends earlier than this [s]."""
        hands = light = longest = 0
        covered, after = s.free, FOREVER
        joining = False
        for i in range(self.count):
            k = s.pos[i]
            if k == len(self.chains[i]):
                longest = max(longest, s.end[i])
                continue
            longest = max(longest, self.earliest(s, i) + self.rest[i][k])
            hands += self.hands[i][k]
            light += self.light[i][k]
            after = min(after, self.after[i]) if self.light[i][k] else after
            if s.bare >> i & 1:
                covered = max(covered, max(s.free, s.end[i]) + self.covered_in[i][k])
            joining |= k < len(self.chains[i]) - 1
        tray, since = self.last_wash
        quiet = since if joining and tray else max(0, s.joined.get(tray, 0) + since - s.free) if hands and tray else 0
        by_light = covered + light + after if light and after < FOREVER else 0
        return max(longest, s.free + hands + quiet, by_light)

    def nexts(self, s: State, wide: bool) -> list[State]:
        able = []
        for i in range(self.count):
            k, twin = s.pos[i], self.before[i]
            if (
                k == len(self.chains[i])
                or (self.held >> i & 1 and not k)
                or (twin >= 0 and s.pos[twin] <= k)
                or not self.allowed(s, i)
            ):
                continue
            able.append((self.earliest(s, i), i))
        out, soonest = [], FOREVER
        for at, i in sorted(able):
            if at >= soonest and not wide:
                break  # another could be done in the time that this one would wait
            new = self.step(s, i, at)
            timed: State | None = new
            orders = self.pressing(new)
            if at > s.dead[i] or not orders[0][1]:
                timed = next((x for x in (self.later(new, order) for order, _ in orders) if x is not None), None)
            if timed is not None:
                out.append(timed)
                soonest = min(soonest, timed.free)
        return out

    def later(self, s: State, behind: list[int]) -> State | None:
        """The same order, what came before begun as much later as the windows ask; None where they cannot be kept.

        What waits with an end to its waiting is put behind in the order given, so that it is in time as well.
        """
        timed = self.retime(s, behind)
        if timed is None:
            return None
        new = self.start
        for (i, _), at in zip(_order(s), timed, strict=False):
            new = self.step(new, i, at)
        return new

    def retime(self, s: State, behind: Sequence[int]) -> list[int] | None:
        """The earliest starts [s] of the stretches of `s`, then of the next of the sheets `behind`, in this order; None where
        the waits cannot be kept, least and most.

        Starts only ever move later until all is kept. What was reckoned without the most is no later, so it is begun with.
        """
        chains, begin = self.chains, self.start
        known = _order(s)
        nodes = [*known, *((i, 0) for i in behind)]
        pos, last, joined = begin.pos[:], [-1] * self.count, dict[str, int]()
        # how long, least and most wait, the one before, least since a join, that join, the tray it leaves
        rows: list[tuple[int, int, int, int, int, int, str]] = []
        busy = 0
        upto: list[int] = []
        for q, (i, _) in enumerate(nodes):
            task, p = chains[i][pos[i]], last[i]
            if p >= 0 and busy - upto[p] > task.wait_s[1]:
                return None  # what the hands do in between takes longer than it may wait
            rows.append((task.for_s, *task.wait_s, p, task.since_join_s, joined.get(task.leaves, -1), task.leaves))
            pos[i], last[i], busy = pos[i] + 1, q, busy + task.for_s
            upto.append(busy)
            if task.joins:
                joined[task.joins] = q
        at = [start for _, start in nodes]
        first = len(known)
        for _ in range(12):
            free = at[first - 1] + rows[first - 1][0] if first else begin.free
            for q in range(first, len(nodes)):
                for_s, wait, _, p, since, j, tray = rows[q]
                i = nodes[q][0]
                start = max(at[q], free, (at[p] + rows[p][0] if p >= 0 else begin.end[i]) + wait)
                if since:
                    start = max(start, since + (at[j] + rows[j][0] if j >= 0 else begin.joined.get(tray, 0)))
                if p < 0 and start > begin.dead[i]:
                    return None
                at[q], free = start, start + for_s
            first = len(nodes)
            for q in range(len(nodes) - 1, -1, -1):
                _, _, most, p, *_ = rows[q]
                if p >= 0 and at[q] - most - rows[p][0] > at[p]:
                    at[p] = at[q] - most - rows[p][0]
                    first = min(first, p)
            if first == len(nodes):
                return at
        return None

    def run(self, begin: State, width: int, alike: int) -> State | None:
        going = [i for i in range(self.count) if begin.pos[i] or not self.held >> i & 1]
        levels = sum(len(self.chains[i]) - begin.pos[i] for i in going)
        kept = [begin]
        for _ in range(levels):
            ranked: list[tuple[int, int, int, int, State]] = []
            for s in kept:
                for new in self.nexts(s, width > 1):
                    ranked.append((self.soonest(new), new.free, sum(new.end), len(ranked), new))
            kept = _unlike(sorted(ranked, key=lambda r: r[:4]), width, alike)
            if not kept:
                return None
        return min(kept, key=lambda s: (max(s.end), sum(s.end)))

    def best(self, begin: State, least: int = 0) -> Found | None:
        """The best order of several searches, each wider; the first is enough where none can end before `least` [s] and it does not."""
        self.start = begin
        best, carried = None, 0
        left = sum(len(c) - p for c, p in zip(self.chains, begin.pos, strict=True))
        wide = max(8, BUDGET // max(1, left))
        for width, alike in ((1, 1), (5, 3), (wide, 1), (wide, 3)):
            found = self.run(begin, width, alike)
            carried = width
            if found is not None and (best is None or max(found.end) < max(best.end)):
                best = found
            if best is not None and max(best.end) <= least:
                break
        best = best or self._in_batches(begin)
        return Found(_starts(best, begin), max(best.end), carried) if best else None

    def _in_batches(self, begin: State) -> State | None:
        """Where the windows of many at once cannot be kept: fewer at once, one batch finished before the next is begun."""
        fresh = sorted((i for i in range(self.count) if not begin.pos[i]), key=lambda i: self.ready[i])
        for size in (8, 5, 3, 2, 1):
            if size >= self.count:
                continue
            s: State | None = begin
            for first in range(0, max(1, len(fresh)), size):
                self.held = sum(1 << i for i in fresh[first + size :])
                s = self.run(s, 5, 3) if s else None
            self.held = 0
            if s is not None:
                return s
        return None


def _unlike(ranked: Sequence[tuple[int, int, int, int, State]], width: int, alike: int) -> list[State]:
    """The first `width` that are not all of one kind: of one standing so many as `alike`, and no order of beginning takes most."""
    orders = len({r[4].begun for r in ranked})
    share = max(alike, width // max(1, min(6, orders)))
    kept: list[State] = []
    counts: dict[tuple[int, ...], int] = {}
    for r in ranked:
        standing, begun = (*r[4].pos,), r[4].begun
        if counts.get(standing, 0) < alike and counts.get(begun, 0) < share:
            counts[standing] = counts.get(standing, 0) + 1
            counts[begun] = counts.get(begun, 0) + 1
            kept.append(r[4])
            if len(kept) == width:
                break
    return kept


def _order(s: State) -> list[tuple[int, int]]:
    """Sheet and start of each stretch since the beginning."""
    out: list[tuple[int, int]] = []
    link = s.order
    while link is not None:
        out.append((link.sheet, link.at_s))
        link = link.before
    return out[::-1]


def _starts(s: State, begin: State) -> tuple[tuple[int, int, int], ...]:
    pos, out = begin.pos[:], []
    for i, at in _order(s):
        out.append((i, pos[i], at))
        pos[i] += 1
    return tuple(out)
