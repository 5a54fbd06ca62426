"""Bring in a notebook kept so far: every row of it becomes a sheet that teaches, or none does.

A row is planned as the chain would have planned it at its own moment, in the order of the days, each from what the book
knows now and the rows before it taught; so it teaches what it would have taught had it been judged here by hand.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from firstsheet.acts import learn, notebook_kept
from firstsheet.acts import notebook_rows as nb
from firstsheet.acts.notebook_asked import LACKING, TABLED, Asked, Row, asked, columns_of, read_row
from firstsheet.acts.notebook_then import Made, Then, made_of
from firstsheet.belief.effects import Effect
from firstsheet.refusal import Problem, Problems, Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

ROW_KIND = "notebook_row"
FIRST = 8
UTC_NOTE = (
    "Times were taken as UTC; say the zone if they are local: it matters to where the sun stood, not to the speed."
)
NOON_NOTE = "Rows without a time of day are put at noon."
STOCK_NOTE = "Nothing was taken out of the boxes: their count is taken as made after these sheets. If it was not, say that they are to be taken out."


@dataclass(frozen=True, slots=True)
class Proposal:
    """What the notebook looks like, and what each column may be. Nothing is mapped until the person says so."""

    delimiter: str
    encoding: str
    rows: int
    columns: tuple[nb.Column, ...]
    first_rows: tuple[dict[str, str], ...]
    fields: dict[str, str]

    def mapping(self) -> dict[str, str]:
        """The guesses as a mapping of column to field."""
        return {c.name: c.field for c in self.columns if c.field}


@dataclass(frozen=True, slots=True)
class RowProblem:
    row: int
    column: str
    field: str
    said: str
    allowed: str
    hint: str

    @property
    def lacks(self) -> bool:
        """Whether it is that something a sheet teaches by was never written down: such a row can be kept all the same."""
        return not self.said and self.field in LACKING

    def to_problem(self, rows: Sequence[int] | None = None) -> Problem:
        where = rows_words(rows or [self.row])
        return Problem(f"{where[:1].lower()}{where[1:]}, {self.column}", self.said, self.allowed, self.hint)


@dataclass(frozen=True, slots=True)
class CheckedRow:
    """One row as it would be kept. `taught`: whether it says something of the paper's speed; `there`: it is in the book."""

    row: int
    when: str
    box: str
    aperture: float | None
    given_s: float | None
    wanted_s: float | None
    seen: str
    taught: bool
    there: bool
    lacks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Checked:
    """All rows and all problems. `notes`: what was taken for granted. Ready where there is no problem."""

    rows: tuple[CheckedRow, ...]
    problems: tuple[RowProblem, ...]
    notes: tuple[str, ...]

    @property
    def ready(self) -> bool:
        return not self.problems


@dataclass(frozen=True, slots=True)
class BroughtIn:
    """count sheets with their codes, in the order of their days; rows that were there already; rows kept that teach nothing.

    number  by which it can be taken back; None where nothing was new
    """

    count: int
    codes: tuple[str, ...]
    skipped_identical: int
    untaught: tuple[int, ...]
    taught: int
    notes: tuple[str, ...] = ()
    number: int | None = None


def propose(data: bytes) -> Proposal:
    """Look at a notebook: its columns, its first rows, and what each column may be and why."""
    table = nb.read_table(data)
    words = {name: about for name, (about, _) in nb.FIELDS.items()}
    first = tuple(cells for _, cells in table.rows[:FIRST])
    return Proposal(nb.DELIMITERS[table.delimiter], table.encoding, len(table.rows), nb.guesses(table), first, words)


def check(
    reader: Reader, data: bytes, mapping: Mapping[str, str], defaults: Mapping[str, object] | None = None
) -> Checked:
    """What bringing this notebook in would do, row by row. Nothing is stored.

    mapping   column → field of `Proposal.fields`; columns left out are kept with the row and not read
    defaults  what holds for rows that do not say: any field; and for all: subject_unit, head_unit, given_unit, reading_unit,
              date_order (dmy, mdy, ymd), zone, words (“bit dark = a_little_dark”), untaught = yes (keep rows that cannot
              teach), stock = yes (take the sheets out of the boxes' count), leave_out (rows by number, “3 7-9”)

    Refusal where mapping or defaults do not fit, with the problems of the rows as far as they can be read.
    """
    work = _worked(reader, data, mapping, defaults)
    return Checked(tuple(sorted(work.rows, key=lambda r: r.row)), tuple(work.problems), work.notes())


def bring_in(
    book: Book, data: bytes, mapping: Mapping[str, str], defaults: Mapping[str, object] | None = None
) -> BroughtIn:
    """Keep every row as a sheet, all or none. Raises Refusal with every problem of every row.

    A row that was brought in before, cell for cell, is passed over; one that was altered since is another row.
    """
    with book.begin():
        work = _worked(book, data, mapping, defaults)
        if work.problems:
            raise Refusal(*(p.to_problem() for p in work.problems))
        sittings: dict[tuple[str, object], int] = {}
        codes = tuple(_keep(book, m, work.asked.stock, sittings) for m in work.made)
        for row in work.untaught:
            body = {"cells": row.cells, "row": row.number, "when": row.when.isoformat()}
            book.add_thing(ROW_KIND, row.key, body, row.when)
        number = notebook_kept.record(book, codes, [r.key for r in (*(m.row for m in work.made), *work.untaught)])
        if any(m.judgement for m in work.made):
            learn.refit(book)
    taught = sum(bool(m.judgement and m.judgement["taught"]) for m in work.made)
    untaught = tuple(sorted(r.number for r in work.untaught))
    return BroughtIn(len(codes), codes, work.skipped, untaught, taught, work.notes(), number)


# ── the work, before anything is stored ──


@dataclass(slots=True)
class Work:
    asked: Asked
    made: list[Made] = field(default_factory=list)
    untaught: list[Row] = field(default_factory=list)
    rows: list[CheckedRow] = field(default_factory=list)
    problems: list[RowProblem] = field(default_factory=list)
    skipped: int = 0
    timed: bool = True

    def notes(self) -> tuple[str, ...]:
        out = [] if self.asked.zone_said else [UTC_NOTE]
        left = sorted(self.asked.left_out)
        out += [f"{rows_words(left)} left out."] if left else []
        out += [] if self.timed else [NOON_NOTE]
        return tuple(out if self.asked.stock else [*out, STOCK_NOTE])


def _worked(reader: Reader, data: bytes, mapping: Mapping[str, str], defaults: Mapping[str, object] | None) -> Work:
    table = nb.read_table(data)
    misfits = Problems()
    work = Work(asked(table, mapping, defaults, misfits))
    rows = _rows(table, work, reader.now(), notebook_kept.taken_back_keys(reader))
    there = {m["client_id"] for m in reader.all_marks("exposed")} | {t["name"] for t in reader.things(ROW_KIND)}
    then = Then(reader)
    for row in sorted(rows, key=lambda r: (r.when, r.number)):
        if f"{row.key}-e" in there or row.key in there:
            work.skipped += 1
            work.rows.append(_told(row, None, there=True))
            continue
        made = made_of(then, row)
        if made:
            work.made.append(made)
            then.learn(made)
            work.rows.append(_told(row, made))
        elif row.lacks_only() and work.asked.untaught:
            work.untaught.append(row)
            work.rows.append(_told(row, None))
        else:
            work.problems += [_problem(work.asked, row, p) for p in row.problems.found]
    wide = "Fewer cells than headings, or as many."
    hint = "A comma inside a cell needs quotes around the cell."
    work.problems += [
        RowProblem(n, "the whole row", "", f"{cells} cells", wide, hint)
        for n, cells in table.wide
        if n not in work.asked.left_out
    ]
    work.problems.sort(key=lambda p: p.row)
    if misfits.found:
        # A column or word that does not fit leaves its field empty in every row: that is not told again of the rows.
        about = " ".join(p.where for p in misfits.found) + (
            " date" if any(p.where == "mapping" for p in misfits.found) else ""
        )
        rest = [(p, rows) for p, rows in alike(work.problems) if p.said and p.field.split(".")[0] not in about]
        raise Refusal(*misfits.found, *(p.to_problem(rows) for p, rows in rest))
    return work


def alike(problems: Sequence[RowProblem]) -> list[tuple[RowProblem, list[int]]]:
    """Each problem once, with the numbers of all rows that have it, in the order in which they come."""
    found: dict[RowProblem, list[int]] = {}
    for p in problems:
        found.setdefault(replace(p, row=0), []).append(p.row)
    return list(found.items())


def rows_words(rows: Sequence[int]) -> str:
    """“Row 3”, “Rows 3, 4”."""
    return f"Row {rows[0]}" if len(rows) == 1 else "Rows " + ", ".join(map(str, rows))


def _rows(table: nb.Table, work: Work, now: datetime, taken_back: frozenset[str]) -> list[Row]:
    seen: Counter[str] = Counter()
    out = []
    for number, cells in table.rows:
        if number in work.asked.left_out:
            continue
        plain = nb.row_key(cells, 0)
        key = notebook_kept.free(nb.row_key(cells, seen[plain]), taken_back)
        row = read_row(table, work.asked, number, cells, key)
        seen[plain] += 1
        if row.when > now + timedelta(days=0 if row.time_said else 1):
            row.problems.add(
                "date", cells.get(work.asked.columns.get("date", ("",))[0], ""), "A day past.", "Check the year."
            )
        work.timed = work.timed and row.time_said
        out.append(row)
    return out


def _problem(a: Asked, row: Row, p: Problem) -> RowProblem:
    allowed, hint = p.allowed, p.hint
    if not p.asked and p.where in LACKING:
        hint = f"{hint} Or keep such rows as they are: they teach nothing.".strip()
    table = TABLED.get(p.where.split(".")[0])
    if table and allowed.startswith("One of"):
        allowed = f"One of: {nb.words_of(table)}."
    # What was written in the cell, not what was made of it.
    cells = "; ".join(row.cells[c] for c in a.columns.get(p.where.split(".")[0], ()) if c in row.cells)
    said = p.asked if not p.asked or not cells else cells if len(cells) <= 120 else cells[:117] + "…"
    return RowProblem(row.number, columns_of(a, p), p.where, said, allowed, hint)


def _told(row: Row, made: Made | None, *, there: bool = False) -> CheckedRow:
    p = made.plan if made else {}
    taught = bool(made and made.judgement and made.judgement["taught"])
    lacks = () if made or there else tuple(q.where for q in row.problems.found)
    return CheckedRow(row.number, row.when.isoformat(), str(p.get("box", row.plan.get("box", ""))), p.get("aperture"), row.given_s,
                      p.get("wanted_s"), row.judgement.get("seen", ""), taught, there, lacks)  # fmt: skip


# ── storing, inside the one transaction ──


def _keep(book: Book, m: Made, stock: bool, sittings: dict[tuple[str, object], int]) -> str:
    when = m.row.when
    number = "+".join(str(book.add_reading(k.body(), None, when)) for k in m.readings)
    plan = m.plan | {"shared": _renumbered(m.plan["shared"], m.number, number)}
    code = book.new_code()
    notebook = {"row": m.row.number, "cells": m.row.cells, "time_said": m.row.time_said}
    body = {"plan": plan, "strip": None, "from_notebook": True, "notebook": notebook}
    sheet_id = book.add_sheet(code, body, _sitting(book, str(plan["sitter"]), when, sittings), when)
    exposed = {"given_s": m.row.given_s, "aperture": plan["aperture"], "remark": m.row.remark, "box": plan["box"],
               "sheets": 1.0 if stock else 0.0, "from_notebook": True}  # fmt: skip
    marks = [_mark(f"{m.row.key}-e", "exposed", when, exposed)]
    if m.judgement:
        judged = dict(m.judgement)
        if "evidence" in judged:
            effects = _renumbered(judged["evidence"]["effects"], m.number, number)
            judged["evidence"] = judged["evidence"] | {"effects": effects}
        marks.append(_mark(f"{m.row.key}-j", "judged", when, judged))
    book.add_marks(sheet_id, marks)
    return code


def _mark(client_id: str, kind: str, when: datetime, body: dict[str, Any]) -> dict[str, Any]:
    return {"client_id": client_id, "kind": kind, "elapsed_s": None, "wall": when, "body": body}


def _renumbered(effects: list[Any], was: str, becomes: str) -> list[Any]:
    """The same effects with the row's reading under the number the book gave it."""
    out = []
    for e in (Effect.from_json(row) for row in effects):
        out.append((replace(e, key=f"reading:{becomes}") if e.key == f"reading:{was}" else e).to_json())
    return out


def _sitting(book: Book, subject: str, when: datetime, known: dict[tuple[str, object], int]) -> int | None:
    if not subject:
        return None
    key = (subject, when.date())
    if key not in known:
        known[key] = book.add_sitting(subject, {"from_notebook": True}, when)
    return known[key]
