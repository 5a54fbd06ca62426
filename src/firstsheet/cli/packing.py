"""`pack`: the filter pack for a colour reversal, and what each finished sheet teaches about it."""

from __future__ import annotations

from typing import Annotated

import typer

from firstsheet.cli.face import Here, Shown, act, form, wrapped
from firstsheet.cli.finding import shown
from firstsheet.cli.owning import words

Light = Annotated[str | None, words("Kind of light: sun, overcast, open_shade, tungsten …; this sheet’s unless said.")]
Box = Annotated[str | None, words("Which box of colour paper; today’s unless said.")]
Seconds = Annotated[str | None, words("The plan’s seconds without a pack: “20 s”.")]


def register(app: typer.Typer) -> None:
    group = typer.Typer(rich_markup_mode=None, help="The filter pack for a colour reversal, learned for each kind of light.")
    app.add_typer(group, name="pack")
    act(group, "pack", main=True)(plan)
    act(group, "told")(told)
    act(group, "back")(back)
    act(group, "gels")(gels)
    act(group, "ring")(ring)


def plan(here: Here, light: Light = None, box: Box = None, seconds: Seconds = None) -> Shown:
    """What to put on in this light, and how long to give."""
    from firstsheet.acts import pack as acts

    with here.reading() as reader:
        return shown(acts.plan(reader, form(light=light, box=box, seconds=seconds)))


def told(
    here: Here,
    colour: Annotated[str | None, words("What the print looks like: neutral, blue, cyan, green, magenta, red or yellow, or between two: green_cyan.")] = None,
    much: Annotated[str | None, words("faintly, slightly, noticeably, clearly, strongly or very_strongly; clearly unless said.")] = None,
    bright: Annotated[str | None, words("slightly_too_dark (a third of a stop), too_dark (two), much_too_dark, far_too_dark; the same with light; right unless said.")] = None,
    photo: Annotated[str | None, typer.Option("--photo", metavar="FILE", help="Or a photo of the print’s grey card beside a white.", show_default=False)] = None,
    grey_at: Annotated[str | None, words("Where the grey is in the photo, from left and top: “40% 50%”.")] = None,
    white_at: Annotated[str | None, words("Where the white is: “80% 50%”.")] = None,
    grey: Annotated[str | None, words("Or the grey as a picture viewer reads it: “120 118 131”.")] = None,
    white: Annotated[str | None, words("And the white: “240 238 241”.")] = None,
    shadows: Annotated[str | None, words("The colour the shadows lean to, where it is another.")] = None,
    highlights: Annotated[str | None, words("The colour the highlights lean to.")] = None,
    pack: Annotated[str | None, words("The pack that was on: “150Y 75M”; the planned one unless said.")] = None,
    sheet: Annotated[str | None, words("The sheet’s code, where it was kept: its pack, seconds, light and box are known.", "CODE")] = None,
    given: Annotated[str | None, words("The seconds that were given, where they were not those planned.")] = None,
    seconds: Seconds = None,
    light: Light = None,
    box: Box = None,
) -> Shown:  # fmt: skip
    """What a finished sheet looks like; the next pack comes back."""
    from firstsheet.acts import pack as acts
    from firstsheet.cli.files import read_file

    said = form(colour=colour, much=much, bright=bright, grey=grey, white=white, grey_at=grey_at, white_at=white_at, shadows=shadows,
                highlights=highlights, sheet=sheet, pack=pack, given=given, seconds=seconds, light=light, box=box)  # fmt: skip
    data = read_file(photo, "photo") if photo else None
    with here.writing() as book:
        return shown(acts.told(book, said, data))


def back(here: Here, light: Light = None, box: Box = None) -> Shown:
    """Take back what was told of the last sheet."""
    from firstsheet.acts import pack as acts

    with here.writing() as book:
        return shown(acts.take_back(book, form(light=light, box=box)))


def gels(here: Here, gels: Annotated[str | None, words("“10Y 20Y 40Y=36 20M”: after = what a gel was measured to be.")] = None) -> Shown:
    """Say which gels you own, and packs are made of those; with nothing said, the ones kept."""
    from firstsheet.acts import pack as acts

    with here.writing() as book:
        return shown(acts.gels(book, form(gels=gels)))


def ring(
    here: Here,
    patches: Annotated[str | None, words("4 or 6; 4 unless said.")] = None,
    mask: Annotated[str | None, words("Draw the window to cut out, at true size, into this file.", "FILE.svg")] = None,
    photo: Annotated[str | None, words("Read all patches of the finished sheet from this photo.", "FILE")] = None,
    white: Annotated[str | None, words("In the photo: a white beside the sheet, “0.9,0.5” from left and top.")] = None,
    corners: Annotated[str | None, words("The sheet’s corners there, from patch 1’s along the top: “0.1,0.1 0.8,0.1 0.8,0.9 0.1,0.9”.")] = None,
    again: Annotated[bool, typer.Option("--again", help="Reckon the patches anew: those asked for before were not made.")] = False,
    keep: Annotated[bool, typer.Option("--keep", help="Keep the patches as a sheet of the book, with a code for its back.", show_default=False)] = False,
    sun_seen: Annotated[bool, typer.Option("--sun-seen", help="In the hours when the sun can enter the lens: it is seen to.", show_default=False)] = False,
    light: Light = None,
    box: Box = None,
    seconds: Seconds = None,
) -> Shown:  # fmt: skip
    """Which patches on one masked sheet teach most; with --photo, what they taught."""
    from firstsheet.acts import pack_ring as acts
    from firstsheet.cli.files import read_file, write_new

    said = form(patches=patches, light=light, box=box, seconds=seconds)
    if photo or white or corners:
        data = read_file(photo, "photo") if photo else None
        with here.writing() as book:
            return shown(acts.read(book, {**said, **form(white=white, corners=corners)}, data))
    if keep:
        with here.writing() as book:
            made = acts.make(book, form(light=light, box=box, sun="seen" if sun_seen else None))
        first = [line for c in made.plan["cautions"] for line in wrapped(c)]
        each = [f"{i}: {w}" for i, w in enumerate(made.patches, 1)]
        return Shown(made, [*first, "", f"{made.code}: pencil it on the back.", *each, f"When all are given: firstsheet expose {made.code}"])
    with here.writing() as book:
        found = acts.keep(book, {**said, **({"again": "yes"} if again else {})})
    if mask:
        write_new(mask, found.drawing.encode())
        return shown(found, "", f"Drawn into {mask}.")
    return shown(found)
