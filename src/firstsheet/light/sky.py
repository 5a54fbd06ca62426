"""How much light falls from sun and sky: a clear-sky model by day, published anchors in twilight, the looks of the sky as factors.

By day the model of Ineichen and Perez [INEICHEN-2002] with air mass after Kasten and Young [KASTEN-1989], times luminous efficacies.
Such models fall to nothing while the sun is still up; below 4° the light goes over into the anchors of the shipped table, on level
ground, and the model is left only the sun's own share. Looks of the sky are worth what sky.toml says they are worth beside clear sun.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any, NamedTuple

from firstsheet import tables
from firstsheet.light import words
from firstsheet.light.sun import SET_DEG, Sun, pressure_mbar, refraction_deg
from firstsheet.refusal import Refusal

HIGHEST_M, LOWEST_M = 5000.0, -450.0


class Clear(NamedTuple):
    """A clear sky's power [W/m²]: all on the level, the beam square to it, the sky's on the level."""

    level: float
    beam: float
    sky: float


class Daylight(NamedTuple):
    """Light in the open at one moment.

    level_lx  on level ground [lx]
    beam_lx   of the sun, square to it [lx]
    sky_lx    of the sky, on level ground [lx]
    ring      share of the sky's light that comes from close about the sun [0–1]
    clear_w_m2  power of the sun square to it, were the sky clear [W/m²]
    """

    level_lx: float
    beam_lx: float
    sky_lx: float
    ring: float
    clear_w_m2: float


DARK = Daylight(0.0, 0.0, 0.0, 0.0, 0.0)


def air_mass(apparent_deg: float) -> float:
    """Way through the air against straight up [1] at an apparent height, 0 to 90°; below, as at 0. [KASTEN-1989]"""
    h = max(0.0, apparent_deg)
    return float(1.0 / (math.sin(math.radians(h)) + 0.50572 * (h + 6.07995) ** -1.6364))


def sky_keys() -> tuple[str, ...]:
    """The words for a sky that make a whole day, in the order of sky.toml."""
    return tuple(k for k in words.skies() if k in tables.load("daylight")["sky"])


def whole_sky(word: str) -> str:
    """The key of a word for the sky of a whole day; refuses one that names a place or an hour."""
    key = words.sky(word).key
    if key not in sky_keys():
        have = "; ".join(words.skies()[k].words for k in sky_keys())
        raise Refusal.one("", word, f"A sky for the whole day: {have}.", "Shade and hours are worked out here.")
    return key


@dataclass(frozen=True, slots=True)
class Air:
    """The air over one place, with what can be worked out once.

    above_sea_m  −450 to 5000 [m];  turbidity  Linke, 1 (no haze at all) to 8
    """

    mass: float
    thin: float
    low: float
    cg1: float
    cg2: float
    turbidity: float
    dusk: Callable[[float], float]

    @classmethod
    def over(cls, above_sea_m: float = 0.0, turbidity: float | None = None) -> Air:
        t: float = tables.load("daylight")["air"]["turbidity"] if turbidity is None else turbidity
        return _air(float(above_sea_m), float(t))

    def clear_w_m2(self, apparent_deg: float, sun_w_m2: float | None = None) -> Clear:
        """Power of the clear sky at an apparent height of the sun [°]; 0 at and below the horizon.

        Within 5 % of the model's own reference; models differ among themselves by 4 % at 30°, 16 % at 10°, 39 % at 5°.
        """
        if apparent_deg <= 0:
            return Clear(0.0, 0.0, 0.0)
        outside: float = _facts()["air"]["sun_w_m2"] if sun_w_m2 is None else sun_w_m2
        up = math.sin(math.radians(apparent_deg))
        mass = self.mass * air_mass(apparent_deg)
        level = self.cg1 * outside * up * math.exp(-self.cg2 * mass * (self.thin + self.low * (self.turbidity - 1)))
        beam = (0.664 + 0.163 / self.thin) * outside * math.exp(-0.09 * mass * (self.turbidity - 1))
        most = (1 - (0.1 - 0.2 * math.exp(-self.turbidity)) / (0.1 + 0.882 / self.thin)) / up
        beam = min(beam, level * max(most, 0.0))
        return Clear(level, beam, level - beam * up)


@cache
def _air(above_sea_m: float, turbidity: float) -> Air:
    thin, low = math.exp(-above_sea_m / 8000), math.exp(-above_sea_m / 1250)
    bare = Air(
        pressure_mbar(above_sea_m) / 1013.25, thin, low, 5.09e-5 * above_sea_m + 0.868, 3.92e-5 * above_sea_m + 0.0387,
        turbidity, lambda h: 0.0,
    )  # fmt: skip
    join = float(_facts()["twilight"]["join_deg"])

    def model(height: float) -> float:
        seen = height + refraction_deg(height)
        return math.log2(sum(_parts(bare.clear_w_m2(seen), seen, math.sin(math.radians(seen)))))

    slope = (model(join + 0.05) - model(join - 0.05)) / 0.1
    return Air(bare.mass, bare.thin, bare.low, bare.cg1, bare.cg2, turbidity, _twilight(join, model(join), slope))


def beam_lm_w(apparent_deg: float) -> float:
    """Luminous efficacy of the direct sun [lm/W] by its height [°]."""
    b = _facts()["beam"]
    rise = (b["high_lm_w"] - b["low_lm_w"]) / (b["high_deg"] - b["low_deg"])
    return float(min(b["most_lm_w"], b["low_lm_w"] + rise * max(0.0, apparent_deg - b["low_deg"])))


def daylight(sun: Sun, distance_au: float, sky: str, air: Air) -> Daylight:
    """Light in the open with the sun there under that sky (a key of `sky_keys`); nothing below −12°.

    Clear, by day: within 15 % of published tables above 10°; below 4° and in twilight within a factor 1.5.
    """
    facts = _facts()
    if sun.height_deg < facts["twilight"]["nautical_deg"]:
        return DARK
    nearer = 1.0 / distance_au**2
    power = air.clear_w_m2(sun.apparent_deg)
    up = math.sin(math.radians(max(sun.apparent_deg, 0.0)))
    of_sun, of_sky = _parts(power, sun.apparent_deg, up)
    level = of_sun + of_sky if sun.height_deg >= facts["twilight"]["join_deg"] else 2.0 ** air.dusk(sun.height_deg)
    left: float = facts["sky"][sky]["beam"]
    worth = _worth(sky) * nearer
    level *= worth
    of_sun *= worth * left
    beam = of_sun / up if up > 0 else 0.0
    ring = left * power.beam / facts["air"]["sun_w_m2"]
    return Daylight(level, beam, level - of_sun, ring, power.beam * nearer)


@cache
def _worth(sky: str) -> float:
    """A sky's light against clear sun's [1], from the one table that says so."""
    have = words.skies()
    return have[sky].lux_lx / have["clear_sun"].lux_lx


@cache
def _facts() -> dict[str, Any]:
    return tables.load("daylight")


def _parts(power: Clear, apparent_deg: float, up: float) -> tuple[float, float]:
    """Light of the sun and of the clear sky on level ground, as the model has it [lx, lx]; `up` is the sine of the height."""
    return power.beam * up * beam_lm_w(apparent_deg), power.sky * float(_facts()["clear_sky"]["lm_w"])


def _twilight(join_deg: float, join_log2: float, slope: float) -> Callable[[float], float]:
    """log2 of the light on the level [lx] by the sun's true height [°], from −12° to the join: rising throughout, smooth at every
    anchor and at the join. [Fritsch-1980]"""
    f = _facts()["twilight"]
    x = (f["nautical_deg"], f["civil_deg"], SET_DEG, join_deg)
    y = (math.log2(f["nautical_lx"]), math.log2(f["civil_lx"]), math.log2(f["sunset_lx"]), join_log2)
    step = [x[i + 1] - x[i] for i in range(3)]
    steep = [(y[i + 1] - y[i]) / step[i] for i in range(3)]
    inner = [
        3
        * (step[i - 1] + step[i])
        / ((2 * step[i] + step[i - 1]) / steep[i - 1] + (step[i] + 2 * step[i - 1]) / steep[i])
        for i in (1, 2)
    ]
    slopes = [steep[0], *inner, min(slope, 3 * steep[2])]

    def at(height: float) -> float:
        i = 0 if height < x[1] else 1 if height < x[2] else 2
        u = (height - x[i]) / step[i]
        a, b = slopes[i] * step[i], slopes[i + 1] * step[i]
        rise = y[i + 1] - y[i]
        return float(y[i] + u * (a + u * (3 * rise - 2 * a - b + u * (a + b - 2 * rise))))

    return at
