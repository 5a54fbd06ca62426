"""This lens in this room with this sheet: where the chair and the board go, and what the sheet will see.

Board distances are from the lens's rear principal plane and subject distances, to the eyes, from its front
one; in a symmetrical lens both are near the middle of the barrel (see `focus` for how much that is worth).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from firstsheet.camera import coverage, focus, remedy
from firstsheet.camera.lens import Lens, within
from firstsheet.refusal import Problems, Refusal
from firstsheet.wording import f_number


@dataclass(frozen=True, slots=True)
class Room:
    """A room that is a camera.

    board_min_mm, board_max_mm   how near and how far from the lens the board slides, from the rear principal
    plane [mm] length_mm                    inside, from the lens's wall to the one opposite [mm]
    width_mm, height_mm          inside [mm]
    """

    board_min_mm: float
    board_max_mm: float
    length_mm: float
    width_mm: float
    height_mm: float

    def __post_init__(self) -> None:
        p = Problems()
        sizes = ("board_min_mm", "board_max_mm", "length_mm", "width_mm", "height_mm")
        sound = [within(p, size, getattr(self, size), 10, 100_000, "A length from 10 mm to 100 m.",
                        "Measure it inside the room, in millimetres.") for size in sizes]
        if sound[0] and sound[1] and self.board_min_mm > self.board_max_mm:
            p.add("board_min_mm", self.board_min_mm, f"No more than the furthest, {self.board_max_mm:g} mm.",
                  "Exchange the two if they are the wrong way round.")
        if sound[1] and sound[2] and self.board_max_mm > self.length_mm:
            p.add("board_max_mm", self.board_max_mm, f"The room is {self.length_mm:g} mm long inside.",
                  "Measure from the lens to the board at its furthest.")
        p.raise_if_any()


@dataclass(frozen=True, slots=True)
class RoomAnswer:
    """What this lens does in this room. Lengths in mm; None is unknown, or for `far_mm` as far as one can
    see.

    aperture is the f-number set, effective_f_number the one the sheet sees, extension_stops what lies
    between them. field_mm is what the sheet takes in at the eyes. corner_falloff_stops is negative where
    darker than the centre. near_mm and far_mm are how far before and behind the eyes is still sharp.
    depth_of_focus_mm is how far board and paper may be off either way. The *_source fields say where the
    figures come from.
    """

    board_mm: float
    subject_mm: float
    magnification: float
    head_mm: float
    head_sd_mm: float
    aperture: float
    effective_f_number: float
    extension_stops: float
    field_mm: tuple[float, float]
    circle_mm: float | None
    sheet_diagonal_mm: float
    covered: bool | None
    corner_falloff_stops: float
    near_mm: float
    far_mm: float | None
    ears_sharp: bool
    depth_of_focus_mm: float
    airy_mm: float
    notes: tuple[str, ...]
    focus_source: str
    head_source: str
    depth_source: str
    coverage_source: str


FOCUS_SOURCE = ("Thin lens; board from the rear principal plane, subject from the front one; "
                "extension (1 + m/p)² [SS0512].")
HEAD_SOURCE = (f"An adult head is {focus.HEAD_MM:.0f} mm chin to crown, 9 of 10 within 20 mm; "
               "common practice, no source.")
COVERAGE_SOURCE = ("Geometry: cos⁴ at the exit pupil. "
                   "The barrel's own shading, worst wide open, comes on top.")
BARREL_SOURCE = "Geometry: cos⁴ at the exit pupil, and the pupil seen through the barrel's two rims as they were measured."


def look(lens: Lens, room: Room, sheet_mm: tuple[float, float], *, subject_mm: float | None = None,
         head_mm: float | None = None, board_mm: float | None = None, aperture: float | None = None,
         confusion_mm: float = focus.CONFUSION_MM) -> RoomAnswer:
    """What the sheet sees, from exactly one of the chair's distance, the head's height on the sheet, the
    board.

    sheet_mm      width and height of the sheet as it hangs [mm]
    subject_mm    the sitter's eyes from the front principal plane [mm]
    head_mm       chin to crown on the sheet [mm]
    board_mm      from the rear principal plane [mm]
    aperture      f-number to set; None is the widest
    confusion_mm  largest blur on the sheet that passes for sharp [mm]

    Raises Refusal with every problem, each with what would make it possible.
    """
    p = Problems()
    _check_sheet(p, room, sheet_mm)
    within(p, "confusion_mm", confusion_mm, 0.01, 20, "A blur from 0.01 to 20 mm.",
           "0.5 mm for a large sheet at arm's length, 0.2 mm for a small one in the hand.")
    n = lens.f_number
    try:
        n = lens.set_to(aperture)
    except Refusal as refusal:
        p.found.extend(refusal.problems)
    m = _magnification(p, lens, room, subject_mm, head_mm, board_mm)
    p.raise_if_any()
    return _answer(lens, sheet_mm, m, n, confusion_mm)


def _check_sheet(p: Problems, room: Room, sheet_mm: tuple[float, float]) -> None:
    for side, size, most in (("width", sheet_mm[0], room.width_mm), ("height", sheet_mm[1], room.height_mm)):
        within(p, f"sheet.{side}", size, 1, most, f"The room is {most:g} mm in {side}.",
               "Use a smaller sheet, or turn it." if size > most else "Give width and height in millimetres.")


def _magnification(p: Problems, lens: Lens, room: Room, subject_mm: float | None, head_mm: float | None,
                   board_mm: float | None) -> float:
    """The magnification asked for; 0 with the problem noted where there is none."""
    given = {"subject": subject_mm, "head": head_mm, "board": board_mm}
    asked = {where: value for where, value in given.items() if value is not None}
    if len(asked) != 1:
        p.add("distance", ", ".join(asked) or "nothing", "Exactly one of subject, head and board.",
              "Two of them would contradict each other; the other two follow from one.")
        return 0.0
    where, value = next(iter(asked.items()))
    if not math.isfinite(value) or value <= 0:
        p.add(where, value, "A length above zero.", "Give it in millimetres.")
        return 0.0
    try:
        if where == "subject":
            return remedy.for_subject(lens.focal_mm, room.board_min_mm, room.board_max_mm, value)
        if where == "head":
            return remedy.for_head(lens.focal_mm, room.board_min_mm, room.board_max_mm, value)
        return remedy.for_board(lens.focal_mm, room.board_min_mm, room.board_max_mm, value)
    except Refusal as refusal:
        p.found.extend(refusal.problems)
        return 0.0


def _answer(lens: Lens, sheet_mm: tuple[float, float], m: float, n: float, confusion_mm: float) -> RoomAnswer:
    n_eff = focus.effective_f_number(n, m, lens.pupil)
    near, far = focus.depth_mm(lens.focal_mm, n, m, confusion_mm, lens.pupil)
    answer = RoomAnswer(
        board_mm=focus.board_at(lens.focal_mm, m),
        subject_mm=focus.subject_at(lens.focal_mm, m),
        magnification=m,
        head_mm=focus.HEAD_MM * m,
        head_sd_mm=focus.HEAD_SD_MM * m,
        aperture=n,
        effective_f_number=n_eff,
        extension_stops=focus.extension_stops(m, lens.pupil),
        field_mm=(sheet_mm[0] / m, sheet_mm[1] / m),
        circle_mm=coverage.circle_mm(lens, m),
        sheet_diagonal_mm=coverage.sheet_diagonal_mm(sheet_mm),
        covered=coverage.covers(lens, m, sheet_mm),
        corner_falloff_stops=coverage.corner_shade_stops(lens, m, sheet_mm, n),
        near_mm=near,
        far_mm=far if math.isfinite(far) else None,
        ears_sharp=far >= focus.EARS_BEHIND_MM,
        depth_of_focus_mm=focus.depth_of_focus_mm(n_eff, confusion_mm),
        airy_mm=focus.airy_mm(n_eff),
        notes=(),
        focus_source=FOCUS_SOURCE,
        head_source=HEAD_SOURCE,
        depth_source=f"Thin lens with pupils, blur of {confusion_mm:g} mm on the sheet [WALREE-DOF].",
        coverage_source=COVERAGE_SOURCE if lens.barrel is None else BARREL_SOURCE,
    )
    return replace(answer, notes=_notes(lens, answer, sheet_mm, confusion_mm))


def _notes(lens: Lens, a: RoomAnswer, sheet_mm: tuple[float, float], confusion_mm: float) -> tuple[str, ...]:
    """What a person should hear besides the figures, as plain sentences."""
    said = []
    if a.covered is None:
        said.append("Nobody has said what circle this lens covers: look at the corners of the board.")
    elif not a.covered and a.circle_mm is not None:
        said.append(f"The corners are dark: the circle is {a.circle_mm:.0f} mm and this sheet needs "
                    f"{a.sheet_diagonal_mm:.0f} mm.")
    if a.corner_falloff_stops <= -0.25:
        if a.corner_falloff_stops < -20:
            said.append("No light reaches the corners: the barrel is in the way.")
        else:
            less = f"The corners get {-a.corner_falloff_stops:.1f} stop less than the centre"
            said.append(f"{less}, before the barrel's own shading." if lens.barrel is None else
                        f"{less}, the barrel's shading in it.")
    if not a.ears_sharp:
        said.append(_ears(lens, a, confusion_mm))
    if a.head_mm > sheet_mm[1]:
        said.append(f"The head is {a.head_mm:.0f} mm tall and the sheet {sheet_mm[1]:.0f} mm: "
                    "it will be cut.")
    if a.airy_mm > confusion_mm:
        said.append(f"Stopped down this far, diffraction alone blurs every point to {a.airy_mm:.1f} mm.")
    return tuple(said)


def _ears(lens: Lens, a: RoomAnswer, confusion_mm: float) -> str:
    soft = f"The ears, {focus.EARS_BEHIND_MM:.0f} mm behind the eyes, are soft"
    wanted = focus.f_number_to_reach(focus.EARS_BEHIND_MM, lens.focal_mm, a.magnification, confusion_mm,
                                     lens.pupil)
    holding = [n for n in lens.stops if n >= wanted]
    return f"{soft}; {f_number(min(holding))} holds them." if holding else f"{soft}."
