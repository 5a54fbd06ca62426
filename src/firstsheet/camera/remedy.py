"""What would make an impossible sitting possible: another chair, another head, another lens.

Every remedy, followed to the letter, is accepted: what is printed is rounded towards the side that works.
"""

from __future__ import annotations

import math

from firstsheet.camera import focus
from firstsheet.refusal import Refusal

BOARD_READ_MM = 0.5
"""A board is read to the millimetre: half of one past the end of the slide is still on it [mm]."""
SHORTEST_LENS_MM = 10
"""No shorter lens is ever advised [mm]."""


def for_subject(focal_mm: float, board_min_mm: float, board_max_mm: float, subject_mm: float) -> float:
    """Magnification of a sitter at `subject_mm` [mm]; Refusal where the board's slide [mm, mm] does not
    reach."""
    f, u = focal_mm, subject_mm
    if u <= f:
        raise Refusal.one(
            "subject", metres(u),
            f"Nearer than its focal length this {f:g} mm lens makes no picture at any board.",
            _or(_chair_further(f, board_min_mm, board_max_mm), _lens_shorter(board_max_mm, u)))
    v = focus.board_for_subject(f, u)
    needs = (f"A sitter at {metres(u)} needs the board at {metres(v, 2)} from this {f:g} mm lens; "
             "the room gives ")
    if v > board_max_mm + BOARD_READ_MM:
        raise Refusal.one("subject", metres(u), f"{needs}{metres(board_max_mm, 2)}.",
                          _or(_chair_further(f, board_min_mm, board_max_mm), _lens_shorter(board_max_mm, u)))
    if v < board_min_mm - BOARD_READ_MM:
        shortest = u * board_min_mm / (u + board_min_mm)
        furthest = chair_mm(_furthest_mm(f, board_min_mm), focus.subject_for_board(f, board_max_mm))
        raise Refusal.one("subject", metres(u), f"{needs}no less than {metres(board_min_mm, 2)}.",
                          _or(f"move the chair to {metres(furthest)} or nearer",
                              f"use a lens of {math.ceil(shortest - 1e-6):d} mm or longer"))
    return focus.magnification_at_board(f, v)


def for_head(focal_mm: float, board_min_mm: float, board_max_mm: float, head_mm: float) -> float:
    """Magnification of a head `head_mm` tall on the sheet [mm]; Refusal where the board's slide does not
    reach."""
    m = focus.magnification_for_head(head_mm)
    v = focus.board_at(focal_mm, m)
    needs = (f"A head {head_mm:.0f} mm tall needs the board at {metres(v, 2)} "
             f"from this {focal_mm:g} mm lens; the room gives ")
    if v > board_max_mm + BOARD_READ_MM:
        tallest = focus.HEAD_MM * (board_max_mm / focal_mm - 1)
        smaller = f"ask for a head of {math.floor(tallest + 1e-6):d} mm or less" if tallest >= 1 else ""
        raise Refusal.one("head", f"{head_mm:.0f} mm", f"{needs}{metres(board_max_mm, 2)}.",
                          _or(smaller, _whole_lens_shorter(board_max_mm / (1 + m))))
    if v < board_min_mm - BOARD_READ_MM:
        smallest = math.ceil(focus.HEAD_MM * (board_min_mm / focal_mm - 1) - 1e-6)
        raise Refusal.one("head", f"{head_mm:.0f} mm", f"{needs}no less than {metres(board_min_mm, 2)}.",
                          _or(f"ask for a head of {smallest:d} mm or more",
                              f"use a lens of {math.ceil(board_min_mm / (1 + m) - 1e-6):d} mm or longer"))
    return m


def for_board(focal_mm: float, board_min_mm: float, board_max_mm: float, board_mm: float) -> float:
    """Magnification with the board at `board_mm` [mm]; Refusal off the slide, or where only the horizon is
    sharp."""
    if not board_min_mm - BOARD_READ_MM <= board_mm <= board_max_mm + BOARD_READ_MM:
        nearest = min(max(board_mm, board_min_mm), board_max_mm)
        raise Refusal.one("board", f"{board_mm:g} mm",
                          f"The board slides from {board_min_mm:g} to {board_max_mm:g} mm from the lens.",
                          f"The nearest it goes is {nearest:g} mm.")
    if board_mm <= focal_mm:
        usable = board_max_mm > focal_mm
        raise Refusal.one("board", f"{board_mm:g} mm",
                          f"With this lens the horizon itself is sharp at {focal_mm:g} mm; "
                          "a sitter needs more.",
                          f"Move the board to between {focal_mm:g} and {board_max_mm:g} mm." if usable else
                          f"Use a lens shorter than {board_mm:g} mm.")
    return focus.magnification_at_board(focal_mm, board_mm)


def _furthest_mm(focal_mm: float, board_min_mm: float) -> float:
    """The furthest sitter of this slide [mm]; the horizon where the board comes near enough for it."""
    return focus.subject_for_board(focal_mm, max(board_min_mm, focal_mm))


def _chair_further(focal_mm: float, board_min_mm: float, board_max_mm: float) -> str:
    """The closest sitter of this slide, or nothing where even the horizon is out of reach."""
    if board_max_mm <= focal_mm:
        return ""
    closest = chair_mm(focus.subject_for_board(focal_mm, board_max_mm), _furthest_mm(focal_mm, board_min_mm))
    return f"move the chair to {metres(closest)} or further"


def _lens_shorter(board_max_mm: float, subject_mm: float) -> str:
    """The longest lens that works, to the nearest millimetre where that still reaches the slide, else one
    less."""
    longest_mm = subject_mm * board_max_mm / (subject_mm + board_max_mm)
    f = round(longest_mm)
    if f >= subject_mm or focus.board_for_subject(f, subject_mm) > board_max_mm + BOARD_READ_MM:
        f = math.floor(longest_mm)
    return _whole_lens_shorter(f)


def _whole_lens_shorter(longest_mm: float) -> str:
    f = math.floor(longest_mm + 1e-6)
    return f"use a lens of {f:d} mm or shorter" if f >= SHORTEST_LENS_MM else ""


def _or(*ways: str) -> str:
    text = ", or ".join(way for way in ways if way)
    return text[0].upper() + text[1:] + "." if text else "No chair and no lens would do in this room."


def chair_mm(exact_mm: float, other_end_mm: float) -> float:
    """A chair's limit rounded towards the other end of where a chair may stand [mm].

    To a whole centimetre, or to a millimetre where the room for chairs is narrower than that.
    """
    further = other_end_mm > exact_mm
    for step in (10.0, 1.0):
        # a float's last digit is not a centimetre
        steps = exact_mm / step
        rounded = step * (math.ceil(steps - 1e-6) if further else math.floor(steps + 1e-6))
        if (rounded <= other_end_mm) is further:
            return rounded
    return exact_mm


def metres(mm: float, places: int | None = None) -> str:
    """A distance as a person says it: “4.0 m”, “1.33 m”; three places only for whole millimetres."""
    if places is None:
        places = next((n for n in (1, 2, 3) if abs(mm - round(mm / 1000, n) * 1000) < 1e-6), 2)
    return f"{mm / 1000:.{places}f} m"
