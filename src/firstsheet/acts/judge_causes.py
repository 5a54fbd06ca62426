"""From tone and border together to the causes worth a look; what the book knows of the sheet puts the likelier first."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from firstsheet import tables
from firstsheet.acts import bad_day_known
from firstsheet.paper import response

if TYPE_CHECKING:
    from firstsheet.acts.answers import SheetState
    from firstsheet.acts.reader import Reader

MOST = 3
RIGHT_STOPS = 0.6  # a tone this near to the one that was wanted counts as right [stop]; ours
SPEAKS = 1.5  # what the book knows must make a cause so many times likelier to be put first


def causes(way: str, tone_stops: float, border: str) -> tuple[str, ...]:
    """Keys of causes, likeliest first, by tone (+ darker than wanted [stop]) and border ("white", "grey", "black") alone."""
    kind = "reversal" if way == "reversal_bw" else str(response.way_of(way)["sense"])
    tone = "right" if abs(tone_stops) < RIGHT_STOPS else "dark" if tone_stops > 0 else "pale"
    edge = "clean" if response.border_says(way, border) == "clean" else "grey" if border == "grey" else "other"
    return tuple(tables.load("tone_and_border")[kind][tone][edge])


def ranked(reader: Reader, now: SheetState, tone_stops: float, border: str) -> tuple[str, ...]:
    """The same, with what the book knows of this sheet: those that it speaks for first, those that it speaks against last or not at all."""
    way = str(now.plan["way"])
    order = causes(way, tone_stops, border)
    at = bad_day_known.Seen("", way, border, 0)
    weight = dict.fromkeys(order, 0.0)
    for clue in bad_day_known.known(reader, now, at):
        for key in clue.causes:
            if key in weight:
                weight[key] += math.log(max(clue.times, 1e-6))
    kept = [k for k in order if weight[k] > math.log(1 / 20.0)]
    return tuple(sorted(kept, key=lambda k: -weight[k] if weight[k] > math.log(SPEAKS) else 0.0))


def words(reader: Reader, now: SheetState, tone_stops: float, border: str) -> tuple[str, ...]:
    """At most three causes, each with what to do; none where the border is as it should be and nothing else speaks."""
    keys = ranked(reader, now, tone_stops, border)
    if response.border_says(str(now.plan["way"]), border) == "clean":
        told = [k for k in keys if k in ("short_dev", "long_dev", "poor_bleach")]
        keys = tuple(k for k in told if _speaks(reader, now, k, border))
    table = tables.load("bad_day")["causes"]
    return tuple(f"Perhaps {table[k]['words']}. {table[k]['do']}" for k in keys[:MOST])


def _speaks(reader: Reader, now: SheetState, key: str, border: str) -> bool:
    at = bad_day_known.Seen("", str(now.plan["way"]), border, 0)
    return any(key in c.causes and c.times > SPEAKS for c in bad_day_known.known(reader, now, at))
