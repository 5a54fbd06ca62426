"""What no order can beat, and why: the hands, the light, each tray, the sheet that takes longest. The largest is the bottleneck."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from firstsheet.trays.several_chain import COVERED, FOREVER, Task
from firstsheet.trays.several_search import Search
from firstsheet.trays.several_state import State


@dataclass(frozen=True, slots=True)
class Bound:
    """Because of `what` ("hands", "light", "sheet" or a tray's name) the last sheet ends at `least_s` [s] or later.

    busy_s   how long it is taken in all, at least [s]
    """

    what: str
    least_s: int
    busy_s: int


def bounds(search: Search, s: State) -> tuple[Bound, ...]:
    """Every bound from this state on, the largest first; of equal ones hands, light, trays, sheet."""
    left = [c[k:] for c, k in zip(search.chains, s.pos, strict=True)]
    work = sum(t.for_s for c in left for t in c)
    out = [Bound("hands", s.free + work + _quiet(search, s, left), work)]
    light = sum(search.light[i][k] for i, k in enumerate(s.pos))
    if light:
        after = min(search.after[i] for i, k in enumerate(s.pos) if search.light[i][k])
        first = min(max(s.free, s.end[i]) for i, k in enumerate(s.pos) if search.light[i][k])
        out.append(Bound("light", first + light + after, light))
    for tray in sorted({t.enters for c in left for t in c if t.enters}):
        out += [_by_places(search, s, left, tray), *_by_idle_hands(search, s, left, tray)]
    longest = max((search.earliest(s, i) + search.rest[i][k] for i, k in enumerate(s.pos) if left[i]), default=s.free)
    done = max([s.end[i] for i in range(search.count) if not left[i]], default=0)
    out.append(Bound("sheet", max(longest, done), max((search.rest[i][k] for i, k in enumerate(s.pos)), default=0)))
    best: dict[str, Bound] = {}
    for b in out:
        if b.what not in best or b.least_s > best[b.what].least_s:
            best[b.what] = b
    return tuple(sorted(best.values(), key=lambda b: -b.least_s))


def _quiet(search: Search, s: State, left: Sequence[tuple[Task, ...]]) -> int:
    """After the last has joined the wash nothing is left for the hands until its time is over, at least [s]."""
    tray, since = search.last_wash
    if not tray or not any(left):
        return 0
    if any(len(c) > 1 for c in left):
        return since
    return max(0, s.joined.get(tray, 0) + since - s.free)


def _stays(left: Sequence[tuple[Task, ...]], tray: str) -> list[tuple[int, Task, Task]]:
    return [(i, a, b) for i, c in enumerate(left) for a, b in itertools.pairwise(c) if a.enters == tray]


def _by_places(search: Search, s: State, left: Sequence[tuple[Task, ...]], tray: str) -> Bound:
    """So many stays of at least so long in so many places: the last of them is over no earlier."""
    taken, before, after = 0, FOREVER, FOREVER
    for i, a, b in _stays(left, tray):
        taken += b.wait_s[0] + b.for_s
        k = next(k for k, t in enumerate(search.chains[i]) if t is a)
        reach = search.rest[i][s.pos[i]] - search.rest[i][k + 1] - search.chains[i][k + 1].wait_s[0]
        before = min(before, search.earliest(s, i) + reach)
        after = min(after, search.rest[i][k + 1] - b.for_s)
    return Bound(tray, before + -(-taken // search.places.get(tray, 1)) + after, taken)


def _by_idle_hands(search: Search, s: State, left: Sequence[tuple[Task, ...]], tray: str) -> list[Bound]:
    """One place: its stays come one after another, and what hands cannot do within one of them they do outside.

    Within a stay fits only a stretch that is no longer than the longest wait, leaves the tray alone and, where the sheet there
    bears no white light, opens no lens. A sheet composed for cannot be mounted there either, where it was uncovered for longer
    than a composed picture holds.
    """
    stays = _stays(left, tray)
    if search.places.get(tray, 1) != 1 or not stays:
        return []
    most = max(b.wait_s[1] for _, _, b in stays)
    bare = all(a.bears_after < COVERED for _, a, _ in stays)
    short = min(a.for_s - a.parts[-1].for_s for _, a, _ in stays)
    fits = work = 0
    for c in left:
        for t in c:
            work += t.for_s
            shut = bare and (t.wants_light or (t.key == "mount" and t.wait_s[1] < short))
            if t.for_s <= most and tray not in (t.leaves, t.enters, *t.through) and not shut:
                fits += t.for_s
    waits = sum(b.wait_s[0] for _, _, b in stays)
    return [Bound(tray, s.free + work - fits + max(fits, waits) + _tail(search, s, left, tray), waits)]


def _tail(search: Search, s: State, left: Sequence[tuple[Task, ...]], tray: str) -> int:
    """The quiet of the last wash comes on top, where that is another tray than this one."""
    return 0 if tray == search.last_wash[0] or not any(len(c) > 1 for c in left) else _quiet(search, s, left)
