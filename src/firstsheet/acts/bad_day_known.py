"""What the book knows of a spoiled sheet, as clues for the ranking of a bad day: exposure, flash, run, paper, the sheets before it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from firstsheet import tables, wording
from firstsheet.acts import run
from firstsheet.acts.answers import SheetState
from firstsheet.acts.sheet import state_of
from firstsheet.exposure.latitude import normal_cdf
from firstsheet.paper import response
from firstsheet.refusal import Refusal
from firstsheet.trays import interrupt, progress

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.trays.process import Process

MISS_STOPS = 0.6  # a sheet this far off is a miss [stop]; ours
CHANGED = {
    "box": ("the box", ("speed", "old_box", "opened_box")),
    "developer": ("the developer", ("dead_developer", "tired_bath")),
    "light": ("the kind of light", ("light_changed",)),
    "camera": ("the camera", ("stray_light", "arithmetic")),
    "way": ("the way of working", ("dead_developer", "wrong_tray", "speed")),
}


@dataclass(frozen=True, slots=True)
class Clue:
    """What is known, by how much it multiplies the causes named [1], and in words; no words where it is no news."""

    causes: tuple[str, ...]
    times: float
    words: str = ""


@dataclass(frozen=True, slots=True)
class Seen:
    """What is seen, on which way of working, with which border; `light` +1 far too much, −1 far too little, 0 unsaid."""

    saw: str
    way: str
    border: str | None
    light: int


def known(reader: Reader, now: SheetState, at: Seen) -> Iterable[Clue]:
    e: dict[str, float] = tables.load("bad_day")["evidence"]
    yield from _of_exposure(now, at, e)
    yield from _of_flash(now, e)
    yield from _of_run(reader, now, e)
    yield from _of_paper(reader, now, e)
    for key in differing(reader, now):
        yield Clue(CHANGED[key][1], e["changed"], f"{CHANGED[key][0].capitalize()} changed since the sheet before.")


def _of_exposure(now: SheetState, at: Seen, e: dict[str, float]) -> Iterable[Clue]:
    if now.given_s is None:
        yield Clue(("not_exposed",), e["never_exposed"], "The book has no exposure of this sheet.")
        return
    if not at.light or now.strip or now.given_s <= 0:
        return
    stopped = (
        2.0 * math.log2(now.given_aperture / now.plan["aperture"])
        if now.given_aperture and now.plan["aperture"]
        else 0.0
    )
    off = math.log2(now.given_s / now.plan["time_s"]) - stopped
    words = f"The plan asked for {wording.seconds(now.plan['time_s'])}; by the book it got {wording.seconds(now.given_s)}, {wording.stops(off)} in light."
    if abs(off) < 0.5:
        yield Clue(("given",), e["given_as_planned"], "The book has it given as planned.")
    else:
        yield Clue(("given",), e["given_differs"] if off * at.light > 0 else e["given_other_way"], words)
    sd = math.hypot(now.plan["sd_stops"], float(tables.load("ways")["retry_sd"]))
    far = e["exposure_off_stops"]
    usual = 1.0 - normal_cdf(far / e["exposure_doubt_stops"])
    times = min(max((1.0 - normal_cdf(far / sd)) / usual, e["exposure_least"]), 3.0)
    doubt = f"The plan was good to {wording.stops_pm(sd)}, a keeper {wording.chance(now.plan['keeper_chance'])}: "
    tail = "so far off by exposure alone is not expected." if times < 0.5 else "exposure alone may be so far off."
    exposing = tuple(k for k, c in tables.load("bad_day")["causes"].items() if c.get("exposure"))
    yield Clue(exposing, times, doubt + tail)


def _of_flash(now: SheetState, e: dict[str, float]) -> Iterable[Clue]:
    if now.flashed is None:
        yield Clue(("flash",), e["not_flashed"])
        return
    share = now.flashed["share"]
    planned = float(now.plan.get("flash_share") or 0.0)
    words = f"It was flashed, {share:.0%} of the threshold".replace("%", " %")
    if planned and abs(math.log2(share / planned)) > 0.2:
        words += f", {planned:.0%} planned".replace("%", " %")
    yield Clue(("flash",), e["flashed"] * (2.0 if share > 0.9 else 1.0), words + ".")


def _of_run(reader: Reader, now: SheetState, e: dict[str, float]) -> Iterable[Clue]:
    """Time in the first developer, and white light marked too early."""
    with suppress(Refusal):  # its box or developer may have been renamed since
        process = run.process_of(reader, now.code)
        marks = [progress.Mark(m["kind"], m["step"], m["elapsed_s"] or 0.0) for m in run.run_marks(reader, now.code)]
        begun = [m.at_s for m in marks if m.kind == "begun"]
        first = process.steps[0]
        lifts = [m.at_s for m in marks if m.kind == "lifted" and m.step == first.key]
        undone = any(m.kind == "taken_back" and m.step == first.key for m in marks)
        if begun and lifts and not undone:
            spent = max(lifts) - min(begun)
            by = progress.where(process, marks, max(lifts) - 0.001).step  # its times as first appearance made them
            first = by if by and by.key == first.key else first
            words = f"It was {wording.seconds(spent)} in the {first.tray}; the window is {wording.seconds(first.low_s)} to {wording.seconds(first.high_s)}."
            short = e["short_dev"] if spent < first.low_s else e["dev_in_time"]
            long = e["long_dev"] if spent > 2.0 * first.high_s else e["dev_in_time"]
            yield Clue(("short_dev",), short, words)
            yield Clue(("long_dev",), long, words)
        yield from _of_wrong_trays(process, marks, e)
        for at_s in progress.where(process, marks, max(m.at_s for m in marks)).lights_on_at_s if begun else ():
            step = progress.where(process, [m for m in marks if m.kind in ("begun", "lifted", "taken_back")], at_s).step
            if step and step.light != "white":
                yield Clue(
                    ("white_light",),
                    e["white_light"],
                    f"White light was marked {wording.seconds(at_s)} into the run, in the {step.tray}.",
                )
                return


def _of_wrong_trays(process: Process, marks: list[progress.Mark], e: dict[str, float]) -> Iterable[Clue]:
    """A wrong tray that was marked at the run, and what it does to a sheet."""
    for m in (m for m in marks if m.kind == "wrong_tray"):
        at = progress.where(process, [*(x for x in marks if x.at_s < m.at_s), m], m.at_s)
        undone = any(x.kind == "taken_back" and x.step == m.step and x.at_s >= m.at_s for x in marks)
        if at.aside and at.step and not undone:
            means = interrupt.wrong(process, at.step, at.aside).means
            words = f"At the run it lay in the {at.aside.tray} when it was due in the {at.step.tray}. {means}"
            yield Clue(("wrong_tray",), e["wrong_tray_marked"], words)
            return


def _of_paper(reader: Reader, now: SheetState, e: dict[str, float]) -> Iterable[Clue]:
    if response.way_of(now.plan["way"])["sensitivity"] == "colour":
        yield Clue(("lamp",), e["colour_lamp"], "This paper bears no lamp at all, not even red.")
    box: dict[str, Any] = next((t["body"] for t in reader.things("box") if t["name"] == now.plan["box"]), {})
    if not box.get("opened"):
        return
    years = (date.fromisoformat(now.wall[:10]) - date.fromisoformat(box["opened"])).days / 365.25
    words = f"Box {now.plan['box']} was opened {box['opened']}."
    if years >= e["old_years"]:
        yield Clue(("old_box",), e["old_box"] ** (2 if years >= 2 * e["old_years"] else 1), words)
    elif 0 <= years < 1:
        yield Clue(("old_box",), e["fresh_box"], words)


def differing(reader: Reader, now: SheetState | None) -> list[str]:
    """What differs from the sheet before it, by the plans."""
    before = reader.sheets(limit=1, before=now.number) if now else []
    if not now or not before:
        return []
    plan = before[0]["body"]["plan"]
    return [k for k in CHANGED if plan.get(k) != now.plan.get(k)]


def misses(reader: Reader, now: SheetState | None, at: Seen) -> int:
    """How many sheets in a row, this one included, missed in the same way: fogged, or too much light, or too little."""
    mine = "fogged" if at.saw == "grey_border" else at.light
    if at.border and response.border_says(at.way, at.border) == "fogged":
        mine = "fogged"
    count = 1
    for row in reader.sheets(limit=6, before=now.number if now else None) if mine else ():
        j = state_of(row, reader.marks(row["id"])).judgement
        if j is None:
            continue
        light = 0 if abs(j["need_stops"]) < MISS_STOPS else -int(math.copysign(1, j["need_stops"]))
        if ("fogged" if j["fogged"] else light) != mine:
            break
        count += 1
    return count
