"""What is wrong with a plan of several sheets, found from its deeds and the ways of working alone: nothing of the planner is used."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from typing import Any

BEARS = {"none": {"none"}, "red": {"none", "red"}, "white": {"none", "red", "white", "lens"}}


def faults(sheets: Sequence[Any], places: Mapping[str, int], plan: Any, windows: bool = True) -> list[str]:
    """Sentences; empty for a plan that may be followed. windows: whether stays and waits must be in theirs (not where one was late)."""
    found: list[str] = []
    by = {s.name: [d for d in plan.deeds if d.sheet == s.name] for s in sheets}
    _hands(plan, found)
    bare, bright, boards, stays = {}, {}, [], []
    for s in sheets:
        deeds = by[s.name]
        _turns(s, deeds, found, windows)
        bare[s.name], bright[s.name] = _uncovered(s, deeds), _needs(s, deeds)
        first = deeds[0].at_s
        boards.append(
            (first, next(d.until_s for d in deeds if d.kind == ("carry" if s.box_s is None else "box")), s.name)
        )
        stays += _stays(s, deeds)
    for a, b, name in boards:
        found += [f"board: {name} and {other}" for c, d, other in boards if other != name and a < d and c < b]
    _trays(stays, places, found)
    for s in sheets:
        _windows(s, [x for x in stays if x[2] == s.name], stays, found, windows)
    _light(plan, bare, bright, found)
    return found


def _hands(plan: Any, found: list[str]) -> None:
    busy = sorted((d.at_s, d.until_s, d.sheet, d.kind) for d in plan.deeds)
    for (_, end, *one), (begin, _, *two) in itertools.pairwise(busy):
        if begin < end:
            found.append(f"hands: {one} and {two} at {begin} s")


def _turns(s: Any, deeds: Sequence[Any], found: list[str], windows: bool) -> None:
    """Every piece of work once, in its turn, as long as it takes, after waits that it bears."""
    want: list[tuple[str, str, int]] = [("compose", "", s.compose_s)] if s.compose_s else []
    want += [("mount", "", s.mount_s), ("expose", "", s.expose_s), ("carry", "", s.carry_s)]
    want += [("box", "", s.box_s), ("unbox", "", s.box_s)] if s.box_s is not None else []
    for step in s.process.steps:
        low = math.ceil(step.low_s if s.early else step.seconds)
        want.append(
            ("rock", step.key, low) if step.hands == "all" else ("enter", step.key, min(low, math.ceil(step.enter_s)))
        )
        want.append(("lift", step.key, math.ceil(step.drain_s)))
    got = [(d.kind, d.step, d.until_s - d.at_s) for d in deeds]
    if got != want:
        found.append(f"{s.name}: {got} for {want}")
    if deeds[0].at_s < s.ready_s:
        found.append(f"{s.name}: begun at {deeds[0].at_s} s, its sitter comes at {s.ready_s} s")
    for a, b in itertools.pairwise(deeds):
        most = {("compose", "mount"): s.hold_s, ("mount", "expose"): s.hold_s, ("box", "unbox"): s.keep_s}.get(
            (a.kind, b.kind), 0
        )
        wait = b.at_s - a.until_s
        if b.kind != "lift" and (wait < 0 or (windows and wait > most)):
            found.append(f"{s.name}: {wait} s between {a.kind} and {b.kind} {b.step}")


def _uncovered(s: Any, deeds: Sequence[Any]) -> list[tuple[int, int, set[str]]]:
    """Spans with what light the sheet bears in them, from box open until it bears white light."""
    first = s.process.steps[0].light
    spans = []
    at = next(d.at_s for d in deeds if d.kind == "mount")
    if s.box_s is not None:
        spans.append((at, next(d.until_s for d in deeds if d.kind == "box"), BEARS[first]))
        at = next(d.at_s for d in deeds if d.kind == "unbox")
    for step in s.process.steps:
        if step.light == "white":
            break
        end = next(d.until_s for d in deeds if d.kind == "lift" and d.step == step.key)
        spans.append((at, end, BEARS[step.light]))
        at = end
    return spans


def _needs(s: Any, deeds: Sequence[Any]) -> list[tuple[int, int, str]]:
    out = [(d.at_s, d.until_s, "lens") for d in deeds if d.kind in ("compose", "expose")]
    for step in s.process.steps:
        if step.wants:
            out.append((_in(deeds, step), _out(deeds, step), step.wants))
    return out


def _in(deeds: Sequence[Any], step: Any) -> int:
    return next(int(d.at_s) for d in deeds if d.step == step.key and d.kind in ("enter", "rock"))


def _out(deeds: Sequence[Any], step: Any) -> int:
    return next(int(d.at_s) for d in deeds if d.step == step.key and d.kind == "lift")


def _stays(s: Any, deeds: Sequence[Any]) -> list[tuple[int, int, str, Any]]:
    return [(_in(deeds, step), _out(deeds, step), s.name, step) for step in s.process.steps]


def _trays(stays: Sequence[tuple[int, int, str, Any]], places: Mapping[str, int], found: list[str]) -> None:
    for begin, _, name, step in stays:
        there = [x for x in stays if x[3].tray == step.tray and x[0] <= begin < x[1]]
        if len(there) > places.get(step.tray, 1):
            found.append(f"{step.tray}: {len(there)} sheets when {name} goes in")


def _windows(
    s: Any,
    own: Sequence[tuple[int, int, str, Any]],
    every: Sequence[tuple[int, int, str, Any]],
    found: list[str],
    windows: bool,
) -> None:
    for begin, end, name, step in own:
        low = math.ceil(step.low_s if s.early else step.seconds)
        if end - begin < low or (windows and end - begin > step.high_s):
            found.append(f"{name}: {end - begin} s in {step.tray}, {low} to {step.high_s}")
        if step.restarts:
            for joined, _, other, theirs in every:
                if theirs.tray == step.tray and other != name and begin <= joined < end and end - joined < low:
                    found.append(f"{name}: lifted {end - joined} s after {other} joined it in {step.tray}")


def _light(plan: Any, bare: Mapping[str, Any], bright: Mapping[str, Any], found: list[str]) -> None:
    for name, spans in bare.items():
        for begin, end, bears in spans:
            for other, needs in bright.items():
                found += [
                    f"{light} of {other} on {name} at {max(a, begin)} s"
                    for a, b, light in needs
                    if other != name and a < end and begin < b
                ]
            for lit in plan.lights:
                own = [(a, b) for a, b, _ in bright[name]]
                if (
                    lit.light not in bears
                    and lit.from_s < end
                    and begin < lit.to_s
                    and not any(a <= lit.from_s and lit.to_s <= b for a, b in own)
                ):
                    found.append(f"{lit.light} light on {name} from {lit.from_s} to {lit.to_s} s")
    edges = [(x.from_s, x.to_s) for x in plan.lights]
    if edges[0][0] != 0 or edges[-1][1] != plan.end_s or any(a[1] != b[0] for a, b in itertools.pairwise(edges)):
        found.append("the light is not said for every moment")
    for name, needs in bright.items():
        for a, b, light in needs:
            if any(x.light not in (light, "lens") for x in plan.lights if x.from_s < b and a < x.to_s):
                found.append(f"{light} is needed by {name} from {a} to {b} s")
