"""Where things come to focus, how large, how much light it costs, and how deep the focus is.

Thin lens with a pupil magnification p (exit ÷ entrance pupil). The subject is measured from the front
principal plane, the board from the rear one. The two planes are taken as one: a real lens keeps them apart
by a few hundredths of its focal length (from memory; symmetrical process lenses nearly 0, old portrait
lenses up to about a tenth). That separation adds to the whole length from sitter to board and changes
neither distance below. A tape laid to the middle of the barrel is off by half of it, which moves the
magnification by the same share as the distance.

Distances in mm; magnification is image ÷ subject, positive (the picture is upside down, which is said in
words). Sources: [SS0512] for extension and exposure, [WALREE-DOF] for depth of field with p.
"""

from __future__ import annotations

import math

from firstsheet.refusal import Refusal

HEAD_MM = 230.0
"""Chin to crown of an adult [mm], common practice, no source; hair not counted."""
HEAD_SD_MM = 12.0
"""Spread of the same between adults [mm], standard deviation, common practice, no source: 9 of 10 in
210–250."""
EARS_BEHIND_MM = 85.0
"""How far the ears are behind the eyes [mm]; common practice, no source, about ± 10 mm between adults."""
CONFUSION_MM = 0.5
"""Largest blur on the sheet that still passes for sharp [mm], for a large sheet looked at from arm's length.

Common practice, no source: 1/1500 of the diagonal is the customary measure, and a 20 × 24 inch sheet (794
mm) gives 0.53 mm. A 10 × 8 inch sheet seen at reading distance wants 0.2 mm.
"""
WAVELENGTH_NM = 550.0
"""Wavelength the diffraction figures are stated for [nm]; paper that sees only blue, near 450 nm, does 18 %
better."""


def board_for_subject(focal_mm: float, subject_mm: float) -> float:
    """Rear principal plane to the sharp image [mm] of a subject `subject_mm` before the front one [mm].

    v = f·u/(u − f). An infinitely far subject comes to focus at the focal length. Raises Refusal at or
    inside it.
    """
    if math.isnan(subject_mm) or subject_mm <= focal_mm:
        raise Refusal.one("subject", f"{subject_mm:g} mm", f"Further than the focal length, {focal_mm:g} mm.",
                          "Nearer than that a lens makes no picture at any board.")
    return focal_mm / (1 - focal_mm / subject_mm)


def subject_for_board(focal_mm: float, board_mm: float) -> float:
    """The inverse: what distance [mm] is sharp with the board at `board_mm` [mm]; inf at the focal length."""
    if board_mm == focal_mm:
        return math.inf
    if math.isnan(board_mm) or board_mm < focal_mm:
        raise Refusal.one("board", f"{board_mm:g} mm",
                          f"No nearer the lens than its focal length, {focal_mm:g} mm.",
                          "There the far horizon is sharp; anything nearer needs the board further back.")
    return focal_mm / (1 - focal_mm / board_mm)


def board_at(focal_mm: float, magnification: float) -> float:
    """v = f(1 + m) [mm]."""
    return focal_mm * (1 + magnification)


def subject_at(focal_mm: float, magnification: float) -> float:
    """u = f(1 + 1/m) [mm]; inf for m = 0."""
    return focal_mm * (1 + 1 / magnification) if magnification else math.inf


def magnification_at_board(focal_mm: float, board_mm: float) -> float:
    """m = v/f − 1, image ÷ subject."""
    return board_mm / focal_mm - 1


def magnification_for_head(head_mm: float, adult_mm: float = HEAD_MM) -> float:
    """Magnification that makes a head of `adult_mm`, chin to crown [mm], `head_mm` tall on the sheet [mm]."""
    if not (math.isfinite(head_mm) and head_mm > 0 and adult_mm > 0):
        raise Refusal.one("head", f"{head_mm:g} mm", "A height on the sheet above zero.",
                          "Life-size is 230 mm.")
    return head_mm / adult_mm


def effective_f_number(f_number: float, magnification: float, pupil: float = 1.0) -> float:
    """N(1 + m/p): the f-number the sheet sees."""
    return f_number * (1 + magnification / pupil)


def extension_factor(magnification: float, pupil: float = 1.0) -> float:
    """By how much the exposure is multiplied for the extension, (1 + m/p)². A factor, not stops. [SS0512]"""
    return (1 + magnification / pupil) ** 2


def extension_stops(magnification: float, pupil: float = 1.0) -> float:
    """The same in stops, 2·log2(1 + m/p): a factor of 1.44 is 0.53 stop."""
    return 2 * math.log2(1 + magnification / pupil)


def depth_mm(focal_mm: float, f_number: float, magnification: float, confusion_mm: float = CONFUSION_MM,
             pupil: float = 1.0) -> tuple[float, float]:
    """How far before and behind the plane in focus is still sharp, measured from that plane [mm, mm].

    Exact for a thin lens with pupils: Nc(1/m + 1/p) / (m ± Nc/f). Behind is inf from the hyperfocal distance
    on. Blur is measured on the sheet. Diffraction and the lens's own faults are left out. [WALREE-DOF]
    """
    if magnification <= 0:
        return math.inf, math.inf  # focused on the horizon: before it, everything to the hyperfocal distance
    blur = f_number * confusion_mm
    reach = blur * (1 / magnification + 1 / pupil)
    step = blur / focal_mm
    behind = reach / (magnification - step) if magnification > step * (1 + 1e-12) else math.inf
    return reach / (magnification + step), behind


def depth_close_up_mm(f_number: float, magnification: float, confusion_mm: float = CONFUSION_MM,
                      pupil: float = 1.0) -> float:
    """Whole depth in the close-up form, 2Nc(1 + m/p)/m² [mm]: good to 1 % while Nc is under a tenth of
    m·f."""
    return 2 * f_number * confusion_mm * (1 + magnification / pupil) / magnification**2


def hyperfocal_mm(focal_mm: float, f_number: float, confusion_mm: float = CONFUSION_MM) -> float:
    """H = f²/(Nc) + f [mm]: focused there, the horizon is just sharp (symmetrical lens)."""
    return focal_mm**2 / (f_number * confusion_mm) + focal_mm


def depth_of_focus_mm(effective_n: float, confusion_mm: float = CONFUSION_MM) -> float:
    """How far board and paper may be off, either way [mm]: ± N_eff·c."""
    return effective_n * confusion_mm


def airy_mm(effective_n: float, wavelength_nm: float = WAVELENGTH_NM) -> float:
    """Diameter of the diffraction disc on the sheet [mm]: 2.44·λ·N_eff."""
    return 2.44 * wavelength_nm * 1e-6 * effective_n


def f_number_to_reach(behind_mm: float, focal_mm: float, magnification: float,
                      confusion_mm: float = CONFUSION_MM, pupil: float = 1.0) -> float:
    """The widest f-number that keeps `behind_mm` behind the plane in focus sharp [mm]; the inverse of
    `depth_mm`."""
    return behind_mm * magnification / (confusion_mm * (1 / magnification + 1 / pupil + behind_mm / focal_mm))
