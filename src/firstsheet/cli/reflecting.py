"""`reflector`: a board beside the sitter. `scrapmeter`: a scrap of the paper as its own meter."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from firstsheet.cli.face import Here, Shown, act, form, wrapped
from firstsheet.cli.files import write_new
from firstsheet.cli.owning import words

if TYPE_CHECKING:
    from firstsheet.acts.reflector import Reflector


def register(app: typer.Typer) -> None:
    act(app, "reflector")(reflector)


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
    box: Annotated[str | None, words("Which box of paper; today’s unless said.")] = None,
    drawing: Annotated[str | None, words("Also draw it from above into this file.", "FILE.svg")] = None,
) -> Shown:  # fmt: skip
    """What a white, silver or black board adds to the shadow side, against this paper, and what open shade would cost."""
    from firstsheet.acts import reflector as reflectors

    said = form(kind=kind, board=board, distance=distance, turn=turn, sky=sky, sun=sun, side=side, ratio=ratio, want=want, range=range, subject=subject, box=box)  # fmt: skip
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
