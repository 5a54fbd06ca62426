"""Few sheets that differ: the order in which they are begun decides most, so orders of beginning are tried one after another.

A search that is free to begin any sheet keeps what looks soonest to end, and sheets that all wait for one that comes late look
so for long. With the order of beginning given, a narrow search is enough; from the best order so far, one sheet at a time is put elsewhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from firstsheet.trays.several_chain import FOREVER

if TYPE_CHECKING:
    from firstsheet.trays.several_search import Search
    from firstsheet.trays.several_state import State

# stretches tried by the search that is free, by each order given; and when no more orders are begun. Chosen on a hundred and fifty random sets.
FREE, EACH, LAST = 200, 300, 1800


def best_of(search: Search, begin: State, least: int) -> State | None:
    """The best of the free search and of the orders of beginning tried; None where none of them keeps the windows."""
    best = search.run(begin, 1)
    best = search.run(begin, 1, _ends(best), FREE) or best if _ends(best) > least else best
    fresh = [i for i in range(search.count) if not begin.pos[i]]
    ready, rest = search.ready, search.rest
    tried: set[tuple[tuple[int, ...], int]] = set()

    def better(order: Sequence[int], alike: int, nodes: int = EACH) -> bool:
        nonlocal best
        turn = _twins_in_turn(search, order)
        if (turn, alike) in tried or search.nodes > LAST or _ends(best) <= least:
            return False
        tried.add((turn, alike))
        search.turn = turn
        search.waiting = [sum(1 << i for i in turn if i != first) for first in (*turn, -1)]
        found = search.run(begin, alike, _ends(best), nodes)
        search.turn, search.held = (), 0
        best = found or best
        return found is not None

    better(sorted(fresh, key=lambda i: (ready[i], rest[i][0])), 3)
    better(sorted(fresh, key=lambda i: -rest[i][0]), 1)
    better(sorted(fresh, key=lambda i: (ready[i], -rest[i][0])), 1)
    for alike, nodes in ((1, EACH), (2, EACH // 2), (3, EACH // 2)):
        while best is not None and any(better(order, alike, nodes) for order in _moved([-1 - i for i in best.begun if -1 - i in fresh])):
            pass
    return best


def apart(search: Search, begin: State) -> bool:
    """Whether there is more than one order of beginning: sheets just alike go in turn."""
    return sum(1 for i in range(search.count) if not begin.pos[i] and search.before[i] < 0) > 1


def _moved(order: list[int]) -> list[list[int]]:
    """Every order with one sheet put elsewhere."""
    out = []
    for a in range(len(order)):
        for b in range(len(order)):
            if a != b:
                new = order[:]
                new.insert(b, new.pop(a))
                out.append(new)
    return out


def _twins_in_turn(search: Search, order: Sequence[int]) -> tuple[int, ...]:
    out = list(order)
    for i in sorted(out):
        j = search.before[i]
        if j in out and out.index(j) > out.index(i):
            a, b = out.index(i), out.index(j)
            out[a], out[b] = out[b], out[a]
    return tuple(out)


def _ends(s: State | None) -> int:
    return max(s.end) if s is not None else FOREVER
