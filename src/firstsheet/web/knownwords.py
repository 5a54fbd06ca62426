"""What moved a number, and where misses came from, as words and drawings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from firstsheet import tables, wording
from firstsheet.acts.known import LEAST_TOLD, Missed, Why
from firstsheet.drawing.chain_bars import bar, reach_stops
from firstsheet.drawing.miss_shares import miss_shares

LEAST_SHARE = 0.01


def misses(found: Sequence[Missed]) -> dict[str, Any]:
    """The drawing, then each source with what makes it smaller, largest first."""
    shown = [m for m in found if m.share >= LEAST_SHARE or m.high >= 10 * LEAST_SHARE]
    rows = [
        {
            "words": m.group[:1].upper() + m.group[1:],
            "share": wording.share(m.share),
            "range": f"9 in 10: {wording.share(m.low)} to {wording.share(m.high)}",
            "size": f"{wording.stops_apart(m.size_stops)} a sheet",
            "helps": m.helps,
        }
        for m in shown
    ]
    drawing = miss_shares([(m.group, m.share, m.low, m.high) for m in shown])
    return {"rows": rows, "drawing": drawing if rows else ""}


def why(w: Why) -> dict[str, Any]:
    """The number, how far the sheets have moved it, then each of them, signed, with its bar."""
    reach = reach_stops([(m.stops, None) for m in w.moved])
    rows, small = [], 0
    for m in w.moved:
        if abs(m.stops) < LEAST_TOLD:
            small += 1
            continue
        without = "" if m.without_s is None else f"without it {wording.seconds(m.without_s)}"
        words = f"Sheet {m.sheet}" if m.sheet else m.name
        rows.append(
            {
                "sheet": m.sheet,
                "words": words,
                "stops": wording.stops(m.stops),
                "aside": without,
                "bar": bar(m.stops, None, reach),
            }
        )
    box = w.box if "box" in w.box.lower() else f"box {w.box}"
    way = str(tables.load("ways")[w.way]["words"])
    return {
        "plan": w.of == "plan", "title": f"Why {w.headline}", "of": f"{box[:1].upper()}{box[1:]}, {way}", "rows": rows,
        "moved": wording.stops(w.mean_stops), "pm": wording.stops_pm(w.sd_stops), "small": small, "taught": bool(w.moved),
    }  # fmt: skip
