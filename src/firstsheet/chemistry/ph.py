"""How alkaline a mix is: charges balanced, activities by specific ion interaction (SIT) [NEA-TDB], shut off from the air's CO₂.

log γ = −z²·A√I/(1 + 1.5√I) + Σ ε·m. A mole in a litre is taken as a mole in a kilogram of water, which is right within 2 % where
this holds. Left out: ion pairs (they are in the ε), polyborates, what air and time do. Holds to an ionic strength of about 3.5.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from firstsheet import tables

STRONGEST = 3.5  # ionic strength above which nothing is told [mol/kg]
LOWEST, HIGHEST = -1.0, 15.0
# pKw of water at 0, 10, 15, 20, 25, 30, 35, 40, 50 °C; [CRC-HANDBOOK], from memory.
_PKW = ((0, 14.947), (10, 14.534), (15, 14.346), (20, 14.167), (25, 13.995), (30, 13.833), (35, 13.680), (40, 13.535), (50, 13.262))  # fmt: skip
_A = ((0, 0.491), (25, 0.509), (50, 0.534))  # Debye–Hückel slope, [NEA-TDB]
_ION_SIZE = 1.5  # B·a of the model, by its definition


@dataclass(frozen=True, slots=True)
class Equilibrium:
    """What a mix comes to.

    ph      −log10 of the activity of H⁺
    ionic   ionic strength [mol/kg]
    share   molality of each form by its name [mol/kg]
    """

    ph: float
    ionic: float
    share: dict[str, float]


def between(rows: tuple[tuple[float, float], ...], x: float) -> float:
    """Straight between the rows, held at their ends."""
    if x <= rows[0][0]:
        return rows[0][1]
    for (x0, y0), (x1, y1) in itertools.pairwise(rows):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return rows[-1][1]


def carbonic_pk(temperature_c: float) -> tuple[float, float]:
    """Both pK of carbonic acid, 0 to 50 °C: [HARNED-DAVIS-1943], [HARNED-SCHOLES-1941] (laws from memory)."""
    t = temperature_c + 273.15
    return 3404.71 / t + 0.032786 * t - 14.8435, 2902.39 / t + 0.02379 * t - 6.4980


@dataclass(frozen=True, slots=True)
class _Acid:
    charge: int
    pk: tuple[float, ...]
    species: tuple[str, ...]
    carbonic: bool


@cache
def _acids() -> dict[str, _Acid]:
    rows: dict[str, Any] = tables.load("ions")["acid"]
    return {
        k: _Acid(r["charge"], tuple(r["pk"]), tuple(r["species"]), r.get("law") == "carbonic") for k, r in rows.items()
    }


@cache
def _strong() -> dict[str, int]:
    return dict(tables.load("ions")["strong"])


@cache
def _charges() -> dict[str, int]:
    out = dict(_strong()) | {"H": 1, "OH": -1}
    for acid in _acids().values():
        out |= {name: acid.charge - i for i, name in enumerate(acid.species)}
    return out


def equilibrium(total: Mapping[str, float], temperature_c: float = 25.0, *, ideal: bool = False) -> Equilibrium:
    """The pH of `total` [mol/kg by name: "Na", "carbonate", "ascorbate", …] in water at 0 to 50 °C.

    ideal  without activities: what a schoolbook reckons, for comparison only
    ValueError for an unknown name or a negative amount. Beyond `STRONGEST` the figure is not worth telling; the caller asks `ionic`.
    """
    acids, strong = _acids(), _strong()
    for name, amount in total.items():
        if name not in acids and name not in strong:
            raise ValueError(f"not known in water: {name}")
        if not amount >= 0 or not math.isfinite(amount):
            raise ValueError(f"an amount cannot be {amount}")
    fixed = {name: total[name] for name in total if name in strong}
    weak = {name: total[name] for name in total if name in acids and total[name] > 0}
    slope = between(_A, temperature_c)
    pk = {n: carbonic_pk(temperature_c) if acids[n].carbonic else acids[n].pk for n in weak}
    gamma: dict[str, float] = {}
    before, found = math.inf, Equilibrium(7.0, 0.0, {})
    for _ in range(200):
        found = _balanced(fixed, weak, pk, between(_PKW, temperature_c), gamma)
        if ideal or abs(found.ph - before) < 1e-7:
            break
        before = found.ph
        fresh = _log_gamma(found, slope)
        gamma = {k: 0.5 * gamma.get(k, v) + 0.5 * v for k, v in fresh.items()}
    return found


def _balanced(fixed: dict[str, float], weak: dict[str, float], pk: dict[str, tuple[float, ...]], pkw: float, gamma: dict[str, float]) -> Equilibrium:  # fmt: skip
    """The pH at which charges cancel, activity coefficients (log10) held; halving, as the balance falls with pH."""
    low, high = LOWEST, HIGHEST
    for _ in range(60):
        middle = (low + high) / 2
        if _charge(_forms(middle, fixed, weak, pk, pkw, gamma)) > 0:
            low = middle
        else:
            high = middle
    ph = (low + high) / 2
    forms = _forms(ph, fixed, weak, pk, pkw, gamma)
    charges = _charges()
    return Equilibrium(ph, 0.5 * sum(m * charges[n] ** 2 for n, m in forms.items()), forms)


def _forms(ph: float, fixed: dict[str, float], weak: dict[str, float], pk: dict[str, tuple[float, ...]], pkw: float, gamma: dict[str, float]) -> dict[str, float]:  # fmt: skip
    out = dict(fixed)
    out["H"] = 10.0 ** (-ph - gamma.get("H", 0.0))
    out["OH"] = 10.0 ** (ph - pkw - gamma.get("OH", 0.0))
    for name, amount in weak.items():
        species = _acids()[name].species
        logs, step = [-gamma.get(species[0], 0.0)], 0.0
        for i, k in enumerate(pk[name], 1):
            step += ph - k
            logs.append(step - gamma.get(species[i], 0.0))
        most = max(logs)
        parts = [10.0 ** (x - most) for x in logs]
        whole = sum(parts)
        out |= {s: amount * p / whole for s, p in zip(species, parts, strict=True)}
    return out


def _charge(forms: dict[str, float]) -> float:
    charges = _charges()
    return sum(m * charges[n] for n, m in forms.items())


def _log_gamma(now: Equilibrium, slope: float) -> dict[str, float]:
    """log10 of each activity coefficient at this make-up; one for what has no charge."""
    charges = _charges()
    root = math.sqrt(max(now.ionic, 0.0))
    field = slope * root / (1 + _ION_SIZE * root)
    out = {n: -(charges[n] ** 2) * field for n in now.share if charges[n]}
    for cation, row in tables.load("ions")["epsilon"].items():
        m = now.share.get(cation, 0.0)
        if cation not in now.share:
            continue
        for anion, epsilon in row.items():
            if anion in now.share:
                out[anion] += epsilon * m
                out[cation] += epsilon * now.share[anion]
    return out
