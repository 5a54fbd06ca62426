"""A lens measured with a tape, a rule and the board: what it is, with the doubt of each way.

Every doubt is one standard deviation. A tape reads to about 2 mm and a picture on the board to about 0.5 mm (common
practice, no source); where in the barrel the lens "is" stays unknown to about a fiftieth of its focal length (from
memory, see `focus`), which spoils the far window and not the two sizes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from firstsheet.refusal import Problems, Refusal

TAPE_SD_MM = 2.0
PICTURE_SD_MM = 0.5
PLANE_SHARE = 0.02
PUPIL_SD_MM = 0.5
EYE_NM = 555.0
"""Where the eye, focusing on the board, sees best [nm]."""
BLUE_NM = (420.0, 450.0, 480.0)
"""What paper that sees only blue sees most of: shortest, middle, longest [nm]; common practice, no source."""
_F_NM, _C_NM = 486.13, 656.27  # the lines between which Abbe's number is stated
PINHOLE_K = (1.414, 1.562, 1.9, 2.0)
"""Published factors of the best pinhole, d = k·√(λ·f): geometric, in use, after Rayleigh, quarter-wave; a third apart."""


@dataclass(frozen=True, slots=True)
class Measured:
    """A measured length and its standard deviation [mm]; `apart` says that the lens's own planes did not spoil it."""

    mm: float
    sd_mm: float
    how: str


def focal_from_window(board_mm: float, window_mm: float = math.inf) -> Measured:
    """Focal length from the picture of a far window on a card `board_mm` behind the middle of the lens [mm].

    window_mm is the window's distance from the lens; f = uv/(u + v). Left out, it is taken as far away, which makes f too
    long by v²/u: 6 mm for a 600 mm lens at 60 m.
    """
    p = Problems()
    _positive(p, "card", board_mm)
    if math.isfinite(window_mm):
        _positive(p, "window", window_mm)
    p.raise_if_any()
    f = board_mm if math.isinf(window_mm) else board_mm * window_mm / (board_mm + window_mm)
    if window_mm < 3 * board_mm:
        raise Refusal.one("window", f"{window_mm:g} mm", f"At least three times as far as the card, {3 * board_mm:g} mm.",
                          "Take a window across the yard, or measure by two sizes of one thing.")
    return Measured(f, math.hypot(TAPE_SD_MM, PLANE_SHARE * f), "a far window on a card")


def focal_from_two(thing_mm: float, first_mm: float, second_mm: float, travel_mm: float) -> Measured:
    """Focal length from two sizes of one thing on the board and the board's travel between them: f = travel ÷ (m₂ − m₁).

    The thing is moved and focused again; only the board's travel is measured, so the lens's own planes fall out. [mm]
    """
    p = Problems()
    for where, value in (("thing", thing_mm), ("first", first_mm), ("second", second_mm), ("travel", travel_mm)):
        _positive(p, where, value)
    p.raise_if_any()
    grown = abs(second_mm - first_mm)
    if grown < 4 * PICTURE_SD_MM:
        raise Refusal.one("second", f"{second_mm:g} mm", f"At least {4 * PICTURE_SD_MM:g} mm larger or smaller than the first.",
                          "Bring the thing much nearer for the second picture.")
    f = travel_mm * thing_mm / grown
    share = math.hypot(math.sqrt(2) * TAPE_SD_MM / travel_mm, math.sqrt(2) * PICTURE_SD_MM / grown)
    return Measured(f, f * share, "two sizes of one thing on the board")


def f_number_of(focal_mm: float, entrance_mm: float, focal_sd_mm: float = 0.0) -> tuple[float, float]:
    """True f-number, focal length over the pupil's width seen from the front [mm], and its doubt [stop]."""
    p = Problems()
    _positive(p, "front", entrance_mm)
    p.raise_if_any()
    share = math.hypot(PUPIL_SD_MM / entrance_mm, focal_sd_mm / focal_mm)
    return focal_mm / entrance_mm, 2 * share / math.log(2)


def hole_scale(focal_mm: float, widest: float, widest_hole_mm: float | None) -> float:
    """Seen width over real width of a hole where the discs go: 1 before a single glass; more between glasses."""
    return 1.0 if widest_hole_mm is None else focal_mm / widest / widest_hole_mm


def disc_f_number(focal_mm: float, hole_mm: float, scale: float = 1.0) -> float:
    """f-number of a home-made disc with a hole `hole_mm` wide [mm]."""
    return focal_mm / (hole_mm * scale)


def disc_hole_mm(focal_mm: float, f_number: float, scale: float = 1.0) -> float:
    """The inverse: how wide the hole must be for f/`f_number` [mm]."""
    return focal_mm / (f_number * scale)


def blue_share(abbe: float, blue_nm: float = BLUE_NM[1], eye_nm: float = EYE_NM) -> float:
    """By what share a single glass's focal length is shorter for blue than for the eye, from its Abbe number.

    Between the two lines of Abbe's number the focal length changes by 1/V; elsewhere as 1/λ² (Cauchy's law, from memory):
    the bend beyond it in the blue is left out, a tenth of the answer.
    """
    if not 15 <= abbe <= 100:
        raise Refusal.one("abbe", f"{abbe:g}", "An Abbe number from 15 to 100.",
                          "58 for spectacle crown or plastic, 36 for dense glass, 30 for the unbreakable plastic.")
    return (blue_nm**-2 - eye_nm**-2) / (_F_NM**-2 - _C_NM**-2) / abbe


def best_pinhole_mm(board_mm: float, subject_mm: float, k: float, wavelength_nm: float) -> float:
    """Best width of a pinhole [mm]: k·√(λ·f), 1/f = 1/u + 1/v; subject_mm may be inf."""
    f = board_mm if math.isinf(subject_mm) else board_mm * subject_mm / (board_mm + subject_mm)
    return k * math.sqrt(wavelength_nm * 1e-6 * f)


def _positive(p: Problems, where: str, value: float) -> None:
    if not (math.isfinite(value) and 0.1 <= value <= 1e7):
        p.add(where, f"{value:g} mm", "From 0.1 mm to 10 km.", "Measure it with a rule or a tape.")
