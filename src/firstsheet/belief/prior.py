"""Which effects a sheet shares with which others, and where belief about each starts."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from firstsheet import tables
from firstsheet.belief.effects import Effect
from firstsheet.exposure.chain import ei_from_iso_p
from firstsheet.paper.response import way_of


@dataclass(frozen=True, slots=True)
class Speed:
    """A box's speed before any of its sheets was judged.

    ei      exposure index at the way's anchor [1]
    turned  whether it was said of the same paper as a negative, and is carried over to its reversal
    basis   "kind" (reports of its kind), "label" (a printed ISO P) or "own" (found by the person)
    light   the kind of light that speed is stated for
    """

    ei: float
    basis: str
    light: str
    source: str
    turned: bool = False


TURNED_SD = 0.8  # of a negative's speed carried over to the reversal of the same paper [stop]; ours, from the spread of reports of both
TURNED_FROM = "paper_negative"


def starting_speed(way: str, box: Mapping[str, Any]) -> Speed:
    """Own figure before label before reports. A label is stated for tungsten-like light, so its light is "tungsten".

    A figure of paper that light darkens is one of its negative; its reversal is so much slower as reports of the two lie apart.
    """
    entry = way_of(way)
    serves = tables.load("papers").get(str(box.get("paper")), {}).get("ways", ())
    if entry["sense"] == "positive" and TURNED_FROM in serves:
        said = starting_speed(TURNED_FROM, box)
        if said.basis != "kind":
            slower = float(way_of(TURNED_FROM)["ei_log2"]) - float(entry["ei_log2"])
            words = f"{said.source}, as a negative; its reversal {slower:.1f} stops slower, as reports of the two lie apart; no source"
            return Speed(said.ei * 2.0**-slower, said.basis, said.light, words, turned=True)
    if box.get("ei"):
        return Speed(float(box["ei"]), "own", "sun", "your own figure for this box")
    if box.get("iso_p"):
        p = float(box["iso_p"])
        return Speed(ei_from_iso_p(p), "label", "tungsten", f"ISO P {p:g} on the label, EI = 8.125·P/1000 [ISO-6846]")
    return Speed(2.0 ** float(entry["ei_log2"]), "kind", str(entry["base_light"]), str(entry["source"]))


def speed_effects(way: str, box_name: str, box: Mapping[str, Any]) -> list[Effect]:
    """What all boxes of the kind share, and what this one box adds. Means 0: the starting speed is in the chain itself."""
    ways = tables.load("ways")
    speed = starting_speed(way, box)
    box_sd = float(ways["box_sd"])
    if speed.turned:
        turned = Effect(f"kind:{way}:turned", 1.0, 0.0, TURNED_SD, f"{way_of(way)['words']} against the negative", speed.source)
        return [turned, *speed_effects(TURNED_FROM, box_name, box)]
    if speed.basis == "own":
        return [
            Effect(f"box:{box_name}", 1.0, 0.0, float(box.get("ei_sd") or ways["own_sd"]), "this box", speed.source)
        ]
    total = float(ways["label_sd"]) if speed.basis == "label" else float(way_of(way)["ei_log2_sd"])
    kind_sd = math.sqrt(max(total**2 - box_sd**2, 0.05**2))
    return [
        Effect(f"kind:{way}:{speed.basis}", 1.0, 0.0, kind_sd, f"{way_of(way)['words']}, any box", speed.source),
        Effect(f"box:{box_name}", 1.0, 0.0, box_sd, f"box {box_name}", "box to box within a kind; no source"),
    ]


def developer_effects(name: str, kind: str, box_name: str) -> list[Effect]:
    entry = tables.load("developers")[kind]
    devbox_sd = float(tables.load("ways")["devbox_sd"])
    words = f"{name} with this box"
    return [
        Effect(
            f"dev:{kind}", 1.0, float(entry["stops"]), float(entry["sd"]), str(entry["words"]), str(entry["source"])
        ),
        Effect(f"devbox:{name}|{box_name}", 1.0, 0.0, devbox_sd, words, "developer × box; no source"),
    ]


def light_effects(way: str, light: str, base: str) -> list[Effect]:
    """The spectral step from the light a speed is stated for to the light outside, once: their difference. [CIE-15]

    Colour reversal is as fast as its red-sensitive layer, so its lights are others', and are learned apart.
    """
    if light == base:
        return []
    table = tables.load("lights")
    colour = way_of(way)["sensitivity"] == "colour"
    out = []
    for key, sign in ((light, 1.0), (base, -1.0)):
        e = table[key]
        actinic, sd = (float(e["red"]), float(e["red_sd"])) if colour else (float(e["actinic"]), float(e["sd"]))
        if sd > 0 or actinic != 0:
            name = f"light:colour {key}" if colour else f"light:{key}"
            source = (
                "physics of the red-sensitive layer, 600–700 nm [CIE-15]; no reports" if colour else str(e["source"])
            )
            out.append(Effect(name, sign, -actinic, sd, str(e["words"]), source))
    return out


def meter_effect(name: str, kind: str) -> Effect:
    entry = tables.load("meters")[kind]
    return Effect(f"meter:{name}", 1.0, 0.0, float(entry["offset_sd"]), str(entry["words"]), str(entry["source"]))


def camera_effect(name: str) -> Effect:
    """Engraved against true f-number, transmission, flare: what this lens adds for every sheet it makes."""
    return Effect(f"camera:{name}", 1.0, 0.0, 0.25, "engraved f-number and glass", "common practice, no source")


def reciprocity_effect(way: str, lever_stops: float) -> Effect:
    """coefficient = how far the metered time stands above 1 s [stop]."""
    ways = tables.load("ways")
    mean, sd = float(ways["reciprocity_mean"]), float(ways["reciprocity_sd"])
    return Effect(
        f"recip:{way}",
        lever_stops,
        mean,
        sd,
        "long exposures",
        "Schwarzschild's 1/p − 1 for paper [Schwarzschild-1900]",
    )


def through_reciprocity(way: str, effects: Sequence[Effect], lever_stops: float, r: float, strip_stops: float = 0.0) -> tuple[Effect, ...]:
    """The effects as the time to give feels them, Schwarzschild's law last.

    log2 t = M + r·max(0, M) is not linear in both; about the point (M, r) each effect counts (1 + r) times above one second,
    and r itself counts M times. Left out: (M − M̂)(r − r̂), below 0.02 stop once a box is known to a third of a stop.
    lever_stops  M̂, how far the metered time stands above 1 s [stop], ≥ 0; r = 1/p − 1 [1]
    strip_stops  the same of the time a test strip told M by: log2 T/(1 + r). What long exposures cost was in the strip's own time, so that r
                 counts from there, M̂ less that; a print shorter than its strip would have been loses less, and r counts against it.
    """
    once = 1.0 + max(0.0, r)
    felt = [replace(e, coefficient=e.coefficient * (once if lever_stops > 0 else 1.0)) for e in effects]
    return (*felt, reciprocity_effect(way, lever_stops - strip_stops if lever_stops > 0 else -strip_stops / once))


def reading_effect(reading_id: str, sd: float) -> Effect:
    return Effect(f"reading:{reading_id}", 1.0, 0.0, sd, "this reading", "what one reading is worth")
