"""`ways`: ways of working at the trays, your own among them. `warmth`: what a temperature makes of the times."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from firstsheet.cli.face import Here, Shown, act, form, wrapped
from firstsheet.cli.files import write_new
from firstsheet.cli.owning import words

if TYPE_CHECKING:
    from firstsheet.acts.warming import Warmed
    from firstsheet.acts.way_line import WayLine
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
    for name, body in (("show", show), ("line", line), ("litre", litre), ("copy", copy), ("change", change), ("add", add), ("remove", remove), ("use", use)):  # fmt: skip
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


def line(
    here: Here, name: Name, box: Annotated[str | None, words("Whose sheet size and price; today's unless said.")] = None,
    drawing: Annotated[str | None, words("Also draw the route into this file.", "FILE.svg")] = None,
) -> Shown:  # fmt: skip
    """One route as a line of places and lights: minutes, litres, cost, what can hurt."""
    from firstsheet.acts import way_line

    with here.reading() as reader:
        found = way_line.line(reader, name, form(box=box))
    lines = of_line(found)
    if drawing:
        write_new(drawing, found.drawing_svg.encode())
        lines.append(f"Drawn into {drawing}.")
    return Shown(found, lines)


def of_line(w: WayLine) -> list[str]:
    """Place by place, each stretch with its light and time, then what it takes and what can hurt."""
    from firstsheet.acts import way_line
    from firstsheet.drawing.way_line import LIGHTS, PLACES
    from firstsheet.trays.runpage import clock_words as clock

    lines = [*wrapped(f"{w.words if w.name == w.of else w.name}: {w.plain} {w.mirrored}"), *wrapped(way_line.minutes_words(w))]
    lines += [x for told in (way_line.litres_words(w), way_line.cost_words(w)) if told for x in wrapped(told)]
    lines += ["", *[x for c in (*w.cautions, w.afterwards) for x in wrapped(c)]]
    place = ""
    for leg in w.legs:
        if leg.place != place:
            place = leg.place
            lines += ["", PLACES[place]]
        time = f", {clock(leg.seconds)}" if leg.seconds else ""
        lines += wrapped(f"{LIGHTS[leg.light]}: {leg.words}{time}", "  ", "    ")
        lines += wrapped(leg.caution, "    ! ", "      ") if leg.caution else []
    return [*lines, "", *[x for n in w.notes for x in wrapped(n)]]


def litre(here: Here, price: Annotated[str, typer.Argument(metavar="PRICE", help="“2 EUR”; “none” takes it back.", show_default=False)]) -> Shown:  # fmt: skip
    """What a litre of working bath costs, about: for the price of a sheet on every route."""
    from firstsheet.acts import way_line

    with here.writing() as book:
        cost = way_line.say_litre(book, form(litre=price))
    return Shown({"litre_cost": cost}, ["A litre has no price now." if cost is None else f"A litre costs about {cost:g}."])


def copy(here: Here, name: Name, of: Annotated[str | None, words("The way to copy: paper_negative, contact_print, direct_positive, reversal_bw, reversal_ra4, or one of yours.")] = None) -> Shown:  # fmt: skip
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
