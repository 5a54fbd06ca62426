"""`colour`: the colour of the light as this paper sees it."""

from __future__ import annotations

from typing import Annotated

import typer

from firstsheet.cli.face import Here, Shown, act, form
from firstsheet.cli.files import write_new
from firstsheet.cli.finding import shown
from firstsheet.cli.owning import words


def register(app: typer.Typer) -> None:
    act(app, "colour")(colour)


def colour(
    here: Here,
    light: Annotated[str | None, words("Kind of light: sun, overcast, open_shade, low_sun, window, tungsten, led, flash; this sheet’s if you say none.")] = None,
    kelvin: Annotated[str | None, words("Or its temperature: “5600”.")] = None,
    sun: Annotated[str | None, words("Or the sun’s height in a clear sky: “35”.")] = None,
    through: Annotated[str | None, typer.Option("--filter", metavar="WORDS", help="A filter: “yellow 0.7”, “30Y 20M”, “+112 mired”.", show_default=False)] = None,
    emulsion: Annotated[str | None, words("blue, blue_green, panchromatic, layer_red, layer_green, layer_blue; today’s box’s if you say none.")] = None,
    box: Annotated[str | None, words("Or a box.")] = None,
    glass: Annotated[str | None, words("new, or old for a yellowed lens.")] = None,
    drawing: Annotated[str | None, words("Draw eye and paper beside each other into this file.", "FILE.svg")] = None,
) -> Shown:  # fmt: skip
    """What paper sees of this light beside a meter, what a filter costs, how light or dark things come out."""
    from firstsheet.acts import colour_of_light as acts

    said = form(light=light, kelvin=kelvin, sun=sun, filter=through, emulsion=emulsion, box=box, glass=glass)
    with here.reading() as reader:
        found = acts.colour_of_light(reader, said)
    if drawing:
        write_new(drawing, found.drawing.encode())
    return shown(found, *(("", f"Drawn into {drawing}.") if drawing else ()))
