"""What stands in the cans: litres by kind of what was thrown away, what must be collected, until it was handed in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet.acts.mixing_baths import KIND
from firstsheet.acts.mixing_words import litres
from firstsheet.chemistry import bath

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

DEFERS = "The local authority says what may go where; a licensed carrier takes the rest. No two kinds into one can."


@dataclass(frozen=True, slots=True)
class Can:
    """One kind of what was thrown away and not handed in yet: how much [ml], whether it must be collected, where it goes."""

    kind: str
    words: str
    volume_ml: float
    volume_words: str
    collect: bool
    where: str


@dataclass(frozen=True, slots=True)
class Waste:
    """All cans, those to be collected first."""

    cans: tuple[Can, ...]
    collect_ml: float
    collect_words: str
    defers: str = DEFERS


def waste(reader: Reader) -> Waste:
    """What was thrown away since it was last handed in."""
    found: dict[str, float] = {}
    for t in reader.things(KIND):
        if t["body"]["ended"] and not t["body"].get("handed_in"):
            found[t["body"]["kind"]] = found.get(t["body"]["kind"], 0.0) + t["body"]["volume_ml"]
    kinds = bath.kinds()
    cans = [Can(k, kinds[k].words, ml, litres(ml), kinds[k].collect, kinds[k].waste) for k, ml in found.items()]
    total = sum(c.volume_ml for c in cans if c.collect)
    return Waste(
        tuple(sorted(cans, key=lambda c: (not c.collect, c.words))), total, litres(total) if total else "nothing"
    )


def hand_in(book: Book) -> Waste:
    """All of it was handed in; the count begins anew. The baths stay in the book."""
    day = book.now().isoformat()
    with book.begin():
        for t in book.things(KIND):
            if t["body"]["ended"] and not t["body"].get("handed_in"):
                book.add_thing(KIND, t["name"], t["body"] | {"handed_in": day})
    return waste(book)
