"""Any two of lens, board, chair and size on the sheet give the others; marks on the floor and on the board's slide.

Thin lens, distances from its principal planes (see `focus`). [SS0512]
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from firstsheet.camera import focus
from firstsheet.refusal import Refusal

NAMES = {"focal": "the lens", "board": "the board", "subject": "the chair", "magnification": "the size on the sheet"}
LABEL_GAP_MM = 7.0  # labels of a ruler stand no closer
TICK_GAP_MM = 1.6
STEPS_MM = (10_000, 5_000, 2_000, 1_000, 500, 200, 100, 50, 20, 10)  # the rounder a distance, the sooner it gets its label
FURTHEST_MARK_MM = 100_000


@dataclass(frozen=True, slots=True)
class Solved:
    """Focal length, board behind and sitter before the lens [mm], and image ÷ subject."""

    focal_mm: float
    board_mm: float
    subject_mm: float
    magnification: float


def solve(given: dict[str, float]) -> Solved:
    """All four from exactly two of focal, board, subject [mm] and magnification. Raises Refusal where no lens does it."""
    if len(given) != 2:
        said = " and ".join(NAMES[k] for k in given) or "nothing"
        raise Refusal.one("", said, "Exactly two of: " + ", ".join(NAMES.values()) + ".", "Leave out or add one.")
    for key, value in given.items():
        if not (math.isfinite(value) and value > 0):
            raise Refusal.one(key, f"{value:g}", "A number above nothing.", "Leave it out if it is not known.")
    f, v, u, m = (given.get(k) for k in NAMES)
    if f is not None:
        if v is not None:
            if v <= f:
                raise Refusal.one("board", f"{v:g} mm", f"Further than the focal length, {f:g} mm.", "At it only the far horizon is sharp.")
            m = v / f - 1
        elif u is not None:
            if u <= f:
                raise Refusal.one("subject", f"{u:g} mm", f"Further than the focal length, {f:g} mm.", "Nearer there is no picture at any board.")
            m = f / (u - f)
    elif v is not None and u is not None:
        m = v / u
        f = u * v / (u + v)
    elif m is not None:
        f = v / (1 + m) if v is not None else float(u or 0) * m / (1 + m)
    assert f is not None
    assert m is not None
    return Solved(f, focus.board_at(f, m), focus.subject_at(f, m), m)


def deeper_mm(board_mm: float, board_max_mm: float) -> float:
    """How much further back the board would have to go than it can [mm]; 0 where it reaches."""
    return max(0.0, board_mm - board_max_mm)


def tilt_deg(effective_n: float, confusion_mm: float, across_mm: float) -> float:
    """How far the board may turn about its middle before an edge leaves the depth of focus [degree]: tan = N_eff·c ÷ half."""
    return math.degrees(math.atan2(focus.depth_of_focus_mm(effective_n, confusion_mm), across_mm / 2))


def board_mark(focal_mm: float, floor_mm: float, floor_zero_mm: float = 0.0, board_zero_mm: float = 0.0) -> float:
    """What the board's scale reads [mm] for a chair at `floor_mm` on the floor's scale [mm].

    floor_zero_mm, board_zero_mm   how far each scale's zero lies from the lens's middle, outwards and inwards [mm]
    """
    return focus.board_for_subject(focal_mm, floor_mm + floor_zero_mm) - board_zero_mm


def floor_mark(focal_mm: float, board_mm: float, floor_zero_mm: float = 0.0, board_zero_mm: float = 0.0) -> float:
    """The inverse [mm]; inf where the horizon is sharp."""
    return focus.subject_for_board(focal_mm, board_mm + board_zero_mm) - floor_zero_mm


@dataclass(frozen=True, slots=True)
class Tick:
    """One line of the ruler: where it lies behind the lens, for which sitter [mm]; inf is the horizon."""

    board_mm: float
    subject_mm: float
    labelled: bool


def ticks(focal_mm: float, low_mm: float, high_mm: float) -> list[Tick]:
    """The board's ruler from `low_mm` to `high_mm` behind the lens: round distances, labels no closer than 7 mm, nearest the lens first."""
    made = [Tick(focal_mm, math.inf, True)] if low_mm <= focal_mm <= high_mm else []
    if high_mm <= focal_mm:
        return made
    near = focus.subject_for_board(focal_mm, high_mm)
    far = min(focus.subject_for_board(focal_mm, max(low_mm, focal_mm)), FURTHEST_MARK_MM)
    for labelled in (True, False):
        for step in STEPS_MM:
            for k in range(math.ceil(near / step - 1e-9), math.floor(far / step + 1e-9) + 1):
                at = focus.board_for_subject(focal_mm, float(k * step))
                gap = LABEL_GAP_MM if labelled else TICK_GAP_MM
                if all(abs(t.board_mm - at) >= gap for t in made):
                    made.append(Tick(at, float(k * step), labelled))
    return sorted(made, key=lambda t: t.board_mm)
