"""A route as a line of places and lights, from reading the light to the bench: how long in which light, what it uses. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from firstsheet.tables import load
from firstsheet.trays.process import Process, Step

TRAY_OVER_MM = 40.0  # a tray is so much longer and wider than its sheet …
TRAY_DEPTH_MM = 10.0  # … and filled so deep; common practice, no source: 0.7 l for 8x10 in, 2.4 l for 16x20 in, 3.6 l for 20x24 in
FLASH_S = 30.0  # an even flash with what belongs to it; ours
WATER = ("wash",)  # agents that are plain water, which nobody mixes
LAMP_WAYS = ("contact_print",)


@dataclass(frozen=True, slots=True)
class Leg:
    """One stretch of a route.

    place    "outside", "board", "lamp", "trays" or "bench"
    words    what is done there
    light    what the sheet bears: "none", "red" or "white"
    seconds  how long, the drain with it [s]
    step     key of the process' step, "" where it is none
    caution  what can hurt just there, "" for nothing
    """

    place: str
    words: str
    light: str
    seconds: float
    step: str = ""
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Used:
    """One liquid: litres that stand in its tray, litres that one sheet uses up; `whole` where no count of it is known, so the tray counts whole."""

    words: str
    tray_l: float
    sheet_l: float
    whole: bool


def line(process: Process, expose_s: float | None = None, *, flashed: bool = False) -> tuple[Leg, ...]:
    """The legs of a route in their order.

    process    its steps; expose_s  of the exposure [s], the table's where nothing was planned; flashed  with an even flash before it
    """
    takes = load("processes")["several"]
    paper = process.steps[0].light
    lamp = process.way in LAMP_WAYS
    where = "lamp" if lamp else "board"
    out = [
        Leg("bench" if lamp else "outside", "read the light, plan the sheet", "white", 120.0),
        Leg(where, "negative and glass at hand, lamp hung" if lamp else "compose and focus, the box shut", "white", float(takes["compose"]["seconds"])),
    ]
    mount = float(takes["mount"]["seconds"])
    if flashed:
        out.append(Leg(where, "a sheet out of the box, flashed evenly", paper, FLASH_S))
    first = "sheet under the negative, box shut" if lamp else "sheet on the board, box shut"
    out.append(Leg(where, first, paper, mount))
    out.append(Leg(where, "lamp on, and off" if lamp else "lens open, and shut", paper, expose_s or float(takes["expose"]["seconds"])))
    out.append(Leg(where, "to the trays", paper, float(takes["carry"]["seconds"])))
    out += [Leg("trays", s.tray, s.light, s.seconds + s.drain_s, s.key, s.caution) for s in process.steps]
    return (*out, Leg("bench", "dry it, judge it in daylight", "white", 0.0))


def seconds_by_light(legs: Sequence[Leg]) -> dict[str, float]:
    """How long in each light [s], in the order none, red, white; only those that are there."""
    sums = {light: sum(leg.seconds for leg in legs if leg.light == light) for light in ("none", "red", "white")}
    return {k: v for k, v in sums.items() if v > 0}


def tray_l(width_mm: float, height_mm: float) -> float:
    """What one tray for this sheet takes [l]. Domain: both above 0."""
    return (width_mm + TRAY_OVER_MM) * (height_mm + TRAY_OVER_MM) * TRAY_DEPTH_MM / 1e6


def liquids(process: Process, width_mm: float, height_mm: float) -> tuple[Used, ...]:
    """Every liquid of a route, its tray and what one sheet of this size uses of it. Water and white light are none."""
    full, area = tray_l(width_mm, height_mm), width_mm * height_mm / 1e6
    out = []
    for s in process.steps:
        if not s.agent or s.agent in WATER:
            continue
        per_l = _m2_per_l(s)
        out.append(Used(s.tray, full, area / per_l if per_l else full, per_l is None))
    return tuple(out)


def _m2_per_l(step: Step) -> float | None:
    """Paper through a litre [m²/l]: by the table's count, or by silver; None where neither is known."""
    baths = load("baths")
    for key in load("warmth")["agent"][step.agent]["baths"]:
        kind = baths["kind"][key]
        if "m2_per_l" in kind:
            return float(kind["m2_per_l"][1])
        if "silver_g_per_l" in kind:
            return float(kind["silver_g_per_l"]) / (float(baths["silver"]["out_g_per_m2"][1]) * float(kind.get("silver_share", 1.0)))
    return None
