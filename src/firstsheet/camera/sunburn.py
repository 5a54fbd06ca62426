"""What the sun does at the focus of this lens, and the caution that goes with it.

The image of the sun is as wide as the focal length times the sun's angle; how hot it is depends on the
f-number alone, how much of it there is on the width of the glass. Computed for the whole aperture of the
lens, wide open, and a board or a curtain exactly at the focus: the worst case, which nothing in the room
guarantees against. The spot off the focus is weaker and wider: `spot_mm` tells it for a board, and no caution relies on it.
"""

from __future__ import annotations

import math

from firstsheet import wording
from firstsheet.camera.lens import Lens

SUN_RAD = 0.0093
"""Mean angle of the sun's disc [rad]: 31.97′, ± 1.7 % through the year."""
CONCENTRATION = 11_550.0
"""1 ÷ (sun's angle)², to the customary four figures: irradiance at focus over that outside is this over
N²."""
BRIGHT_SUN_KW_M2 = 0.9
"""Direct beam of a high sun in clear air, at right angles to it [kW/m²]; common practice, ± 0.1."""
HAZARD_KW_M2 = 4.0
"""Above this the focus is treated as a fire [kW/m²]; a little below the published figure for wood."""
WOOD_IGNITES_KW_M2 = 4.3
"""Least irradiance that lights wood, glowing, given long enough [kW/m²]; one study, [BABRAUSKAS-2001]."""


def sun_image_mm(focal_mm: float) -> float:
    """Diameter of the sun's image at the focus [mm]."""
    return focal_mm * SUN_RAD


def concentration(f_number: float) -> float:
    """Irradiance at the focus over that of the beam outside, the glass's own loss left out."""
    return CONCENTRATION / f_number**2


def focus_irradiance_kw_m2(f_number: float, transmission: float,
                           beam_kw_m2: float = BRIGHT_SUN_KW_M2) -> float:
    """Irradiance at the focus [kW/m²]: beam × transmission × concentration."""
    return beam_kw_m2 * transmission * concentration(f_number)


def spot_mm(focal_mm: float, f_number: float, board_mm: float) -> float:
    """Width of the sun's spot on a board `board_mm` behind the lens [mm]: (f/N)·|v − f|/f + θ·v. At v = f it is the sun's image."""
    return focal_mm / f_number * abs(board_mm - focal_mm) / focal_mm + SUN_RAD * board_mm


def spot_kw_m2(lens: Lens, board_mm: float, beam_kw_m2: float = BRIGHT_SUN_KW_M2) -> float:
    """Irradiance in that spot, wide open, on average [kW/m²]: what comes through the pupil, spread over it."""
    return beam_kw_m2 * lens.transmission * (lens.focal_mm / lens.f_number / spot_mm(lens.focal_mm, lens.f_number, board_mm)) ** 2


def barrel_deg(lens: Lens, length_mm: float) -> float:
    """How far off the axis the sun can still get through a barrel [°]: edge to opposite edge, glass wide open, no picture needed.

    length_mm  from the front rim to the glass or the far rim, whichever is nearer [mm], > 0
    """
    return math.degrees(math.atan2(lens.focal_mm / lens.f_number, length_mm))


def is_fire_hazard(lens: Lens, beam_kw_m2: float = BRIGHT_SUN_KW_M2) -> bool:
    """Whether the sun at this lens's focus, wide open, passes 4 kW/m²: about every lens faster than f/45.

    False is no leave to look: the eye is hurt at every aperture.
    """
    return focus_irradiance_kw_m2(lens.f_number, lens.transmission, beam_kw_m2) > HAZARD_KW_M2


def sun_caution(lens: Lens, beam_kw_m2: float = BRIGHT_SUN_KW_M2) -> str:
    """What is said wherever the sun can get into the lens. It always begins with the eye.

    beam_kw_m2  of the sun outside [kW/m²], where the day and hour are known; else of a bright one
    """
    kw = focus_irradiance_kw_m2(lens.f_number, lens.transmission, beam_kw_m2)
    never = "Never look into the lens, or from the board towards it, when the sun can enter it"
    if not is_fire_hazard(lens, beam_kw_m2):
        return f"{never}: the eye is hurt at every aperture. {_CAP} {_DEFER}"
    return (f"{never}, and do not walk through its focus. "
            f"Wide open at {wording.f_number(lens.f_number)} the sun there is about {_round(kw)} kW/m² in a "
            f"spot {sun_image_mm(lens.focal_mm):.0f} mm wide; wood can catch at {WOOD_IGNITES_KW_M2:g} kW/m²: "
            f"it chars wood and lights black cloth. {_CAP} {_DEFER}")


_CAP = ("When unattended, an opaque, non-combustible cap on the outside of the lens; "
        "reflections off glass and cars count as sun.")
_DEFER = "The fire code where you are, and whoever answers for it, take precedence."


def _round(kw: float) -> str:
    """Two figures: the beam itself is known to one in ten."""
    return f"{float(f'{kw:.2g}'):g}"
