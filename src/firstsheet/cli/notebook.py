"""`notebook`: sheets made before this book began, from a table kept elsewhere. First a look, then a trial, then all or none."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from firstsheet.cli.face import REFUSED, Here, Shown, act, wrapped
from firstsheet.cli.files import read_file
from firstsheet.cli.owning import words
from firstsheet.refusal import Problems, Refusal

if TYPE_CHECKING:
    from firstsheet.acts.notebook import Checked, Proposal


def register(app: typer.Typer) -> None:
    act(app, "notebook")(notebook)


def notebook(
    here: Here,
    file: Annotated[str | None, typer.Argument(metavar="[FILE]", help="The notebook as a table of text (CSV); without one, those brought in before.", show_default=False)] = None,
    map: Annotated[list[str] | None, words("What a column is (again for more); as guessed if you say none.", "COLUMN=FIELD")] = None,
    default: Annotated[list[str] | None, words("What holds where a row does not say (again for more): “box=D”, “zone=UTC”.", "KEY=VALUE")] = None,
    leave_out: Annotated[str | None, words("Rows to pass over, by their numbers: “3 7-9”.", "ROWS")] = None,
    keep: Annotated[bool, typer.Option("--keep", help="Bring it in; otherwise it is only looked at.", show_default=False)] = False,
    take_back: Annotated[int | None, typer.Option("--take-back", metavar="NUMBER", help="Take one back that was brought in.", show_default=False)] = None,
) -> Shown:  # fmt: skip
    """Bring in a notebook kept so far: looked at first, kept with --keep."""
    from firstsheet.acts import notebook as notebooks

    if file is None or take_back is not None:
        return _before(here, file, take_back)
    data = read_file(file, "notebook")
    proposal = notebooks.propose(data)
    problems = Problems()
    said, defaults = _pairs("map", map, problems), _pairs("default", default, problems)
    problems.raise_if_any()
    mapping = said or proposal.mapping()
    defaults |= {"leave_out": leave_out} if leave_out else {}
    if keep:
        with here.writing() as book:
            done = notebooks.bring_in(book, data, mapping, defaults)
        told = (
            f"{done.count} sheets brought in, {done.taught} of them teach; {done.skipped_identical} were there already."
        )
        back = (f"It can be taken back: firstsheet notebook --take-back {done.number}",) if done.number else ()
        return Shown(done, [line for s in (told, *done.notes, *back) for line in wrapped(s)])
    with here.reading() as reader:
        checked = notebooks.check(reader, data, mapping, defaults)
    answer = {"proposal": proposal, "mapping": mapping, "checked": checked, "ready": checked.ready}
    return Shown(answer, [*_proposed(proposal, mapping), *_checked(checked)], 0 if checked.ready else REFUSED)


def _before(here: Here, file: str | None, take_back: int | None) -> Shown:
    """Those brought in before, or one of them taken back."""
    from firstsheet.acts import notebook_kept

    if file is not None:
        raise Refusal.one("take_back", take_back, "The number of a notebook, and no file.", "Leave the file out.")
    if take_back is not None:
        with here.writing() as book:
            done = notebook_kept.take_back(book, take_back)
        return Shown(done, [f"Taken back: {done.count} sheets stay in the book, given up, and teach nothing any more."])
    with here.reading() as reader:
        found = notebook_kept.brought(reader)
    lines = [f"{b.number}. {b.when[:10]}, {b.count} sheets{'' if b.stands else ', taken back'}" for b in found]
    return Shown(found, lines or ["No notebook was brought in. Look at one: firstsheet notebook FILE"])


def _pairs(field: str, said: list[str] | None, problems: Problems) -> dict[str, str]:
    out = {}
    for pair in said or ():
        key, equals, value = pair.partition("=")
        if not equals or not key.strip():
            problems.add(field, pair, "Two words with = between them.", "Try --map “Exposure=given”.")
        out[key.strip()] = value.strip()
    return out


def _proposed(p: Proposal, mapping: dict[str, str]) -> list[str]:
    lines = [f"{p.rows} rows. The columns are taken as:"]
    return lines + [f"  {column.name}: {mapping.get(column.name, 'kept, not read')}" for column in p.columns]


def _checked(c: Checked) -> list[str]:
    if c.ready:
        teach = sum(row.taught for row in c.rows)
        told = f"All {len(c.rows)} rows can be kept; {teach} teach. Nothing is stored yet: say --keep to bring them in."
        return [line for s in (told, *c.notes) for line in wrapped(s)]
    from firstsheet.acts.notebook import alike as told_once

    alike = told_once(c.problems)
    things = "1 thing is" if len(alike) == 1 else f"{len(alike)} things are"
    lines = [f"{things} not understood; nothing can be brought in yet:"]
    for p, rows in alike[:30]:
        said = p.to_problem(rows).sentence()
        once = f" Say it once for all: --default {p.field.partition('.')[0]}=…" if not p.said and len(rows) > 1 else ""
        lines += wrapped(said + once, "  ", "    ")
    if any(p.lacks for p, _ in alike):
        lines += wrapped("To keep rows that lack what teaches: --default untaught=yes.")
    return [*lines, *wrapped("To pass rows over: --leave-out “3 7-9”.")]
