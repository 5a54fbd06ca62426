"""From a recipe to what is weighed out of the jars on this shelf: hydrates swapped mole for mole, tablets, spoons, what is left."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from firstsheet.chemistry.recipe import Line, Recipe
from firstsheet.chemistry.substance import SPOON_ML, Substance, swap_factor
from firstsheet.refusal import Problems

SCALE_G = 0.1  # the smallest step of kitchen scales that show tenths
COARSE = 0.10  # share of an amount that one step of the scales may be, before the tool says to weigh it otherwise
WELL_BELOW = 0.02  # below which a jar runs short of the recipe in words


@dataclass(frozen=True, slots=True)
class Jar:
    """One thing on the shelf.

    grams      how much of it is left [g]; None for plenty
    tablet_mg  where it is tablets: what one holds [mg]
    spoon_ml   where it is to be measured by level spoons: the spoon [ml]
    spoon_g    a spoon of it weighed by the person [g per 5 ml]; None for the table's
    price_per_g  in the currency of the asker; None where unknown
    """

    substance: Substance
    grams: float | None = None
    tablet_mg: float | None = None
    spoon_ml: float | None = None
    spoon_g: float | None = None
    price_per_g: float | None = None


@dataclass(frozen=True, slots=True)
class Weigh:
    """One thing to put in.

    asked         the recipe's substance and its grams for this volume
    grams         of what is on the shelf, with its range where it is measured by spoons [g]
    ml            for a liquid
    tablets, tablet_mg   how many; spoons, spoon_ml  how many level ones, in quarters
    swapped       whether another form stands in
    fine          a solution to make instead, where the scales are too coarse: grams into millilitres, take ml; None
    short_g       how much the jar lacks [g]; 0 where it does not
    price         of this amount; None where unknown
    """

    line: Line
    jar: Jar
    grams: float
    low: float
    high: float
    ml: float | None
    tablets: float | None
    spoons: float | None
    swapped: bool
    fine: tuple[float, float, float] | None
    short_g: float
    price: float | None


def choose(recipe: Recipe, jars: Sequence[Jar]) -> list[tuple[Line, Jar]]:
    """For each line the jar that serves: its own substance first, else one of its family; without any jar, the recipe's own.

    Refusal, all at once, where the shelf holds only what looks like it: baking soda for washing soda.
    """
    problems, out = Problems(), []
    for line in recipe.lines:
        s = line.substance
        if s is None:
            continue
        own = [j for j in jars if j.substance.key == s.key]
        kin = [j for j in jars if j.substance.family == s.family and j.substance.key != s.key]
        bicarbonate = [j for j in jars if j.substance.family == "bicarbonate"]
        if s.family == "carbonate" and not own and not kin and bicarbonate:
            problems.add(
                "have", bicarbonate[0].substance.words, "Washing soda, sodium carbonate. Baking soda is not alkaline enough: with it nothing develops.",
                f"Bake it: {baked_from(1.0):.1f} g of baking soda an hour at 200 °C in a dish, stirred, become 1 g of anhydrous carbonate; say then “soda ash”.",
            )  # fmt: skip
        out.append((line, (own or kin or [_default(line)])[0]))
    problems.raise_if_any()
    return out


def _default(line: Line) -> Jar:
    assert line.substance is not None
    return Jar(line.substance, tablet_mg=line.tablet_mg, spoon_ml=line.spoon_ml if line.spoons_per_l else None)


def baked_from(carbonate_g: float) -> float:
    """Grams of sodium bicarbonate that bake to so much anhydrous carbonate: 2 NaHCO3 → Na2CO3 + H2O + CO2."""
    from firstsheet.chemistry.formula import molar_mass

    return carbonate_g * 2 * molar_mass("NaHCO3") / molar_mass("Na2CO3")


def weigh(recipe: Recipe, volume_ml: float, jars: Sequence[Jar] = (), scale_g: float = SCALE_G) -> list[Weigh]:
    """What goes into `volume_ml` of the recipe as mixed (of the stock, where it is one), out of these jars."""
    return [_weighed(line, jar, volume_ml / 1000, scale_g) for line, jar in choose(recipe, jars)]


def _weighed(line: Line, jar: Jar, litres: float, scale_g: float) -> Weigh:
    assert line.substance is not None
    factor = swap_factor(line.substance, jar.substance)
    wanted = line.g_per_l * factor * litres
    grams, low, high, spoons, tablets = wanted, wanted, wanted, None, None
    if jar.tablet_mg is not None:
        tablets = max(0.5, _halves(wanted * 1000 / jar.tablet_mg))
        grams = low = high = tablets * jar.tablet_mg / 1000
    elif jar.spoon_ml is not None and jar.substance.spoon_g is not None:
        own = line.spoons_per_l if jar.substance.key == line.substance.key else None
        grams, low, high, spoons = _spooned(jar, wanted, own * litres * line.spoon_ml if own else None)
    ml = grams / jar.substance.density if jar.substance.density else None
    fine = None if ml or tablets or spoons else _fine(grams, scale_g)
    short = 0.0 if jar.grams is None else max(0.0, grams - jar.grams)
    price = None if jar.price_per_g is None else grams * jar.price_per_g
    return Weigh(
        line, jar, grams, low, high, ml, tablets, spoons, jar.substance.key != line.substance.key, fine,
        short if short > grams * WELL_BELOW else 0.0, price,
    )  # fmt: skip


def _spooned(jar: Jar, wanted_g: float, recipe_ml: float | None) -> tuple[float, float, float, float]:
    """Grams with their range, and how many level spoons in quarters. `recipe_ml`: the volume that the recipe itself says in spoons."""
    assert jar.spoon_ml is not None
    assert jar.substance.spoon_g is not None
    centre, low, high = spoon_range(jar)
    each = jar.spoon_ml / SPOON_ML
    spoons = recipe_ml / jar.spoon_ml if recipe_ml is not None else wanted_g / (centre * each)
    spoons = max(0.25, round(4 * spoons) / 4)
    return spoons * centre * each, spoons * low * each, spoons * high * each, spoons


def spoon_range(jar: Jar) -> tuple[float, float, float]:
    """Grams in a level 5 ml of it: centre, low, high; one weighed by the person is worth 5 % either way (common practice, no source)."""
    assert jar.substance.spoon_g is not None
    if jar.spoon_g is not None:
        return jar.spoon_g, 0.95 * jar.spoon_g, 1.05 * jar.spoon_g
    return jar.substance.spoon_g


def _halves(x: float) -> float:
    return math.floor(2 * x + 0.5) / 2


def _fine(grams: float, scale_g: float) -> tuple[float, float, float] | None:
    """A solution whose parts these scales can weigh: so many grams into so many ml, of which so many ml hold `grams`. None where not needed."""
    if grams >= scale_g / COARSE or grams <= 0:
        return None
    into = 100.0
    dissolve = max(10.0, round(scale_g / 0.02, 6))  # a fiftieth's doubt at most
    take = grams * into / dissolve
    while take < 1 and into < 1e6:
        into, take = into * 10, take * 10
    return dissolve, into, take


def largest_ml(recipe: Recipe, jars: Sequence[Jar]) -> tuple[float, Substance] | None:
    """The largest volume of the recipe as mixed that the jars allow [ml], and what runs out first. None where no amount is known."""
    found: list[tuple[float, Substance]] = []
    for line, jar in choose(recipe, jars):
        if jar.grams is None or line.g_per_l <= 0:
            continue
        assert line.substance is not None
        found.append((1000 * jar.grams / (line.g_per_l * swap_factor(line.substance, jar.substance)), jar.substance))
    return min(found, key=lambda f: f[0]) if found else None


def thinned(recipe: Recipe, share: float) -> Recipe:
    """The recipe with each line multiplied: what stock is in the tray, 0 < share ≤ 1."""
    lines = tuple(
        replace(x, g_per_l=x.g_per_l * share, spoons_per_l=x.spoons_per_l * share if x.spoons_per_l else None,
                part_ml_per_l=x.part_ml_per_l * share if x.part_ml_per_l else None)
        for x in recipe.lines
    )  # fmt: skip
    return replace(recipe, lines=lines)


def tray_ml(width_mm: float, length_mm: float, depth_mm: float) -> float:
    """What a tray of these inside measures holds at this depth [ml]; straight sides."""
    return width_mm * length_mm * depth_mm / 1000
