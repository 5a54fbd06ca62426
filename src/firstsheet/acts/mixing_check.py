"""A mix as it was made: would it develop? Crystals weighed as if dry, baking soda, more acid than soda, what must not meet."""

from __future__ import annotations

from dataclasses import dataclass

from firstsheet import measures
from firstsheet.acts import mixing_coffee, mixing_own, mixing_words
from firstsheet.acts.door import Door, Form
from firstsheet.acts.mixing_own import Shelf
from firstsheet.chemistry import hazard, recipe, shelf, solution, substance
from firstsheet.chemistry.recipe import Line
from firstsheet.chemistry.solution import Alkalinity, Part
from firstsheet.chemistry.substance import swap_factor

SODA_TO_ACID = (
    3.5  # moles of soda to one of acid in the open recipe by weight, coffee at the middle of its range [COFFEE-OPEN]
)


@dataclass(frozen=True, slots=True)
class Checked:
    """What a mix as made comes to.

    lines       what was put in, with its grams in a litre and the range of spoons
    ph, ph_low, ph_high   with its 9-in-10 range; None where it is not told
    outlook     works, slow, edge or dead as a carbonate developer; danger where it must not be made at all; "" for no developer
    dangers     what gives off gas; warnings: what makes it fail, with what to do; notes: what else there is to know
    """

    lines: tuple[str, ...]
    volume_ml: float
    ph: float | None
    ph_low: float | None
    ph_high: float | None
    ph_words: str
    carbonate_mol_l: float
    acid_mol_l: float
    reserve_low_mol_l: float
    reserve_high_mol_l: float
    outlook: str
    verdict: str
    dangers: tuple[str, ...]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


def check(form: Form | None = None, reader: Shelf | None = None) -> Checked:
    """A mix as made. Fields: lines (“54 g soda crystals; 16 g vitamin C; 40 g coffee”), makes (“1 l”), temperature. Refusal with every problem.

    reader  where a strip told the acid of the coffee; None for nothing known
    """
    d = Door(form)
    makes = d.must("makes", measures.volume_ml, "How much water it was made up to.", "Try “1 l”.")
    temperature = d.read("temperature", mixing_own.tray_c)
    said = d.must("lines", str, "What went in.", "Try “54 g soda crystals; 16 g vitamin C; 40 g instant coffee”.")
    rows = []
    if said:
        with d.problems.at("lines"):
            rows = mixing_own.lines_of(said, makes or 1000.0)
    d.close()
    assert makes is not None
    return checked(
        [recipe_line(r) for r in rows if "of" in r], makes, temperature, mixing_coffee.known(reader) if reader else None
    )


def recipe_line(row: dict[str, float | str]) -> Line:
    made = mixing_own.made("as made", {"lines": [row], "kind": "developer", "dilution": None, "source": "", "note": ""})
    return made.lines[0]


def checked(
    lines: list[Line], makes_ml: float, temperature_c: float | None, coffee: tuple[float, float] | None = None
) -> Checked:
    """The same, with its lines per litre."""
    parts = [part_of(x) for x in lines]
    found = solution.alkalinity(parts, mixing_words.AT_C if temperature_c is None else temperature_c, coffee)
    have = [p.substance for p in parts]
    families = {s.family for s in have}
    dangers = hazard.dangers(have)
    developer = bool(families & {"metol", "hydroquinone", "ascorbate", "instant_coffee"})
    outlook = "danger" if dangers else solution.verdict(found) if developer else ""
    says = "Do not make it." if dangers else mixing_words.verdict(outlook, found) if outlook else ""
    return Checked(
        tuple(_said(p) for p in parts), makes_ml, found.ph, found.low, found.high, mixing_words.ph(found, temperature_c), found.carbonate, found.acid,
        found.reserve_low, found.reserve_high, outlook, says, tuple(dangers),
        tuple(_warnings(parts, found, outlook, makes_ml, temperature_c)), tuple(_notes(parts)), tuple(hazard.cautions(have, "developer" if developer else "other")),
    )  # fmt: skip


def part_of(x: Line) -> Part:
    assert x.substance is not None
    if not x.spoons_per_l:
        return Part(x.substance, x.g_per_l)
    _, low, high = shelf.spoon_range(shelf.Jar(x.substance))
    each = x.spoons_per_l * x.spoon_ml / substance.SPOON_ML
    return Part(x.substance, x.g_per_l, each * low, each * high)


def _said(p: Part) -> str:
    span = (
        "" if p.low is None or p.high is None else f" ({mixing_words.figure(p.low)} to {mixing_words.figure(p.high)} g)"
    )
    return f"{mixing_words.grams(p.g_per_l)}{span} of {p.substance.words} in a litre"


def _warnings(
    parts: list[Part], found: Alkalinity, outlook: str, makes_ml: float, temperature_c: float | None
) -> list[str]:
    out = []
    families = {p.substance.family for p in parts}
    if "bicarbonate" in families and "carbonate" not in families:
        need = mixing_words.grams(shelf.baked_from(1.0) * 10)
        out.append(f"Baking soda is not washing soda: with it nothing develops. Bake it an hour at 200 °C first ({need} become 10 g of anhydrous carbonate).")  # fmt: skip
    elif outlook == "dead" and found.carbonate > 0:
        dry = substance.of("carbonate_anhydrous")
        grams = (SODA_TO_ACID * found.acid - found.carbonate) / dry.mol_per_g() * makes_ml / 1000
        out.append(f"More acid than soda. It wants some {mixing_words.grams(grams)} more of anhydrous carbonate in this volume, or less vitamin C.")  # fmt: skip
    c = [p for p in parts if p.substance.key == "ascorbic_acid"]
    if c and outlook in ("edge", "dead") and found.carbonate > 0:
        has = sum(p.g_per_l for p in c)
        ends = solution.ascorbic_edge_g(found, has, c[0].substance)
        assert ends is not None
        out.append(mixing_words.edge(ends, has, makes_ml, bool(found.unknown)))
    agents = tuple(p.substance.family for p in parts if p.substance.agent)
    if cold := mixing_words.cold(recipe.Recipe("", "", "developer", (), "", agents=agents), temperature_c):
        out.append(cold)
    return out


def _notes(parts: list[Part]) -> list[str]:
    """What a hydrate is worth: the commonest slip of all."""
    out, dry = [], substance.of("carbonate_anhydrous")
    for p in parts:
        s = p.substance
        if s.key in ("carbonate_crystals", "carbonate_monohydrate"):
            worth = p.g_per_l * swap_factor(s, dry)
            wanted = p.g_per_l * swap_factor(dry, s)
            g = mixing_words.grams
            out.append(
                f"{g(p.g_per_l)} of {s.words} are {g(worth)} of anhydrous. If the recipe said {g(p.g_per_l)} anhydrous, it wants {g(wanted)} of this."
            )
    return out
