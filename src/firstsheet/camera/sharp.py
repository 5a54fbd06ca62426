"""How sharp the sheet will be: sway, depth, the paper's bow, a board out of square, diffraction; and the stop that does best.

Every blur is the width of a point on the sheet [mm]; those of different causes add as squares. Sway is a random walk that
stays about one place: its spread grows as √(2Dt) and ends at the published root mean square. Motion across the lens's axis
smears, motion along it throws out of focus. Left out: the lens's own faults, which may be larger wide open.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from firstsheet.camera import focus

BLUE_NM = 450.0
SETTLE_S = 20.0
"""A pose just taken is unsteady for so long [s]; published for standing (Carroll and Freedman, 1993; from memory)."""


@dataclass(frozen=True, slots=True)
class Pose:
    """How a head moves: root mean square [mm] and short-term diffusion [mm²/s], across the lens's axis and along it."""

    rms_across_mm: float
    rms_along_mm: float
    diffusion_across: float
    diffusion_along: float

    def scaled(self, by: float) -> Pose:
        """The same motion, `by` times as large, as quick."""
        return Pose(self.rms_across_mm * by, self.rms_along_mm * by, self.diffusion_across * by**2, self.diffusion_along * by**2)


def shift_mm(diffusion: float, rms_mm: float, time_s: float) -> float:
    """Spread of a swaying head after `time_s` [s], root mean square [mm]: √(2Dt) at first, never above `rms_mm`."""
    if rms_mm <= 0 or time_s <= 0:
        return 0.0
    return rms_mm * math.sqrt(-math.expm1(-2 * diffusion * time_s / rms_mm**2))


def out_of_focus_mm(off_mm: float, focal_mm: float, n: float, magnification: float, pupil: float = 1.0) -> float:
    """Blur on the sheet [mm] of a point `off_mm` behind the plane in focus; the inverse of the depth. [WALREE-DOF]"""
    if magnification <= 0:
        return 0.0
    return off_mm * magnification / (n * (1 / magnification + 1 / pupil + off_mm / focal_mm))


@dataclass(frozen=True, slots=True)
class Sitting:
    """What does not change with the stop: lens, size on the sheet, pose, and how far bow and board's edge are off [mm]."""

    focal_mm: float
    magnification: float
    pose: Pose
    bow_mm: float
    edge_mm: float
    pupil: float = 1.0


@dataclass(frozen=True, slots=True)
class Blur:
    """The parts of the blur on the sheet [mm] at one stop and time; `ears` are 85 mm behind the eyes."""

    f_number: float
    time_s: float
    smear: float
    sway_focus: float
    paper: float
    diffraction: float
    ears_focus: float

    @property
    def eyes(self) -> float:
        return math.hypot(self.smear, self.sway_focus, self.paper, self.diffraction)

    @property
    def ears(self) -> float:
        return math.hypot(self.eyes, self.ears_focus)

    @property
    def whole(self) -> float:
        """Eyes and ears alike."""
        return math.sqrt((self.eyes**2 + self.ears**2) / 2)


def blur(s: Sitting, n: float, time_s: float) -> Blur:
    """All parts at f/`n` and an exposure of `time_s` [s]."""
    across = shift_mm(s.pose.diffusion_across, s.pose.rms_across_mm, time_s)
    along = shift_mm(s.pose.diffusion_along, s.pose.rms_along_mm, time_s)
    n_eff = focus.effective_f_number(n, s.magnification, s.pupil)
    return Blur(
        n, time_s, s.magnification * across, out_of_focus_mm(along, s.focal_mm, n, s.magnification, s.pupil),
        math.hypot(s.bow_mm, s.edge_mm) / n_eff, focus.airy_mm(n_eff, BLUE_NM),
        out_of_focus_mm(focus.EARS_BEHIND_MM, s.focal_mm, n, s.magnification, s.pupil),
    )  # fmt: skip


def by_stop(s: Sitting, stops: tuple[float, ...], time_s: float, at_n: float) -> list[Blur]:
    """The blur at each stop for the same exposure as `time_s` at f/`at_n`; times as the f-number squared, reciprocity left out."""
    return [blur(s, n, time_s * (n / at_n) ** 2) for n in stops]


def best(rows: list[Blur]) -> Blur:
    """The stop with the least blur over eyes and ears; the wider where two are alike."""
    return min(rows, key=lambda b: (round(b.whole, 6), b.f_number))
