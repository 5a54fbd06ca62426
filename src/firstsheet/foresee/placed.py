"""The tones of a scene, read one by one, laid on the paper at the planned exposure: what holds, what is blown, what is dead."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from firstsheet.foresee.route import Chain, sheet_density
from firstsheet.foresee.tone import HEAD_D, STOP
from firstsheet.paper.curve_points import FOOT_D
from firstsheet.refusal import Problems, Refusal

Fate = Literal["holds", "white", "black"]
REACH_STOPS, STEP_STOPS = 16.0, 0.02  # how far tones are followed from the mid-tone; beyond it the paper has long ended


@dataclass(frozen=True, slots=True)
class Read:
    """One tone as read: its name, its place from the plan's mid-tone [stop, + brighter], its doubt [stop]; `at_least` where it clipped."""

    name: str
    stops: float
    sd_stops: float
    at_least: bool = False


@dataclass(frozen=True, slots=True)
class Placed:
    """One tone on the sheet.

    density   on the sheet as planned [D], by the curve's middle
    fate      "holds" detail; "white" no different from bare paper; "black" no different from the deepest black
    chance    of that fate [1]
    sd_stops  doubt of its place on the curve: of the reading, of the exposure, of the curve's own scale [stop]
    """

    name: str
    stops: float
    sd_stops: float
    density: float
    fate: Fate
    chance: float
    at_least: bool = False


@dataclass(frozen=True, slots=True)
class Scene:
    """All tones, darkest first, and between which stops from the mid-tone this paper holds detail.

    range_stops  brightest minus darkest [stop]; its doubt is `range_sd` (of the readings; the exposure cancels)
    holds        (darkest, brightest) that still holds detail [stop from the mid-tone]
    """

    tones: tuple[Placed, ...]
    range_stops: float
    range_sd: float
    holds: tuple[float, float]


def place(chain: Chain, read: Sequence[Read], exposure_sd: float) -> Scene:
    """Lay tones on the sheet of a chain (its exposure over the one that puts the mid-tone in its place is `more_stops`).

    exposure_sd  doubt of the exposure itself, shared by all tones [stop, ≥ 0]

    Detail is held between 0.04 above bare paper and 0.06 below the deepest black. The chance of a fate is the share of a normal
    error about the tone's place. Left out: glare of the taking lens, which lifts the darkest tones, and the sheet's own fall-off.
    Refuses no tones, and one that is no finite number, all at once.
    """
    problems = Problems()
    if not read:
        problems.add("tones", "none", "At least one tone.", "Touch a tone in the photo, or read one with a spot meter.")
    for r in read:
        if not (math.isfinite(r.stops) and abs(r.stops) <= REACH_STOPS and math.isfinite(r.sd_stops) and r.sd_stops >= 0):
            problems.add(f"tones.{r.name}", r.stops, f"Within {REACH_STOPS:g} stops of the mid-tone.", "Read it again.")
    if not (math.isfinite(exposure_sd) and exposure_sd >= 0):
        problems.add("exposure", exposure_sd, "A doubt in stops, 0 or more.", "")
    problems.raise_if_any()
    grid = np.arange(-2 * REACH_STOPS, 2 * REACH_STOPS + STEP_STOPS, STEP_STOPS)
    density = sheet_density(chain, grid * STOP)
    white, black = density < chain.tones.base + FOOT_D, density > chain.tones.dmax - HEAD_D
    held = grid[~(white | black)]
    if not held.size:
        raise Refusal.one("curve", "no tone between bare paper and black", "A curve of a paper.", "Measure it again.")
    laid = sorted((_placed(chain, r, exposure_sd, (grid, white, black)) for r in read), key=lambda t: t.stops)
    ends = {r.name: r.sd_stops for r in read}
    span_sd = math.hypot(ends[laid[0].name], ends[laid[-1].name]) if len(laid) > 1 else 0.0
    return Scene(tuple(laid), laid[-1].stops - laid[0].stops, span_sd, (float(held[0]), float(held[-1])))


def _placed(chain: Chain, r: Read, exposure_sd: float, zones: tuple[object, object, object]) -> Placed:
    grid, white, black = (np.asarray(z) for z in zones)
    sd = math.sqrt(r.sd_stops**2 + exposure_sd**2 + (chain.tones.contrast_sd * r.stops) ** 2)
    weight = np.exp(-0.5 * ((grid - r.stops) / max(sd, STEP_STOPS)) ** 2)
    weight /= weight.sum()
    chances: dict[Fate, float] = {"white": float(weight[white].sum()), "black": float(weight[black].sum())}
    chances["holds"] = max(0.0, 1.0 - chances["white"] - chances["black"])
    fate = max(chances, key=lambda f: chances[f])
    at = float(sheet_density(chain, np.array([r.stops * STOP]))[0])
    return Placed(r.name, r.stops, sd, at, fate, chances[fate], r.at_least)
