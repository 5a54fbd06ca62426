"""Looking into the book: what is known, the sheets, one sheet."""

from __future__ import annotations

from typing import Annotated

import typer

from firstsheet.cli import lines
from firstsheet.cli.face import Here, Shown, act
from firstsheet.cli.loop import Code
from firstsheet.cli.owning import words


def register(app: typer.Typer) -> None:
    for name, body in (("known", known), ("misses", misses), ("why", why), ("sheets", sheets), ("sheet", sheet)):
        act(app, name)(body)


def known(here: Here) -> Shown:
    """What your sheets have taught, box by box."""
    from firstsheet.acts import known as knowing

    with here.reading() as reader:
        answer = knowing.known(reader)
    return Shown(answer, lines.of_known(answer))


def misses(here: Here) -> Shown:
    """Where your misses came from, as shares with what they are worth."""
    from firstsheet.acts import known as knowing

    with here.reading() as reader:
        found = knowing.misses(reader)
    return Shown(found, lines.of_misses(found))


def why(
    here: Here,
    code: Annotated[str | None, typer.Argument(metavar="[CODE]", help="A sheet: why its box stands where it does. Without one, the next plan.", show_default=False)] = None,
    box: Annotated[str | None, words("Why this box stands where it does.")] = None,
    way: Annotated[str | None, words("In this way of working.")] = None,
) -> Shown:  # fmt: skip
    """Which sheets moved a number, and by how much: the next plan's seconds, or how fast a box is."""
    from firstsheet.acts import known as knowing
    from firstsheet.refusal import Refusal

    if code and (box or way):
        raise Refusal.one("box", box or way, "A sheet’s code, or a box: not both.", "Leave one out.")
    if way and not box:
        raise Refusal.one("way", way, "A way of working goes with a box.", "Add --box.")
    with here.reading() as reader:
        if box:
            found = knowing.why_box(reader, box, way)
        else:
            found = knowing.why(reader, code) if code else knowing.why_plan(reader)
    return Shown(found, lines.of_why(found))


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
