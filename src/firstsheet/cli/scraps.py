"""`scraps`: what small tests tell of a paper: long exposures, fog, two developers, looked at and shone through."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from firstsheet import wording
from firstsheet.cli.face import Here, Shown, act, form, heading, wrapped
from firstsheet.cli.owning import words
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.calibrate_teach import NextPlan
    from firstsheet.acts.scraps_reciprocity import LongExposures

Look = Annotated[bool, typer.Option("--look", help="Keep it; let it not count in plans.", show_default=False)]
Number = Annotated[str, typer.Argument(metavar="NUMBER", help="As told when it was kept.")]
Box = Annotated[str | None, words("The box; today’s if you say none.")]
Developer = Annotated[str | None, words("The developer; today’s if you say none.")]


def register(app: typer.Typer) -> None:
    group = typer.Typer(
        rich_markup_mode=None, help="Small scraps: what they told of a paper, made, kept and taken back."
    )
    app.add_typer(group, name="scraps")
    act(group, "scraps", main=True)(everything)
    for name, body in (("reciprocity", long_exposures), ("count", count), ("take-back", take_back)):
        act(group, name)(body)


def everything(here: Here, box: Annotated[str | None, words("Of this box alone.")] = None) -> Shown:
    """What scraps told of each box, newest first."""
    from firstsheet.acts import scraps

    with here.reading() as reader:
        found = scraps.listed(reader, box)
    lines = [
        f"{t.number:5d}  {t.words}, {scraps.named(t.box)}: {t.line}{'' if t.stands else ' (does not count)'}"
        for t in found
    ]
    return Shown(found, lines or ["No scrap has told anything yet."])


def number_of(said: str) -> int:
    if not (said.isascii() and said.isdigit() and len(said) <= 9):
        raise Refusal.one("number", said, "The number of something a scrap told.", "See: firstsheet scraps", "missing")
    return int(said)


def count(here: Here, number: Number) -> Shown:
    """Let it count in plans from now on."""
    from firstsheet.acts import scraps

    with here.writing() as book:
        made = scraps.stand(book, number_of(number))
        found = next(t for t in scraps.listed(book) if t.number == made)
    return Shown(found, [f"{made}: {found.words}, {scraps.named(found.box)}, counts."])


def take_back(here: Here, number: Number) -> Shown:
    """Take it back: it stays in the book, and plans are as if it had never been."""
    from firstsheet.acts import scraps

    with here.writing() as book:
        made = scraps.take_back(book, number_of(number))
        found = next(t for t in scraps.listed(book) if t.number == made)
    return Shown(found, [f"{made}: {found.words}, {scraps.named(found.box)}, counts no longer."])


def long_exposures(
    here: Here,
    given: Annotated[str | None, words("“1 s at f/8, 64 s at f/64”, “1 s at 64 lx, 64 s at 1 lx”, “1 4 16 64 s”.")] = None,
    densities: Annotated[str | None, words("Of each scrap, as given; “12:3” is step 3 of strip 12.")] = None,
    density_sd: Annotated[str | None, words("Give or take of each.")] = None,
    slope: Annotated[str | None, words("Density per decade of light there, where no curve is kept.")] = None,
    slope_sd: Annotated[str | None, words("Give or take of the slope.")] = None,
    matches: Annotated[str | None, words("Instead: the step of one strip each scrap looks like, “4 5.5”.")] = None,
    pace: Annotated[str | None, words("That strip’s factor from step to step: “√2”.")] = None,
    timed: Annotated[bool | None, typer.Option("--timed/--not-timed", help="That strip’s steps were timed beyond a second.", show_default=False)] = None,
    timing: Annotated[str | None, words("hand or timer.")] = None,
    box: Box = None,
    developer: Developer = None,
    look: Look = False,
) -> Shown:  # fmt: skip
    """What long exposures lose on this paper, from scraps given equal light in unlike times."""
    from firstsheet.acts import scraps_reciprocity

    said = form(given=given, densities=densities, density_sd=density_sd, slope=slope, slope_sd=slope_sd, matches=matches, pace=pace,
                timed=timed, timing=timing, box=box, developer=developer)  # fmt: skip
    with here.writing() as book:
        found = scraps_reciprocity.measure(book, said, teach=not look)
    return Shown(found, of_reciprocity(found))


def of_reciprocity(a: LongExposures) -> list[str]:
    """The law first, then what it makes of a few times, then the next plan."""
    lines = wrapped(f"{a.number}: {a.sentence}")
    lines += heading("Metered, and what to give")
    lines += [
        f"  {wording.seconds(g.metered_s):>12}  {wording.seconds(g.give_s):>12}   9 in 10: {wording.seconds(g.low_s)} to {wording.seconds(g.high_s)}"
        for g in a.give
    ]
    lines.append("")
    lines += wrapped(f"By {a.by}{' of ' + a.curve if a.curve else ''}.")
    return lines + of_next(a.next_plan, a.stands) + [line for n in a.notes for line in wrapped(n)]


def of_next(n: NextPlan, stands: bool) -> list[str]:
    """What the plan of now becomes."""
    if n.before_s is None or n.after_s is None:
        return []
    counts = "The next plan" if stands else "If it counted, the next plan"
    return wrapped(f"{counts}: {wording.seconds(n.after_s)} instead of {wording.seconds(n.before_s)}.")
