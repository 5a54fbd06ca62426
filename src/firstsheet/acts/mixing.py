"""Mix for these trays out of this shelf: what to weigh, in which order, what it comes to, what can go wrong and what can hurt."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet.acts import mixing_words
from firstsheet.acts.door import Form
from firstsheet.acts.mixing_asked import LEAST_ML, Asked, read
from firstsheet.chemistry import hazard, shelf, solution, substance
from firstsheet.chemistry.shelf import Weigh
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.mixing_own import Shelf


WORKING_H = 24.0  # a bath thinned from its stock; common practice, no source


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to measure.

    figure, unit   the one number and what it counts ("175", "g")
    words, doubt, swapped, fine, short, note   sentences, "" where there is nothing to say
    grams, low_g, high_g   what that is, with its range [g]; None for a part known only by its bottle
    ml, spoons, tablets, price   where they apply
    """

    key: str
    words: str
    figure: str
    unit: str
    grams: float | None
    low_g: float | None
    high_g: float | None
    ml: float | None
    spoons: float | None
    tablets: float | None
    price: float | None
    doubt: str
    swapped: str
    fine: str
    short: str
    note: str


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the card: one number, what it is of, and a word beside it."""

    figure: str
    unit: str
    words: str
    aside: str


@dataclass(frozen=True, slots=True)
class Mix:
    """What to mix.

    volume_ml   in the tray; stock_ml, water_ml where it is thinned from a stock
    ph, ph_low, ph_high   with its 9-in-10 range; None where it is not told
    carbonate_mol_l, reserve_low_mol_l, reserve_high_mol_l   soda, and what acid leaves of it
    outlook     works, slow, edge, dead; "" for what is no carbonate developer
    cost, currency   of all lines whose price is known; `cost_words` says if some are not
    """

    recipe: str
    words: str
    kind: str
    volume_ml: float
    volume_words: str
    stock_ml: float | None
    water_ml: float | None
    dilution: str | None
    items: tuple[Item, ...]
    steps: tuple[Step, ...]
    ph: float | None
    ph_low: float | None
    ph_high: float | None
    ph_words: str
    carbonate_mol_l: float
    reserve_low_mol_l: float
    reserve_high_mol_l: float
    outlook: str
    warnings: tuple[str, ...]
    largest_ml: float | None
    largest_words: str
    cautions: tuple[str, ...]
    wear: str
    never: tuple[str, ...]
    hazards: tuple[str, ...]
    use: str
    keeps: str
    keeps_h: float | None
    cost: float | None
    currency: str
    cost_words: str
    notes: tuple[str, ...]
    source: str


def mix(reader: Shelf, form: Form | None = None) -> Mix:
    """What to weigh for a recipe.

    Fields: recipe; volume (“2 l”), or tray (“300x400 mm” inside) with depth (10 mm unless said), else the largest batch that `have`
    allows; have (“500 g soda crystals; vitamin C tablets 500 mg”); spoons (“all”, or names, with a spoon's own weight: “coffee 2.3 g”);
    scale (the smallest step of the scales, 0.1 g); dilution (“1+2”, “stock”); temperature of the tray; prices (“soda crystals 2.40 EUR
    per kg”); units (metric or us). Refusal with every problem; baking soda for washing soda among them.
    """
    return _made(read(reader, form))


# ── what it comes to ──


def _made(asked: Asked) -> Mix:
    r = asked.recipe
    most = shelf.largest_ml(r, asked.jars)
    tray_ml = asked.volume_ml if asked.volume_ml is not None else (most[0] / asked.share if most else None)
    if tray_ml is None:
        raise Refusal.one("volume", "", "How much: a volume, a tray with its depth, or what is left in a jar.", "Try “2 l”, or have “120 g hydroquinone”.")  # fmt: skip
    if tray_ml < LEAST_ML:
        raise Refusal.one(
            "have",
            f"{mixing_words.litres(tray_ml)}",
            "Enough for 20 ml at least.",
            "Check the amounts and their units.",
        )
    stock_ml = tray_ml * asked.share
    weighed = shelf.weigh(r, stock_ml, asked.jars, asked.scale_g)
    items = [_item(w, asked.us) for w in weighed] + [
        _part(x.words, x.part_ml_per_l * stock_ml / 1000) for x in r.lines if x.part_ml_per_l
    ]
    parts = [solution.Part(w.jar.substance, *(g / tray_ml * 1000 for g in (w.grams, w.low, w.high))) for w in weighed]
    found = solution.alkalinity(
        parts, mixing_words.AT_C if asked.temperature_c is None else asked.temperature_c, asked.coffee
    )
    whole = all(x.part_ml_per_l is None for x in r.lines)
    outlook = solution.verdict(found) if r.kind == "developer" and whole else ""
    have = [w.jar.substance for w in weighed]
    cost, cost_words = _cost(weighed, asked.currency)
    return Mix(
        recipe=r.key, words=r.words, kind=r.kind, volume_ml=tray_ml, volume_words=mixing_words.litres(tray_ml),
        stock_ml=stock_ml if asked.dilution else None, water_ml=tray_ml - stock_ml if asked.dilution else None, dilution=asked.dilution,
        items=tuple(items), steps=tuple(_steps(asked, weighed, items, stock_ml, tray_ml)),
        ph=found.ph if whole else None, ph_low=found.low if whole else None, ph_high=found.high if whole else None,
        ph_words=mixing_words.ph(found, asked.temperature_c) if whole else "Its parts are known only by their bottles: pH not told.",
        carbonate_mol_l=found.carbonate, reserve_low_mol_l=found.reserve_low, reserve_high_mol_l=found.reserve_high, outlook=outlook,
        warnings=tuple(_warnings(asked, weighed, found, outlook, tray_ml)),
        largest_ml=most[0] / asked.share if most else None, largest_words=_largest(most, asked.share),
        cautions=tuple(hazard.cautions(have, r.kind, r.start_c[1] if r.start_c else None)), wear=hazard.wear(have),
        never=tuple(dict.fromkeys(f"{s.words}: never with {n}" for s in have for n in s.never)), hazards=tuple(hazard.label_words(have)),
        use=mixing_words.use(r), keeps=r.keeps_words, keeps_h=WORKING_H if asked.dilution and asked.share < 1 else r.keeps_h, cost=cost, currency=asked.currency, cost_words=cost_words,
        notes=r.notes, source=r.source,
    )  # fmt: skip


def _item(w: Weigh, us: bool) -> Item:
    figure, unit = mixing_words.amount(w, us)
    s = w.jar.substance
    short = f"the jar lacks {mixing_words.grams(w.short_g)}" if w.short_g else ""
    note = s.tablets if w.tablets is not None else ""
    return Item(s.key, s.words, figure, unit, w.grams, w.low, w.high, w.ml, w.spoons, w.tablets, w.price, mixing_words.doubt(w),
                mixing_words.swapped(w), mixing_words.fine(w), short, note)  # fmt: skip


def _part(words: str, ml: float) -> Item:
    return Item("", words, mixing_words.figure(ml), "ml", None, None, None, ml, None, None, None, "", "", "", "", "")


def _steps(asked: Asked, weighed: list[Weigh], items: list[Item], stock_ml: float, tray_ml: float) -> list[Step]:
    """One number at a time, in the order of mixing."""
    r, us = asked.recipe, asked.us
    warm = f"at {mixing_words.figure(r.start_c[0])} to {mixing_words.figure(r.start_c[1])} °C" if r.start_c else ""
    begin = _part("", stock_ml * r.into)
    out = [Step(begin.figure, "ml", "water to begin with", warm)]
    apart = {w.jar.substance.key for w in weighed if w.line.apart}
    said = {w.jar.substance.key: w.line.say for w in weighed}
    for item in items:
        asides = [said.get(item.key, ""), item.swapped, item.doubt, item.fine, item.short]
        if item.key in apart:
            asides.append("dissolved first in a little of the water, hot if it is tablets" if item.tablets else "dissolved in a little of the water, then in")  # fmt: skip
        out.append(Step(item.figure, item.unit, item.words, "; ".join(a for a in asides if a) or "stir until clear"))
    whole = mixing_words.figure(stock_ml) if stock_ml < 10_000 else mixing_words.figure(stock_ml / 1000)
    out.append(Step(whole, "ml" if stock_ml < 10_000 else "l", "water up to", "cold; " + ("this is the stock" if asked.dilution else "this is the bath")))  # fmt: skip
    if asked.dilution and asked.share < 1:
        out.append(Step(mixing_words.figure(stock_ml), "ml", "of that stock into the tray", f"{asked.dilution}"))
        out.append(
            Step(
                mixing_words.figure(tray_ml - stock_ml),
                "ml",
                "of water with it",
                mixing_words.millilitres(tray_ml, us) + " in all",
            )
        )
    return out


def _warnings(
    asked: Asked, weighed: list[Weigh], found: solution.Alkalinity, outlook: str, tray_ml: float
) -> list[str]:
    """What makes it fail, worst first."""
    r, out = asked.recipe, hazard.dangers(w.jar.substance for w in weighed if asked.recipe.own)
    if outlook in ("dead", "edge", "slow"):
        out.append(mixing_words.verdict(outlook, found))
    c = [w for w in weighed if w.jar.substance.key == "ascorbic_acid"]
    ends = (
        solution.ascorbic_edge_g(found, sum(w.grams for w in c) / tray_ml * 1000, substance.of("ascorbic_acid"))
        if c
        else None
    )
    if ends is not None and outlook in ("dead", "edge"):
        out.append(mixing_words.edge(ends, sum(w.grams for w in c) / tray_ml * 1000, tray_ml, bool(found.unknown)))
    if cold := mixing_words.cold(r, asked.temperature_c):
        out.append(cold)
    out += [mixing_words.other_soda(w, w.line.g_per_l * tray_ml * asked.share / 1000) for w in weighed if w.jar.substance.family == "carbonate" and w.swapped]  # fmt: skip
    out += [f"Not enough {w.jar.substance.words}: {mixing_words.grams(w.short_g)} short." for w in weighed if w.short_g]
    spooned = [w for w in weighed if w.spoons is not None and w.high > 1.15 * w.grams]
    if spooned and not r.own and r.key != "coffee_spoons":
        out.append("By spoons this is a guess: a packet may hold half as much again. Scales that show grams are the cheapest part of a darkroom.")  # fmt: skip
    return out


def _largest(most: tuple[float, substance.Substance] | None, share: float) -> str:
    if most is None:
        return ""
    return f"What is left makes {mixing_words.litres(most[0] / share)} at most: {most[1].words} runs out first."


def _cost(weighed: list[Weigh], currency: str) -> tuple[float | None, str]:
    from firstsheet import wording

    known = [w.price for w in weighed if w.price is not None]
    if not known:
        return None, ""
    rest = (
        ""
        if len(known) == len(weighed)
        else f", without {', '.join(w.jar.substance.words for w in weighed if w.price is None)}"
    )
    return sum(known), f"{wording.money(sum(known), currency)}{rest}"
