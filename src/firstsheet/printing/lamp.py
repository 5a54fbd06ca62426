"""A lamp over a sheet, known after one test strip: seconds at any height, and how much less the corners get.

On the axis a flat diffuse disc of radius a at height h lights the sheet as 1/(h² + a²) (closed form), a point as 1/h². Off the axis a small
flat diffuse lamp falls by cos⁴ and a bare point by cos³, sheet level and lamp over its middle; a wide one by the closed form of a level disc, which
becomes cos⁴ far off. A beam has a pattern of its own: only measured.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from firstsheet.refusal import Problems, Refusal

KINDS = {
    "point": "bare bulb or phone light, no reflector",
    "flat": "flat diffuse lamp, opal or enlarger head",
    "beam": "torch with a beam",
}
SAG_SD = {"battery": 0.15, "mains": 0.04}  # from strip to print [stop]; ours, no source
HEIGHT_SD_MM = 10.0  # of a height held by hand against a mark; ours, no source
BEAM_SD = 0.25  # per stop of light gained or lost by moving: a lens or a reflector moves the place the light seems to come from; ours, no source
GLASS_INDEX = 1.5


@dataclass(frozen=True, slots=True)
class Lamp:
    """What one test strip told.

    kind         a key of KINDS
    black_s      [s] that turn this paper its full black at `height_mm` with nothing over it
    sd_stops     doubt of that [stop]
    height_mm    lamp to sheet [mm]
    across_mm    diameter of what shines [mm], 0 for a point
    sag_sd       how much it may dim from one evening to the next [stop]
    corner_stops measured at height_mm, `corner_mm` from the middle: how much less [stop]; None where not measured
    """

    kind: str
    black_s: float
    sd_stops: float
    height_mm: float
    across_mm: float = 0.0
    sag_sd: float = SAG_SD["battery"]
    corner_stops: float | None = None
    corner_mm: float | None = None


def check_height(height_mm: float) -> None:
    """Refusal outside 0.1 to 10 m."""
    if not (math.isfinite(height_mm) and 100 <= height_mm <= 10_000):
        raise Refusal.one(
            "height",
            f"{height_mm / 1000:g} m",
            "Lamp to sheet from 10 cm to 10 m.",
            "Measure from what shines to the paper.",
        )


def moved_stops(lamp: Lamp, height_mm: float) -> tuple[float, float]:
    """More time needed at this height than at the strip's [stop], negative nearer, and its doubt [stop]."""
    check_height(height_mm)
    a2 = (lamp.across_mm / 2) ** 2 if lamp.kind == "flat" else 0.0
    more = math.log2((height_mm**2 + a2) / (lamp.height_mm**2 + a2))
    own = 2 * HEIGHT_SD_MM / math.log(2) * math.hypot(1 / height_mm, 1 / lamp.height_mm) if more else 0.0
    return more, math.hypot(own, BEAM_SD * abs(more) if lamp.kind == "beam" else 0.0)


def corner_stops(lamp: Lamp, height_mm: float, off_mm: float) -> float | None:
    """How much less light reaches a place `off_mm` from the middle [stop], ≥ 0; None for a beam measured nowhere near.

    A beam spreads from its lamp: what was measured at one height holds at another for the place at the same angle, give or take 3 %. Any other
    lamp falls by its law, in the proportion in which the measured place did.
    """
    check_height(height_mm)
    measured = lamp.corner_stops is not None and bool(lamp.corner_mm)
    assert lamp.corner_stops is not None or not measured
    if lamp.kind == "beam":
        if not measured or abs(off_mm / height_mm * lamp.height_mm / (lamp.corner_mm or 1.0) - 1) > 0.03:
            return None
        return lamp.corner_stops
    share = (lamp.corner_stops or 0.0) / by_law(lamp, lamp.height_mm, lamp.corner_mm or 1.0) if measured else 1.0
    return share * by_law(lamp, height_mm, off_mm)


def by_law(lamp: Lamp, height_mm: float, off_mm: float) -> float:
    """How much less a bare point or a flat diffuse disc gives off its axis [stop]."""
    h2, r2, a2 = height_mm**2, off_mm**2, (lamp.across_mm / 2) ** 2
    if lamp.kind == "point" or not a2:
        return (2.0 if lamp.kind == "flat" else 1.5) * math.log2(1 + r2 / h2)
    # E/πL of a level disc: ½(1 − (h² + r² − a²)/√((h² + r² + a²)² − 4a²r²)); on the axis a²/(h² + a²). Written so that no digits are lost far off.
    root = math.sqrt((h2 + r2 + a2) ** 2 - 4 * a2 * r2)
    here = 2 * a2 * h2 / (root * (root + h2 + r2 - a2))
    return math.log2(a2 / (h2 + a2) / here)


def even_height_mm(lamp: Lamp, off_mm: float, most_stops: float = 1 / 3) -> float | None:
    """About the least height from which a place `off_mm` from the middle gets less by no more than `most_stops` [mm]; None where none to 10 m is known."""
    height = 100.0
    while height <= 10_000.0:
        lost = corner_stops(lamp, height, off_mm)
        if lost is not None and lost <= most_stops:
            return height
        height *= 1.02
    return None


def height_for(lamp: Lamp, factor: float) -> float:
    """The height [mm] at which the time is `factor` times that at the strip's height. Refusal outside 0.1 to 10 m."""
    a2 = (lamp.across_mm / 2) ** 2 if lamp.kind == "flat" else 0.0
    h2 = factor * (lamp.height_mm**2 + a2) - a2
    height = math.sqrt(h2) if h2 > 0 else 0.0
    check_height(height)
    return height


def glass_stops(index: float = GLASS_INDEX) -> float:
    """What a clean sheet of glass costs [stop]: both faces with what goes to and fro between them, 2n/(n² + 1) (Fresnel, upright light)."""
    return -math.log2(2 * index / (index * index + 1))


def counted_black(times_s: list[float], black: int, over_d: float, over_sd: float) -> tuple[float, float]:
    """Seconds to full black with nothing over the paper, and their doubt [stop], from a strip.

    times_s  each step's whole exposure [s], rising;  black: the first step as black as the next, from 1
    over_d   density by transmission of what lay over the strip, 0 for nothing [D]; over_sd its doubt [D]
    """
    found = Problems()
    if len(times_s) < 3 or any(b <= a for a, b in itertools.pairwise(times_s)) or min(times_s, default=0) <= 0:
        found.add(
            "times",
            " ".join(f"{t:g}" for t in times_s),
            "At least three whole exposures, each longer than the last.",
            "Try “2 4 8 16 32 s”.",
        )
    elif not 2 <= black < len(times_s):
        found.add("black", black, f"From 2 to {len(times_s) - 1}: a paler step before it and one as black after it.",
                  "Make the strip again, shorter or longer.")  # fmt: skip
    found.raise_if_any()
    before, at = times_s[black - 2], times_s[black - 1]
    pace = math.log2(at / before)
    return math.sqrt(before * at) / 10.0**over_d, math.hypot(pace / math.sqrt(12.0), over_sd * math.log2(10.0))
