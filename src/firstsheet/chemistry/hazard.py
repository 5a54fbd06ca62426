"""What can hurt someone while mixing, as sentences, the worst first; and what must never come together.

Common practice and common classification, from memory. The supplier's safety data sheet and local codes take precedence.
"""

from __future__ import annotations

from collections.abc import Iterable

from firstsheet.chemistry.substance import Substance, plain
from firstsheet.refusal import Refusal

DEFERS = "The supplier's safety data sheet, local law, fire and waste codes and licensed practice take precedence."
RINSE = "Something in the eye: lights on, water for fifteen minutes, then help."
BLEACHES = {"bleach", "household bleach", "chlorine bleach", "sodium hypochlorite", "hypochlorite", "bleach household"}
_SULPHUR = ("sulphite", "metabisulphite", "thiosulphate", "ammonium thiosulphate")


def never_bleach(name: str) -> None:
    """Refusal for household bleach, whatever it was to be mixed with."""
    if plain(name) in BLEACHES:
        raise Refusal.one(
            "", name, "Nothing here ever meets household bleach: with acid it gives chlorine, with ammonium fixer chloramines.",
            "Leave it out of the room. Photographic bleaches are named by their chemical.",
        )  # fmt: skip


def dangers(substances: Iterable[Substance]) -> list[str]:
    """Why these must not be put together at all; nothing where they may."""
    families = {s.family for s in substances}
    out = []
    acids = families & {"acetic", "citric", "bisulphate"}
    if "permanganate" in families:
        if families & {"salt"}:
            out.append("Permanganate with salt and acid gives off chlorine, which burns the lungs. Do not mix these.")
        fuel = {*_SULPHUR, "metol", "hydroquinone", "ascorbate", "instant_coffee", "acetic", "citric"}
        if families & fuel:
            out.append("Permanganate burns what can burn: developer, sulphite, vitamin C, coffee, fixer. It heats up and can catch fire. Do not mix these.")  # fmt: skip
    if acids and families & set(_SULPHUR):
        out.append("Acid on sulphite, metabisulphite or fixer gives off sulphur dioxide, which chokes and can bring on asthma. Do not mix these.")  # fmt: skip
    if "ammonium thiosulphate" in families and families & {"carbonate", "hydroxide"}:
        out.append("Ammonium fixer with strong alkali gives off ammonia. Do not mix these.")
    if "hydroxide" in families and acids:
        out.append("Caustic soda and acid heat up and spit. Do not mix these.")
    return out


def cautions(substances: Iterable[Substance], kind: str, hot_c: float | None = None) -> list[str]:
    """Sentences for the moment of mixing, the worst first. `hot_c`: the warmest water asked for [°C]."""
    have = list(substances)
    families = {s.family for s in have}
    hazards = " ".join(h for s in have for h in s.hazards)
    out = []
    if "H314" in hazards:
        out.append("This burns skin and eyes: goggles and gloves on before the lid is off.")
    if "acetic" in families:
        out.append("Acid into water, never water into acid. Open a window: the fumes bite.")
    if "permanganate" in families:
        out.append("Permanganate: goggles and gloves, no dust, nothing near that burns. Never hydrochloric acid or salt: chlorine. Never concentrated sulphuric acid: it explodes.")  # fmt: skip
    if "hydroxide" in families:
        out.append("Caustic soda into COLD water, a little at a time: it boils up otherwise.")
    if families & {"metol", "hydroquinone"}:
        out.append("Metol and hydroquinone sensitise the skin: gloves, always; any rash ends that work for good.")
    if kind == "set":
        out.append("Colour developer sensitises the skin: gloves, always; any rash ends that work for good. Bleach-fix never meets acid or household bleach.")  # fmt: skip
    if families & {"sulphite", "metabisulphite", "thiosulphate", "ammonium thiosulphate"}:
        out.append(
            "Keep acids away: sulphur dioxide, which can bring on asthma; and household bleach: chlorine. Fresh air while you mix."
        )
    if "ammonium thiosulphate" in families:
        out.append("Keep strong alkali away from it: ammonia.")
    if families & {"carbonate", "borax", "metaborate", "instant_coffee"}:
        out.append("It is alkaline: eyes and skin, goggles and gloves.")
    if any(s.dust for s in have):
        out.append("Powder and ground tablets: do not breathe the dust; pour low, goggles, a dust mask.")
    if "instant_coffee" in families:
        out.append("It looks like a drink. Never in a cup, bottle or spoon that is used for food; label it; out of reach of children.")  # fmt: skip
    else:
        out.append("Never in vessels or with spoons that are used for food.")
    if hot_c is not None and hot_c >= 40:
        out.append("Hot water scalds: not above what is asked, and powder in slowly.")
    out.append(RINSE)
    out.append(DEFERS)
    return out


def wear(substances: Iterable[Substance]) -> str:
    """What to wear, in one line."""
    dust = any(s.dust for s in substances)
    return "Gloves, goggles, apron" + (", dust mask while powders are poured." if dust else ".")


def label_words(substances: Iterable[Substance]) -> list[str]:
    """Hazard words for a bottle: the statements of what is in it, each once, by their number; strengths are not reckoned."""
    return sorted({h for s in substances for h in s.hazards})
