"""The same question put to a constraint solver, from the ways of working alone: nothing of the planner is used here.

Each piece of hand work is an interval of its own; a stay is one from going in to lifting; a bath that is rocked holds the hands.
One pair of hands: no two pieces overlap. A tray: as many stays at once as it has places. The open lens and white light: never
while another sheet is uncovered. A wash: whoever joins begins everybody's time anew, and nobody stays longer than its window.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

from ortools.sat.python import cp_model

TOLERANT = "white"


@dataclass
class Asked:
    """One sheet: its process and the seconds of what comes before the trays."""

    process: Any
    ready_s: int = 0
    compose_s: int = 120
    mount_s: int = 40
    expose_s: int = 10
    carry_s: int = 15
    hold_s: int = 60
    box_s: int | None = None
    keep_s: int = 7200
    early: bool = False


@dataclass
class _Parts:
    hands: list[Any] = field(default_factory=list)
    stays: dict[str, list[Any]] = field(default_factory=dict)
    boards: list[Any] = field(default_factory=list)
    bare: list[list[tuple[Any, Any]]] = field(
        default_factory=list
    )  # of each sheet: spans in which it bears no white light
    bright: list[list[tuple[Any, Any]]] = field(
        default_factory=list
    )  # of each sheet: spans that need the lens or white light
    washes: dict[str, list[tuple[Any, Any, int]]] = field(default_factory=dict)
    begins: list[Any] = field(default_factory=list)
    ends: list[Any] = field(default_factory=list)


def shortest(sheets: list[Asked], places: dict[str, int], limit_s: float, hint_s: int | None = None) -> tuple[int, int]:
    """The end of the last sheet, and what no plan can beat, both in seconds; equal where the solver has proved it."""
    m = cp_model.CpModel()
    horizon = max(s.ready_s for s in sheets) + sum(_longest(s) for s in sheets) if hint_s is None else hint_s
    parts = _Parts()
    for n, sheet in enumerate(sheets):
        _sheet(m, parts, sheet, n, horizon)
    m.AddNoOverlap(parts.hands)
    m.AddNoOverlap(parts.boards)
    for tray, stays in parts.stays.items():
        m.AddCumulative(stays, [1] * len(stays), places.get(tray, 1))
    _light(m, parts)
    for members in parts.washes.values():
        _wash(m, members)
    for a in range(len(sheets) - 1):
        if sheets[a] == sheets[a + 1]:
            m.Add(parts.begins[a] <= parts.begins[a + 1])
    end = m.NewIntVar(0, horizon, "end")
    m.AddMaxEquality(end, parts.ends)
    m.Minimize(end)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = limit_s
    solver.parameters.num_workers = 2
    solver.parameters.random_seed = 1
    status = solver.Solve(m)
    bound = math.ceil(solver.BestObjectiveBound() - 1e-6)
    return (round(solver.ObjectiveValue()) if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else -1), bound


def _longest(s: Asked) -> int:
    before = s.compose_s + s.mount_s + s.expose_s + s.carry_s + 2 * (s.box_s or 0)
    return before + sum(math.ceil(x.high_s) + math.ceil(x.drain_s) for x in s.process.steps) + 2 * s.hold_s


def _sheet(m: Any, parts: _Parts, s: Asked, n: int, horizon: int) -> None:
    def moment() -> Any:
        return m.NewIntVar(0, horizon, "")

    def busy(start: Any, for_s: Any) -> Any:
        end = moment()
        parts.hands.append(m.NewIntervalVar(start, for_s, end, ""))
        return end

    bare, bright = [], []
    at = moment()
    m.Add(at >= s.ready_s)
    parts.begins.append(at)
    board_from = at
    if s.compose_s:
        end = busy(at, s.compose_s)
        bright.append((at, end))
        at = moment()
        m.Add(at >= end)
        m.Add(at <= end + s.hold_s)
    box_open = at
    end = busy(at, s.mount_s)
    exposing = moment()
    m.Add(exposing >= end)
    m.Add(exposing <= end + s.hold_s)
    shut = busy(exposing, s.expose_s)
    bright.append((exposing, shut))
    carried = busy(shut, s.carry_s)
    if s.box_s is None:
        uncovered_from, at = box_open, carried
        m.Add(moment() == 0)
        board_to = _trays_begin = carried
    else:
        kept = busy(carried, s.box_s)
        bare.append((box_open, kept))
        out = moment()
        m.Add(out >= kept)
        m.Add(out <= kept + s.keep_s)
        uncovered_from, at = out, busy(out, s.box_s)
        board_to = kept
    size = moment()
    parts.boards.append(m.NewIntervalVar(board_from, size, board_to, ""))
    for step in s.process.steps:
        low = math.ceil(step.low_s if s.early else step.seconds)
        high = max(low, math.floor(step.high_s))
        lifted, stay = moment(), m.NewIntVar(low, high, "")
        m.Add(lifted == at + stay)
        parts.stays.setdefault(step.tray, []).append(m.NewIntervalVar(at, stay, lifted, ""))
        if step.hands == "all":
            parts.hands.append(m.NewIntervalVar(at, stay, lifted, ""))
        else:
            busy(at, min(low, math.ceil(step.enter_s)))
        if step.wants:
            bright.append((at, lifted))
        if step.restarts:
            parts.washes.setdefault(step.tray, []).append((at, lifted, low))
        at_next = busy(lifted, math.ceil(step.drain_s))
        if step.light != TOLERANT:
            tolerant_from = at_next
        at = at_next
    bare.append((uncovered_from, tolerant_from))
    parts.bare.append(bare)
    parts.bright.append(bright)
    parts.ends.append(at)


def _light(m: Any, parts: _Parts) -> None:
    for a, dark in enumerate(parts.bare):
        for b, bright in enumerate(parts.bright):
            if a == b:
                continue
            for d0, d1 in dark:
                for b0, b1 in bright:
                    first = m.NewBoolVar("")
                    m.Add(d1 <= b0).OnlyEnforceIf(first)
                    m.Add(b1 <= d0).OnlyEnforceIf(first.Not())


def _wash(m: Any, members: list[tuple[Any, Any, int]]) -> None:
    for a, (in_a, out_a, low) in enumerate(members):
        for b, (in_b, _, _) in enumerate(members):
            if a == b:
                continue
            earlier, after = m.NewBoolVar(""), m.NewBoolVar("")
            within = m.NewBoolVar("")
            m.AddExactlyOne([earlier, after, within])
            m.Add(in_b <= in_a).OnlyEnforceIf(earlier)
            m.Add(in_b >= out_a).OnlyEnforceIf(after)
            m.Add(out_a >= in_b + low).OnlyEnforceIf(within)
