"""What an emulsion sees of a light, beside what a meter sees: stops of difference, with the doubt of shapes nobody publishes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from firstsheet import tables
from firstsheet.light import spectrum as sp
from firstsheet.light.spectrum import GRID_NM, Spectrum
from firstsheet.refusal import Refusal

LAYERS = ("layer_red", "layer_green", "layer_blue")
OF_PAPER = {"ortho": "blue_green", "blue": "blue", "colour": "layer_red"}  # the tables of papers and ways name three kinds
REFERENCE_K = 5500.0


@dataclass(frozen=True, slots=True)
class Actinic:
    """Stops by which an emulsion sees more of a light than a meter does, against sun at 5500 K; its doubt [stop] by its causes."""

    stops: float
    sd_stops: float
    of_emulsion: float
    of_light: float


def names() -> tuple[str, ...]:
    return tuple(tables.load("emulsions"))


def sensitivity(key: str, moved_nm: float = 0.0) -> Spectrum:
    """Relative sensitivity per unit of power on the grid, its best 1; `moved_nm` moves it to the red. Refusal for an unknown key."""
    return _sensitivity(key, round(moved_nm, 3))


@cache
def _sensitivity(key: str, moved_nm: float) -> Spectrum:
    known = tables.load("emulsions")
    if key not in known:
        raise Refusal.one("emulsion", key, "One of: " + ", ".join(known) + ".", "Enlarging paper is blue_green, graded paper blue.")
    e = known[key]
    out = []
    for nm in GRID_NM:
        at = nm - moved_nm
        v = 1.0 / (1.0 + math.exp((at - e["falls"][0]) / e["falls"][1])) if e["falls"] else 0.0
        v += sum(high * math.exp(-0.5 * ((at - middle) / width) ** 2) for middle, width, high in e["bells"])
        out.append(v)
    most = max(out)
    return tuple(v / most for v in out)


def seen(light: Spectrum, key: str, through: Sequence[Spectrum] = (), moved_nm: float = 0.0) -> float:
    """log2 of what the emulsion receives of a light, for as much as the eye sees of it before the filters [stop]."""
    return math.log2(sp.total(light, sensitivity(key, moved_nm), *through) / sp.total(light, sp.eye()))


def actinic(light: Spectrum, key: str, through: Sequence[Spectrum] = (), mired_sd: float = 0.0) -> Actinic:
    """How much more of this light the emulsion sees than a meter says, against sun at 5500 K through the same glass.

    through   transmittances on the way [1]; the reference passes them too
    mired_sd  how far the light's own colour may be off
    """
    reference = sp.daylight(REFERENCE_K)

    def stops(moved: float = 0.0, warmer: float = 0.0) -> float:
        return seen(sp.warmed(light, warmer), key, through, moved) - seen(reference, key, through, moved)

    nm = float(tables.load("emulsions")[key]["nm_sd"])
    emulsion = 0.5 * abs(stops(nm) - stops(-nm))
    colour = 0.5 * abs(stops(0.0, mired_sd) - stops(0.0, -mired_sd)) if mired_sd else 0.0
    return Actinic(stops(), math.hypot(emulsion, colour), emulsion, colour)


def filter_stops(light: Spectrum, key: str, filter_: Spectrum, through: Sequence[Spectrum] = ()) -> tuple[float, float]:
    """What a filter costs this emulsion in this light [stop, ≥ 0], and the doubt of it."""

    def cost(moved: float = 0.0) -> float:
        s = sensitivity(key, moved)
        return math.log2(sp.total(light, s, *through) / sp.total(light, s, filter_, *through))

    nm = float(tables.load("emulsions")[key]["nm_sd"])
    return cost(), 0.5 * abs(cost(nm) - cost(-nm))


def tone_stops(light: Spectrum, key: str, reflectance: Spectrum, through: Sequence[Spectrum] = ()) -> tuple[float, float]:
    """A coloured thing beside a grey of the same lightness to the eye: how much lighter (+) it is to the emulsion [stop]; the eye's
    own reflectance [1]."""
    s = sensitivity(key)
    to_eye = sp.total(light, reflectance, sp.eye()) / sp.total(light, sp.eye())
    to_paper = sp.total(light, reflectance, s, *through) / sp.total(light, s, *through)
    return math.log2(to_paper / to_eye), to_eye
