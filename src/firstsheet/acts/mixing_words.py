"""Amounts, steps and verdicts of a mix in words, rounded to what they are worth."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal

from firstsheet.chemistry.recipe import Recipe
from firstsheet.chemistry.shelf import Weigh
from firstsheet.chemistry.solution import Alkalinity
from firstsheet.measures import TABLESPOON_ML, TEASPOON_ML, US_TEASPOON_ML

OZ_G, US_FL_OZ_ML = 28.349523125, 29.5735295625  # [SP811] B.8
_QUARTERS = {0.25: "¼", 0.5: "½", 0.75: "¾"}
AT_C = 20.0  # of a bath whose warmth was not said
STALL_C, STALL_SOURCE = 13.0, "[TM-11-2323]"


def figure(x: float) -> str:
    """A weight or volume as one weighs it: two decimals below 1, one below 100 where it counts, else whole; halves away from zero."""
    places = 2 if x < 0.995 else 1 if x < 99.95 else 0
    text = f"{Decimal(repr(x)).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)}"
    return (text.rstrip("0").rstrip(".") or "0") if places else text


def about(x: float) -> str:
    """A quantity only guessed at, to two figures: "45", "250", "3.1"."""
    if x < 1:
        return figure(x)
    return figure(round(x, 1 - math.floor(math.log10(x))))


def grams(g: float, us: bool = False) -> str:
    return f"{figure(g)} g" + (f" ({figure(g / OZ_G)} oz)" if us else "")


def millilitres(ml: float, us: bool = False) -> str:
    text = f"{figure(ml)} ml" if ml < 10_000 else f"{figure(ml / 1000)} l"
    return text + (f" ({figure(ml / US_FL_OZ_ML)} US fl oz)" if us else "")


def litres(ml: float) -> str:
    """A bath's size at a glance: "0.5 l", "1.2 l"."""
    return f"{figure(ml / 1000)} l" if ml >= 100 else f"{figure(ml)} ml"


def quarters(x: float) -> str:
    """ "3½": in quarters."""
    whole, rest = math.floor(x), x - math.floor(x)
    part = _QUARTERS.get(round(rest * 4) / 4, "")
    return f"{whole}{part}" if whole or not part else part


def spoon_word(spoon_ml: float, count: float) -> str:
    names = {TEASPOON_ML: "teaspoon", TABLESPOON_ML: "tablespoon", US_TEASPOON_ML: "US teaspoon"}
    word = names.get(spoon_ml, f"spoon of {figure(spoon_ml)} ml")
    return f"level {word}" + ("" if count <= 1 else "s")


def amount(w: Weigh, us: bool = False) -> tuple[str, str]:
    """The one number to measure and its unit: ("175", "g"), ("4", "level teaspoons"), ("38½", "tablets of 500 mg")."""
    if w.tablets is not None and w.jar.tablet_mg is not None:
        return quarters(w.tablets), f"tablets of {figure(w.jar.tablet_mg)} mg"
    if w.spoons is not None and w.jar.spoon_ml is not None:
        return quarters(w.spoons), spoon_word(w.jar.spoon_ml, w.spoons)
    if w.ml is not None:
        return figure(w.ml), "ml" + (f" ({figure(w.ml / US_FL_OZ_ML)} US fl oz)" if us else "")
    return figure(w.grams), "g" + (f" ({figure(w.grams / OZ_G)} oz)" if us else "")


def doubt(w: Weigh) -> str:
    """What the measuring leaves open."""
    if w.spoons is not None and w.jar.spoon_ml is not None:
        level = f", or {figure(w.spoons * w.jar.spoon_ml)} ml level in a measure" if w.spoons > 6 else ""
        own = "" if w.jar.spoon_g else ": weigh ten spoonfuls of your own packet once"
        return f"{figure(w.low)} to {figure(w.high)} g{level}{own}"
    if w.tablets is not None:
        return f"{grams(w.grams)} in all"
    return ""


def swapped(w: Weigh) -> str:
    """What it stands for, mole for mole."""
    assert w.line.substance is not None
    if not w.swapped:
        return ""
    asked = f"in place of {grams(w.grams / _factor(w))} of {w.line.substance.words}"
    return ". ".join(x for x in (asked, w.jar.substance.swap_note) if x)


def _factor(w: Weigh) -> float:
    from firstsheet.chemistry.substance import swap_factor

    assert w.line.substance is not None
    return swap_factor(w.line.substance, w.jar.substance)


def other_soda(w: Weigh, asked_g: float) -> str:
    """The commonest slip: one soda weighed as if it were another."""
    assert w.line.substance is not None
    return f"Weigh {grams(w.grams)} of {w.jar.substance.words}: the recipe's {grams(asked_g)} are of {w.line.substance.words}."


def fine(w: Weigh) -> str:
    """How to measure what these scales cannot."""
    if w.fine is None:
        return ""
    dissolve, into, take = w.fine
    return f"too little for these scales: dissolve {grams(dissolve)} in water to make {millilitres(into)}, and take {millilitres(take)} of that, the same hour"


def ph(found: Alkalinity, temperature_c: float | None) -> str:
    """ "About pH 10.0 at 20 °C, 9 in 10 between 9.6 and 10.4"; with what is not known. 20 °C where none was said."""
    if found.ph is None or found.low is None or found.high is None:
        return found.why
    warm = figure(AT_C if temperature_c is None else temperature_c)
    text = f"About pH {found.ph:.1f} at {warm} °C, 9 in 10 between {found.low:.1f} and {found.high:.1f}"
    return text + (f"; not known: {found.unknown}." if found.unknown else ".")


def verdict(kind: str, found: Alkalinity) -> str:
    """What that means for a developer."""
    return {
        "dead": "This will not develop: acid has taken the soda, or there was none.",
        "edge": "Near its edge: a little more acid, or a little less soda, and it is dead. Try a scrap before a sheet.",
        "slow": "Weakly alkaline: it will be slow.",
        "works": "Alkaline enough to work.",
    }[kind]


def edge(ends_g_per_l: tuple[float, float], has_g_per_l: float, volume_ml: float, coffee: bool) -> str:
    """How much vitamin C this bath would bear; where there is coffee, with it at its most acid."""
    low, has = ends_g_per_l[0] * volume_ml / 1000, has_g_per_l * volume_ml / 1000
    most = "with the coffee at its most acid, " if coffee else ""
    if low <= has:
        text = f"{most}{grams(has)} of vitamin C {'may already be' if coffee else 'is'} too much for this soda."
        return text[:1].upper() + text[1:]
    return f"It has {grams(has)} of vitamin C; {most}it dies from about {grams(low)} in this volume."


def cold(recipe: Recipe, temperature_c: float | None) -> str:
    """The warning for hydroquinone in the cold; "" where there is none to give."""
    if "hydroquinone" not in recipe.agents or temperature_c is None or temperature_c > 16:
        return ""
    if temperature_c <= STALL_C:
        return f"At {figure(temperature_c)} °C hydroquinone all but stops: warm the tray above 16 °C, or use the stock undiluted at {figure(STALL_C)} °C and below {STALL_SOURCE}."
    return f"At {figure(temperature_c)} °C hydroquinone is slow: warm the tray, or judge by first appearance."


def time_words(seconds: tuple[float, float]) -> str:
    low, high = seconds
    if high < 90:
        return f"{figure(low)} to {figure(high)} s"
    return f"{figure(low / 60)} to {figure(high / 60)} min"


def use(recipe: Recipe) -> str:
    """At which temperature and for how long, with where that is from."""
    parts = []
    if recipe.use_c:
        low, usual, high = recipe.use_c
        parts.append(f"{figure(usual)} °C ({figure(low)} to {figure(high)} °C)")
    if recipe.time_s:
        parts.append(f"{time_words(recipe.time_s)}; {recipe.time_source}")
    return ", ".join(parts)


def keeping(keeps_h: float | None) -> str:
    if keeps_h is None:
        return ""
    if keeps_h < 48:
        return f"{figure(keeps_h)} hour" + ("" if keeps_h == 1 else "s")
    return f"{figure(keeps_h / 24)} days"
