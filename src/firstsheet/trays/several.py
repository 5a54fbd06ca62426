"""Several sheets at once: one pair of hands, trays with places, a wash that restarts, and one light for the whole room.

`plan` says when hands do what so that the last sheet is finished soonest, what light the room has meanwhile, how far that is from
what no plan can beat, and what stands in the way. What has been done already stays as it was; the rest is planned anew.
Pure: no clock, no chance. Times are whole seconds from the beginning.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from firstsheet.refusal import Problems, Refusal
from firstsheet.trays.several_bounds import Bound, bounds
from firstsheet.trays.several_chain import COVERED, FOREVER, Task, Wanted, chain
from firstsheet.trays.several_search import Search
from firstsheet.trays.several_state import State

MOST_SHEETS = 12
LIGHTS = ("none", "red", "white")


@dataclass(frozen=True, slots=True)
class Mark:
    """A stretch of work that was begun at `at_s` [s]; `key` is the stretch's."""

    sheet: str
    key: str
    at_s: int


@dataclass(frozen=True, slots=True)
class Deed:
    """What hands do from at_s to until_s [s]. kind and step as in `several_chain.Part`; key: the stretch it is part of."""

    sheet: str
    key: str
    kind: str
    step: str
    at_s: int
    until_s: int
    marked: bool


@dataclass(frozen=True, slots=True)
class Stay:
    """A sheet in a tray from from_s to to_s [s], which asks for low_s to high_s [s].

    late_s  how much longer than it should be, short_s how much less [s]; 0 in a plan where nothing was missed
    """

    sheet: str
    step: str
    tray: str
    from_s: int
    to_s: int
    low_s: float
    high_s: float
    late_s: int
    short_s: int


@dataclass(frozen=True, slots=True)
class Lit:
    """The room's light from from_s to to_s [s]: "lens", or the brightest that is allowed of "white", "red", "none"."""

    light: str
    from_s: int
    to_s: int


@dataclass(frozen=True, slots=True)
class Several:
    """The whole plan.

    end_s     when the last sheet is out of its last tray and drained [s]
    least_s   no plan ends earlier [s]; proven: this one ends then
    longer    end over least, less 1: how much longer than the shortest this may be at most
    bottleneck, bounds   what stands in the way most, and all of it, by what each asks at least
    taken_s   how long the first is taken by all these sheets, what was done included [s]
    """

    deeds: tuple[Deed, ...]
    stays: tuple[Stay, ...]
    lights: tuple[Lit, ...]
    done_s: tuple[tuple[str, int], ...]
    end_s: int
    least_s: int
    longer: float
    proven: bool
    bottleneck: Bound
    bounds: tuple[Bound, ...]
    taken_s: int


def plan(wanted: Sequence[Wanted], places: Mapping[str, int], marks: Sequence[Mark] = (), now_s: int = 0) -> Several:
    """The plan for these sheets and trays; tray names as in their processes, one place where none is said.

    marks   stretches that were begun already; they stay where they are
    now_s   nothing more begins before this [s]

    Raises Refusal for no sheet or more than 12, for names said twice, for marks that do not fit.
    """
    _checked(wanted, marks, now_s)
    chains = [chain(w) for w in wanted]
    search = Search(chains, [w.ready_s for w in wanted], places)
    begin, before = _marked(search, wanted, marks, now_s)
    by = bounds(search, begin)
    starts = [*before, *_rest(search, begin, by[0].least_s)]
    at = [dict[int, int]() for _ in wanted]
    for i, k, start in starts:
        at[i][k] = start
    done = [at[i][len(c) - 1] + c[-1].for_s for i, c in enumerate(chains)]
    end, least = max(done), min(by[0].least_s, max(done))
    return Several(
        deeds=_deeds(wanted, chains, starts, len(before)),
        stays=_stays(wanted, chains, at),
        lights=_lights(wanted, chains, at),
        done_s=tuple((w.name, d) for w, d in zip(wanted, done, strict=True)),
        end_s=end,
        least_s=least,
        longer=end / least - 1.0,
        proven=end == least,
        bottleneck=by[0],
        bounds=by,
        taken_s=next((b.busy_s for b in bounds(search, search.begin()) if b.what == by[0].what), by[0].busy_s),
    )


def _checked(wanted: Sequence[Wanted], marks: Sequence[Mark], now_s: int) -> None:
    found = Problems()
    names = [w.name for w in wanted]
    if not 1 <= len(wanted) <= MOST_SHEETS:
        found.add("sheets", len(wanted), f"From 1 to {MOST_SHEETS} sheets.", "Plan the others when these are washed.")
    if len(set(names)) != len(names):
        found.add("sheets", ", ".join(names), "Each sheet by a name of its own.", "Number them.")
    by_name = {w.name: [t.key for t in chain(w)] for w in wanted}
    done: dict[str, int] = {}
    for m in sorted(marks, key=lambda m: m.at_s):
        keys = by_name.get(m.sheet, [])
        k = done.get(m.sheet, 0)
        if m.at_s < 0 or m.at_s > now_s:
            found.add(
                "done",
                f"{m.sheet} {m.key} at {m.at_s} s",
                "Not before the beginning and not later than now.",
                "Say when it was begun.",
            )
        if k >= len(keys) or keys[k] != m.key:
            due = (
                f"Next for sheet {m.sheet}: {keys[k]}."
                if k < len(keys)
                else "A sheet of this plan that is not finished."
            )
            found.add("done", f"{m.sheet} {m.key}", due, "Mark each stretch in its turn.")
        else:
            done[m.sheet] = k + 1
    found.raise_if_any()


def _marked(
    search: Search, wanted: Sequence[Wanted], marks: Sequence[Mark], now_s: int
) -> tuple[State, list[tuple[int, int, int]]]:
    """What stands now, and what was done: (sheet, stretch, start)."""
    index = {w.name: i for i, w in enumerate(wanted)}
    s, before = search.begin(), []
    for m in sorted(marks, key=lambda m: m.at_s):
        i = index[m.sheet]
        before.append((i, s.pos[i], m.at_s))
        s = search.step(s, i, m.at_s)
    s = search.anew(s, max(s.free, now_s))
    search.before = [
        -1 if s.pos[i] or (j >= 0 and s.pos[j]) else j for i, j in enumerate(search.before)
    ]  # the one ahead of its like need not be the first that was named
    order, in_time = search.pressing(s)[0]
    if not in_time:  # too late already: as soon as hands can
        now = s
        for i in order:
            start = search.earliest(now, i)
            s.dead[i] = max(s.dead[i], start)
            now = search.step(now, i, start)
    return s, before


def _rest(search: Search, begin: State, least_s: int) -> tuple[tuple[int, int, int], ...]:
    for more_s in (0, 60, 300, 1200, FOREVER):
        begin.dead = [d if d == FOREVER else min(FOREVER, d + more_s) for d in begin.dead]
        found = search.best(begin, least_s)
        if found is not None:
            return _unhurried(search.chains, found.starts)
        if not any(d < FOREVER for d in begin.dead):
            break
    raise Refusal.one(
        "sheets",
        len(search.chains),
        "Sheets whose windows can be kept with these hands and trays.",
        "Fewer at once, or wider windows.",
    )


def _unhurried(
    chains: Sequence[tuple[Task, ...]], starts: Sequence[tuple[int, int, int]]
) -> tuple[tuple[int, int, int], ...]:
    """The same order, but a sitter is composed for, and a sheet mounted, no sooner than what follows needs it."""
    out = list(starts)
    for q in range(len(out) - 2, -1, -1):
        i, k, at = out[q]
        if chains[i][k].key not in ("compose", "mount") or out[q + 1][0] != i:
            continue
        later = max(at, out[q + 1][2] - chains[i][k].for_s)
        if k and (q == 0 or out[q - 1][0] != i):  # what came before stays where it is: no longer than it may wait
            ends = next((b + chains[i][k - 1].for_s for j, m, b in out if (j, m) == (i, k - 1)), None)
            later = at if ends is None else max(at, min(later, ends + chains[i][k].wait_s[1]))
        out[q] = (i, k, later)
    return tuple(out)


def _deeds(
    wanted: Sequence[Wanted], chains: Sequence[tuple[Task, ...]], starts: Sequence[tuple[int, int, int]], marked: int
) -> tuple[Deed, ...]:
    return tuple(
        Deed(wanted[i].name, chains[i][k].key, p.kind, p.step, at + p.from_s, at + p.from_s + p.for_s, n < marked)
        for n, (i, k, at) in enumerate(starts)
        for p in chains[i][k].parts
    )


def _stays(
    wanted: Sequence[Wanted], chains: Sequence[tuple[Task, ...]], at: Sequence[Mapping[int, int]]
) -> tuple[Stay, ...]:
    out: list[Stay] = []
    for i, w in enumerate(wanted):
        parts = [(p, at[i][k] + p.from_s) for k, t in enumerate(chains[i]) for p in t.parts]
        for step in w.process.steps:
            begin = next(start for p, start in parts if p.step == step.key and p.kind in ("enter", "rock"))
            lift = next(start for p, start in parts if p.step == step.key and p.kind == "lift")
            late, short = max(0, math.ceil(lift - begin - step.high_s)), max(0, math.ceil(step.low_s - (lift - begin)))
            out.append(Stay(w.name, step.key, step.tray, begin, lift, step.low_s, step.high_s, late, short))
    return tuple(sorted(out, key=lambda s: (s.from_s, s.sheet)))


def _lights(
    wanted: Sequence[Wanted], chains: Sequence[tuple[Task, ...]], at: Sequence[Mapping[int, int]]
) -> tuple[Lit, ...]:
    """The brightest light that every uncovered sheet bears, and the open lens where something is composed or exposed."""
    bears: list[tuple[int, int, int]] = []
    lens: list[tuple[int, int]] = []
    for i, _ in enumerate(wanted):
        for k, task in enumerate(chains[i]):
            start = at[i][k]
            for p in task.parts:
                if p.bears < COVERED:
                    bears.append((start + p.from_s, start + p.from_s + p.for_s, p.bears))
                if p.kind in ("compose", "expose"):
                    lens.append((start + p.from_s, start + p.from_s + p.for_s))
            if task.bears_after < COVERED:
                bears.append((start + task.for_s, at[i][k + 1], task.bears_after))
    end = max(start + chains[i][k].for_s for i, starts in enumerate(at) for k, start in starts.items())
    edges = sorted({0, end, *(t for a, b, *_ in bears for t in (a, b)), *(t for a, b in lens for t in (a, b))})
    out: list[Lit] = []
    for a, b in itertools.pairwise(edges):
        level = min((x for f, t, x in bears if f <= a < t), default=COVERED)
        light = "lens" if any(f <= a < t for f, t in lens) else LIGHTS[level]
        if out and out[-1].light == light:
            out[-1] = Lit(light, out[-1].from_s, b)
        else:
            out.append(Lit(light, a, b))
    return tuple(out)
