"""Marks made while a sheet's sound runs: lens opened and shut, lifts. From them the book knows what was given, without a form."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from firstsheet.acts import expose, run
from firstsheet.acts.sheet import RUN_KINDS, sheet
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.book.store import Book, Kept, Row

LENS_KINDS = ("opened", "capped")
NO_FINER_S = 0.5  # a foot or a held touch tells no less: nearer to the plan it was given as told


def mark(book: Book, code: str, marks: Sequence[Mapping[str, Any]]) -> Kept:
    """Keep marks of a sound: those of a run (`run.mark`) and “opened”, “capped”, whose elapsed_s count from the beginning of the sound [s].

    Lens opened and capped make an exposure of what lies between them; capped alone, or the first liquid without either, one as planned.
    What was said to have been given, other than as planned, stays. Idempotent; all or none are kept. Refusal for a test strip, which is not marked.
    """
    now = sheet(book, code)
    if now.strip:
        raise Refusal.one("sheet", now.code, "A sheet.", "A test strip is judged by the times it was planned with.")
    rows = run.rows_of(marks, (*RUN_KINDS, *LENS_KINDS))
    with book.begin():
        sheet_id = book.get_sheet(code)["id"]
        kinds = {r["kind"] for r in rows}
        lens = book.add_marks(sheet_id, [r for r in rows if r["kind"] in LENS_KINDS])
        # given before begun, for the last mark says where a sheet stands
        if kinds & {"capped", "begun"} and not now.judgement:
            _given(book, now.code, book.marks(sheet_id), float(now.plan["time_s"]))
        rest = run.mark(book, code, [m for m in marks if m["kind"] not in LENS_KINDS])
    for name in ("client_ids", "stored", "differing"):
        getattr(rest, name).extend(getattr(lens, name))
    return rest


def _given(book: Book, code: str, have: list[Row], planned_s: float) -> None:
    said = [m["body"]["given_s"] for m in have if m["kind"] == "exposed"]
    if said and (said[-1] != planned_s or any(m["kind"] in RUN_KINDS for m in have)):
        return
    at = {m["kind"]: m["elapsed_s"] for m in have if m["kind"] in LENS_KINDS}
    given = at["capped"] - at["opened"] if len(at) == len(LENS_KINDS) else planned_s
    measured = given > 0 and abs(given - planned_s) > NO_FINER_S
    if measured or not said:
        expose.expose(book, code, {"given": f"{given:.1f} s"} if measured else None)
