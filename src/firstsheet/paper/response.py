"""Which way a sheet answers to light. The sign is said here and nowhere else."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from firstsheet import tables
from firstsheet.refusal import Refusal

DRY_DOWN_STOPS = 0.15  # a wet print dries about a tenth darker: log2(1.1); common practice, no source
DRY_DOWN_SD = 0.10


@dataclass(frozen=True, slots=True)
class Seen:
    """What was seen on a sheet, as the exposure that would have been right.

    need_stops  log2(right exposure / given exposure) [stop]; + means it needed more light
    sd_stops    doubt of that judgement [stop]
    """

    key: str
    words: str
    need_stops: float
    sd_stops: float


def sense(way: str) -> int:
    """+1 where more light makes the sheet darker (negative-working), −1 where it makes it lighter."""
    return 1 if way_of(way)["sense"] == "negative" else -1


def need_from_tone(way: str, tone_stops: float) -> float:
    """Stops more exposure needed, from how much darker (+) or lighter (−) than wanted the sheet looks [stop]."""
    return -sense(way) * tone_stops


def seen(way: str, key: str, *, wet: bool) -> Seen:
    """A judgement by eye. A wet sheet will dry down darker, and is judged as it will be dry."""
    words = tables.load("seen")
    if key not in words:
        raise Refusal.one("seen", key, "One of: " + ", ".join(words) + ".", "Say what you see, not what went wrong.")
    entry = words[key]
    darker, doubt = dry_down(way, wet=wet)
    tone = float(entry["tone"]) + darker
    sd = math.hypot(float(entry["sd"]), doubt)
    return Seen(key, str(entry["words"]), need_from_tone(way, tone), sd)


def dry_down(way: str, *, wet: bool) -> tuple[float, float]:
    """How much darker a sheet judged now will be when dry, and the doubt of it [stop]; (0, 0) for a dry one.

    Colour reversal looks darker and bluer wet than dry: nothing is added, the doubt is.
    """
    if not wet:
        return 0.0, 0.0
    return (0.0, 2.0 * DRY_DOWN_SD) if way == "reversal_ra4" else (DRY_DOWN_STOPS, DRY_DOWN_SD)


def border_says(way: str, border: str) -> str:
    """ "clean" or "fogged", from the masked border as seen: "white", "grey" or "black"."""
    if border not in ("white", "grey", "black"):
        raise Refusal.one(
            "border", border, "white, grey or black.", "Look at the edge that the frame or magnet covered."
        )
    return "clean" if border == way_of(way)["border"] else "fogged"


def way_of(way: str) -> dict[str, Any]:
    """The shipped description of a way of working, or a refusal that lists them."""
    ways = {k: v for k, v in tables.load("ways").items() if isinstance(v, dict)}
    if way not in ways:
        raise Refusal.one("way", way, "One of: " + ", ".join(ways) + ".", "Name the route from blank paper to print.")
    entry: dict[str, Any] = ways[way]
    return entry
