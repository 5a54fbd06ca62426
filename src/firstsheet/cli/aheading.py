"""The sheet ahead: `ahead board` reads a photo of the board, `ahead sheet` draws the sheet, `ahead came` holds the real one against it."""

from __future__ import annotations

from typing import Annotated

import typer

from firstsheet.cli.face import Here, Shown, act, form, wrapped
from firstsheet.cli.files import read_file, write_new
from firstsheet.cli.finding import shown
from firstsheet.cli.loop import Code
from firstsheet.cli.owning import words

app = typer.Typer(help="Read the board from a photo, and see the sheet before it is spent.", no_args_is_help=True)
Photo = Annotated[str, typer.Argument(metavar="PHOTO", help="A photo of the white board, or of the scene from the lens.", show_default=False)]
Face = Annotated[str | None, words("Where the face falls in the photo as it lies: “0.5,0.4” from left and top.", "X,Y")]
Tone = Annotated[str | None, words("What lies there: face_light, face_mid, face_dark, grey_card, white_shirt …")]
Corners = Annotated[str | None, words("The sheet’s corners in the photo as it lies, from top left clockwise: “0.1,0.1 0.9,0.1 0.9,0.9 0.1,0.9”.")]
Of = Annotated[str | None, words("board, or scene.")]


def register(to: typer.Typer) -> None:
    for body in (board, sheet, came, focus, compose):
        act(app, body.__name__)(body)
    to.add_typer(app, name="ahead")


def board(
    here: Here, photo: Photo, face: Face = None, tone: Tone = None,
    lux: Annotated[str | None, words("One figure of a lux meter on the board.")] = None,
    lux_at: Annotated[str | None, words("Where it was held; at the face if you say nothing.", "X,Y")] = None,
    card: Annotated[str | None, words("Where an 18 % card lies on the board.", "X,Y")] = None,
    beside: Annotated[str | None, words("The bare board right beside the card.", "X,Y")] = None,
    aperture: Annotated[str | None, words("The stop the lens stood at.")] = None,
    f_number: Annotated[str | None, words("The photo’s f-number, where the file is silent.")] = None,
    time: Annotated[str | None, words("Its time.")] = None,
    iso: Annotated[str | None, words("Its ISO.")] = None,
    last: Annotated[str | None, words("A kept sheet whose board the same phone photographed: seconds against it.", "CODE")] = None,
    keep: Annotated[bool, typer.Option("--keep", help="Plan this sheet by it.")] = False,
) -> Shown:  # fmt: skip
    """Light on the paper where the face falls, from a photo of the board: seconds follow with no lens arithmetic."""
    from firstsheet.acts import board_light
    from firstsheet.acts import photo as photos

    said = form(face=face, tone=tone, lux=lux, lux_at=lux_at, card=card, beside=beside, aperture=aperture, f_number=f_number, time=time, iso=iso, last=last)
    data = read_file(photo, "photo")
    with here.writing() as book:
        number = photos.take_in(book, data).picture
        found = (board_light.keep if keep else board_light.look)(book, number, said)
    return shown(found, "", f"The photo is number {number} in the book." + (" Next: firstsheet plan" if keep else " To plan by it: the same with --keep."))


def sheet(
    here: Here, photo: Photo, of: Of = None, face: Face = None, tone: Tone = None, corners: Corners = None,
    stops: Annotated[str | None, words("More or less light than planned: “-1”, “0.5”.")] = None,
    give: Annotated[str | None, words("Or seconds: “4 s”.")] = None,
    preflash: Annotated[str | None, words("Share of the threshold: “0.7”, “70 %”.")] = None,
    shows: Annotated[str | None, words("sheet; or print, for the contact print of a paper negative.")] = None,
    printed: Annotated[str | None, words("Stops more for the print.")] = None,
    iso_range: Annotated[str | None, typer.Option("--range", metavar="R", help="ISO range of the printing paper: “110”.", show_default=False)] = None,
    wet: Annotated[bool | None, typer.Option("--wet/--dry", help="As it looks wet; dry if you say nothing.", show_default=False)] = None,
    colour: Annotated[str | None, words("neutral, warm, cold, coffee.")] = None,
    filter_: Annotated[str | None, typer.Option("--filter", metavar="FILTER", help="On the lens: “yellow”, “orange”, “cuts at 480 nm”.", show_default=False)] = None,
    light: Annotated[str | None, words("Another kind of light than the plan’s: sun, overcast, open_shade …")] = None,
    developer: Annotated[str | None, words("Another developer in which this box was measured.")] = None,
    pack: Annotated[str | None, words("Colour paper: filters beyond the balance, “20Y”.")] = None,
    flare: Annotated[str | None, words("Veil over all: “1 %”.")] = None,
    depths: Annotated[str | None, words("In a photo of the scene, places and distances: “0.5,0.4 3 m; 0.9,0.2 12 m”.")] = None,
    seen_by: Annotated[str | None, words("A scene photo’s focal length as on 35 mm film: “26 mm”; it is cut to the sheet’s field.")] = None,
    aperture: Annotated[str | None, words("In a photo of the scene, another stop for the same exposure.")] = None,
    pose: Annotated[str | None, words("standing, seated, rested.")] = None,
    drawing: Annotated[str | None, words("Draw it into this file.", "FILE.jpg")] = None,
    five: Annotated[str | None, words("Draw five equally likely versions into this file.", "FILE.jpg")] = None,
    code: Annotated[str | None, words("Keep it with this sheet, to hold the real one against.", "CODE")] = None,
) -> Shown:  # fmt: skip
    """The sheet as it will look, through what is known of this paper: dead blacks, blown whites, where the face falls."""
    from firstsheet.acts import ahead
    from firstsheet.acts import photo as photos

    said = form(of=of, face=face, tone=tone, corners=corners, stops=stops, give=give, preflash=preflash, shows=shows, printed=printed, range=iso_range,
                colour=colour, flare=flare, filter=filter_, light=light, developer=developer, pack=pack, depths=depths, pose=pose, seen_by=seen_by, aperture=aperture, **({} if wet is None else {"wet": wet}))  # fmt: skip
    data = read_file(photo, "photo")
    with here.writing() as book:
        number = photos.take_in(book, data).picture
        found = ahead.keep(book, code, number, said) if code else ahead.look(book, number, said)
        if drawing:
            write_new(drawing, ahead.drawn(book, number, said))
        if five:
            write_new(five, ahead.five(book, number, said))
    lines = [f"Drawn into {name}." for name in (drawing, five) if name]
    return shown(found, *([""] if lines else []), *lines)


def came(
    here: Here, code: Code, photo: Annotated[str, typer.Argument(metavar="PHOTO", help="A photo of the sheet beside a white.", show_default=False)],
    white: Annotated[str | None, words("Where the white is.", "X,Y")] = None, corners: Corners = None,
    border: Annotated[str | None, words("The masked border: white, grey or black; with it the sheet is judged.")] = None,
    wet: Annotated[bool | None, typer.Option("--wet/--dry", help="Wet if you say nothing.", show_default=False)] = None,
    kept: Annotated[bool | None, typer.Option("--kept/--not-kept", help="Whether you keep it.", show_default=False)] = None,
    drawing: Annotated[str | None, words("Draw both beside each other into this file.", "FILE.jpg")] = None,
) -> Shown:  # fmt: skip
    """The sheet that came against the one foretold; with --border the difference is learned from."""
    from firstsheet.acts import ahead

    flags = {k: v for k, v in {"wet": wet, "kept": kept}.items() if v is not None}
    said = form(white=white, corners=corners, border=border, **flags)
    data = read_file(photo, "photo")
    with here.writing() as book:
        number = ahead.take_in(book, code, data)
        found = ahead.compare(book, code, number, said, teach=border is not None)
        if drawing:
            write_new(drawing, ahead.beside(book, code, number, said))
    lines = wrapped(found.words)
    if found.change:
        lines += [line for w in (*found.change.words, *found.change.next_time) for line in wrapped(w)]
    return Shown(found, lines)


def focus(
    here: Here,
    photo: Annotated[str | None, typer.Argument(metavar="PHOTO", help="A photo of the picture on the board; none, to see what was found so far.", show_default=False)] = None,
    mark: Annotated[str | None, words("Where the board stood on its scale: “752 mm”.")] = None,
    at: Annotated[str | None, words("The eyes, in the photo as it lies.", "X,Y")] = None,
    anew: Annotated[bool, typer.Option("--anew", help="Forget the marks tried so far first.")] = False,
) -> Shown:  # fmt: skip
    """Where the board is sharpest, from photos at three marks or more."""
    from firstsheet.acts import composing
    from firstsheet.acts import photo as photos

    with here.writing() as book:
        found = composing.begin_focus(book) if anew else composing.focused(book)
        if photo is not None:
            number = photos.take_in(book, read_file(photo, "photo")).picture
            found = composing.add_focus(book, number, form(mark=mark, at=at))
    return shown(found)


def compose(
    here: Here, photo: Photo, corners: Corners = None,
    chin: Annotated[str | None, words("The chin, in the photo as it lies.", "X,Y")] = None,
    crown: Annotated[str | None, words("The crown of the head.", "X,Y")] = None,
    left: Annotated[str | None, words("Two ends of something upright on the left: “0.2,0.1 0.2,0.9”.")] = None,
    right: Annotated[str | None, words("And on the right.")] = None,
    magnet: Annotated[str | None, words("A corner magnet’s breadth: “20 mm”.")] = None,
    thick: Annotated[str | None, words("And its thickness.")] = None,
    size: Annotated[str | None, words("Another sheet than the box’s: “16x20 in”.")] = None,
) -> Shown:  # fmt: skip
    """A photo of the board measured: the head on the sheet, a board that leans, what magnets cover."""
    from firstsheet.acts import composing
    from firstsheet.acts import photo as photos

    data = read_file(photo, "photo")
    with here.writing() as book:
        number = photos.take_in(book, data).picture
        found = composing.compose(book, number, form(corners=corners, chin=chin, crown=crown, left=left, right=right, magnet=magnet, thick=thick, size=size))
    return shown(found)
