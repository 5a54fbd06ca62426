"""The camera room: board, head size, field, coverage, depth; and its drawing to scale."""

from __future__ import annotations

from typing import TYPE_CHECKING

from firstsheet import quantities as q
from firstsheet.acts import own
from firstsheet.acts.door import Door, Form
from firstsheet.camera.room import RoomAnswer, look

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader


def room(reader: Reader, form: Form | None = None) -> RoomAnswer:
    """What this lens does in this room. Fields: camera, size or box, one of subject, head, board; aperture, confusion.

    With no distance said, the sitter of the sheet being planned; with no size, the box chosen for today.
    """
    camera, sheet_mm, asked = _asked(reader, form)
    return look(own.lens_of(camera.body), own.room_of(camera.body), sheet_mm, **asked)


def drawing(reader: Reader, form: Form | None = None) -> str:
    """The section of the room to scale, with rays and the upside-down picture, as SVG."""
    from firstsheet.drawing.room_section import room_section

    camera, sheet_mm, asked = _asked(reader, form)
    lens, space = own.lens_of(camera.body), own.room_of(camera.body)
    return room_section(lens, space, look(lens, space, sheet_mm, **asked), sheet_mm)


def _asked(reader: Reader, form: Form | None) -> tuple[own.Owned, tuple[float, float], dict[str, float]]:
    today = reader.get_setting("today") or {}
    phrase = reader.get_setting("phrase") or {}
    d = Door(form)
    name = d.name("camera")
    camera = box = None
    with d.problems.at("camera"):
        camera = own.one(reader, "camera", name or today.get("camera"))
    size = d.read("size", q.sheet_size_mm)
    box_name = d.name("box")
    if size is None and d.said("size") is None:
        with d.problems.at("size"):
            box = own.one(reader, "box", box_name or today.get("box"))
            size = (box.body["width_mm"], box.body["height_mm"])
    asked: dict[str, float] = {}
    for key in ("subject", "head", "board", "confusion"):
        value = d.read(key, q.length_mm)
        if value is not None:
            asked[f"{key}_mm"] = value
    aperture = d.read("aperture", q.f_number)
    if not {"subject_mm", "head_mm", "board_mm"} & set(asked):
        for key in ("subject", "head"):
            if phrase.get(key):
                asked[f"{key}_mm"] = phrase[key]
                break
        else:
            d.problems.add("subject", "", "A distance, a head size on the sheet, or a board distance.", "Try “3 m”.")
    d.close()
    if aperture is None:
        aperture = phrase.get("aperture") or None
    if aperture is not None:
        asked["aperture"] = aperture
    assert camera is not None
    assert size is not None
    return camera, size, asked
