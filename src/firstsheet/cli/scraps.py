"""`scraps`: what small tests tell of a paper: long exposures, fog, two developers, looked at and shone through."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from firstsheet import wording
from firstsheet.cli.face import Here, Shown, act, form, heading, wrapped
from firstsheet.cli.files import read_file, write_new
from firstsheet.cli.owning import words
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.calibrate_teach import NextPlan
    from firstsheet.acts.scraps import Told
    from firstsheet.acts.scraps_developers import TwoDevelopers
    from firstsheet.acts.scraps_fog import FogTest
    from firstsheet.acts.scraps_readings import Through, TwoReadings
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
    for name, body in (
        ("reciprocity", long_exposures),
        ("fog", fog),
        ("developers", developers),
        ("readings", readings),
        ("through", through),
        ("stain", stain),
        ("count", count),
        ("take-back", take_back),
    ):
        act(group, name)(body)


def everything(here: Here, box: Annotated[str | None, words("Of this box alone.")] = None) -> Shown:
    """What scraps told of each box, newest first."""
    from firstsheet.acts import scraps

    with here.reading() as reader:
        found = scraps.listed(reader, box)
    lines = [
        line for t in found
        for line in wrapped(f"{t.number:5d}  {t.words}, {scraps.named(t.box)}, {t.day}: {t.line}{'' if t.stands else f' ({scraps.STATES[t.state]})'}", "", "       ")
    ]  # fmt: skip
    return Shown(found, lines or ["No scrap has told anything yet."])


def number_of(said: str) -> int:
    if not (said.isascii() and said.isdigit() and len(said) <= 9):
        raise Refusal.one("number", said, "The number of something a scrap told.", "See: firstsheet scraps", "missing")
    return int(said)


def count(here: Here, number: Number) -> Shown:
    """Let it count in plans from now on."""
    from firstsheet.acts import scraps

    with here.writing() as book:
        found = scraps.told(book, scraps.stand(book, number_of(number)))
    return _now(found)


def take_back(here: Here, number: Number) -> Shown:
    """Take it back: it stays in the book, and plans are as if it had never been."""
    from firstsheet.acts import scraps

    with here.writing() as book:
        found = scraps.told(book, scraps.take_back(book, number_of(number)))
    return _now(found)


def _now(t: Told) -> Shown:
    from firstsheet.acts import scraps

    return Shown(t, wrapped(f"{t.number}: {t.words}, {scraps.named(t.box)}, {t.day}: {scraps.STATES[t.state]}."))


def long_exposures(
    here: Here,
    given: Annotated[str | None, words("“1 s at f/8, 64 s at f/64”, “1 s at 64 lx, 64 s at 1 lx”, “1 4 16 64 s”.")] = None,
    densities: Annotated[str | None, words("Of each scrap, as given; “12:3” is step 3 of strip 12.")] = None,
    density_sd: Annotated[str | None, words("Give or take of each.")] = None,
    slope: Annotated[str | None, words("Density per decade of light there, where no curve is kept.")] = None,
    slope_sd: Annotated[str | None, words("Give or take of the slope.")] = None,
    matched: Annotated[str | None, words("Instead: the step of one strip each scrap looks like, “4 5.5”.")] = None,
    pace: Annotated[str | None, words("That strip’s factor from step to step: “√2”.")] = None,
    timed: Annotated[bool | None, typer.Option("--timed/--not-timed", help="That strip’s steps were timed beyond a second.", show_default=False)] = None,
    timing: Annotated[str | None, words("hand or timer.")] = None,
    box: Box = None,
    developer: Developer = None,
    look: Look = False,
) -> Shown:  # fmt: skip
    """What long exposures lose on this paper, from scraps given equal light in unlike times."""
    from firstsheet.acts import scraps_reciprocity

    said = form(given=given, densities=densities, density_sd=density_sd, slope=slope, slope_sd=slope_sd, matched=matched, pace=pace,
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
    return lines + of_next(a.next_plan, a.state) + [line for n in a.notes for line in wrapped(n)]


def of_next(n: NextPlan, state: str) -> list[str]:
    """What the plan of now becomes; nothing of it for what was taken back."""
    from firstsheet.acts.scraps_words import next_plan

    said = next_plan(n, state)
    return wrapped(said) if said else []


def fog(
    here: Here,
    fixed: Annotated[str | None, words("Density of the piece only fixed; “12:1” is step 1 of strip 12.")] = None,
    developed: Annotated[str | None, words("Of the piece developed and fixed.")] = None,
    density_sd: Annotated[str | None, words("Give or take of each.")] = None,
    kind: Annotated[str | None, words("reflection or transmission.")] = None,
    looks: Annotated[str | None, words("Instead, side by side by eye: same, veiled, grey, dark.")] = None,
    photo: Annotated[str | None, words("Instead, a photo or scan of both beside a white.", "FILE")] = None,
    white: Annotated[str | None, words("Where the white is in it: “0.05,0.5”.", "X,Y")] = None,
    fixed_at: Annotated[str | None, words("Where the piece only fixed is.", "X,Y")] = None,
    developed_at: Annotated[str | None, words("Where the developed one is.", "X,Y")] = None,
    day: Annotated[str | None, words("Of the test; today unless you say.")] = None,
    box: Box = None,
    developer: Developer = None,
) -> Shown:  # fmt: skip
    """An old or unknown box: two unexposed pieces, one only fixed, one developed and fixed; their difference is fog."""
    from firstsheet.acts import scraps_fog

    said = form(fixed=fixed, developed=developed, density_sd=density_sd, kind=kind, looks=looks, white=white, fixed_at=fixed_at,
                developed_at=developed_at, day=day, box=box, developer=developer)  # fmt: skip
    data = read_file(photo, "photo") if photo else None
    with here.writing() as book:
        found = scraps_fog.measure_picture(book, data, said) if data else scraps_fog.measure(book, said)
    return Shown(found, of_fog(found))


def of_fog(a: FogTest) -> list[str]:
    from firstsheet.acts.calibrate_words import density

    figures = f"{density(a.fog)} D, 9 in 10 between {density(a.low)} and {density(a.high)}"
    lines = wrapped(f"{a.number}: fog {figures}, {a.by}. {a.sentence}")
    lines += [line for w in (f"Good for: {a.usable}.", a.slower_words, a.drift_words, *a.notes) for line in wrapped(w)]
    return [*lines, "", *wrapped(a.caution)]


def developers(
    here: Here,
    first: Annotated[str, typer.Argument(metavar="FIRST", help="The number of a kept curve, such as of the ordinary developer; or the developer’s name.")],
    second: Annotated[str, typer.Argument(metavar="SECOND", help="Of the same box in another developer.")],
    box: Box = None,
    same: Annotated[bool | None, typer.Option("--same/--apart", help="Whether both strips had the same light.", show_default=False)] = None,
    draw: Annotated[str | None, words("Write the drawing to a new SVG file.", "FILE")] = None,
    look: Look = False,
) -> Shown:  # fmt: skip
    """Two developers on one paper: how much faster and how much harder the second is."""
    from firstsheet.acts import scraps_developers

    with here.writing() as book:
        found = scraps_developers.compare(book, form(first=first, second=second, same=same, box=box), teach=not look)
    if draw:
        write_new(draw, found.plot_svg.encode())
    return Shown(found, of_developers(found))


def of_developers(a: TwoDevelopers) -> list[str]:
    from firstsheet.acts.scraps_words import figure_words, stain_words

    lines = [*wrapped(a.caution), "", *wrapped(f"{a.number}: {a.sentence}")]
    for row in (figure_words(f) for f in a.figures):
        lines += wrapped(
            f"{row['words']}: {row['value']}" + (f"  ({row['aside']})" if row["aside"] else ""), "  ", "    "
        )
    if a.stain:
        lines += [line for w in stain_words(a) for line in wrapped(w)]
    return lines + of_next(a.next_plan, a.state) + [line for n in a.notes for line in wrapped(n)]


def stain(
    here: Here,
    number: Number,
    file: Annotated[str, typer.Argument(metavar="FILE", help="A photo or scan of both strips beside a white card.")],
    white: Annotated[str | None, words("Where the white is: “0.05,0.5” from the left and the top.", "X,Y")] = None,
    first_base: Annotated[str | None, words("Bare paper of the first strip.", "X,Y")] = None,
    second_base: Annotated[str | None, words("Bare paper of the second.", "X,Y")] = None,
    first_mid: Annotated[str | None, words("A mid-grey step of the first.", "X,Y")] = None,
    second_mid: Annotated[str | None, words("A mid-grey step of the second.", "X,Y")] = None,
    illuminant: Annotated[str | None, words("D50 unless you say D65.")] = None,
    taken: Annotated[str | None, words("photo unless you say scan.")] = None,
    white_density: Annotated[str | None, words("The white’s own density; 0.05 unless said.")] = None,
) -> Shown:  # fmt: skip
    """The stain both developers leave, as L*a*b* and in words, kept with the comparison. Position data is never stored."""
    from firstsheet.acts import scraps_developers, scraps_stain

    data = read_file(file, "picture")
    said = form(white=white, first_base=first_base, second_base=second_base, first_mid=first_mid, second_mid=second_mid,
                illuminant=illuminant, taken=taken, white_density=white_density)  # fmt: skip
    with here.writing() as book:
        n = number_of(number)
        found = scraps_developers.of(book, scraps_stain.look_at(book, n, data, said))
    return Shown(found, of_developers(found))


def readings(
    here: Here,
    strip: Annotated[str | None, words("Number of a strip read lit from the front.")] = None,
    backlit: Annotated[str | None, words("Number of the same strip read lit from behind.")] = None,
    reflection: Annotated[str | None, words("Instead, typed: “0.06 0.42 0.96 1.40”.")] = None,
    transmission: Annotated[str | None, words("Instead, typed in the same order.")] = None,
    bare: Annotated[str | None, words("A meter behind reads this of the bare lamp: “800 lx”, “EV 12.3”; then the figures are its readings.")] = None,
    reflection_base: Annotated[str | None, words("Of bare developed paper.")] = None,
    transmission_base: Annotated[str | None, words("Of bare developed paper.")] = None,
    bare_at: Annotated[str | None, words("Or where the backlit picture shows the bare table.", "X,Y")] = None,
    paper_at: Annotated[str | None, words("And where it shows bare paper.", "X,Y")] = None,
    reflection_sd: Annotated[str | None, words("Give or take of each.")] = None,
    transmission_sd: Annotated[str | None, words("Give or take of each.")] = None,
    draw: Annotated[str | None, words("Write the drawing to a new SVG file.", "FILE")] = None,
    box: Box = None,
    developer: Developer = None,
) -> Shown:  # fmt: skip
    """The same patches looked at and shone through: this paper’s density to print through for a density looked at."""
    from firstsheet.acts import scraps_readings

    said = form(strip=strip, backlit=backlit, reflection=reflection, transmission=transmission, bare=bare, reflection_base=reflection_base,
                transmission_base=transmission_base, bare_at=bare_at, paper_at=paper_at, reflection_sd=reflection_sd,
                transmission_sd=transmission_sd, box=box, developer=developer)  # fmt: skip
    with here.writing() as book:
        found = scraps_readings.measure(book, said)
    if draw:
        write_new(draw, found.plot_svg.encode())
    return Shown(found, of_readings(found))


def of_readings(a: TwoReadings) -> list[str]:
    lines = [*wrapped(a.caution), "", *wrapped(f"{a.number}: {a.sentence}")]
    return lines + of_through(a.at) + [line for n in a.notes for line in wrapped(n)]


def of_through(rows: Sequence[Through]) -> list[str]:
    from firstsheet.acts.calibrate_words import density

    out = ["  looked at   to print through   9 in 10"]
    for t in rows:
        whole = "" if t.with_base is None else f"   {density(t.with_base)} with its base"
        out.append(
            f"  {density(t.reflection):>9}   {density(t.transmission):>16}   {density(t.low)} to {density(t.high)}{whole}"
        )
    return out


def through(
    here: Here,
    number: Number,
    of: Annotated[str, typer.Argument(metavar="DENSITIES", help="By reflection, above bare paper: “0.40 0.90”.")],
    from_white: Annotated[bool, typer.Option("--from-white", help="As an instrument shows them, bare paper’s own in them.", show_default=False)] = False,
) -> Shown:  # fmt: skip
    """Densities looked at as densities to print through, within what was measured. Nothing is stored."""
    from firstsheet.acts import scraps_readings

    with here.reading() as reader:
        found = scraps_readings.through(reader, number_of(number), form(of=of, from_white=from_white or None))
    return Shown(found, of_through(found))
