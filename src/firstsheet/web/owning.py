"""The forms for what a person owns, and the first pages of a new book. Examples are shown, never filled in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from firstsheet import tables
from firstsheet.acts.own import SHUTTERS, Owned
from firstsheet.web.saying import thing_words


@dataclass(frozen=True, slots=True)
class Field:
    """One field: its label, an example, words under it, options where it is one of several."""

    key: str
    label: str
    example: str = ""
    help: str = ""
    mode: str = "text"
    options: tuple[tuple[str, str], ...] = ()
    folded: bool = False
    half: bool = False


@dataclass(frozen=True, slots=True)
class OwnForm:
    kind: str
    title: str
    words: str
    fields: tuple[Field, ...]
    done: str


def _table(name: str) -> tuple[tuple[str, str], ...]:
    return tuple((k, str(v["words"])) for k, v in tables.load(name).items() if isinstance(v, dict))


def forms() -> dict[str, OwnForm]:
    """All four, by kind."""
    return {
        "camera": OwnForm("camera", "The camera", "The room that you stand in and the lens in its wall. Write any unit: mm, cm, m, in, ft.", (
            Field("name", "What do you call it?", "boathouse"),
            Field("focal", "Focal length", "600 mm", half=True),
            Field("f_number", "Widest stop", "f/8", half=True),
            Field("board_min", "Board to lens, nearest", "620 mm", half=True),
            Field("board_max", "Board to lens, furthest", "1100 mm", half=True),
            Field("length", "The room inside, from the lens’s wall to the one behind you", "2.4 m"),
            Field("width", "Width", "2 m", half=True),
            Field("height", "Height", "2.1 m", half=True),
            Field("shutter", "How is it opened and shut?", options=tuple(SHUTTERS.items())),
            Field("stops", "Other stops it has", "f/11 f/16 f/22", folded=True),
            Field("coverage", "Angle it covers", "60°", folded=True, half=True),
            Field("circle", "or circle, focused far", "500 mm", folded=True, half=True),
            Field("pupil", "Pupil magnification", "1", "1 for an ordinary lens.", "decimal", folded=True),
            Field("speeds", "Speeds of the shutter", "1/2 s, 1 s, 2 s", folded=True),
        ), "Keep this camera"),
        "box": OwnForm("box", "A box of paper", "One box, as it stands before you. Its speed is a guess until its sheets are judged.", (
            Field("name", "What do you call it?", "D", "A letter on the lid is enough."),
            Field("paper", "What is it?", options=_table("papers")),
            Field("size", "Width and height of a sheet", "12x16 in", half=True),
            Field("sheets", "Sheets in it", "25", mode="numeric", half=True),
            Field("cost", "What one sheet costs", "4.20 EUR", folded=True),
            Field("base", "Base", options=(("rc", "resin-coated"), ("fibre", "fibre")), folded=True),
            Field("iso_p", "ISO speed P on the label", "500", mode="decimal", folded=True),
            Field("ei", "Exposure index you found yourself", "3", mode="decimal", folded=True, half=True),
            Field("ei_sd", "give or take, in stops", "0.3", mode="decimal", folded=True, half=True),
            Field("opened", "Opened on", "2026-05-03", folded=True),
        ), "Keep this box"),
        "developer": OwnForm("developer", "The developer", "What the first tray holds.", (
            Field("name", "What do you call it?", "coffee"),
            Field("kind", "Which kind is it?", options=_table("developers")),
        ), "Keep this developer"),
        "meter": OwnForm("meter", "Your meter", "Any meter will do; what it reads high or low is learned. Without one, a photo or the look of the sky serves.", (
            Field("name", "What do you call it?", "my meter"),
            Field("kind", "Which kind is it?", options=_table("meters")),
        ), "Keep this meter"),
    }  # fmt: skip


def listed(things: dict[str, list[Owned]]) -> list[dict[str, Any]]:
    """Everything owned, kind by kind."""
    titles = {"camera": "Cameras", "box": "Boxes of paper", "developer": "Developers", "meter": "Meters"}
    return [
        {
            "kind": kind,
            "title": titles[kind],
            "things": [{"name": t.name, "words": thing_words(t)} for t in things[kind]],
        }
        for kind in titles
    ]


def first_missing(things: dict[str, list[Owned]]) -> str | None:
    """What a new book asks for next: the camera, then a box, then the developer."""
    return next((kind for kind in ("camera", "box", "developer") if not things[kind]), None)
