"""In which order one pair of hands does the stretches of several sheets, so that the last is finished soonest.

Every stretch needs the hands, and whatever else may collide (places in trays, the room's light, the board, a wash that restarts)
changes only when hands do something. So the order of the stretches decides everything: each begins as soon as the hands, its
own wait and the wash allow. The orders are searched stretch by stretch; the few that promise the earliest end are carried on.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping, Sequence

from firstsheet.trays import several_least as least
from firstsheet.trays import several_orders as orders
from firstsheet.trays.several_chain import COVERED, FOREVER, Task
from firstsheet.trays.several_state import Found, State, Way, by_tray, ends, rank, row, starts_of

# of one standing so many, and which share of the budget that is left; the last of them only for a few sheets, the others take long enough
PASSES = ((1, 0.0), (1, 0.455), (3, 0.36), (2, 1.0))
BUDGET, FEW = 2000, 6  # stretches tried in all, about
WIDEST, LEAST = 120, 3  # orders carried on at once


class Search:
    """The sheets' stretches and what is reckoned of them once."""

    def __init__(self, chains: Sequence[tuple[Task, ...]], ready_s: Sequence[int], places: Mapping[str, int]) -> None:
        self.chains, self.ready, self.places = chains, ready_s, places
        self.count = len(chains)
        self.rest = [least.least_from(c) for c in chains]  # from the start of a stretch to the sheet's end
        self.hands = [least.sums([t.for_s for t in c]) for c in chains]
        self.block = [least.light_blocks(c) for c in chains]
        self.light = [least.sums(b) for b in self.block]
        self.lit = [least.still_lit(c, b) for c, b in zip(chains, self.block, strict=True)]
        self.covered_in = [least.covered_in(c, b) for c, b in zip(chains, self.block, strict=True)]
        self.after = [least.after_light(c) for c in chains]
        self.before = self._twins()
        self.start = self.begin()
        self.nodes = 0  # stretches tried
        self.held = 0  # bit by sheet: not to be begun yet
        self.turn: tuple[int, ...] = ()  # the order in which sheets are begun, where one is given
        self.waiting: list[int] = []  # bits of those of it that are not to be begun, by how many were
        wash = [(c[-1].leaves, c[-1].since_join_s) for c in chains]
        one = len({w[0] for w in wash}) == 1 and all(w[1] for w in wash)
        self.last_wash = (wash[0][0], min(w[1] for w in wash)) if one else ("", 0)
        self.trays = least.loads(chains, places)
        self.waits = [[(t.wait_s[0], t.since_join_s, t.leaves) for t in c] for c in chains]
        self.most = [[*(t.wait_s[1] for t in c), FOREVER] for c in chains]
        self.lasts = [len(c) - 1 for c in chains]
        self.room = [[self._room(t) for t in c] for c in chains]

    def _room(self, task: Task) -> tuple[tuple[str, int], ...]:
        """The trays that a stretch goes into, with how many may lie there before it."""
        return tuple((t, self.places.get(t, 1) + (t == task.leaves)) for t in (*task.through, task.enters) if t)

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

    def anew(self, s: State, free_s: int) -> State:
        """What stands, with its order forgotten: the order that is searched begins here, at free_s [s] or later."""
        new, fresh = s.copy(False), State(self.count)
        new.tracked, new.rows, new.at, new.upto, new.last, new.join = (
            True,
            fresh.rows,
            fresh.at,
            fresh.upto,
            fresh.last,
            fresh.join,
        )
        new.free = free_s
        return new

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
        for tray, most in self.room[i][s.pos[i]]:  # noqa: SIM110  a third quicker than all() here, where most of the time goes
            if s.occ.get(tray, 0) >= most:
                return False
        return True

    def pressing(self, s: State) -> list[tuple[list[int], bool]]:
        """Orders, allowed ones, for the sheets that must go on by a moment; each with whether all are in time. One in time ends it.

        The most pressing first; or those that leave a wash before another restarts it.
        """
        due = [i for i in range(self.count) if s.dead[i] < FOREVER and s.pos[i] < len(self.chains[i])]
        if not due:
            return [([], True)]
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
            at = 0
            for n, i in enumerate(left):
                if self.allowed(s, i):
                    at = n
                    break
            i = left.pop(at)
            start = self.earliest(s, i)
            in_time = in_time and start <= s.dead[i]
            order.append(i)
            if left:
                s = self.step(s, i, start, tracked=False)
        return order, in_time

    def step(self, s: State, i: int, at: int, tracked: bool = True) -> State:
        """After the next stretch of sheet i, begun at `at` [s]; not `tracked`: its order is not kept."""
        task, new, me = self.chains[i][s.pos[i]], s.copy(tracked), 1 << i
        if tracked:
            new.rows.append(row(i, task, s.last[i], s.join))
            new.at.append(at)
            new.upto.append((s.upto[-1] if s.upto else 0) + task.for_s)
            new.last[i] = len(s.rows)
            if task.joins:
                new.join = {**s.join, task.joins: len(s.rows)}
        if not s.pos[i]:
            new.begun = (*s.begun, -1 - i)
        new.free = new.end[i] = free = at + task.for_s
        new.pos[i] += 1
        new.dead[i] = min(FOREVER, free + self.most[i][new.pos[i]])
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
        return new

    # ── how early it can end ──

    def soonest(self, s: State, beat_s: int = FOREVER) -> tuple[int, int]:
        """No way on from here ends earlier than the first; the second is what it looks like, no less [s]. Both are left where the
        first has reached beat_s: it is too late already."""
        hands = light = longest = 0
        free, end, joined = s.free, s.end, s.joined
        covered = looks = free
        after, joining = FOREVER, False
        for i, k in enumerate(s.pos):
            start, rest = end[i], self.rest[i][k]
            if not rest:
                longest = start if start > longest else longest
                continue
            wait, since, leaves = self.waits[i][k]
            start += wait
            if since:
                start = max(start, joined.get(leaves, 0) + since)
            start = (start if start > free else free) + rest
            longest = start if start > longest else longest
            hands += self.hands[i][k]
            lit = self.lit[i][k]
            if lit:
                light += lit
                after = self.after[i] if self.after[i] < after else after
            if s.bare >> i & 1:
                begin = end[i] if end[i] > free else free
                covered = max(covered, begin + self.covered_in[i][k][0])
                looks = max(looks, begin + self.covered_in[i][k][1])
            joining |= k < self.lasts[i]
        tray, since = self.last_wash
        quiet = since if joining and tray else max(0, joined.get(tray, 0) + since - free) if hands and tray else 0
        sound = max(longest, free + hands + quiet, covered + light + after if light else 0)
        for x in self.trays:
            if sound >= beat_s:
                return sound, sound
            sound = max(sound, by_tray(s, *x))
        return sound, max(sound, looks + light + after if light else 0)

    def nexts(self, s: State, wide: bool, beat_s: int) -> list[Way]:
        """What may follow, but for what cannot end before beat_s; not timed yet where `wide`."""
        if self.turn:
            self.held = self.waiting[len(s.begun) - len(self.start.begun)]
        able = []
        for i in range(self.count):
            k, twin = s.pos[i], self.before[i]
            if (
                k > self.lasts[i]
                or (self.held >> i & 1 and not k)
                or (twin >= 0 and s.pos[twin] <= k)
                or not self.allowed(s, i)
            ):
                continue
            able.append((self.earliest(s, i), i))
        out: list[Way] = []
        soonest = FOREVER
        for at, i in sorted(able):
            if at >= soonest and not wide:
                break  # another could be done in the time that this one would wait
            new = self.step(s, i, at)
            self.nodes += 1
            sound, looks = self.soonest(new, beat_s)
            way: Way = (looks, -min(new.dead), new.free, self.nodes, at > s.dead[i], new)
            kept = None if sound >= beat_s else way if wide else self.timed(way, beat_s)
            if kept is not None:
                out.append(kept)
                new = kept[-1]
            soonest = min(soonest, new.free)
        return out

    def timed(self, way: Way, beat_s: int) -> Way | None:
        """The same with every wait kept; None where that cannot be, or cannot end before beat_s."""
        *_, number, late, new = way
        orders = self.pressing(new)
        if not late and orders[0][1]:
            return way
        later = next((x for x in (self.later(new, order) for order, _ in orders) if x is not None), None)
        if later is None:
            return None
        sound, looks = self.soonest(later, beat_s)
        return (looks, -min(later.dead), later.free, number, False, later) if sound < beat_s else None

    def later(self, s: State, behind: Sequence[int]) -> State | None:
        """The same order, what came before begun as much later as the windows ask; None where they cannot be kept.

        What waits with an end to its waiting is put behind in the order given, so that it is in time as well.
        """
        at = self.retime(s, behind)
        if at is None:
            return None
        new, count = s.copy(True), len(s.rows)
        new.at = at[:count]
        new.free = at[count - 1] + s.rows[-1][1]
        for i, q in enumerate(s.last):
            if q >= 0:
                k = s.pos[i]
                new.end[i] = at[q] + s.rows[q][1]
                new.dead[i] = min(FOREVER, new.end[i] + self.most[i][k])
        if s.join:
            new.joined = {**s.joined, **{tray: at[q] + s.rows[q][1] for tray, q in s.join.items()}}
        return new

    def retime(self, s: State, behind: Sequence[int]) -> list[int] | None:
        """The earliest starts [s] of the stretches of `s`, then of the next of the sheets `behind`, in this order; None where
        the waits cannot be kept, least and most.

        Starts only ever move later until all is kept. What was reckoned without the most is no later, so it is begun with.
        """
        begin, rows, upto, join = self.start, s.rows[:], s.upto, s.join
        for i in behind:
            task, p = self.chains[i][s.pos[i]], s.last[i]
            busy = sum(r[1] for r in rows[len(upto) :])
            if p >= 0 and upto[-1] + busy - upto[p] > task.wait_s[1]:
                return None  # what the hands do in between takes longer than it may wait
            rows.append(row(i, task, p, join))
            if task.joins:
                join = {**join, task.joins: len(rows) - 1}
        at = [*s.at, *([0] * len(behind))]
        first, end, joined = len(s.at), begin.end, begin.joined
        for _ in range(12):
            free = at[first - 1] + rows[first - 1][1] if first else begin.free
            for q in range(first, len(rows)):
                i, for_s, least_s, _, p, since, j, tray = rows[q]
                start = (at[p] + rows[p][1] if p >= 0 else end[i]) + least_s
                if start < free:
                    start = free
                if start < at[q]:
                    start = at[q]
                if since:
                    after = since + (at[j] + rows[j][1] if j >= 0 else joined.get(tray, 0))
                    if after > start:
                        start = after
                if p < 0 and start > begin.dead[i]:
                    return None
                at[q] = start
                free = start + for_s
            first = len(rows)
            for q in range(len(rows) - 1, -1, -1):
                r = rows[q]
                p = r[4]
                if p >= 0:
                    must = at[q] - r[3] - rows[p][1]
                    if must > at[p]:
                        at[p] = must
                        if p < first:
                            first = p
            if first == len(rows):
                return at
        return None

    def run(self, begin: State, alike: int, beat_s: int = FOREVER, nodes: int = 0) -> State | None:
        """The best of the orders carried on: as many as so many `nodes` allow, 0 for one alone; None where none of them ends before beat_s."""
        going = [i for i in range(self.count) if begin.pos[i] or not self.held >> i & 1]
        levels = sum(len(self.chains[i]) - begin.pos[i] for i in going)
        kept, tried, carried = [begin], 0, 0
        for level in range(levels):
            before = self.nodes
            ways = [way for s in kept for way in self.nexts(s, nodes > 0, beat_s)]
            tried, carried = tried + self.nodes - before, carried + len(kept)
            if not nodes:
                kept = [w[-1] for w in sorted(ways, key=rank)[:1]]
            else:
                each = max(1.0, tried / carried) * max(1, levels - 1 - level)
                width = min(WIDEST, max(LEAST, int((nodes - tried) / each)))
                kept = self._unlike(ways, width, alike, beat_s)
            if not kept:
                return None
        return min(kept, key=lambda s: (max(s.end), sum(s.end)))

    def _unlike(self, ways: list[Way], width: int, alike: int, beat_s: int) -> list[State]:
        """The first `width` that are not all of one kind: of one standing so many as `alike`, and no order of beginning takes most.

        Timing is the dear part and only ever moves an end later: only what comes first is timed, and put back where it then belongs.
        """
        share = max(alike, width // max(1, min(6, len({w[-1].begun for w in ways}))))
        heap = [(rank(w), False, w) for w in ways]
        heapq.heapify(heap)
        kept: list[State] = []
        counts: dict[tuple[int, ...], int] = {}
        while heap and len(kept) < width:
            _, done, way = heapq.heappop(heap)
            state = way[-1]
            standing, begun = (*state.pos,), state.begun
            if counts.get(standing, 0) >= alike or counts.get(begun, 0) >= share:
                continue
            timed = way if done else self.timed(way, beat_s)
            if timed is not None and timed is not way:
                heapq.heappush(heap, (rank(timed), True, timed))
            elif timed is not None:
                counts[standing] = counts.get(standing, 0) + 1
                counts[begun] = counts.get(begun, 0) + 1
                kept.append(state)
        return kept

    def best(self, begin: State, least: int = 0) -> Found | None:
        """The best order of several searches; one is enough that ends at `least` [s], which none can end before."""
        self.start = begin
        best: State | None = None
        if self.count <= FEW and orders.apart(self, begin):
            best = orders.best_of(self, begin, least)
        else:
            for alike, share in PASSES if self.count <= FEW else PASSES[:-1]:
                best = self.run(begin, alike, ends(best), int(share * max(0, BUDGET - self.nodes))) or best
                if ends(best) <= least:
                    break
        best = best or self._in_batches(begin)
        return Found(starts_of(best, begin), max(best.end), self.nodes) if best else None

    def _in_batches(self, begin: State) -> State | None:
        """Where the windows of many at once cannot be kept: fewer at once, one batch finished before the next is begun."""
        fresh = sorted((i for i in range(self.count) if not begin.pos[i]), key=lambda i: self.ready[i])
        for size in (8, 5, 3, 2, 1):
            if size >= self.count:
                continue
            s: State | None = begin
            for first in range(0, max(1, len(fresh)), size):
                self.held = sum(1 << i for i in fresh[first + size :])
                s = self.run(s, 3, nodes=BUDGET // 4) if s else None
            self.held = 0
            if s is not None:
                return s
        return None
