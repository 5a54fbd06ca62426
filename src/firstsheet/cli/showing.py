"""Looking into the book: what is known, the sheets, one sheet."""

from __future__ import annotations

from typing import Annotated

import typer

from firstsheet.cli import lines
from firstsheet.cli.face import Here, Shown, act
from firstsheet.cli.loop import Code


def register(app: typer.Typer) -> None:
    for name, body in (("known", known), ("sheets", sheets), ("sheet", sheet)):
        act(app, name)(body)


def known(here: Here) -> Shown:
    """What your sheets have taught, box by box."""
    from firstsheet.acts import known as knowing

    with here.reading() as reader:
        answer = knowing.known(reader)
    return Shown(answer, lines.of_known(answer))


def sheets(
    here: Here,
    limit: Annotated[int, typer.Option(min=1, max=1000, metavar="N", help="How many, newest first.")] = 30,
    before: Annotated[
        int | None, typer.Option(metavar="NUMBER", help="Only those before this number.", show_default=False)
    ] = None,
) -> Shown:
    """The sheets in the book, newest first."""
    from firstsheet.acts import sheet as reading

    with here.reading() as reader:
        found = reading.sheets(reader, limit, before)
    return Shown(found, [lines.sheet_line(s) for s in found] or ["No sheet is in the book yet."])


def sheet(here: Here, code: Code) -> Shown:
    """One sheet's whole life, by the code on its back."""
    from firstsheet.acts import sheet as reading

    with here.reading() as reader:
        found = reading.sheet(reader, code)
    return Shown(found, lines.of_sheet(found))
