"""How far a bath has come: paper through it, silver in it, hours open, what first appearance tells; how many sheets more."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Any

from firstsheet import tables

Range = tuple[float, float, float]  # low, likely, high
APPEARANCE_NOISE = (
    0.10  # share by which two readings of first appearance of one bath differ; common practice, no source
)
TIRED = 1.5  # first appearance so many times later than fresh, warmth allowed for: throw it away; common practice, no source
MOST_LITRES = 500.0


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of bath; see the table. `silver_g_per_l`: the limit; None where silver does not end it."""

    key: str
    words: str
    m2_per_l: Range | None
    silver_g_per_l: float | None
    silver_share: float
    open_h: tuple[float, float] | None
    source: str
    waste: str
    collect: bool


@cache
def kinds() -> dict[str, Kind]:
    rows: dict[str, Any] = tables.load("baths")["kind"]
    return {
        k: Kind(k, r["words"], _three(r.get("m2_per_l")), r.get("silver_g_per_l"), r.get("silver_share", 1.0),
                (r["open_h"][0], r["open_h"][1]) if "open_h" in r else None, r["source"], r["waste"], r["collect"])
        for k, r in rows.items()
    }  # fmt: skip


def _three(x: Any) -> Range | None:
    return (float(x[0]), float(x[1]), float(x[2])) if x else None


def _table(key: str) -> Range:
    found = _three(tables.load("baths")["silver"][key])
    assert found is not None
    return found


def silver(kind: Kind, litres: float, area_m2: float, measured: tuple[float, float] | None = None) -> Range:
    """Silver in the bath [g/l]: low, likely, high, after `area_m2` of paper.

    measured  a reading of a silver strip [g/l] and the area that was through when it was taken; the count goes on from there
    ValueError for no litres or less than nothing.
    """
    if litres <= 0 or area_m2 < 0:
        raise ValueError("a bath has some litres, and paper through it or none")
    start, since = measured if measured is not None else (0.0, 0.0)
    low, likely, high = (
        start + out * kind.silver_share * max(0.0, area_m2 - since) / litres for out in _table("out_g_per_m2")
    )
    return low, likely, high


def carried_ml(area_m2: float) -> Range:
    """What so much paper carries out with it [ml]: low, likely, high."""
    low, likely, high = (ml * area_m2 for ml in _table("carry_ml_per_m2"))
    return low, likely, high


def area_left(kind: Kind, litres: float, area_m2: float, measured: tuple[float, float] | None = None) -> Range | None:
    """Paper that may still go through [m²]: least, likely, most; nothing below 0. None where no figure is known."""
    if kind.silver_g_per_l is not None:
        low, likely, high = silver(kind, litres, area_m2, measured)
        outs = _table("out_g_per_m2")
        rooms = [(kind.silver_g_per_l - now) * litres / (out * kind.silver_share) for now, out in ((high, outs[2]), (likely, outs[1]), (low, outs[0]))]  # fmt: skip
    elif kind.m2_per_l is not None:
        rooms = [litres * most - area_m2 for most in kind.m2_per_l]
    else:
        return None
    least, likely, most = (max(0.0, r) for r in rooms)
    return least, likely, most


def sheets_left(left_m2: Range, sheet_m2: float) -> tuple[int, int, int]:
    """Whole sheets of one size: least, likely, most. ValueError for no size."""
    if sheet_m2 <= 0:
        raise ValueError("a sheet has a size")
    least, likely, most = (math.floor(a / sheet_m2 + 1e-9) for a in left_m2)
    return least, likely, most


@dataclass(frozen=True, slots=True)
class Slowed:
    """What first appearance tells: how much longer it takes, how much of that the warmth explains, what is left for the bath's age.

    low, high  9 in 10 of `tired`
    """

    longer: float
    by_warmth: float
    tired: float
    low: float
    high: float


def slowed(fresh_s: float, now_s: float, fresh_c: float | None, now_c: float | None, q10: float) -> Slowed:
    """First appearance fresh and now [s], with temperatures [°C] where both are known. ValueError for times that are none."""
    if fresh_s <= 0 or now_s <= 0:
        raise ValueError("first appearance takes some time")
    longer = now_s / fresh_s
    warmth = 1.0 if fresh_c is None or now_c is None else q10 ** (-(now_c - fresh_c) / 10)
    tired = longer / warmth
    # Two readings, each off by its own share; without temperatures two degrees either way are in it too.
    share = math.hypot(
        APPEARANCE_NOISE * math.sqrt(2), 0.0 if warmth != 1.0 or fresh_c is not None else 0.2 * math.log(q10)
    )
    return Slowed(longer, warmth, tired, tired * math.exp(-1.645 * share), tired * math.exp(1.645 * share))


def q10_of(developer: str) -> float:
    """Times slower for 10 °C colder; the paper developer's where a kind has none of its own."""
    agents: dict[str, Any] = tables.load("warmth")["agent"]
    return float(agents.get(developer, agents["paper"]).get("q10", agents["paper"]["q10"])[1])


def fresh_after_moves() -> int:
    """How often a second fixer may move forward before both are made new [NAVEDTRA-14209]."""
    return int(tables.load("baths")["silver"]["fresh_moves"])
