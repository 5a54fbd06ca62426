"""`lens`: what the lens really is, measured with a tape, a rule and the board; discs, shutter, hand, single glass, pinhole."""

from __future__ import annotations

from typing import Annotated

import typer

from firstsheet.cli.face import Here, Shown, act, form
from firstsheet.cli.finding import shown
from firstsheet.cli.owning import words

Camera = Annotated[str | None, words("Which camera; today’s if you say none.")]
Keep = Annotated[bool, typer.Option("--keep", help="Keep it with the camera.", show_default=False)]
Subject = Annotated[str | None, words("The sitter’s eyes from the lens: “3 m”.")]
Board = Annotated[str | None, words("The board from the lens: “750 mm”.")]


def register(app: typer.Typer) -> None:
    group = typer.Typer(rich_markup_mode=None, help="What the lens really is, measured with a tape, a rule and the board.")
    app.add_typer(group, name="lens")
    act(group, "lens", main=True)(lens)
    for body in (focal, pupil, barrel, discs, shutter, hand, single, pinhole):
        act(group, body.__name__)(body)


def _told(here: Here, what: str, keep: bool, **said: object) -> Shown:
    from firstsheet.acts import lens as lenses

    if keep:
        with here.writing() as book:
            return shown(lenses.keep(book, what, form(**said)))
    with here.reading() as reader:
        return shown(lenses.WAYS[what](reader, form(**said)))


def lens(here: Here, camera: Camera = None) -> Shown:
    """The lens as it is known, and what nobody measured yet."""
    return _told(here, "lens", False, camera=camera)


def focal(
    here: Here, card: Annotated[str | None, words("A far window sharp on a card, so far behind the lens’s middle: “612 mm”.")] = None,
    window: Annotated[str | None, words("How far that window is: “60 m”.")] = None,
    thing: Annotated[str | None, words("Or: a thing’s true size, “200 mm”,")] = None,
    first: Annotated[str | None, words("its size on the board,")] = None,
    second: Annotated[str | None, words("its size with the board moved and focused again,")] = None,
    travel: Annotated[str | None, words("and how far the board moved between.")] = None,
    keep: Keep = False, camera: Camera = None,
) -> Shown:  # fmt: skip
    """Measure the focal length: a far window on a card, or two sizes of one thing on the board."""
    return _told(here, "focal", keep, card=card, window=window, thing=thing, first=first, second=second, travel=travel, camera=camera)


def pupil(
    here: Here, front: Annotated[str | None, words("The bright disc seen from the front: “74 mm”.")] = None,
    back: Annotated[str | None, words("The same seen from the board.")] = None, keep: Keep = False, camera: Camera = None,
) -> Shown:  # fmt: skip
    """True f-number and pupil magnification, from the pupil’s width."""
    return _told(here, "pupil", keep, front=front, back=back, camera=camera)


def barrel(
    here: Here, length: Annotated[str | None, words("Rim to rim: “120 mm”.")] = None,
    front: Annotated[str | None, words("Clear width of the front rim.")] = None,
    back: Annotated[str | None, words("Clear width of the rear rim; as the front if you say none.")] = None,
    before: Annotated[str | None, words("Share of the length before the iris; 0.5 if you say none.")] = None,
    magnification: Annotated[str | None, words("For a picture of this size: “0.25”.")] = None,
    keep: Keep = False, camera: Camera = None,
) -> Shown:  # fmt: skip
    """What the barrel cuts off, at every stop."""
    return _told(here, "barrel", keep, length=length, front=front, back=back, before=before, magnification=magnification, camera=camera)


def discs(
    here: Here, holes: Annotated[str | None, words("Holes there are: “40 mm, 28 mm”.")] = None,
    stops: Annotated[str | None, words("Or stops wanted: “11 16 22”.")] = None,
    hole: Annotated[str | None, words("Between glasses: the real width of the widest opening there.")] = None,
    keep: Keep = False, camera: Camera = None,
) -> Shown:  # fmt: skip
    """Home-made discs: the stop of a hole, the hole for a stop."""
    return _told(here, "discs", keep, holes=holes, stops=stops, hole=hole, camera=camera)


def shutter(
    here: Here, marked: Annotated[str | None, words("The speed engraved: “1/25”.")] = None,
    measured: Annotated[str | None, words("What was measured, once or more: “0.05 0.048”.")] = None,
    keep: Keep = False, camera: Camera = None,
) -> Shown:  # fmt: skip
    """A shutter’s measured speed."""
    return _told(here, "shutter", keep, marked=marked, measured=measured, camera=camera)


def hand(
    here: Here, wanted: Annotated[str | None, words("The time that was counted: “2 s”.")] = None,
    taps: Annotated[str | None, words("Ten times as they came out: “2.1 1.9 2.2 …”.")] = None,
    keep: Keep = False, camera: Camera = None,
) -> Shown:  # fmt: skip
    """Your hand’s own timing, from ten taps."""
    return _told(here, "hand", keep, wanted=wanted, taps=taps, camera=camera)


def single(
    here: Here, abbe: Annotated[str | None, words("The glass’s Abbe number: “58”.")] = None, subject: Subject = None,
    board: Board = None, keep: Keep = False, camera: Camera = None,
) -> Shown:  # fmt: skip
    """A single glass: how far to move the board after focusing by eye."""
    return _told(here, "single", keep, abbe=abbe, subject=subject, board=board, camera=camera)


def pinhole(here: Here, board: Board = None, subject: Subject = None, camera: Camera = None) -> Shown:
    """The best pinhole for a board, with how much is published about it."""
    return _told(here, "pinhole", False, board=board, subject=subject, camera=camera)
