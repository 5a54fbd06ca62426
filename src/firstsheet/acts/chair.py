"""The plan with a chair that can be moved: every place it may stand and where the board then goes, reckoned beforehand."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from firstsheet import wording
from firstsheet.acts import own, room_drawn, wish
from firstsheet.acts import room as rooms
from firstsheet.acts.distances import camera_and_sheet
from firstsheet.acts.door import Door, Form
from firstsheet.camera import focus, remedy
from firstsheet.drawing.room_plan import Moved, chair_plan

if TYPE_CHECKING:
    from firstsheet.acts.found import Found
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book
    from firstsheet.camera.lens import Lens
    from firstsheet.camera.room import Room

STEPS_MM = (50.0, 100.0, 200.0, 500.0, 1000.0)
MOST = 100  # places a chair may be moved to
BEYOND = 1.6  # times the chair's distance that the drawing reaches, and at least so many times the nearest
LEAST_BEYOND = 2.4


@dataclass(frozen=True, slots=True)
class Chair:
    """The section, the plan with the chair in it, how far down its axis is [% of its height], and the places: what is drawn where, and said.

    `at` is the place it stands at.
    """

    section: str
    plan: str
    axis: str
    places: tuple[dict[str, Any], ...]
    at: int


def on_page(reader: Reader, form: Form | None = None) -> tuple[Found, Chair]:
    """The drawings for the page. Fields: those of `room_drawn.drawn`. What would be kept is where the chair stands, if nobody said that yet."""
    found, _ = room_drawn.drawn(reader, form)
    asked = {k: v for k, v in dict(form or {}).items() if k != "scale"}
    answer, section = rooms.room(reader, asked), rooms.drawing(reader, asked)
    camera, size = camera_and_sheet(reader, Door({k: v for k, v in asked.items() if k in ("camera", "size", "box")}))
    assert camera is not None
    assert size is not None
    lens, space = own.lens_of(camera.body), own.room_of(camera.body)
    reach = _reach_mm(lens, space, answer.subject_mm)
    stands = _places_mm(lens, space, answer.subject_mm, reach)
    plan, moved = chair_plan(lens, space, answer, size, (reach, tuple(stands)))
    places = tuple(_place(lens, u, m) for u, m in zip(stands, moved, strict=True))
    said = (reader.get_setting("phrase") or {}).get("subject")
    keeps = {} if said is not None and abs(said - answer.subject_mm) < 1 else {"subject": _field(answer.subject_mm)}
    return replace(found, drawing="", keeps=keeps), Chair(section, plan, _axis(plan), places, stands.index(answer.subject_mm))


def keep(book: Book, form: Form | None = None) -> Found:
    """Say for the sheet being planned that the chair stands there."""
    found, _ = on_page(book, form)
    if found.keeps:
        wish.say(book, found.keeps)
    return replace(found, kept=True)


def _reach_mm(lens: Lens, room: Room, subject_mm: float) -> float:
    """How far out the drawing reaches [mm]."""
    nearest = _nearest_mm(lens, room)
    return max(subject_mm * BEYOND, nearest * LEAST_BEYOND if math.isfinite(nearest) else 0.0)


def _nearest_mm(lens: Lens, room: Room) -> float:
    """The nearest sitter that the board's slide reaches [mm]; inf where it goes no further back than the focal length."""
    return focus.subject_for_board(lens.focal_mm, room.board_max_mm) if room.board_max_mm > lens.focal_mm else math.inf


def _places_mm(lens: Lens, room: Room, subject_mm: float, reach_mm: float) -> list[float]:
    """Where the chair may stand, near to far, at round distances that the board reaches and the drawing shows; and where it stands now."""
    f = lens.focal_mm
    near = _nearest_mm(lens, room)
    if math.isinf(near):
        return [subject_mm]
    far = focus.subject_for_board(f, room.board_min_mm) if room.board_min_mm > f else math.inf
    low, high = near, min(far, reach_mm)
    step = next((s for s in STEPS_MM if (high - low) / s <= MOST), STEPS_MM[-1])
    first = math.ceil(low / step - 1e-9)
    count = min(max(0, math.floor(high / step + 1e-9) - first + 1), MOST + 1)
    return sorted({subject_mm, *((first + i) * step for i in range(count))})


def _axis(plan: str) -> str:
    found = re.search(r'data-axis="([\d.]+)"', plan)
    assert found
    return found[1]


def _place(lens: Lens, subject_mm: float, moved: Moved) -> dict[str, Any]:
    v = focus.board_for_subject(lens.focal_mm, subject_mm)
    head = focus.HEAD_MM * focus.magnification_at_board(lens.focal_mm, v)
    said = f"Chair {remedy.metres(subject_mm, 2)}: board {wording.millimetres(v)}, a head {wording.length(head)} tall."
    return {"subject_mm": round(subject_mm, 1), "board_mm": round(v, 1), "field": _field(subject_mm), "said": said, "board_said": wording.millimetres(v), "subject_said": remedy.metres(subject_mm, 2),
            "left": moved.left, "chair": moved.chair, "board": moved.board}  # fmt: skip


def _field(subject_mm: float) -> str:
    return f"{subject_mm / 1000:.3f}".rstrip("0").rstrip(".") + " m"
