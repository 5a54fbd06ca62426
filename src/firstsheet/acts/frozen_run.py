"""What a run went by, kept when it began: the process again from it, and when the image showed in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from firstsheet.trays import ownway, progress, stretched, warmth
from firstsheet.trays.ownway import OwnStep
from firstsheet.trays.process import Process, process_for
from firstsheet.trays.stretched import Change

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader, Row

KIND = "at_trays"
APPEARED = "appeared"  # the mark of a run: the image shows
BEFORE_LIFT_S = 1e-6
LEAST_S, MOST_S = 0.5, 3600.0  # first appearance, as the bath's own page takes it


def steps_of(body: dict[str, Any]) -> tuple[OwnStep, ...]:
    """The steps of a way of one's own as they are kept."""
    return tuple(OwnStep(**s) for s in body["steps"])


def made(found: dict[str, Any], seconds: Mapping[str, float] | None = None) -> Process:
    """The process from what is kept of it: way, kind, sensitivity, base, own steps, factor of first appearance, changes by today's baths.

    seconds  times for 20 °C by step key [s] in place of its own; they are stretched the same
    """
    own = found["own"]
    rows = ownway.rows(found["way"], steps_of(own)) if own else None
    process = process_for(found["way"], found["kind"], found["sensitivity"], found["base"], seconds, rows)
    if own:
        process = replace(process, words=f"{process.words}, {own['name']}")
    if found["factor"]:
        process = stretched.learned(process, found["first"], _range(found["factor"]))
    return stretched.stretched(
        process, {k: Change(_range(c["times"]), c["because"]) for k, c in found["changes"].items()}
    )


def _range(x: Any) -> warmth.Range:
    return float(x[0]), float(x[1]), float(x[2])


class Shown:
    """Runs in which the image was seen to show, read from the book once: what each went by, the last such mark, and after how long it was."""

    def __init__(self, reader: Reader) -> None:
        last = {m["sheet_id"]: m for m in reader.all_marks(APPEARED)}
        self.runs: list[tuple[dict[str, Any], Row, float | None]] = []
        self._marks = reader.marks_of(list(last)) if last else {}
        self._seconds: dict[int, float | None] = {}
        for t in reader.things(KIND) if last else ():
            f, said = t["body"].get("frozen"), t["body"].get("temperature") or {}
            if f and f.get("sheet") in last:
                self.runs.append((f, last[f["sheet"]], said.get(f["first"], said.get(""))))
        self.runs.sort(key=lambda r: r[1]["wall"])

    def seconds(self, found: dict[str, Any]) -> float | None:
        """How long the sheet had been in the developer when the image showed [s], pauses and what was taken back allowed for; None where not."""
        sheet: int = found["sheet"]
        if sheet not in self._seconds:
            self._seconds[sheet] = _seconds(found, self._marks[sheet])
        return self._seconds[sheet]


def _seconds(found: dict[str, Any], rows: list[Row]) -> float | None:
    marks = [
        progress.Mark(m["kind"], str(m["body"].get("step") or ""), float(m["elapsed_s"]))
        for m in rows
        if m["kind"] in progress.KINDS and m["kind"] not in progress.ENDS and m["elapsed_s"] is not None
    ]
    lifts = [m.at_s for m in marks if m.kind == "lifted" and m.step == found["first"]]
    at_s = max(lifts) - BEFORE_LIFT_S if lifts else max((m.at_s for m in marks), default=0.0)
    standing = progress.where(made(found), marks, at_s)
    shown = standing.shown_s if standing.step and standing.step.key == found["first"] else None
    return shown if shown is not None and LEAST_S <= shown <= MOST_S else None
