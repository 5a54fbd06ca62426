"""`reflector`: a board beside the sitter. `scrapmeter`: a scrap of the paper as its own meter."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from firstsheet.cli.face import Here, Shown, act, form, wrapped
from firstsheet.cli.files import write_new
from firstsheet.cli.owning import words

if TYPE_CHECKING:
    from firstsheet.acts.reflector import Reflector
    from firstsheet.acts.scrap_meter import ScrapReading, Standing


def register(app: typer.Typer) -> None:
    act(app, "reflector")(reflector)
    group = typer.Typer(rich_markup_mode=None, help="A scrap of the paper as meter: seconds to a kept tint, in light as the paper sees it.")
    app.add_typer(group, name="scrapmeter")
    act(group, "scrapmeter", main=True)(standing)
    act(group, "tint")(tint)
    act(group, "read")(read)


def reflector(
    here: Here,
    kind: Annotated[str | None, words("white, silver or black; white unless said.")] = None,
    board: Annotated[str | None, words("Its sides, wide by high: “1 x 1.5 m”, which it is unless said.")] = None,
    distance: Annotated[str | None, words("Face to the board’s middle: “1 m”.")] = None,
    turn: Annotated[str | None, words("How far it is turned towards the sun, away from facing the cheek: “20°”; “best” unless said.")] = None,
    sky: Annotated[str | None, words("clear_sun, hazy_sun, bright_cloud or heavy_cloud; clear unless said.")] = None,
    sun: Annotated[str | None, words("Height of the sun: “40°”; now at the place kept, unless said.")] = None,
    side: Annotated[str | None, words("How far round the sun stands from where the shadow side looks: “180°” is behind it, “135°” unless said.")] = None,
    ratio: Annotated[str | None, words("Lit cheek over shadow cheek as read, in stops: “3”; worked out unless said.")] = None,
    want: Annotated[str | None, words("The ratio wanted, in stops: “1.5”.")] = None,
    range: Annotated[str | None, words("The scene’s range in stops: “8”, or “1:64”.")] = None,
    subject: Annotated[str | None, words("Lens to the sitter’s eyes: “3 m”.")] = None,
    aperture: Annotated[str | None, words("“f/11”, for the seconds in sun and shade.")] = None,
    box: Annotated[str | None, words("Which box of paper; today’s unless said.")] = None,
    drawing: Annotated[str | None, words("Also draw it from above into this file.", "FILE.svg")] = None,
) -> Shown:  # fmt: skip
    """What a white, silver or black board adds to the shadow side, against this paper, and what open shade would cost."""
    from firstsheet.acts import reflector as reflectors

    said = form(kind=kind, board=board, distance=distance, turn=turn, sky=sky, sun=sun, side=side, ratio=ratio, want=want, range=range, subject=subject, aperture=aperture, box=box)  # fmt: skip
    with here.reading() as reader:
        r = reflectors.reflector(reader, said)
    lines = of_reflector(r)
    if drawing:
        write_new(drawing, r.plan_svg.encode())
        lines.append(f"Drawn into {drawing}.")
    return Shown(r, lines)


def of_reflector(r: Reflector) -> list[str]:
    """Cautions that can hurt first, then what it does and what it rests on."""
    from firstsheet.acts.reflector import stands_words

    parts = [*r.cautions, r.says, stands_words(r), *r.notes]
    if r.assumed:
        parts.append(f"Assumed: {'; '.join(r.assumed)}.")
    return [x for p in parts for x in wrapped(p)]


def standing(here: Here) -> Shown:
    """What is known of each box's tint, and how a scrap is counted."""
    from firstsheet.acts import scrap_meter

    with here.reading() as reader:
        s = scrap_meter.standing(reader)
    return Shown(s, of_standing(s))


def of_standing(s: Standing) -> list[str]:
    return [x for p in (*s.cautions, *(t.words for t in s.tints), *s.how, *s.notes) for x in wrapped(p)]


Seconds = Annotated[str | None, words("Counts until the scrap matched the tint: “42 s; 45 s”.")]


def tint(
    here: Here,
    seconds: Seconds = None,
    reading: Annotated[str | None, words("The same light, read where the scrap lay: “EV 14”, “60000 lx”, a sky.")] = None,
    how: Annotated[str | None, words("incident or dome.")] = None,
    light: Annotated[str | None, words("Kind of light: sun, open_shade, overcast …; the plan’s unless said.")] = None,
    box: Annotated[str | None, words("Which box of paper; today’s unless said.")] = None,
) -> Shown:  # fmt: skip
    """Set a box's tint once, beside a reading."""
    from firstsheet.acts import scrap_meter

    with here.writing() as book:
        s = scrap_meter.set_tint(book, form(seconds=seconds, reading=reading, how=how, light=light, box=box))
    return Shown(s, of_standing(s))


def read(
    here: Here,
    seconds: Seconds = None,
    box: Annotated[str | None, words("Which box of paper; today’s unless said.")] = None,
    plan: Annotated[bool, typer.Option("--plan", help="Let the plan go by it.", show_default=False)] = False,
) -> Shown:  # fmt: skip
    """The light as this paper sees it, from seconds to its tint."""
    from firstsheet.acts import scrap_meter

    said = form(seconds=seconds, box=box)
    if plan:
        with here.writing() as book:
            r = scrap_meter.into_plan(book, said)
    else:
        with here.reading() as reader:
            r = scrap_meter.read(reader, said)
    return Shown(r, of_reading(r))


def of_reading(r: ScrapReading) -> list[str]:
    first = [*r.cautions, r.says, *(["The plan goes by it now."] if r.in_plan else []), *r.notes]
    return [x for p in first for x in wrapped(p)]
