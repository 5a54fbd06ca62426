"""The room in section and plan, to scale: on the page, and on paper at a chosen scale."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from firstsheet.acts import own
from firstsheet.acts import room as rooms
from firstsheet.acts.distances import camera_and_sheet
from firstsheet.acts.door import Door, Form
from firstsheet.acts.found import Figure, Found
from firstsheet.camera import remedy
from firstsheet.drawing.room_plan import printed, room_plan
from firstsheet.refusal import Problems, Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader

ASSUMED = "Trays and way out are drawn where they do well; the book does not know where yours are. The way out opens outward at one push."


def drawn(reader: Reader, form: Form | None = None) -> tuple[Found, str]:
    """What the drawings show with both in it, and the page that prints them. Fields: those of the room, aperture, scale (“1:20”)."""
    form = dict(form or {})
    scale: float | None = None
    p = Problems()
    with p.at("scale"):
        scale = _scale(str(form.pop("scale", "") or ""))
    asked = {k: v for k, v in form.items() if k in ("camera", "size", "box")}
    answer = section = None
    with p.at(""):
        answer, section = rooms.room(reader, form), rooms.drawing(reader, form)
    p.raise_if_any()
    assert answer is not None
    assert section is not None
    camera, size = camera_and_sheet(reader, Door(asked))
    assert camera is not None
    assert size is not None
    lens, space = own.lens_of(camera.body), own.room_of(camera.body)
    plan = room_plan(lens, space, answer, size)
    page, at = printed((section, plan), scale, f"{camera.name}: section and plan")
    first = f"Board {answer.board_mm:.0f} mm, sitter {remedy.metres(answer.subject_mm, 2)}: section and plan, on paper at 1:{at:g}."
    figures = (Figure("scale", "On paper", f"1:{at:g}", at, "1"), Figure("board_mm", "Board to lens", f"{answer.board_mm:.0f} mm", answer.board_mm),
               Figure("subject_mm", "Sitter’s eyes to lens", remedy.metres(answer.subject_mm, 2), answer.subject_mm))  # fmt: skip
    return Found("drawing", first, figures, notes=(ASSUMED,), drawing=section + plan), page


def _scale(said: str) -> float | None:
    """“1:20” or “20”: how many times smaller; None where nothing was said."""
    if not said.strip():
        return None
    found = re.fullmatch(r"(?:1\s*[:/]\s*)?(\d{1,4}(?:\.\d)?)", said.strip())
    if not found or not 1 <= float(found[1]) <= 1000:
        raise Refusal.one("", said, "A scale from 1:1 to 1:1000.", "Try “1:20”.")
    return float(found[1])
