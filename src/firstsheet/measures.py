"""Amounts of stuff as people write them: millilitres, grams, spoons, tablets, a dilution, a line of a recipe.

Same manner as `quantities`, whose parsing it uses; parted from it only because a module must stay short.
Factors: US and imperial measures [SP811], Appendix B.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from firstsheet.quantities import _kind, _measure
from firstsheet.refusal import Refusal

US_TEASPOON_ML = 4.928921594  # [SP811] B.8: 4.928 922 ml
TEASPOON_ML, TABLESPOON_ML = 5.0, 15.0  # metric

_US_OZ, _IMP_OZ = Fraction("29.5735295625"), Fraction("28.4130625")  # [SP811] B.8


def _both(names: str, us_oz: int, imp_oz: int) -> dict[str, Fraction]:
    """A measure that differs between the two systems is only taken with its system said."""
    us = "|".join(f"us {n}" for n in names.split("|"))
    imp = "|".join(f"{p} {n}" for n in names.split("|") for p in ("imp", "imperial", "uk"))
    return {us: us_oz * _US_OZ, imp: imp_oz * _IMP_OZ}


_VOLUME = _kind(
    {"ml|cc|cm3|millilitre|millilitres|milliliter|milliliters": Fraction(1), "cl": Fraction(10), "dl": Fraction(100),
     "l|litre|litres|liter|liters": Fraction(1000), "m3": Fraction(1_000_000),
     **_both("fl oz|fluid ounce|fluid ounces|fl. oz", 1, 1), **_both("pt|pint|pints", 16, 20),
     **_both("qt|quart|quarts", 32, 40), **_both("gal|gallon|gallons", 128, 160)},
    "A volume with its unit: ml, l, or US or imp fl oz, pt, qt, gal.",
    "Write it like “2 l”, “500 ml” or “1 US gal”; a gallon alone could be US or imperial.",
    (0.01, 1e7), "0.01 ml to 10 000 l")  # fmt: skip
_MASS = _kind(
    {"g|gram|grams|gramme|grammes|gm": Fraction(1), "mg|milligram|milligrams": Fraction(1, 1000),
     "kg|kilo|kilos|kilogram|kilograms": Fraction(1000),
     "lb|lbs|pound|pounds": Fraction("453.59237"), "oz|ounce|ounces": Fraction("28.349523125"),
     "gr|grain|grains": Fraction("0.06479891")},
    "A weight with its unit: g, mg, kg, oz, lb or grains.", "Write it like “54 g” or “2 oz”.",
    (0.0001, 1e7), "0.1 mg to 10 t", "lb oz, kg g")  # fmt: skip


def volume_ml(text: str, bare: str | None = None) -> float:
    """A volume [ml], 0.01 ml to 10 000 l: "2 l", "500 ml", "1 US gal", "20 imp fl oz". "1 gal" is refused."""
    if re.fullmatch(
        r"\s*[0-9.,/ ½¼¾⅓⅔]+\s*(?:fl\.? ?oz|pt|pints?|qt|quarts?|gal|gallons?)\.?\s*", str(text), re.IGNORECASE
    ):
        raise Refusal.one(
            "", text, "This differs between US and imperial measure.", f"Write “{text.strip()}” with US or imp before the unit, or in ml."
        )  # fmt: skip
    return _above_nothing(_measure(_VOLUME, text, bare), text)


def mass_g(text: str, bare: str | None = None) -> float:
    """A weight [g], 0.1 mg to 10 t: "54 g", "120 mg", "1 lb 4 oz". An ounce here is a weight (28.3 g)."""
    return _above_nothing(_measure(_MASS, text, bare), text)


def _above_nothing(value: float, text: str) -> float:
    if value == 0:
        raise Refusal.one("", text, "More than nothing.", "Leave the field out if there is none.")
    return value


@dataclass(frozen=True, slots=True)
class Dilution:
    """Parts of stock and parts of water."""

    stock: float
    water: float

    @property
    def share(self) -> float:
        """Stock in the whole [0–1]."""
        return self.stock / (self.stock + self.water)


def dilution(text: str) -> Dilution:
    """Stock and water as parts: "1+9", "1 + 9", "1 in 10", "stock" for undiluted. "1:9" may mean two things and is refused."""
    plain = " ".join(str(text).lower().split())
    if plain in ("stock", "undiluted", "1+0", "neat"):
        return Dilution(1.0, 0.0)
    number = r"([0-9]{1,4}(?:[.,][0-9]{1,3})?)"
    if plus := re.fullmatch(rf"{number} ?\+ ?{number}", plain):
        stock, water = (float(n.replace(",", ".")) for n in plus.groups())
        if stock > 0:
            return Dilution(stock, water)
    if part := re.fullmatch(rf"{number} in {number}", plain):
        one, whole = (float(n.replace(",", ".")) for n in part.groups())
        if 0 < one <= whole:
            return Dilution(one, whole - one)
    if ratio := re.fullmatch(rf"{number} ?: ?{number}", plain):
        left, right = ratio.groups()
        raise Refusal.one(
            "", text, f"This can be read two ways: “{left}+{right}” or “{left} in {right}”.",
            f"Most bottles mean {left}+{right}: {left} of stock and {right} of water. Write the one that is meant.",
        )  # fmt: skip
    raise Refusal.one("", text, "Stock and water as parts.", "Write it like “1+9” or “1 in 10”, or “stock”.")


@dataclass(frozen=True, slots=True)
class SaidAmount:
    """One line of a recipe or of a shelf as said; what was not said is None.

    kind   "g", "ml", "spoon" (then `number` of level spoons of `spoon_ml`), "tablet" (of `tablet_mg`) or "" where only a name was said
    """

    name: str
    kind: str = ""
    number: float | None = None
    spoon_ml: float = TEASPOON_ML
    tablet_mg: float | None = None
    heaped: bool = False


_N = r"((?:[0-9]+[ -])?[0-9]+ ?/ ?[0-9]+|[0-9]+(?:[.,][0-9]+)?|\.[0-9]+)"
_SPOONS = {
    r"us (?:tsp|teaspoons?)": US_TEASPOON_ML, r"(?:tsp|teaspoons?|ts)": TEASPOON_ML,
    r"us (?:tbsp?|tbs|tablespoons?)": 3 * US_TEASPOON_ML, r"(?:tbsp?|tbs|tablespoons?)": TABLESPOON_ML,
}  # fmt: skip
_FRACTIONS = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅓": " 1/3", "⅔": " 2/3", "⅛": " 1/8"}
MOST_LINES = 24


def amount_of(text: str) -> SaidAmount:
    """ "54 g soda ash", "4 level teaspoons of soda crystals", "4 tablets of 500 mg vitamin C", "vitamin C"."""
    plain = " ".join(_spelled(text).split())
    if not plain or len(plain) > 90 or not plain.isprintable():
        raise Refusal.one("", text, "An amount and a name, up to 90 characters.", "Write it like “54 g soda ash”.")
    if tablets := re.fullmatch(
        rf"(?:{_N} )?(.*?)\b(?:tablets?|pills?)\b ?(?:of |à |a |with )?(?:{_N} ?mg\b)? ?(?:of )?(.*)", plain
    ):
        return _tablets(text, tablets)
    for unit, ml in _SPOONS.items():
        if spoon := re.fullmatch(rf"{_N} ?(level |heaped |heaping )?{unit}\.? (?:of )?(.+)", plain):
            count = _number(spoon[1], text)
            return SaidAmount(spoon[3], "spoon", count, spoon_ml=ml, heaped=(spoon[2] or "level ").strip() != "level")
    if weighed := re.fullmatch(rf"({_N} ?(?:kg|g|mg|oz|lbs?|grams?|grains?|gr))\.? (?:of )?(.+)", plain):
        return SaidAmount(weighed[3], "g", mass_g(weighed[1]))
    if poured := re.fullmatch(
        rf"({_N} ?(?:ml|cl|dl|l|litres?|liters?|(?:us|imp|uk) (?:fl oz|pt|qt|gal)))\.? (?:of )?(.+)", plain
    ):
        return SaidAmount(poured[3], "ml", volume_ml(poured[1]))
    if re.match(r"[-−+]|[0-9.]+ (?!%)", plain):
        raise Refusal.one("", text, "An amount with its unit, then a name.", "Write it like “54 g soda ash” or “4 tsp coffee”.")  # fmt: skip
    return SaidAmount(plain)


def _tablets(text: str, found: re.Match[str]) -> SaidAmount:
    said, before, strength, after = found.groups()
    name = (after or before).strip(" ,")
    if trailing := re.fullmatch(rf"(.+?) {_N} ?mg", name):
        name, strength = trailing[1], strength or trailing[2]
    if not name or strength is None:
        raise Refusal.one(
            "", text, "Tablets with what is in one: “4 tablets of 500 mg vitamin C”.", "The label says how many mg of it one holds."
        )  # fmt: skip
    mg = _number(strength, text)
    return SaidAmount(name, "tablet", _number(said, text) if said else None, tablet_mg=mg)


def _number(text: str, asked: str) -> float:
    parts = re.fullmatch(r"(?:([0-9]+)[ -])?([0-9]+) ?/ ?([0-9]+)", text)
    if parts is None:
        value = float(text.replace(",", "."))
    elif int(parts[3]) == 0:
        raise Refusal.one("", asked, "A fraction cannot be over nothing.", "Write it like “1/2”.")
    else:
        value = int(parts[1] or 0) + int(parts[2]) / int(parts[3])
    if not 0 < value <= 1e6:
        raise Refusal.one("", asked, "A number above nothing, up to 1 000 000.", "Check the number and its unit.")
    return value


def _spelled(text: object) -> str:
    plain = str(text).lower()
    for sign, words in _FRACTIONS.items():
        plain = plain.replace(sign, words)
    return plain.replace("\u00a0", " ").replace("\u202f", " ").strip(" .;,")


def lines_of(text: str) -> list[SaidAmount]:
    """A list as people write it: parted by semicolons, line ends, “and”, or commas with a blank after them."""
    parts = [p for p in re.split(r"\s*(?:;|\n|,\s+|\s\+\s|\s+and\s+)\s*", str(text)) if p.strip()]
    if not parts or len(parts) > MOST_LINES:
        raise Refusal.one("", text, f"From one to {MOST_LINES} lines.", "Part them by semicolons: “54 g soda ash; 16 g vitamin C”.")  # fmt: skip
    return [amount_of(p) for p in parts]
