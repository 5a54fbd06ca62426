"""Looking at a result: which version of a sheet was wanted, and what a spoiled one may come from."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from firstsheet.cli.face import Here, Shown, act, form, heading, wrapped
from firstsheet.cli.files import read_file, write_new
from firstsheet.cli.loop import Code
from firstsheet.cli.owning import words

if TYPE_CHECKING:
    from firstsheet.acts.bad_day import BadDay
    from firstsheet.acts.versions import Versions


def register(app: typer.Typer) -> None:
    for name, body in (("versions", versions), ("badday", badday)):
        act(app, name)(body)


def versions(
    here: Here, code: Code,
    file: Annotated[str, typer.Argument(metavar="FILE", help="A photo of the sheet beside a white card.")],
    white: Annotated[str | None, words("Where the white is: “0.05,0.5” from the left and the top.", "X,Y")] = None,
    border: Annotated[str | None, words("Where the masked border is, “0.5,0.02”; or white, grey or black as you see it.")] = None,
    choose: Annotated[str | None, words("The one you wanted: lighter, much darker, as it is …; or +1/2 for half a stop more light.")] = None,
    wet: Annotated[bool | None, typer.Option("--wet/--dry", help="How it was photographed; wet if you say nothing.", show_default=False)] = None,
    kept: Annotated[bool | None, typer.Option("--kept/--not-kept", help="Whether you keep it.", show_default=False)] = None,
    drawing: Annotated[str | None, words("Also draw the five beside each other into this file.", "FILE.jpg")] = None,
) -> Shown:  # fmt: skip
    """Which did you want? Five versions of a sheet through its paper's curve; choosing one judges it."""
    from firstsheet.acts import versions as looking

    by_eye = border in ("white", "grey", "black")
    places = form(white=white, border=None if by_eye else border)
    data = read_file(file, "photo")
    with here.writing() as book:
        found = looking.make(book, code, data, places)
        shown = of_versions(found)
        if drawing:
            write_new(drawing, looking.strip(book, code, found.picture, places))
            shown.append(f"Drawn into {drawing}, darkest first.")
        if choose is None:
            return Shown(found, shown)
        flags = {"wet": wet, "kept": kept}
        said = form(white=white, border=border, version=choose, **{k: v for k, v in flags.items() if v is not None})
        change = looking.touch(book, code, found.picture, said)
    shown += [line for w in (*change.words, *change.next_time) for line in wrapped(w)]
    return Shown(change, shown)


def of_versions(v: Versions) -> list[str]:
    """The border first, then what may be chosen."""
    lines = wrapped(v.border.words if v.border else f"Look at the border first: it should be {v.border_should_be}.")
    for one in v.versions:
        lines.append(
            f"  {one.words:13} dead black {100 * one.dead_black:3.0f} %, blown white {100 * one.blown_white:3.0f} %"
        )
    if not v.versions:
        lines += wrapped(f"No speed is read from it. Next: firstsheet badday {v.code} --saw grey_border")
    return lines + [line for n in v.notes for line in wrapped(n)]


def badday(
    here: Here,
    code: Annotated[str | None, typer.Argument(metavar="CODE", help="The sheet, where it has a code.", show_default=False)] = None,
    saw: Annotated[str | None, words("all_black, blank, nothing_came_up, grey_border, streaks, one_side, double, cast.")] = None,
    border: Annotated[str | None, words("The masked border: white, grey or black.")] = None,
    way: Annotated[str | None, words("The way of working, where there is no code; today's if you say nothing.")] = None,
) -> Shown:  # fmt: skip
    """A spoiled sheet: what the hands do now, what it may come from, the scrap that decides. Nothing is stored."""
    from firstsheet.acts import bad_day

    with here.reading() as reader:
        found = bad_day.bad_day(reader, code, form(saw=saw, border=border, way=way))
    return Shown(found, of_bad_day(found))


def of_bad_day(b: BadDay) -> list[str]:
    """First what to do, then the ranking, the scrap, and when to stop."""
    lines = wrapped(b.stop_rule) if b.stop_now else []
    lines += wrapped(b.cautions[0])
    lines += heading("Now, with your hands") + [line for f in b.first for line in wrapped(f, "  ")]
    lines += heading("What it may come from")
    for c in b.causes:
        lines += wrapped(f"{100 * c.share:3.0f} %  {c.words}", "  ", " " * 9)
        lines += [line for w in c.why for line in wrapped(w, " " * 9)]
    if b.decider:
        lines += heading(f"The scrap that decides, about {b.decider.minutes:.0f} min")
        lines += wrapped(b.decider.do, "  ")
        lines += [line for o in b.decider.outcomes for line in wrapped(f"{o.see.rstrip('.')}: {o.means}", "  ", "    ")]
    lines += [] if b.stop_now else heading("When to stop") + wrapped(b.stop_rule, "  ")
    return lines + [line for n in (*b.notes, b.said, *b.cautions[1:]) for line in wrapped(n)]
