"""A mix as asked for: the recipe, how much of it, what stands on the shelf and how it is measured."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeVar

from firstsheet import measures
from firstsheet import quantities as q
from firstsheet.acts import mixing_coffee, mixing_own, mixing_spoons
from firstsheet.acts.door import Door, Form
from firstsheet.chemistry import shelf, substance
from firstsheet.chemistry.recipe import Recipe
from firstsheet.chemistry.shelf import Jar
from firstsheet.refusal import Problems, Refusal

if TYPE_CHECKING:
    from firstsheet.acts.mixing_own import Shelf

T = TypeVar("T")
DEPTH_MM = 10.0  # a tray's depth of liquid where none is said; common practice, no source
FIELDS = ("recipe", "volume", "tray", "depth", "have", "spoons", "scale", "dilution", "temperature", "prices", "units")
MOST_ML, LEAST_ML = 500_000.0, 20.0


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked, in the units inside. `share`: stock in the tray [0–1]; `us`: ounces beside grams."""

    recipe: Recipe
    share: float
    dilution: str | None
    volume_ml: float | None
    jars: tuple[Jar, ...]
    scale_g: float
    temperature_c: float | None
    currency: str
    us: bool
    coffee: tuple[float, float] | None = None


def read(reader: Shelf, form: Form | None) -> Asked:
    """The form read; Refusal with every problem. Fields: see `mixing.mix`."""
    d = Door(form)
    r = d.must(
        "recipe", lambda t: mixing_own.recipe_named(reader, t), "Which recipe.", "Try “coffee”; the list shows all."
    )
    volume, units = _volume(d), d.pick("units", ("metric", "us"))
    thin = d.read("dilution", measures.dilution)
    jars = [
        (_own_spoon(j, mixing_spoons.spoons(reader)), money)
        for j, money in _priced(d, _shelf(d, measures.US_TEASPOON_ML if units == "us" else measures.TEASPOON_ML))
    ]
    scale = d.read("scale", measures.mass_g) or shelf.SCALE_G
    temperature = d.read("temperature", mixing_own.tray_c)
    if thin and r and not r.stock:
        d.problems.add(
            "dilution",
            d.said("dilution"),
            "A recipe that is a stock.",
            "This one is mixed at the strength it is used at.",
        )
    if r and not r.lines:
        d.problems.add("recipe", r.key, "A recipe with its amounts.", "Use the supplier's sheet; keep its parts as your own recipe: “100 ml part A; 100 ml part B”.")  # fmt: skip
    d.close()
    assert r is not None
    said = d.said("dilution") or r.dilution
    share = (thin or measures.dilution(said)).share if r.stock and said else 1.0
    shelf_jars = (*(j for j, _ in jars), *_spooned_lines(r, [j for j, _ in jars], mixing_spoons.spoons(reader)))
    return Asked(r, share, said if r.stock else None, volume, shelf_jars, scale, temperature, jars[0][1] if jars else "", units == "us", mixing_coffee.known(reader))  # fmt: skip


def _volume(d: Door) -> float | None:
    volume = d.read("volume", measures.volume_ml)
    tray, depth = d.read("tray", q.sheet_size_mm), d.read("depth", q.length_mm)
    if tray and volume:
        d.problems.add("tray", d.said("tray"), "A volume, or a tray.", "Leave one of them out.")
    if depth is not None and not 2 <= depth <= 200:
        d.problems.add("depth", d.said("depth"), "A depth of liquid from 2 to 200 mm.", "Try “10 mm”.")
    if depth is not None and tray is None and d.said("tray") is None:
        d.problems.add("depth", d.said("depth"), "A depth goes with a tray.", "Say the tray's inside measures too.")
    if tray:
        volume = shelf.tray_ml(tray[0], tray[1], depth or DEPTH_MM)
    if volume is not None and not LEAST_ML <= volume <= MOST_ML:
        d.problems.add("volume", d.said("volume") or d.said("tray"), "From 20 ml to 500 l.", "Check the unit.")
    return volume


def _shelf(d: Door, spoon_ml: float) -> list[Jar]:
    """Jars that are there, and those to be measured by spoons."""
    jars: list[Jar] = []
    with d.problems.at("have"):
        jars = _each(d.said("have"), mixing_own.jar_of)
    said = d.said("spoons")
    if said is None:
        return jars
    if said.lower() in ("all", "yes"):
        return [_spooned(j, spoon_ml) for j in jars] + [Jar(s, spoon_ml=spoon_ml) for s in substance.all_of_them().values()
                                              if s.spoon_g and all(j.substance.key != s.key for j in jars) and not _kin(s, jars)]  # fmt: skip
    with d.problems.at("spoons"):
        for jar in _each(said, _spoon_jar):
            mine = [j for j in jars if j.substance.key == jar.substance.key]
            jars = [j for j in jars if j not in mine] + [
                replace(jar, spoon_ml=spoon_ml, grams=mine[0].grams if mine else None)
            ]
    return jars


def _kin(s: substance.Substance, jars: list[Jar]) -> bool:
    return any(j.substance.family == s.family for j in jars)


def _spooned(jar: Jar, spoon_ml: float) -> Jar:
    return jar if jar.tablet_mg or not jar.substance.spoon_g else replace(jar, spoon_ml=spoon_ml)


def _spoon_jar(item: measures.SaidAmount) -> Jar:
    """ "coffee", or "2.3 g coffee": what one level 5 ml spoon of it weighed."""
    s = substance.named(item.name)
    if s.spoon_g is None or item.kind not in ("", "g"):
        raise Refusal.one("", item.name, "A solid, with what a level 5 ml spoon of it weighed if you know.", "Try “coffee” or “2.3 g coffee”.")  # fmt: skip
    if item.number is not None:
        mixing_spoons.credible(s, item.number)
    return Jar(s, spoon_ml=measures.TEASPOON_ML, spoon_g=item.number)


def _own_spoon(jar: Jar, weighed: dict[str, float]) -> Jar:
    """A jar that is spooned, with what a spoon of it weighed once."""
    if jar.spoon_ml is None or jar.spoon_g is not None or jar.substance.key not in weighed:
        return jar
    return replace(jar, spoon_g=weighed[jar.substance.key])


def _spooned_lines(r: Recipe, jars: list[Jar], weighed: dict[str, float]) -> list[Jar]:
    """What the recipe itself measures by spoons and the shelf says nothing of, where a spoon of it was weighed."""
    said = {j.substance.family for j in jars}
    return [Jar(x.substance, spoon_ml=x.spoon_ml, spoon_g=weighed[x.substance.key]) for x in r.lines
            if x.substance and x.spoons_per_l and x.substance.family not in said and x.substance.key in weighed]  # fmt: skip


def _each(said: str | None, read: Callable[[measures.SaidAmount], T]) -> list[T]:
    """Every line of a list, or one Refusal with all that are wrong."""
    problems, out = Problems(), []
    for item in measures.lines_of(said) if said else ():
        with problems.at(f"“{item.name}”"):
            out.append(read(item))
    problems.raise_if_any()
    return out


def _priced(d: Door, jars: list[Jar]) -> list[tuple[Jar, str]]:
    """Jars with what a gram costs; a price for what is not on the shelf adds it there."""
    said, currency, found = d.said("prices"), "", {j.substance.key: j for j in jars}
    with d.problems.at("prices"):
        for part in (said or "").split(";"):
            if not part.strip():
                continue
            name, (amount, money), per_g = _price(part)
            if currency and money != currency:
                raise Refusal.one("", part, f"One currency: {currency}.", "Say all prices in it.")
            currency = money
            s = substance.named(name)
            jar = found.get(s.key, Jar(s))
            grams = per_g if not s.liquid or "l" not in part.split()[-1] else per_g * (s.density or 1.0)
            found[s.key] = replace(jar, price_per_g=amount / grams)
    return [(j, currency) for j in found.values()]


def _price(part: str) -> tuple[str, tuple[float, str], float]:
    """ "soda crystals 2.40 EUR per kg" → its name, the money, the grams (or ml) that it buys."""
    found = re.fullmatch(r"\s*(.+?)\s+(?:at |for )?((?:[A-Za-z]{3} ?|[$€£¥] ?)?[0-9.,]+(?: ?(?:[A-Za-z]{3}|[$€£¥]))?) ?(?:per|/|for|a) ?(.+?)\s*", part)  # fmt: skip
    if found is None:
        raise Refusal.one(
            "", part.strip(), "A name, a price and for how much.", "Write it like “soda crystals 2.40 EUR per kg”."
        )
    per = found[3] if re.match(r"[0-9½¼]", found[3]) else f"1 {found[3]}"
    try:
        amount = measures.mass_g(per)
    except Refusal:
        amount = measures.volume_ml(per)
    return found[1], q.money(found[2]), amount
