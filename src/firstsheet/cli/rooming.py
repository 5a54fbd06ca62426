"""What lens and room can do: `sharp`, `even`, `dark`, `fits`, `lenses`, `distances`, `marks`, `ruler`, `draw`."""

from __future__ import annotations

from typing import Annotated

import typer

from firstsheet.cli.face import Here, Shown, act, form
from firstsheet.cli.files import write_new
from firstsheet.cli.finding import shown
from firstsheet.cli.lensing import Board, Camera, Subject
from firstsheet.cli.owning import words

Box = Annotated[str | None, words("Which box’s sheets; today’s if you say none.")]
Size = Annotated[str | None, words("Or a sheet: “16x20 in”.")]
Aperture = Annotated[str | None, words("Stop: “f/11”; the widest if you say none.")]
Confusion = Annotated[str | None, words("Blur that passes for sharp: “0.5 mm”.")]
Magnification = Annotated[str | None, words("Size on the sheet × life-size: “0.5”, “1/3”.")]
Head = Annotated[str | None, words("Or a head’s height on the sheet: “120 mm”.")]


def register(app: typer.Typer) -> None:
    for body in (sharp, even, dark, fits, lenses, distances, marks, ruler, draw):
        act(app, body.__name__)(body)


def distances(
    here: Here, subject: Subject = None, board: Board = None, magnification: Magnification = None, head: Head = None,
    across: Annotated[str | None, words("Or what the sheet’s width takes in: “1.2 m”.")] = None,
    tall: Annotated[str | None, words("Or what its height takes in.")] = None,
    focal: Annotated[str | None, words("Another lens than your own: “480 mm”.")] = None,
    size: Size = None, box: Box = None, aperture: Aperture = None, confusion: Confusion = None, camera: Camera = None,
) -> Shown:  # fmt: skip
    """Board, chair, size and lens: say any two and the rest follows; say one, and it is for your own lens."""
    from firstsheet.acts import distances as acts

    said = form(
        subject=subject, board=board, magnification=magnification, head=head, across=across, tall=tall, focal=focal, size=size, box=box,
        aperture=aperture, confusion=confusion, camera=camera,
    )  # fmt: skip
    with here.reading() as reader:
        return shown(acts.distances(reader, said))


def marks(
    here: Here, floor: Annotated[str | None, words("A mark on the floor’s tape: “3 m”.")] = None,
    board_mark: Annotated[str | None, words("Or one on the board’s: “750 mm”.")] = None,
    floor_zero: Annotated[str | None, words("How far outside the lens’s middle the floor’s tape begins.")] = None,
    board_zero: Annotated[str | None, words("How far behind it the board’s tape begins.")] = None,
    camera: Camera = None,
) -> Shown:  # fmt: skip
    """From the chair’s mark on the floor to the board’s mark, and back."""
    from firstsheet.acts import distances as acts

    with here.reading() as reader:
        return shown(acts.marks(reader, form(floor=floor, board_mark=board_mark, floor_zero=floor_zero, board_zero=board_zero, camera=camera)))


def ruler(
    here: Here, file: Annotated[str, typer.Argument(metavar="FILE.html", help="The page to print.", show_default=False)],
    camera: Camera = None,
) -> Shown:  # fmt: skip
    """A ruler for the board with the sitter’s distance at every place, to print at true size."""
    from firstsheet.acts import distances as acts

    with here.reading() as reader:
        found, page = acts.ruler(reader, form(camera=camera))
    write_new(file, page.encode())
    return shown(found, "", f"Written into {file}.")


def fits(
    here: Here, size: Size = None, subject: Subject = None, confusion: Confusion = None, camera: Camera = None
) -> Shown:
    """Which sheets at which distances this lens makes in its room; with size and subject, why or why not."""
    from firstsheet.acts import fits as acts

    with here.reading() as reader:
        return shown(acts.fits_here(reader, form(size=size, subject=subject, confusion=confusion, camera=camera)))


def lenses(
    here: Here, magnification: Magnification = None, head: Head = None, size: Size = None, box: Box = None,
    coverage: Annotated[str | None, words("Angle it covers: “46°”, as process lenses do.")] = None,
    outside: Annotated[str | None, words("Room outside from lens to chair: “5 m”.")] = None,
    camera: Camera = None,
) -> Shown:  # fmt: skip
    """Before buying: which focal lengths make a picture of this size in this room."""
    from firstsheet.acts import fits as acts

    said = form(magnification=magnification, head=head, size=size, box=box, coverage=coverage, outside=outside, camera=camera)
    with here.reading() as reader:
        return shown(acts.lenses(reader, said))


def sharp(
    here: Here, subject: Subject = None, head: Head = None, board: Board = None,
    pose: Annotated[str | None, words("standing, seated or rested; seated if you say none.")] = None,
    time: Annotated[str | None, words("Seconds at that stop: “4 s”; as planned if you say none.")] = None,
    aperture: Aperture = None,
    bow: Annotated[str | None, words("How far the paper bows: “3 mm”.")] = None,
    edge: Annotated[str | None, words("How far the board’s edge is off square: “3 mm”.")] = None,
    size: Size = None, box: Box = None, confusion: Confusion = None, camera: Camera = None,
    drawing: Annotated[str | None, words("Also draw a point at true size into this file.", "FILE.svg")] = None,
) -> Shown:  # fmt: skip
    """How sharp it will be: sway by pose, depth, paper and board, diffraction, and the stop that does best."""
    from firstsheet.acts import sharp as acts

    said = form(
        subject=subject, head=head, board=board, pose=pose, time=time, aperture=aperture, bow=bow, edge=edge, size=size, box=box,
        confusion=confusion, camera=camera,
    )  # fmt: skip
    with here.reading() as reader:
        found = acts.sharpness(reader, said)
    if drawing is None:
        return shown(found)
    write_new(drawing, found.drawing.encode())
    return shown(found, "", f"Drawn into {drawing}.")


def even(
    here: Here, subject: Subject = None, head: Head = None, board: Board = None, aperture: Aperture = None,
    left: Annotated[str | None, words("The sheet’s middle hangs left of the lens’s axis: “40 mm”.")] = None,
    right: Annotated[str | None, words("Or right of it, as you face the sheet.")] = None,
    up: Annotated[str | None, words("Above it.")] = None, down: Annotated[str | None, words("Or below it.")] = None,
    size: Size = None, box: Box = None, camera: Camera = None,
    drawing: Annotated[str | None, words("Also draw the map into this file.", "FILE.svg")] = None,
) -> Shown:  # fmt: skip
    """How evenly the sheet is lit, which way to shift it, what the print can mend."""
    from firstsheet.acts import even as acts

    said = form(
        subject=subject, head=head, board=board, aperture=aperture, left=left, right=right, up=up, down=down, size=size, box=box, camera=camera
    )  # fmt: skip
    with here.reading() as reader:
        found = acts.evenness(reader, said)
    if drawing is None:
        return shown(found)
    write_new(drawing, found.drawing.encode())
    return shown(found, "", f"Drawn into {drawing}.")


def dark(
    here: Here, walls: Annotated[str | None, words("Walls inside: black, wood, white, or the share of light they send back.")] = None,
    trays: Annotated[str | None, words("How far the developer is from the board: “1 m”.")] = None,
    lux: Annotated[str | None, words("A mid-tone on the board at the exposure’s stop [lx]; as planned if you say none.")] = None,
    exposure: Annotated[str | None, words("Or the exposure: “8 s”; as planned if you say none.")] = None,
    way: Annotated[str | None, words("Way of working; the usual one of this paper if you say none.")] = None,
    developer: Annotated[str | None, words("Kind of developer: paper, coffee, ra4.")] = None,
    subject: Subject = None, head: Head = None, board: Board = None, aperture: Aperture = None, size: Size = None, box: Box = None,
    keep: Annotated[bool, typer.Option("--keep", help="Keep with the camera what its walls send back.", show_default=False)] = False,
    camera: Camera = None,
) -> Shown:  # fmt: skip
    """Is the room dark enough: which leaks fog this paper, the open lens at the trays, the veil of bare walls."""
    from firstsheet.acts import dark as acts

    said = form(
        walls=walls, trays=trays, lux=lux, exposure=exposure, way=way, developer=developer, subject=subject, head=head, board=board,
        aperture=aperture, size=size, box=box, camera=camera,
    )  # fmt: skip
    if keep:
        with here.writing() as book:
            return shown(acts.keep(book, said))
    with here.reading() as reader:
        return shown(acts.dark_enough(reader, said))


def draw(
    here: Here, file: Annotated[str, typer.Argument(metavar="FILE.html", help="The page to print.", show_default=False)],
    scale: Annotated[str | None, words("Scale on paper: “1:20”; the largest that fits A4 if you say none.")] = None,
    subject: Subject = None, head: Head = None, board: Board = None, aperture: Aperture = None, size: Size = None, box: Box = None,
    camera: Camera = None,
) -> Shown:  # fmt: skip
    """The room in section and plan, to scale, to print."""
    from firstsheet.acts import room_drawn as acts

    said = form(scale=scale, subject=subject, head=head, board=board, aperture=aperture, size=size, box=box, camera=camera)
    with here.reading() as reader:
        found, page = acts.drawn(reader, said)
    write_new(file, page.encode())
    return shown(found, "", f"Written into {file}.")
