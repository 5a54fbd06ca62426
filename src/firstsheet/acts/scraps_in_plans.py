"""What scraps say in a plan: where its long exposures come from, whether its box is fogged, what a negative that was looked at
is to print through. Read on the way of every plan, so it loads nothing heavy."""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from firstsheet import quantities as q
from firstsheet.paper import reciprocity
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from collections.abc import Sequence

    from firstsheet.acts.reader import Reader
    from firstsheet.exposure.chain import Link


def sourced(reader: Reader, way: str, box: str, links: Sequence[Link]) -> list[Link]:
    """The links with long exposures told by scraps, where scraps have told: this box's own first, else the newest of its way."""
    found = [
        t
        for t in reader.things("reciprocity")
        if t["body"]["stands"] and any(e["way"] == way for e in t["body"]["evidence"].values())
    ]
    if not found:
        return list(links)
    b = max(found, key=lambda t: (t["body"]["box"] == box, int(t["id"])))["body"]
    name = b["box"] if "box" in b["box"].lower() else f"box {b['box']}"
    words = f"measured on scraps of {name} in {b['developer']}, {b['wall'][:10]}: {b['line']}, counted from {reciprocity.T_REF_S:g} s [Schwarzschild-1900]"
    return [replace(link, source=words) if link.key == "reciprocity" else link for link in links]


FOGGED = ("slight", "clear", "heavy")
OLD_DAYS = 365
DOES = {"slight": "whites a little veiled, and perhaps up to a stop slower", "clear": "grey whites, and perhaps a stop or more slower",
        "heavy": "fogged through: for practice"}  # fmt: skip


def fogged(reader: Reader, box: str) -> list[str]:
    """What the newest standing test of this box's fog means for a plan; nothing where it found none."""
    tests = [t for t in reader.things("fog_test") if t["body"]["box"] == box and t["body"]["stands"]]
    if not tests:
        return []
    b = max(tests, key=lambda t: (t["body"]["day"], int(t["id"])))["body"]
    name = box if "box" in box.lower() else f"box {box}"
    out = []
    if b["word"] in FOGGED:
        wide = "" if b["word"] == "heavy" else " Only a strip tells its speed."
        out.append(
            f"{name[0].upper()}{name[1:]} is fogged, {max(b['fog'], 0.0):.2f} D on {b['day']}: {DOES[b['word']]}.{wide}"
        )
    if (reader.now().date() - date.fromisoformat(b["day"])).days > OLD_DAYS:
        out.append(f"Its fog was last tested on {b['day']}: test it again.")
    return out


def looked_up(table: Sequence[Sequence[float]], reflection: float) -> tuple[float, float, float]:
    """D_T above bare paper and its 90 % range for a D_R above bare paper [D], straight between rows of D_R, D_T, low, high.

    Refusal outside the rows: what was not measured is not told.
    """
    low, high = table[0][0], table[-1][0]
    if not low - 1e-6 <= reflection <= high + 1e-6:
        shown, low_shown, high_shown = (_plain(v) for v in (reflection, low, high))
        raise Refusal.one("", shown, f"This paper was measured both ways from {low_shown} to {high_shown} above bare paper.",
                          "Read more patches both ways: by reflection, and over a light table.")  # fmt: skip
    at = min(max(reflection, low), high)
    i = min(max(bisect_right([row[0] for row in table], at) - 1, 0), len(table) - 2)
    a, b = table[i], table[i + 1]
    share = (at - a[0]) / (b[0] - a[0])
    mid, under, over = (x + share * (y - x) for x, y in zip(a[1:], b[1:], strict=True))
    return mid, under, over


def _plain(density: float) -> str:
    """Two decimals, no minus before nothing."""
    return f"{round(density, 2) + 0.0:.2f}".replace("-", "−")


def negative_density(reader: Reader, text: str) -> float:
    """A negative's density by transmission [D]: said so, “0.90”, or looked at, “1.40 looked at” or “1.40 looked at, box D”,
    with bare paper in it, through the readings kept of its box. Refusal outside them, or where none are kept."""
    said = re.fullmatch(
        r"\s*([^\s,]+)\s+(?:looked at|by reflection)\s*(?:,\s*(?:box\s+)?(.+?))?\s*", text, re.IGNORECASE
    )
    if said is None:
        return q.plain_number(re.sub(r"(?<=[0-9])\s*[Dd]\s*$", "", text), 0.0, 4.0)
    value, box = q.plain_number(said[1], 0.0, 4.0), said[2]
    kept = [t["body"] for t in reader.things("two_readings") if t["body"]["stands"]]
    found = [b for b in kept if box is None or b["box"].lower() in (box.lower(), f"box {box}".lower())]
    whole = [b for b in found if b["base_reflection"] is not None and b["base_transmission"] is not None]
    if len({b["box"] for b in whole}) != 1:
        names = ", ".join(sorted({b["box"] for b in kept if b["base_transmission"] is not None})) or "none yet"
        raise Refusal.one("", text, f"A box whose patches were read both ways, bare paper too: {names}.",
                          "Say “1.40 looked at, box D”; or measure: firstsheet scraps readings.")  # fmt: skip
    b = whole[-1]
    return float(looked_up(b["table"], value - b["base_reflection"])[0] + b["base_transmission"])
