"""A mix as it stands in its water: what it holds, how alkaline it is and what that figure is worth, how near it is to its end.

A developer dies where acid has taken all the carbonate: then pH falls from about 10 to 7. The reserve is what is left before that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from firstsheet.chemistry.ph import STRONGEST, equilibrium
from firstsheet.chemistry.substance import Substance

# What a figure of pH is worth, by what is in it; judged against published buffers and two reference engines. Half-widths, 9 in 10.
WORTH_CLEAN, WORTH_PER_IONIC, WORTH_ORGANIC = 0.10, 0.05, 0.05
STRONG, WORTH_STRONG = 1.5, 0.15  # more for each mol/kg of ionic strength above that: many ε are guesses there
DEAD_PH, SLOW_PH = 9.0, 9.6  # below which such a developer does nothing, or crawls; common practice, no source


@dataclass(frozen=True, slots=True)
class Part:
    """So many grams of a substance in a litre, from low to high where spoons leave a doubt [g/l]."""

    substance: Substance
    g_per_l: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Alkalinity:
    """pH with its 9-in-10 range, and the balance of soda and acid.

    ph, low, high      None where the mix is too strong for the reckoning (`why` says so)
    ionic              ionic strength [mol/kg]
    carbonate, acid    soda with both protons free to take; protons that it must take [mol/l]
    reserve, reserve_low, reserve_high  carbonate left over, and its range [mol/l]: below nothing the developer is dead
    unknown            what is not known of it, in words; "" for nothing
    """

    ph: float | None
    low: float | None
    high: float | None
    ionic: float
    carbonate: float
    acid: float
    reserve: float
    reserve_low: float
    reserve_high: float
    unknown: str
    why: str


def totals(parts: Sequence[tuple[Substance, float]], coffee_mmol_per_g: float) -> dict[str, float]:
    """What `parts` (substance, g/l) give in water [mol/l by name]."""
    out: dict[str, float] = {}
    for s, grams in parts:
        if s.acid_mmol_per_g is not None:
            out["coffee"] = out.get("coffee", 0.0) + grams * coffee_mmol_per_g / 1000
            continue
        for name, number in s.gives.items():
            out[name] = out.get(name, 0.0) + number * grams * s.mol_per_g()
    return out


def soda(parts: Sequence[tuple[Substance, float]]) -> float:
    """Carbonate, both protons free to take [mol/l]; baking soda, which has taken one already, is none."""
    return sum(g * s.mol_per_g() for s, g in parts if s.family == "carbonate")


def acid(parts: Sequence[tuple[Substance, float]], coffee_mmol_per_g: float) -> float:
    """Protons that carbonate must take [mol/l]. Phenols of the agents themselves are not counted: they give theirs only in part."""
    known = sum(g * s.mol_per_g() * s.acid_eq for s, g in parts if s.acid_eq)
    return known + sum(g * coffee_mmol_per_g / 1000 for s, g in parts if s.acid_mmol_per_g is not None)


def alkalinity(
    parts: Sequence[Part], temperature_c: float = 20.0, coffee: tuple[float, float] | None = None
) -> Alkalinity:
    """pH and reserve of a mix at a temperature [°C].

    Coffee's acid is not known: the centre stands at the middle of its range, or of `coffee` where a strip told it [mmol/g]. What it may be more or less, and what spoons may hold more
    or less, each on its own, add as the root of their squares [mol/l]; the ends of the pH are the same mix with so much more acid or alkali.
    """
    centre = [(p.substance, p.g_per_l) for p in parts]
    ranges = [p.substance.acid_mmol_per_g for p in parts if p.substance.acid_mmol_per_g is not None]
    least, most = (coffee or ranges[0]) if ranges else (0.0, 0.0)
    middle = (least + most) / 2
    unknown = "how much acid is in the coffee" if most > least and coffee is None else ""
    held, taken = soda(centre), acid(centre, middle)
    down, up = _spread(parts, least, most)
    reserve = held - taken
    told = (held, taken, reserve, reserve - down, reserve + up, unknown)
    water = totals(centre, middle)
    found = equilibrium(water, temperature_c)
    if found.ionic > STRONGEST:
        why = "Too strong a solution for this reckoning: measure it with a strip or a meter."
        return Alkalinity(None, None, None, found.ionic, *told, why)
    low = equilibrium(_with(water, "chloride", down), temperature_c).ph
    high = equilibrium(_with(water, "Na", up), temperature_c).ph
    worth = WORTH_CLEAN + WORTH_PER_IONIC * found.ionic + WORTH_STRONG * max(0.0, found.ionic - STRONG)
    worth += WORTH_ORGANIC if _organic(parts) else 0.0
    return Alkalinity(found.ph, min(low, found.ph) - worth, max(high, found.ph) + worth, found.ionic, *told, "")


def _spread(parts: Sequence[Part], least: float, most: float) -> tuple[float, float]:
    """How far the reserve may fall and rise [mol/l]: each doubt by itself, added as squares."""
    down, up = 0.0, 0.0
    for p in parts:
        s = p.substance
        more, less = (p.high or p.g_per_l) - p.g_per_l, p.g_per_l - (p.low or p.g_per_l)
        if s.acid_mmol_per_g is not None:
            per_g, half = (least + most) / 2000, (most - least) / 2000
            down += (p.g_per_l * half) ** 2 + (more * per_g) ** 2
            up += (p.g_per_l * half) ** 2 + (less * per_g) ** 2
            continue
        takes = s.mol_per_g() * (1.0 if s.family == "carbonate" else -s.acid_eq)
        fall, rise = (less, more) if takes > 0 else (more, less)
        down, up = down + (takes * fall) ** 2, up + (takes * rise) ** 2
    return math.sqrt(down), math.sqrt(up)


def _with(water: dict[str, float], name: str, more: float) -> dict[str, float]:
    return water | {name: water.get(name, 0.0) + more}


def _organic(parts: Sequence[Part]) -> bool:
    return any(p.substance.agent or p.substance.family in ("ascorbate", "instant_coffee") for p in parts)


MOST_COFFEE = 5.0  # mmol/g, beyond which nobody has reported any


def coffee_acid(
    parts: Sequence[Part], measured_ph: float, give: float, temperature_c: float = 20.0
) -> tuple[float, float, float] | None:
    """What acid the coffee of this mix has, if it measured so: low, likely, high [mmol/g], 9 in 10.

    give  what the reading is worth, half-width. None where no acid from none to `MOST_COFFEE` gives such a pH, or there is no coffee.
    """
    centre = [(p.substance, p.g_per_l) for p in parts]
    if not any(s.acid_mmol_per_g is not None for s, _ in centre):
        return None

    def at(mmol_per_g: float) -> float:
        return equilibrium(totals(centre, mmol_per_g), temperature_c).ph

    ionic = equilibrium(totals(centre, 1.0), temperature_c).ionic
    doubt = math.hypot(give, WORTH_CLEAN + WORTH_PER_IONIC * ionic + WORTH_ORGANIC)
    top, bottom = at(0.0), at(MOST_COFFEE)
    if measured_ph - doubt > top or measured_ph + doubt < bottom:
        return None

    def solved(ph: float) -> float:
        if ph >= top or ph <= bottom:
            return 0.0 if ph >= top else MOST_COFFEE
        low, high = 0.0, MOST_COFFEE
        for _ in range(30):
            middle = (low + high) / 2
            low, high = (middle, high) if at(middle) > ph else (low, middle)
        return (low + high) / 2

    return solved(measured_ph + doubt), solved(measured_ph), solved(measured_ph - doubt)


def ascorbic_edge_g(found: Alkalinity, ascorbic_g_per_l: float, ascorbic: Substance) -> tuple[float, float] | None:
    """Grams of ascorbic acid in a litre at which all carbonate is taken, if coffee is as acid as it may be, and if it is not at all.

    None where there is no carbonate. A figure of 0 means that it is over already.
    """
    if found.carbonate <= 0:
        return None
    per_g = ascorbic.mol_per_g() * ascorbic.acid_eq
    ends = [max(0.0, ascorbic_g_per_l + reserve / per_g) for reserve in (found.reserve_low, found.reserve_high)]
    return ends[0], ends[1]


def verdict(found: Alkalinity) -> str:
    """ "dead", "edge", "slow" or "works", for a developer whose alkali is carbonate."""
    if found.high is not None and found.high < DEAD_PH:
        return "dead"
    if found.carbonate > 0 and found.reserve_high <= 0:
        return "dead"
    if found.low is not None and found.low < DEAD_PH:
        return "edge"
    if found.carbonate > 0 and found.reserve_low < 0.25 * found.carbonate:
        return "edge"
    return "slow" if found.ph is not None and found.ph < SLOW_PH else "works"
