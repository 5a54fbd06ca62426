"""What scraps say in a plan: where its long exposures come from. Read on the way of every plan, so it loads nothing heavy."""

from __future__ import annotations

from dataclasses import replace
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
