"""From exposure to the finished picture: every way of working as one table from log exposure to the light that comes back.

What is done to each point of a sheet composes to a function of its exposure alone: preflash, the curve, for a paper negative the
print through its density by TRANSMISSION, drying, the colour of base and image. So a picture of any size needs one look-up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from firstsheet.foresee.tone import HEAD_D, Array, Tones
from firstsheet.paper import response
from firstsheet.paper.curve_points import FOOT_D
from firstsheet.refusal import Refusal

Shows = Literal["sheet", "print"]
STOP = math.log10(2.0)
LOW, HIGH, POINTS = -4.0, 4.0, 8001  # of the table [log10 of exposure over the mid-tone's]
NEUTRAL = (0.0, 0.0, 0.0)
MID_NET_D = 0.60  # above base: where a mid-tone stands on negative-working paper [ISO-6846]

# Density by transmission over base against density by reflection over base, of one image layer, where nobody measured this
# paper both ways; from memory, no source; beyond the last as the last two go on.
STAND_IN_THROUGH = ((0.0, 0.0), (0.96, 0.47), (1.40, 0.75), (1.90, 1.05))
STAND_IN_THROUGH_SD = 0.10  # of a density by transmission so found, of itself [1]; ours


@dataclass(frozen=True, slots=True)
class Tint:
    """Colour of a print: density that base and image add to red, green and blue [D], as the base is and as a mid-tone is.

    Neutral is nothing. A coffee developer's stain adds more to blue than to green than to red.
    """

    base: tuple[float, float, float] = NEUTRAL
    middle: tuple[float, float, float] = NEUTRAL


@dataclass(frozen=True, slots=True, eq=False)
class Through:
    """Density by transmission against density by reflection, both over base [D], rising; measured, or one that stands in."""

    reflection: Array = field(repr=False)
    transmission: Array = field(repr=False)
    measured: bool

    def of(self, reflection_over_base: Array) -> Array:
        """D_T over base at D_R over base [D]; straight between points, beyond them as the nearest two go on."""
        x, y = self.reflection, self.transmission
        out = np.interp(reflection_over_base, x, y)
        steep = (y[-1] - y[-2]) / (x[-1] - x[-2])
        beyond = reflection_over_base > x[-1]
        return np.asarray(np.where(beyond, y[-1] + steep * (reflection_over_base - x[-1]), out))


def stand_in_through() -> Through:
    """The relation of reflection to transmission for a paper nobody measured both ways; from memory, no source."""
    pairs = np.array(STAND_IN_THROUGH)
    return Through(pairs[:, 0], pairs[:, 1], False)


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """How one sheet, or its print, comes out.

    way         key of the way of working
    tones       the sheet's own curve by reflection
    more_stops  exposure given over the one that puts the mid-tone where it belongs [stop]
    preflash    share of the threshold exposure given before [1]; 0 for none
    shows       "sheet" the sheet itself; "print" the contact print of a paper negative
    through     of the negative, for its print
    print_tones curve of the printing paper; print_stops its exposure over the one that puts the mid-tone where it belongs [stop]
    wet         as it looks wet: before it dries down
    pack        colour paper: density that filters beyond the balance take from the red, green and blue layer [D]
    """

    way: str
    tones: Tones
    more_stops: float = 0.0
    preflash: float = 0.0
    shows: Shows = "sheet"
    through: Through | None = None
    print_tones: Tones | None = None
    print_stops: float = 0.0
    tint: Tint = Tint()
    wet: bool = False
    pack: tuple[float, float, float] = (0.0, 0.0, 0.0)

    def moved(self, stops: float) -> Chain:
        """The same with so much more exposure [stop]."""
        return replace(self, more_stops=self.more_stops + stops)


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """Against log10 of exposure over the mid-tone's: density of what is shown [D], its reflectance in red, green, blue [1], and
    where it is dead black or blown white."""

    log_h: Array = field(repr=False)
    density: Array = field(repr=False)
    rgb: NDArray[np.float64] = field(repr=False)
    black: NDArray[np.bool_] = field(repr=False)
    white: NDArray[np.bool_] = field(repr=False)


def mid_log_h(tones: Tones) -> float:
    """log H at which the mid-tone stands on this curve: 0.60 over base on negative-working paper, on positive-working paper the
    middle of the falling curve [log10]."""
    level = tones.base + (MID_NET_D if tones.sense > 0 else 0.5 * (tones.dmax - tones.base))
    return float(tones.log_h_of(np.array([level]))[0])


def threshold_log_h(tones: Tones) -> float:
    """log H of the least exposure that shows [log10]: 0.04 above base, or on positive-working paper 0.04 below Dmax."""
    level = tones.base + FOOT_D if tones.sense > 0 else tones.dmax - FOOT_D
    return float(tones.log_h_of(np.array([level]))[0])


def sheet_density(chain: Chain, log_rel: Array) -> Array:
    """Density by reflection of the sheet at log10 of exposure over the mid-tone's [D]; exposures add: preflash and picture."""
    log_h = mid_log_h(chain.tones) + log_rel + chain.more_stops * STOP
    if chain.preflash:
        log_h = np.log10(10.0**log_h + chain.preflash * 10.0 ** threshold_log_h(chain.tones))
    return chain.tones.density_of(log_h)


def table(chain: Chain) -> Table:
    """The whole way of working as one table. Refusal where a print is asked of what is no negative."""
    _check(chain)
    log_rel = np.linspace(LOW, HIGH, POINTS)
    density = sheet_density(chain, log_rel)
    tones = chain.tones
    if chain.shows == "print":
        assert chain.print_tones is not None
        tones = chain.print_tones
        density = tones.density_of(_print_log_h(chain, density))
    black, white = density > tones.dmax - HEAD_D, density < tones.base + FOOT_D
    seen = _wet(chain.way, density, tones) if chain.wet else density
    return Table(log_rel, density, _coloured(seen, tones, chain.tint), black, white)


def _print_log_h(chain: Chain, density: Array) -> Array:
    """log H on the printing paper behind each density of the negative: so much less light passes as it is dense by transmission."""
    assert chain.print_tones is not None
    through = chain.through or stand_in_through()
    base = chain.tones.base
    passed = -through.of(np.maximum(density - base, 0.0))
    mid = -float(through.of(np.array([MID_NET_D]))[0])
    return np.asarray(mid_log_h(chain.print_tones) + passed - mid + chain.print_stops * STOP)


def _wet(way: str, density: Array, tones: Tones) -> Array:
    """A wet print is lighter than it will be, by what it dries down; base and Dmax stay."""
    darker, _ = response.dry_down(way, wet=True)
    # dry_down is a tone: the print that had so many stops less of what darkens it looks so.
    return density + tones.change(density, -tones.sense * darker)


def _coloured(density: Array, tones: Tones, tint: Tint) -> NDArray[np.float64]:
    """Reflectance in red, green and blue [points × 3]: base colour under all, image colour as the image is dense."""
    image = np.clip((density - tones.base) / MID_NET_D, 0.0, 1.0)
    each = [density + b + (m - b) * image for b, m in zip(tint.base, tint.middle, strict=True)]
    return np.stack([10.0 ** -np.maximum(d, 0.0) for d in each], axis=1)


def _check(chain: Chain) -> None:
    if chain.shows == "print" and (chain.way != "paper_negative" or chain.print_tones is None):
        raise Refusal.one("shows", "print", "The contact print of a paper negative.", "Every other way is itself the picture.")
    if not 0.0 <= chain.preflash <= 1.5:
        raise Refusal.one("preflash", f"{chain.preflash:g} of the threshold", "From 0 to 1.5.", "0.7 is usual.")
    if not abs(chain.more_stops) <= 10.0 or not abs(chain.print_stops) <= 10.0:
        raise Refusal.one("stops", chain.more_stops, "Within ten stops of the plan.")
