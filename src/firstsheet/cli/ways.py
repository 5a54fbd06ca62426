"""`ways`: ways of working at the trays, your own among them. `warmth`: what a temperature makes of the times."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from firstsheet.cli.face import Here, Shown, act, form, wrapped
from firstsheet.cli.owning import words

if TYPE_CHECKING:
    from firstsheet.acts.warming import Warmed
    from firstsheet.acts.ways import Way

Name = Annotated[str, typer.Argument(metavar="NAME", help="Which way.", show_default=False)]
Time = Annotated[str | None, words("How long, at 20 °C: “2:30”; “shipped” for what came along.")]
Window = Annotated[str | None, words("Lift between these: “2:00 to 3:20”; with the time.")]
Hands = Annotated[str | None, words("all: on it all the time; some: free once it lies there.")]
Drain = Annotated[str | None, words("From the lift to the next tray: “15 s”.")]


def register(app: typer.Typer) -> None:
    group = typer.Typer(rich_markup_mode=None, help="Ways of working at the trays: steps, times, and your own copies.")
    app.add_typer(group, name="ways")
    act(group, "ways", main=True)(every)
    for name, body in (("show", show), ("copy", copy), ("change", change), ("add", add), ("remove", remove), ("use", use)):  # fmt: skip
        act(group, name)(body)
    act(app, "warmth")(warmth)


def every(here: Here) -> Shown:
    """Ways of working at the trays: those that come along, and your own."""
    from firstsheet.acts import ways

    with here.reading() as reader:
        have = ways.ways(reader)
    lines = []
    for w in have:
        own = f"{w.name}, your own {w.words}" if w.own else f"{w.name}: {w.words}"
        lines += wrapped(own + ("; sheets go by it" if w.own and w.stands else ""), "  " if w.own else "", "    ")
    return Shown(have, [*lines, "", *wrapped("Yours to change: firstsheet ways copy NAME --of paper_negative")])


def show(here: Here, name: Name) -> Shown:
    """The steps of one way."""
    from firstsheet.acts import ways

    with here.reading() as reader:
        found = ways.way(reader, name)
    return Shown(found, of_way(found))


def copy(here: Here, name: Name, of: Annotated[str | None, words("The way to copy: paper_negative, contact_print, direct_positive, reversal_ra4, or one of yours.")] = None) -> Shown:  # fmt: skip
    """Copy a way under a name of your own."""
    from firstsheet.acts import ways

    with here.writing() as book:
        found = ways.copy(book, form(name=name, of=of))
    return Shown(found, [*of_way(found), *wrapped(f"Run by it: firstsheet ways use “{found.name}”")])


def change(
    here: Here, name: Name, step: Annotated[str, typer.Argument(metavar="STEP", help="Which step.", show_default=False)],
    time: Time = None, window: Window = None, hands: Hands = None, drain: Drain = None,
    after: Annotated[str | None, words("Move it behind this step; “start” for the first place.")] = None,
) -> Shown:  # fmt: skip
    """Change a step of your own way, or move it."""
    from firstsheet.acts import ways

    said = form(name=name, step=step, time=time, window=window, hands=hands, drain=drain, after=after)
    with here.writing() as book:
        found = ways.change(book, said)
    return Shown(found, of_way(found))


def add(
    here: Here, name: Name, liquid: Annotated[str, typer.Argument(metavar="LIQUID", help="What is in the tray: rinse, second_fix, washing_aid, soak …", show_default=False)],
    time: Time = None, window: Window = None, hands: Hands = None, drain: Drain = None,
    after: Annotated[str | None, words("Behind which step; “start” for the first place; before the last unless said.")] = None,
) -> Shown:  # fmt: skip
    """Add a step to your own way."""
    from firstsheet.acts import ways

    said = form(name=name, liquid=liquid, time=time, window=window, hands=hands, drain=drain, after=after)
    with here.writing() as book:
        found = ways.add(book, said)
    return Shown(found, of_way(found))


def remove(here: Here, name: Name, step: Annotated[str | None, typer.Argument(metavar="STEP", help="Which step; without one, the whole way.", show_default=False)] = None) -> Shown:  # fmt: skip
    """Leave a step of your own way out, or put the whole way away."""
    from firstsheet.acts import ways

    with here.writing() as book:
        found = ways.remove(book, form(name=name, step=step))
    return Shown(found, of_way(found) if found else [f"“{name}” is put away. Runs that went by it keep their steps."])


def use(here: Here, name: Name, sheet: Annotated[str | None, words("Only this sheet, by its code.")] = None) -> Shown:
    """Run sheets by this way; a way that came along takes you back to it."""
    from firstsheet.acts import ways

    with here.writing() as book:
        found = ways.use(book, form(name=name, sheet=sheet))
    whose = (
        f"Sheet {sheet.upper()}" if sheet else f"Every sheet planned as {found.words.partition(',')[0]}, from now on,"
    )
    return Shown(found, wrapped(f"{whose} goes by “{found.name}”."))


def of_way(w: Way) -> list[str]:
    """Each step on its lines: time and window, hands, light."""
    from firstsheet.trays.runpage import clock_words as clock

    lines = [f"{w.name}, {w.words}:" if w.own else f"{w.words}:"]
    for i, s in enumerate(w.steps, 1):
        own = ", your own" if s.own else ""
        head = f"{i}. {s.key}: {clock(s.seconds)} ({clock(s.low_s)} to {clock(s.high_s)}){own}, {clock(s.drain_s)} to drain; hands: {s.hands}."
        lines += wrapped(f"{head} {s.light_words}", "", "   ")
    return [
        *lines,
        *wrapped("For resin-coated paper at 20 °C. What light is allowed follows from the paper and the step."),
    ]


def warmth(
    here: Here,
    temperature: Annotated[str | None, typer.Argument(metavar="TEMPERATURE", help="“16 °C”, or “developer 18 °C, wash 9 °C”; for a sheet also “unknown”, “as the baths”.", show_default=False)] = None,
    sheet: Annotated[str | None, words("For the run of this sheet, by its code; without a temperature only shows it.")] = None,
    way: Annotated[str | None, words("paper_negative unless said.")] = None,
    developer: Annotated[str | None, words("paper, coffee or ra4.")] = None,
    base: Annotated[str | None, words("rc or fibre.")] = None,
) -> Shown:  # fmt: skip
    """What a temperature makes of the times at the trays; or how warm they are for one run."""
    from firstsheet.acts import warming

    said = form(temperature=temperature, way=way, developer=developer, base=base)
    if sheet is None:
        found = warming.look(said)
    elif not said:
        with here.reading() as reader:
            found = warming.of_sheet(reader, sheet)
    else:
        with here.writing() as book:
            found = warming.say(book, sheet, said)
    return Shown(found, of_warmed(found))


def of_warmed(w: Warmed) -> list[str]:
    from firstsheet.trays.runpage import clock_words as clock

    lines = [", ".join(x for x in (f"Sheet {w.code}" if w.code else "", w.words, w.temperature) if x) + ":"]
    for s in w.steps:
        changed = f"; {s.changed}" if s.changed else ""
        lines += wrapped(
            f"{s.tray}: {clock(s.seconds)} ({clock(s.low_s)} to {clock(s.high_s)}){changed}.", "  ", "    "
        )
    lines += [f"The whole run: {clock(w.whole_s)}."]
    for n in w.notes:
        lines += wrapped(n)
    sources = dict.fromkeys(f"{s.tray}: {s.source}" for s in w.steps if s.source and s.changed)
    return [*lines, *(["", "Where this comes from"] if sources else []), *[x for s in sources for x in wrapped(s, "  ", "    ")]]  # fmt: skip
