"""The run at the trays: its steps as data for a page or a terminal, and the marks that come back, each kept once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from firstsheet import wording
from firstsheet.acts import at_trays, readiness
from firstsheet.acts.sheet import RUN_KINDS, sheet
from firstsheet.refusal import Problems, Refusal
from firstsheet.trays import progress
from firstsheet.trays.process import Process
from firstsheet.trays.runpage import DARK_LEAD_S, run_page
from firstsheet.trays.sheettrack import dark_run
from firstsheet.trays.soundtrack import render_spoken

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book, Kept

MOST_MARKS = 500


def process_of(reader: Reader, code: str, seconds: Mapping[str, float] | None = None) -> Process:
    """The timed steps for this sheet: its way of working, its developer, its paper, stretched by today's baths; see `at_trays`.

    seconds  times for 20 °C by step key [s], said for this once
    """
    return at_trays.process(reader, code, seconds)


def page(reader: Reader, code: str) -> dict[str, Any]:
    """Everything the run page will ever need, for once loaded it runs alone."""
    now = sheet(reader, code)
    words = f"Sheet {now.number}, {now.plan['way_words']}"
    given = run_page(process_of(reader, code), now.code, words, run_marks(reader, code))
    with suppress(Refusal):  # its box may have been renamed since; the run goes on without the list
        given["ready"] = readiness.in_short(reader, code)
    return given


def run_marks(reader: Reader, code: str) -> list[dict[str, Any]]:
    """The run's marks as the page keeps them: id, kind, step, elapsed_s, wall_ms."""
    row = reader.get_sheet(code)
    out = []
    for m in reader.marks(row["id"]):
        if m["kind"] in RUN_KINDS:
            wall_ms = round(m["wall"].timestamp() * 1000)
            out.append(
                {"id": m["client_id"], "kind": m["kind"], "step": m["body"].get("step", ""), "elapsed_s": m["elapsed_s"],
                 "wall_ms": wall_ms}
            )  # fmt: skip
    return out


def track(reader: Reader, code: str) -> bytes:
    """The sound file of the whole run for total darkness, its tones and its words (WAV)."""
    return render_spoken(*dark_run(process_of(reader, code), DARK_LEAD_S))


def standing(reader: Reader, code: str, now_s: float) -> progress.Standing:
    """Where the run stands `now_s` seconds after it began."""
    marks = [progress.Mark(m["kind"], m["step"], m["elapsed_s"] or 0.0) for m in run_marks(reader, code)]
    return progress.where(process_of(reader, code), marks, now_s)


def mark(book: Book, code: str, marks: Sequence[Mapping[str, Any]]) -> Kept:
    """Keep marks from a page or terminal: each has id, kind, step, elapsed_s [s], wall_ms [ms since 1970, UTC].

    Idempotent: a mark handed in again is acknowledged and not doubled. All or none are kept.
    """
    row = book.get_sheet(code)
    rows = rows_of(marks)
    with book.begin():
        kept = book.add_marks(row["id"], rows)
        if any(r["kind"] == "begun" for r in rows):
            at_trays.freeze(book, row["code"])
    return kept


def rows_of(marks: Sequence[Mapping[str, Any]], kinds: Sequence[str] = RUN_KINDS) -> list[dict[str, Any]]:
    """Marks as the book takes them. Refusal with every fault; for a kind that is none of `kinds`."""
    if not isinstance(marks, list | tuple) or len(marks) > MOST_MARKS:
        raise Refusal.one(
            "marks", type(marks).__name__, f"A list of at most {MOST_MARKS} marks.", "Send them in parts."
        )
    problems = Problems()
    rows = []
    for i, m in enumerate(marks):
        with problems.at(f"marks.{i}"):
            rows.append(_row(m, kinds))
    problems.raise_if_any()
    return rows


def _row(m: object, kinds: Sequence[str]) -> dict[str, Any]:
    if not isinstance(m, Mapping):
        raise Refusal.one("", m, "A mark with id, kind, step, elapsed_s and wall_ms.", "")
    kind = m.get("kind")
    if kind not in kinds:
        raise Refusal.one("kind", kind, "One of: " + ", ".join(kinds) + ".", "")
    wall_ms = m.get("wall_ms")
    if not isinstance(wall_ms, int | float) or isinstance(wall_ms, bool) or not 0 <= wall_ms < 4e12:
        raise Refusal.one("wall_ms", wall_ms, "Milliseconds since 1970, UTC.", "")
    elapsed = m.get("elapsed_s")
    if not isinstance(elapsed, int | float) or isinstance(elapsed, bool) or not 0 <= elapsed < 1e6:
        raise Refusal.one("elapsed_s", elapsed, "Seconds since the run began.", "")
    step = m.get("step", "")
    if not isinstance(step, str) or len(step) > 60:
        raise Refusal.one("step", step, "The key of a step.", "")
    wall = datetime.fromtimestamp(wall_ms / 1000, UTC)
    return {"client_id": m.get("id"), "kind": kind, "elapsed_s": float(elapsed), "wall": wall, "body": {"step": step}}


def spoken(process: Process) -> tuple[str, ...]:
    """The run in plain lines, for a terminal or for counting if all else fails."""
    return tuple(
        f"{i}. {s.tray}: {wording.seconds(s.seconds)}, then {wording.seconds(s.drain_s)} to drain. {s.light_words}"
        + (f" {s.changed}." if s.changed else "")
        for i, s in enumerate(process.steps, 1)
    )
