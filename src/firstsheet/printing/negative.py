"""A negative by what passes through it: density from light measured behind it, and how far it may be from it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from firstsheet.refusal import Problems

READING_SD_D = 0.03  # of one density from two meter readings [D]: a tenth of a stop; ours, no source
LEAST_RANGE = 0.15


@dataclass(frozen=True, slots=True)
class Negative:
    """Clearest and densest tone that must hold, by transmission [D], base included; sd of each [D]; "dry" or "wet" when read; grain_d
    how even places scatter by the base alone [D], 9 in 10 between grain_low_d and grain_high_d; None where no photo told."""

    clear_d: float
    dense_d: float
    sd_d: float
    state: str
    grain_d: float | None = None
    grain_low_d: float | None = None
    grain_high_d: float | None = None

    @property
    def range_d(self) -> float:
        """What the paper has to hold [D]."""
        return self.dense_d - self.clear_d


def density(bare: float, behind: float) -> float:
    """log10(bare/behind): density by transmission [D] of what lay between. Both in one linear unit of light, above 0."""
    return math.log10(bare / behind)


def checked(clear_d: float, dense_d: float, sd_d: float, state: str) -> Negative:
    """A negative whose dense tone is denser than its clear one; refusal for what cannot be, all at once."""
    found = Problems()
    for name, d in (("clear", clear_d), ("dense", dense_d)):
        if not (math.isfinite(d) and -0.02 <= d <= 4.0):
            found.add(
                name,
                f"{d:.2f} D",
                "By transmission from 0 to 4 D.",
                "See that the bare lamp was the brightest reading.",
            )
    if not found.found and dense_d - clear_d < LEAST_RANGE:
        found.add("dense", f"{dense_d:.2f} D over {clear_d:.2f} D", f"At least {LEAST_RANGE:g} D denser than the clear tone.",
                  "Dense is what prints white: the sky. Clear is what prints black.")  # fmt: skip
    found.raise_if_any()
    return Negative(clear_d, dense_d, sd_d, state)
