"""What to see to before the box of paper is opened, for one way of working. Pure: the shipped table and nothing else."""

from __future__ import annotations

from dataclasses import dataclass

from firstsheet.tables import load
from firstsheet.trays.process import Process


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to see to: what is so, why, and what to do where it is not."""

    key: str
    words: str
    why: str
    otherwise: str


def kinds(process: Process) -> frozenset[str]:
    """What a run asks of the room: "none" or "red" light, "camera" or "contact", "coffee", "colour", "permanganate"."""
    light = "none" if any(s.light == "none" for s in process.steps) else "red"
    found = {light, "contact" if process.way == "contact_print" else "camera"}
    if process.developer == "coffee":
        found.add("coffee")
    if process.sensitivity == "colour":
        found.add("colour")
    if any(s.agent == "bleach" for s in process.steps):
        found.add("permanganate")
    return frozenset(found)


def items(process: Process) -> tuple[Item, ...]:
    """The list for this run, in the order in which the body comes by."""
    have = kinds(process)
    return tuple(
        Item(row["key"], row["words"], row["why"], row["otherwise"])
        for row in load("readiness")["item"]
        if have.issuperset(row["when"])
    )
