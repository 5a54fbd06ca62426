"""`bath`: what stands in the trays, how much more it does, when it is thrown away and where it goes."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from firstsheet.cli.face import Here, Shown, act, form, wrapped

Which = Annotated[str, typer.Argument(metavar="BATH", help="Its name.", show_default=False)]


def words(text: str) -> Any:
    """An option whose value is said in words."""
    return typer.Option(help=text, show_default=False)


def register(app: typer.Typer) -> None:
    group = typer.Typer(
        rich_markup_mode=None, help="Baths in the trays: how much more they do, when to throw them away."
    )
    app.add_typer(group, name="bath")
    act(group, "bath", main=True)(every)
    for name, body in (("open", pour), ("through", through), ("forward", forward), ("end", end), ("waste", waste)):
        act(group, name)(body)


def every(here: Here) -> Shown:
    """The baths that are open, and those that were."""
    from firstsheet.acts import mixing_baths

    with here.reading() as reader:
        have = mixing_baths.baths(reader)
    lines = [line for b in have for line in wrapped(f"{b.name}, {b.kind_words}: {b.headline}.", "", "  ")]
    return Shown(have, lines or ["No bath is open. See: firstsheet bath open --help"])


def pour(
    here: Here,
    name: Annotated[str, typer.Argument(metavar="NAME", help="What you call the tray.", show_default=False)],
    kind: Annotated[str | None, words("developer, developer_coffee, developer_colour, stop, fixer_single, fixer_first, fixer_second, bleach_fix or washing_aid.")] = None,
    volume: Annotated[str | None, words("How much is in it: “2 l”.")] = None,
    temperature: Annotated[str | None, words("How warm: “20 °C”.")] = None,
    developer: Annotated[str | None, words("Which developer of the book it is.")] = None,
) -> Shown:  # fmt: skip
    """Pour a bath: from now on sheets run by the book count themselves."""
    from firstsheet.acts import mixing_baths

    with here.writing() as book:
        b = mixing_baths.open_bath(
            book, form(name=name, kind=kind, volume=volume, temperature=temperature, developer=developer)
        )
    return Shown(b, of_bath(b))


def through(
    here: Here,
    bath: Which,
    sheets: Annotated[str | None, words("How many went through that the book did not run.")] = None,
    size: Annotated[str | None, words("“12x16 in”; as before unless said.")] = None,
    temperature: Annotated[str | None, words("“19 °C”.")] = None,
    appeared: Annotated[str | None, words("When the image first showed: “18 s”.")] = None,
    silver: Annotated[str | None, words("A silver test strip's reading: “0.4 g/l”.")] = None,
) -> Shown:
    """What went through a bath, or was read in it."""
    from firstsheet.acts import mixing_baths

    said = form(bath=bath, sheets=sheets, size=size, temperature=temperature, appeared=appeared, silver=silver)
    with here.writing() as book:
        b = mixing_baths.through(book, said)
    return Shown(b, of_bath(b))


def forward(here: Here, bath: Which) -> Shown:
    """Move the second fixer forward: it is the first from now on."""
    from firstsheet.acts import mixing_baths

    with here.writing() as book:
        b = mixing_baths.forward(book, bath)
    return Shown(b, of_bath(b))


def end(
    here: Here, bath: Which, back: Annotated[bool, typer.Option(help="It was not thrown away after all.")] = False
) -> Shown:
    """It is thrown away; says where it goes."""
    from firstsheet.acts import mixing_baths

    with here.writing() as book:
        b = mixing_baths.end(book, bath, back)
    return Shown(b, of_bath(b))


def waste(
    here: Here, handed_in: Annotated[bool, typer.Option(help="It was handed in: the count begins anew.")] = False
) -> Shown:
    """What was thrown away: litres by kind, what must be collected."""
    from firstsheet.acts import mixing_waste

    if handed_in:
        with here.writing() as book:
            w = mixing_waste.hand_in(book)
    else:
        with here.reading() as reader:
            w = mixing_waste.waste(reader)
    lines = [f"To hand in: {w.collect_words}."]
    for c in w.cans:
        lines += wrapped(f"{c.volume_words} {c.words}. {c.where}", "  ")
    return Shown(w, [*lines, *wrapped(w.defers)])


def of_bath(b: Any) -> list[str]:
    from firstsheet.acts.mixing_baths import facts
    from firstsheet.acts.mixing_words import litres

    out = [f"{b.name}, {b.kind_words}, {litres(b.volume_ml)}", f"  {b.headline}."]
    for sentence in (*b.reasons, *b.advice, *facts(b)):
        out += wrapped(sentence, "  ")
    if b.state in ("spent", "ended"):
        out += wrapped(f"Where it goes: {b.waste}", "  ")
    return out
