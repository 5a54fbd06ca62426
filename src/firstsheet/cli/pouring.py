"""`mix developer` and `mix pour`: a mix that is kept, named as a developer, or poured into a tray."""

from __future__ import annotations

from typing import Annotated

import typer

from firstsheet.cli.face import Here, Shown, act, form, wrapped
from firstsheet.cli.owning import words

Number = Annotated[int, typer.Argument(metavar="NUMBER", help="Its number, as the list shows it.", show_default=False)]


def register(group: typer.Typer) -> None:
    act(group, "developer")(developer)
    act(group, "pour")(pour)


def developer(
    here: Here, number: Number,
    name: Annotated[str | None, words("What you call it; the recipe's name unless said.")] = None,
    kind: Annotated[str | None, words("paper, coffee or ra4; by its recipe unless said.")] = None,
) -> Shown:  # fmt: skip
    """Make a kept mix a developer of the book, for plans to name."""
    from firstsheet.acts import mixing_pour

    with here.writing() as book:
        made = mixing_pour.developer(book, number, form(name=name, kind=kind))
    return Shown(made, wrapped(f"{made.name} is a developer of the book. Plan with it: firstsheet say --developer “{made.name}”"))  # fmt: skip


def pour(
    here: Here, number: Number,
    name: Annotated[str | None, words("What you call the tray.")] = None,
    kind: Annotated[str | None, words("For fixer: fixer_single, fixer_first or fixer_second.")] = None,
    volume: Annotated[str | None, words("How much of it: “2 l”; all of it unless said.")] = None,
    temperature: Annotated[str | None, words("How warm: “20 °C”.")] = None,
    developer: Annotated[str | None, words("What you call the developer; the recipe's name unless said.")] = None,
) -> Shown:  # fmt: skip
    """Pour a kept mix into a tray: its bath is open, and a developer is one of the book as well."""
    from firstsheet.acts import mixing_pour
    from firstsheet.cli.mixing_baths import of_bath

    said = form(name=name, kind=kind, volume=volume, temperature=temperature, developer=developer)
    with here.writing() as book:
        found = mixing_pour.pour(book, number, said)
    more = [f"  It is the developer {found.developer.name}."] if found.developer else []
    return Shown(found, [*of_bath(found.bath), *more])
