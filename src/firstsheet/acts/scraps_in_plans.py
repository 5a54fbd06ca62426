"""What scraps say in a plan: where its long exposures come from, whether its box is fogged. Read on the way of every plan, so
it loads nothing heavy."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from firstsheet.paper import reciprocity

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
