"""What is known of substances and recipes, told; and stock thinned with water."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet import measures
from firstsheet.acts import mixing_own, mixing_words
from firstsheet.acts.door import Door, Form
from firstsheet.chemistry import hazard, substance
from firstsheet.chemistry.recipe import KINDS, Recipe
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.mixing_own import Shelf


@dataclass(frozen=True, slots=True)
class Standing:
    """One form that may stand in: how much of it for ten grams."""

    key: str
    words: str
    for_ten_g: float


@dataclass(frozen=True, slots=True)
class Told:
    """One substance, told. molar_g [g/mol], None for what has no one formula; spoon_* in a level 5 ml teaspoon [g], None for liquids."""

    key: str
    words: str
    formula: str | None
    molar_g: float | None
    molar_source: str
    part: float
    density_g_ml: float | None
    spoon_g: float | None
    spoon_low_g: float | None
    spoon_high_g: float | None
    spoon_source: str
    names: tuple[str, ...]
    stands: tuple[Standing, ...]
    hazards: tuple[str, ...]
    never: tuple[str, ...]
    store: str
    tablets: str
    acid_words: str
    wear: str
    defers: str


def told(name: str) -> Told:
    """Everything about one substance. Refusal where the name is not enough."""
    try:
        s = substance.named(name)
    except Refusal as refusal:
        p = refusal.problems[0]
        raise Refusal.one(
            "substance", p.asked, p.allowed, p.hint, "missing" if "No such" in p.allowed else "asked"
        ) from None
    kin = [x for x in substance.all_of_them().values() if x.family == s.family and x.key != s.key]
    spoon, low, high = s.spoon_g or (None, None, None)
    acid = ""
    if s.acid_mmol_per_g:
        acid = f"Its acid: {s.acid_mmol_per_g[0]:g} to {s.acid_mmol_per_g[1]:g} mmol/g; {s.acid_source}."
    elif s.acid_eq:
        acid = f"A mole of it takes {s.acid_eq:g} of carbonate; 1 g takes {mixing_words.figure(s.acid_eq * s.mol_per_g() / substance.of('carbonate_anhydrous').mol_per_g())} g of anhydrous carbonate."
    return Told(
        s.key, s.words, s.formula, s.molar_g, s.molar_source if s.molar_g else "", s.part, s.density, spoon, low, high, s.spoon_source, s.names,
        tuple(Standing(x.key, x.words, 10 * substance.swap_factor(s, x)) for x in kin), s.hazards, s.never, s.store, s.tablets, acid,
        hazard.wear([s]), hazard.DEFERS,
    )  # fmt: skip


def substances() -> list[Told]:
    return [told(key) for key in substance.all_of_them()]


@dataclass(frozen=True, slots=True)
class RecipeTold:
    """A recipe, told: `lines` for a litre, in the order of mixing."""

    key: str
    words: str
    kind: str
    stock: bool
    dilution: str | None
    lines: tuple[str, ...]
    use: str
    keeps: str
    notes: tuple[str, ...]
    source: str
    own: bool


def recipes(reader: Shelf) -> list[RecipeTold]:
    return [_recipe(r) for r in mixing_own.recipes(reader)]


def recipe_told(reader: Shelf, name: str) -> RecipeTold:
    return _recipe(mixing_own.recipe_named(reader, name))


def _recipe(r: Recipe) -> RecipeTold:
    lines = []
    for x in r.lines:
        if x.substance is None:
            lines.append(f"{mixing_words.figure(x.part_ml_per_l or 0)} ml of {x.words}")
        elif x.spoons_per_l:
            lines.append(
                f"{mixing_words.quarters(x.spoons_per_l)} {mixing_words.spoon_word(x.spoon_ml, x.spoons_per_l)} of {x.words}"
            )
        elif x.substance.density:
            lines.append(f"{mixing_words.figure(x.g_per_l / x.substance.density)} ml of {x.words}")
        else:
            lines.append(f"{mixing_words.grams(x.g_per_l)} of {x.words}")
    return RecipeTold(
        r.key,
        r.words,
        r.kind,
        r.stock,
        r.dilution,
        tuple(lines),
        mixing_words.use(r),
        r.keeps_words,
        r.notes,
        r.source,
        r.own,
    )


def kinds() -> dict[str, str]:
    return KINDS


@dataclass(frozen=True, slots=True)
class Thinned:
    """Stock and water for a volume [ml]; `readings` has both ways of “1:9” where it was said so."""

    volume_ml: float
    readings: tuple[Reading, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class Reading:
    dilution: str
    stock_ml: float
    water_ml: float


def thin(form: Form | None = None) -> Thinned:
    """Fields: dilution (“1+9”, “1 in 10”, “1:9”), volume of the bath, or stock: what is left of the concentrate. Refusal with every problem."""
    d = Door(form)
    said = d.must("dilution", str, "Stock and water as parts.", "Try “1+9”.")
    volume, left = d.read("volume", measures.volume_ml), d.read("stock", measures.volume_ml)
    both: list[tuple[str, measures.Dilution]] = []
    if said:
        plain = said.replace(" ", "")
        ways = [plain.replace(":", "+"), plain.replace(":", " in ")] if ":" in plain else [said]
        with d.problems.at("dilution"):
            both = [(w, measures.dilution(w)) for w in ways]
    if (volume is None) == (left is None) and not d.problems.found:
        d.problems.add(
            "volume",
            d.said("volume") or "",
            "The volume of the bath, or of the stock that is left; one of them.",
            "Try “2 l”.",
        )
    d.close()
    rows = []
    for words, x in both:
        whole = volume if volume is not None else (left or 0.0) / x.share
        rows.append(Reading(words, whole * x.share, whole * (1 - x.share)))
    most = max(r.stock_ml + r.water_ml for r in rows)
    sentence = (
        "This can be read two ways; most bottles mean the first. The supplier's sheet says." if len(rows) > 1 else ""
    )
    return Thinned(volume if volume is not None else most, tuple(rows), sentence)
