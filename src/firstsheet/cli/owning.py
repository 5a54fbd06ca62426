"""`own`: what is yours. Without more, the list; with a kind and a name, a new description of it."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from firstsheet import wording
from firstsheet.acts import own
from firstsheet.cli.face import Here, Shown, act, form

KIND_WORDS = {"camera": "Cameras", "box": "Boxes of paper", "developer": "Developers", "meter": "Meters"}

Name = Annotated[
    str | None, typer.Argument(metavar="NAME", help="Its name; without one, those there are.", show_default=False)
]


def words(text: str, metavar: str = "") -> Any:
    """An option whose value is said in words."""
    return typer.Option(help=text, metavar=metavar or None, show_default=False)


def register(app: typer.Typer) -> None:
    group = typer.Typer(rich_markup_mode=None, help="What you own: list it or describe more of it.")
    app.add_typer(group, name="own")
    act(group, "own", main=True)(everything)
    for kind, body in (("camera", camera), ("box", box), ("developer", developer), ("meter", meter)):
        act(group, kind)(body)


def everything(here: Here) -> Shown:
    """What you own: list it or describe more of it."""
    with here.reading() as reader:
        have = {kind: own.owned(reader, kind) for kind in own.KINDS}
    lines = []
    for kind, things in have.items():
        lines += [KIND_WORDS[kind] + ":" + ("" if things else f" none yet. Add one: firstsheet own {kind} …")]
        lines += [f"  {thing.name}: {described(thing)}" for thing in things]
    return Shown(have, lines)


def camera(
    here: Here,
    name: Name = None,
    focal: Annotated[str | None, words("Focal length: “600 mm”.")] = None,
    f_number: Annotated[str | None, words("Widest f-number: “f/8”.")] = None,
    pupil: Annotated[str | None, words("Exit pupil over entrance pupil, if known.")] = None,
    coverage: Annotated[str | None, words("Angle it covers: “60°”.")] = None,
    circle: Annotated[str | None, words("Or the circle it covers, far subject: “700 mm”.")] = None,
    stops: Annotated[str | None, words("Its stops: “8 11 16 22”.")] = None,
    board_min: Annotated[str | None, words("Nearest the board comes: “620 mm”.")] = None,
    board_max: Annotated[str | None, words("Furthest it goes: “1100 mm”.")] = None,
    length: Annotated[str | None, words("Room inside, lens wall to back wall.")] = None,
    width: Annotated[str | None, words("Room inside.")] = None,
    height: Annotated[str | None, words("Room inside.")] = None,
    shutter: Annotated[str | None, words("cap, flap or shutter.")] = None,
    speeds: Annotated[str | None, words("Its speeds, for a shutter: “1 1/2 1/4”.")] = None,
) -> Shown:
    """Describe a camera room: its lens, how far the board slides, how large it is inside."""
    return _one(
        here, "camera", name, focal=focal, f_number=f_number, pupil=pupil, coverage=coverage, circle=circle,
        stops=stops, board_min=board_min, board_max=board_max, length=length, width=width, height=height,
        shutter=shutter, speeds=speeds,
    )  # fmt: skip


def box(
    here: Here,
    name: Name = None,
    paper: Annotated[str | None, words("enlarging, graded, direct_positive or ra4.")] = None,
    size: Annotated[str | None, words("“12x16 in”.")] = None,
    sheets: Annotated[str | None, words("How many are in it.")] = None,
    cost: Annotated[str | None, words("What one sheet costs: “£4.50”.")] = None,
    opened: Annotated[str | None, words("“2026-05-03”.")] = None,
    iso_p: Annotated[str | None, words("ISO P on its label, if there is one.")] = None,
    ei: Annotated[str | None, words("Exposure index you have found yourself.")] = None,
    ei_sd: Annotated[str | None, words("How sure you are of it, in stops.")] = None,
    base: Annotated[str | None, words("rc or fibre.")] = None,
) -> Shown:
    """Describe a box of paper."""
    return _one(
        here, "box", name, paper=paper, size=size, sheets=sheets, cost=cost, opened=opened, iso_p=iso_p, ei=ei, ei_sd=ei_sd,
        base=base,
    )  # fmt: skip


def developer(
    here: Here, name: Name = None, kind: Annotated[str | None, words("paper, coffee or ra4.")] = None
) -> Shown:
    """Name a developer and say which kind it is."""
    return _one(here, "developer", name, kind=kind)


def meter(
    here: Here, name: Name = None, kind: Annotated[str | None, words("hand, lux, phone or sky.")] = None
) -> Shown:
    """Name a meter and say which kind it is."""
    return _one(here, "meter", name, kind=kind)


def _one(here: Here, thing_kind: str, name: str | None, /, **said: str | None) -> Shown:
    if name is None and not form(**said):
        with here.reading() as reader:
            have = own.owned(reader, thing_kind)
        none = f"No {thing_kind} yet. See: firstsheet own {thing_kind} --help"
        return Shown(have, [f"{thing.name}: {described(thing)}" for thing in have] or [none])
    with here.writing() as book:
        thing = own.ADD[thing_kind](book, form(name=name, **said))
    return Shown(thing, [f"{thing_kind.capitalize()} {thing.name}: {described(thing)}"])


def described(thing: own.Owned) -> str:
    """One line about a thing."""
    b = thing.body
    if thing.kind == "camera":
        lens = f"{wording.millimetres(b['focal_mm'])} {wording.f_number(b['f_number'])}"
        board = f"board {wording.millimetres(b['board_min_mm'])} to {wording.millimetres(b['board_max_mm'])}"
        return f"{lens}, {board}, {own.SHUTTERS[b['shutter']]}"
    if thing.kind == "box":
        speed = f", ISO P {b['iso_p']:g}" if b["iso_p"] else ""
        speed += f", your EI {b['ei']:g}" if b["ei"] else ""
        cost = f", {wording.money(b['cost'], b['currency'])} a sheet" if b["cost"] is not None else ""
        return f"{b['paper'].replace('_', ' ')}, {wording.sheet_size(b['width_mm'], b['height_mm'])}, {b['sheets']} sheets{cost}{speed}"
    return str(b["kind"])
