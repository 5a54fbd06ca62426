"""A lens as its owner knows it: what is engraved, what was measured, what circle it covers."""

from __future__ import annotations

import math
from dataclasses import dataclass

from firstsheet import wording
from firstsheet.camera.barrel import Barrel
from firstsheet.refusal import Problems, Refusal

SAME_STOP = 1 / 12  # two f-numbers closer than this [stop] are the same mark: f/11 and 11.3, f/22 and 22.6


@dataclass(frozen=True, slots=True)
class Lens:
    """A lens, thin except for its pupils.

    name                what it is called on this bench
    focal_mm            focal length, better measured than engraved [mm]
    f_number            the widest marked aperture
    pupil               exit pupil ÷ entrance pupil diameter, seen from the two ends; 1 for a symmetrical lens
    transmission        share of the light that gets through the glass, 0–1; 0.90 is the customary figure
                        for a coated lens (common practice, no source)
    coverage_deg        full angle of the covered circle at infinity [degree]; None where nobody knows
    circle_mm           diameter of the covered circle at infinity [mm]; give this or the angle, not both
    stops               the f-numbers this lens can be set to, from its own ring or its own diaphragm plates;
                        empty means any aperture from the widest down can be set
    f_number_sd_stops   doubt of a marked f-number [stop]; 0.10 is common practice, no source
    barrel              the rims that hold the glass; None where nobody measured them

    Raises Refusal with every problem at once.
    """

    name: str
    focal_mm: float
    f_number: float
    pupil: float = 1.0
    transmission: float = 0.90
    coverage_deg: float | None = None
    circle_mm: float | None = None
    stops: tuple[float, ...] = ()
    f_number_sd_stops: float = 0.10
    barrel: Barrel | None = None

    def __post_init__(self) -> None:
        p = Problems()
        within(p, "focal_mm", self.focal_mm, 10, 10_000, "A focal length from 10 mm to 10 m.",
               "Measure it: the distance from the lens to a sharp far window on a card, in millimetres.")
        within(p, "f_number", self.f_number, 0.7, 1000, "A widest aperture from f/0.7 to f/1000.",
               "Focal length divided by the width of the pupil seen from the front.")
        within(p, "pupil", self.pupil, 0.2, 5, "Exit pupil over entrance pupil, from 0.2 to 5.",
               "Use 1 for a lens that looks the same from both ends.")
        within(p, "transmission", self.transmission, 0.05, 1, "A share from 0.05 to 1.",
               "0.90 is customary for coated glass; less for old uncoated glass.")
        within(p, "f_number_sd_stops", self.f_number_sd_stops, 0, 2, "A doubt from 0 to 2 stops.",
               "0.1 for an engraved scale, 0.3 for a home-made diaphragm.")
        if self.coverage_deg is not None and self.circle_mm is not None:
            p.add("coverage", f"{self.coverage_deg}°, {self.circle_mm} mm",
                  "The angle or the circle, not both.", "Keep the one that was measured.")
        if self.coverage_deg is not None:
            within(p, "coverage_deg", self.coverage_deg, 1, 150, "A full angle from 1 to 150 degrees.",
                   "Makers of process lenses state 45 to 48 degrees; leave it out if nobody knows.")
        if self.circle_mm is not None:
            within(p, "circle_mm", self.circle_mm, 1, 50_000, "A circle from 1 mm to 50 m.",
                   "Leave it out if nobody knows.")
        for i, stop in enumerate(self.stops):
            if within(p, f"stops.{i}", stop, 0.7, 2000, "An f-number from 0.7 to 2000.", "Write 8 for f/8.") \
                    and wider(stop, self.f_number):
                p.add(f"stops.{i}", wording.f_number(stop),
                      f"No stop is wider than the lens, {wording.f_number(self.f_number)}.",
                      "Correct the stop or the widest aperture.")
        p.raise_if_any()

    def set_to(self, aperture: float | None) -> float:
        """The f-number this lens is set to when `aperture` is asked for; None asks for the widest.

        A mark within a twelfth of a stop of the one asked for is that mark. Raises Refusal for an aperture
        the lens does not have, naming the nearest it has.
        """
        if aperture is None:
            return self.f_number
        if not math.isfinite(aperture) or aperture <= 0:
            raise Refusal.one("aperture", aperture, "An f-number above zero.",
                              f"Try {wording.f_number(self.f_number)}.")
        if wider(aperture, self.f_number):
            raise Refusal.one("aperture", wording.f_number(aperture),
                              f"This lens opens to {wording.f_number(self.f_number)}.",
                              f"Use {wording.f_number(self.f_number)} or smaller.")
        if not self.stops:
            return aperture
        marks = {self.f_number, *self.stops}
        nearest = min(marks, key=lambda n: abs(stops_between(aperture, n)))
        if abs(stops_between(aperture, nearest)) > SAME_STOP:
            offered = ", ".join(f"{wording.f_number(n)}" for n in sorted(marks))
            raise Refusal.one("aperture", wording.f_number(aperture),
                              f"This lens has {offered}.",
                              f"The nearest is {wording.f_number(nearest)}.")
        return nearest


def stops_between(from_n: float, to_n: float) -> float:
    """How much darker f/`to_n` is than f/`from_n` [stop]; positive when stopping down. stops = log2 of the
    factor."""
    return 2 * math.log2(to_n / from_n)


def wider(n: float, widest: float) -> bool:
    """Whether f/`n` is wider than f/`widest` by more than the rounding of engraved marks."""
    return stops_between(n, widest) > SAME_STOP


def within(p: Problems, where: str, value: float, low: float, high: float, allowed: str, hint: str) -> bool:
    """Note a problem when `value` is not a finite number from `low` to `high`; true when it is."""
    if math.isfinite(value) and low <= value <= high:
        return True
    p.add(where, value, allowed, hint)
    return False
