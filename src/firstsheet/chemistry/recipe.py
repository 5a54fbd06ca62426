"""Recipes as data: what goes into a litre, in which order, how it is used and how long it keeps."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from firstsheet import tables
from firstsheet.chemistry import substance
from firstsheet.chemistry.substance import SPOON_ML, Substance

KINDS = {"developer": "Developers", "stop": "Stop baths", "fixer": "Fixers", "clearing": "Washing aids", "bleach": "Reversal: bleach and clearing bath", "set": "By the supplier's sheet", "other": "Others"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Line:
    """One substance of a recipe.

    g_per_l   grams in a litre of what is made; of a liquid too, its volume by density [g/l]
    spoons_per_l  where the recipe is in spoons: level spoons of `spoon_ml` in a litre; g_per_l is then only their centre
    part_ml_per_l  a part known only by the name on its bottle (of a set): millilitres in a litre; `substance` is then None
    apart     dissolved in a little water of its own; say  what is said when it goes in
    """

    substance: Substance | None
    words: str
    g_per_l: float
    spoons_per_l: float | None = None
    spoon_ml: float = SPOON_ML
    part_ml_per_l: float | None = None
    tablet_mg: float | None = None
    apart: bool = False
    say: str = ""


@dataclass(frozen=True, slots=True)
class Recipe:
    """One recipe. `base` names the stock it is thinned from, with `dilution`; temperatures [°C], times [s], keeping [h]."""

    key: str
    words: str
    kind: str
    lines: tuple[Line, ...]
    source: str
    stock: bool = False
    dilution: str | None = None
    base: str | None = None
    agents: tuple[str, ...] = ()
    into: float = 0.7
    start_c: tuple[float, float] | None = None
    use_c: tuple[float, float, float] | None = None
    time_s: tuple[float, float] | None = None
    time_source: str = ""
    keeps_h: float | None = None
    keeps_words: str = ""
    notes: tuple[str, ...] = ()
    own: bool = False


@cache
def all_of_them() -> dict[str, Recipe]:
    """Every shipped recipe, by its key. What is thinned from a stock shows that stock's lines."""
    rows: dict[str, Any] = tables.load("recipes")
    return {key: _made(key, row, rows) for key, row in rows.items()}


def _made(key: str, row: dict[str, Any], rows: dict[str, Any]) -> Recipe:
    from_stock = rows[row["base"]] if row.get("base") else row
    return Recipe(
        key=key, words=row["words"], kind=row["kind"], lines=tuple(_line(r) for r in from_stock["lines"]),
        source=row["source"], stock=bool(from_stock.get("stock")), dilution=row.get("dilution"), base=row.get("base"),
        agents=tuple(row["agents"]), into=row["into"], start_c=_two(from_stock.get("start_c")), use_c=_three(row.get("use_c")),
        time_s=_two(row.get("time_s")), time_source=row.get("time_source", ""), keeps_h=row.get("keeps_h"),
        keeps_words=row.get("keeps_words", ""), notes=(*row.get("notes", ()), *(from_stock.get("notes", ()) if row.get("base") else ())),
    )  # fmt: skip


def _line(row: dict[str, Any]) -> Line:
    s = substance.of(row["of"])
    spoons = row.get("spoons")
    if spoons is not None:
        assert s.spoon_g is not None
        grams = spoons * s.spoon_g[0]
    else:
        grams = row["g"] if "g" in row else row["ml"] * (s.density or 1.0)
    return Line(s, s.words, grams, spoons, apart=row.get("apart", False), say=row.get("say", ""))


def _two(x: Any) -> tuple[float, float] | None:
    return (float(x[0]), float(x[1])) if x else None


def _three(x: Any) -> tuple[float, float, float] | None:
    return (float(x[0]), float(x[1]), float(x[2])) if x else None
