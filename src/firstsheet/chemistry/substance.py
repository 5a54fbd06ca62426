"""Substances: what they weigh by the mole, what may stand in for what, a level spoonful with its spread, their dangers."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from firstsheet import tables
from firstsheet.chemistry.formula import molar_mass
from firstsheet.refusal import Refusal

SPOON_ML = 5.0  # the metric teaspoon that table figures are for


@dataclass(frozen=True, slots=True)
class Substance:
    """One substance as it is sold.

    molar_g      molar mass with its water of crystals [g/mol]; None where there is no one formula (coffee)
    part         mass fraction of the substance in what is sold [0–1]; below 1 for solutions
    density      of a solution [g/ml]; None for a solid
    spoon_g      one level 5 ml teaspoon [g]: centre, low, high; None for liquids
    family       what may stand in for it, mole for mole
    count        of the working part in one formula (metabisulphite gives two sulphites, a family counts alike)
    acid_eq      protons that it takes from a carbonate, per mole [mol/mol]
    acid_mmol_per_g  where that is unknown: from, to [mmol/g]
    """

    key: str
    words: str
    family: str
    formula: str | None
    molar_g: float | None
    part: float
    density: float | None
    spoon_g: tuple[float, float, float] | None
    spoon_source: str
    names: tuple[str, ...]
    gives: dict[str, float]
    hazards: tuple[str, ...]
    never: tuple[str, ...]
    store: str
    acid_eq: float = 0.0
    acid_mmol_per_g: tuple[float, float] | None = None
    acid_source: str = ""
    density_source: str = ""
    swap_note: str = ""
    tablets: str = ""
    dust: bool = False
    agent: bool = False
    molar_source: str = field(default="from its formula, [CIAAW-2021]")

    @property
    def liquid(self) -> bool:
        return self.density is not None

    def mol_per_g(self) -> float:
        """Moles of the substance in a gram of what is sold [mol/g]. ValueError where it has no formula."""
        if self.molar_g is None:
            raise ValueError(f"{self.words} has no one formula")
        return self.part / self.molar_g


@cache
def all_of_them() -> dict[str, Substance]:
    """Every substance, by its key."""
    return {key: _made(key, row) for key, row in tables.load("substances").items()}


def _made(key: str, row: dict[str, Any]) -> Substance:
    formula = row.get("formula")
    spoon = row.get("spoon")
    acid = row.get("acid_mmol_per_g")
    hydrogen = {"ascorbic_acid": 1.0}.get(key, 0.0)
    return Substance(
        key=key, words=row["words"], family=row["family"], formula=formula,
        molar_g=molar_mass(formula) if formula else None, part=row.get("part", 1.0), density=row.get("density"),
        spoon_g=(spoon[0], spoon[1], spoon[2]) if spoon else None, spoon_source=row.get("spoon_source", ""),
        names=tuple(row["names"]), gives=dict(row.get("gives", {})), hazards=tuple(row["hazards"]), never=tuple(row["never"]),
        store=row["store"], acid_eq=row.get("acid_eq", hydrogen), acid_mmol_per_g=(acid[0], acid[1]) if acid else None,
        acid_source=row.get("acid_source", ""), density_source=row.get("density_source", ""), swap_note=row.get("swap_note", ""),
        tablets=row.get("tablets", ""), dust=row.get("dust", False), agent=row.get("agent", False),
    )  # fmt: skip


def of(key: str) -> Substance:
    return all_of_them()[key]


def swap_factor(old: Substance, new: Substance) -> float:
    """Grams of `new` that stand for one gram of `old`, mole for mole. ValueError between families."""
    if old.key == new.key:
        return 1.0
    if old.family != new.family:
        raise ValueError(f"{new.words} does not stand for {old.words}")
    return old.mol_per_g() / new.mol_per_g()


def named(text: str) -> Substance:
    """The one substance of that name, its key, or a name it is sold under; spelling with ph or f, US or UK alike.

    Refusal where nothing or more than one has it: “washing soda” may be any of three, and they differ by 2.7 in weight.
    """
    found = candidates(text)
    if len(found) == 1:
        return found[0]
    if not found:
        raise Refusal.one(
            "", text, "No such substance here.", "Say it as on the jar: “sodium carbonate anhydrous”. See the list."
        )
    choice = "; ".join(f"“{s.key.replace('_', ' ')}” ({s.words})" for s in found)
    raise Refusal.one("", text, f"This may be any of: {choice}.", _apart(found))


def _apart(found: list[Substance]) -> str:
    if {s.family for s in found} >= {"carbonate"}:
        return "Glassy crystals are decahydrate; sand or powder is anhydrous or monohydrate: the packet or its safety data sheet says which."
    return "Say which."


# What people say that is not enough: every substance it may be.
_LOOSE = {
    "washing soda": ("carbonate_anhydrous", "carbonate_monohydrate", "carbonate_crystals"),
    "sodium carbonate": ("carbonate_anhydrous", "carbonate_monohydrate", "carbonate_crystals"),
    "carbonate": ("carbonate_anhydrous", "carbonate_monohydrate", "carbonate_crystals", "carbonate_potassium"),
    "soda": ("carbonate_anhydrous", "carbonate_monohydrate", "carbonate_crystals", "bicarbonate"),
    "sodium sulfite": ("sulphite_anhydrous", "sulphite_crystals"),
    "sulfite": ("sulphite_anhydrous", "sulphite_crystals"),
    "sodium thiosulfate": ("thiosulphate_crystals", "thiosulphate_anhydrous"),
    "thiosulfate": ("thiosulphate_crystals", "thiosulphate_anhydrous", "thiosulphate_ammonium"),
    "acetic acid": ("acetic_glacial", "acetic_80", "acetic_28", "vinegar"),
    "bisulfite": ("metabisulphite_sodium", "metabisulphite_potassium"),
}


def candidates(text: str) -> list[Substance]:
    """Every substance a name may mean; one where the name is enough."""
    asked = plain(text)
    have = all_of_them()
    exact = [s for s in have.values() if asked in _names(s)]
    if exact:
        return exact[:1]
    loose = {plain(k): v for k, v in _LOOSE.items()}
    return [have[k] for k in loose.get(asked, ())]


def _names(s: Substance) -> set[str]:
    return {plain(s.key), plain(s.words), *(plain(n) for n in s.names)}


def plain(name: str) -> str:
    """A name in its one form: small letters, no signs, sulph as sulf, words in their order."""
    words = re.sub(r"[^a-z0-9%]+", " ", name.lower().replace("sulph", "sulf").replace("%", " %")).split()
    return " ".join(w for w in words if w not in ("of", "the", "level", "heaped"))
