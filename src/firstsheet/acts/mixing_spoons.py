"""Spoons of your own packets, weighed once: ten level teaspoons on the scales beat any table."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet import measures
from firstsheet import quantities as q
from firstsheet.acts.door import Door, Form
from firstsheet.chemistry import substance
from firstsheet.chemistry.substance import SPOON_ML
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.mixing_own import Shelf
    from firstsheet.book.store import Book

KIND = "spoon"
COUNT = 10
LOWEST, HIGHEST = 0.3, 3.0  # shares of the table's range beyond which it was not one level teaspoon


@dataclass(frozen=True, slots=True)
class Spoon:
    """One level 5 ml of a substance as weighed [g], and what the table gives: centre, low, high."""

    key: str
    words: str
    spoon_g: float
    count: int
    table_g: float
    table_low_g: float
    table_high_g: float


def weigh_spoon(book: Book, form: Form | None = None) -> Spoon:
    """Keep what spoons of a packet weighed. Fields: substance, weight of all of them (“23 g”), count (10 unless said), spoon (“5 ml”)."""
    d = Door(form)
    s = d.must("substance", substance.named, "Of what.", "Try “instant coffee”.")
    weight = d.must("weight", measures.mass_g, "What all of them weighed together.", "Try “23 g” for ten.")
    count = d.read("count", q.count) or COUNT
    size = d.read("spoon", measures.volume_ml) or SPOON_ML
    if s is not None and s.spoon_g is None:
        d.problems.add("substance", s.words, "A solid.", "A liquid is measured in ml.")
    if not 0.5 <= size <= 50:
        d.problems.add("spoon", d.said("spoon"), "A spoon from 0.5 to 50 ml.", "A teaspoon holds 5 ml.")
    each = weight / count * SPOON_ML / size if weight else 0.0
    if s is not None and s.spoon_g is not None and weight is not None and not d.problems.found:
        with d.problems.at("weight"):
            credible(s, each)
    d.close()
    assert s is not None
    book.add_thing(KIND, s.key, {"spoon_g": each, "count": count})
    return _spoon(s.key, each, count)


def credible(s: substance.Substance, spoon_g: float) -> None:
    """Refusal for a weight that no level teaspoon of it has."""
    assert s.spoon_g is not None
    if not LOWEST * s.spoon_g[1] <= spoon_g <= HIGHEST * s.spoon_g[2]:
        raise Refusal.one("", f"{spoon_g:.3g} g", f"One level teaspoon of it holds about {s.spoon_g[0]:g} g.", "Say how many spoons it was, and what they weighed together.")  # fmt: skip


def spoons(reader: Shelf) -> dict[str, float]:
    """Grams in a level 5 ml as weighed, by substance."""
    return {t["name"]: float(t["body"]["spoon_g"]) for t in reader.things(KIND)}


def listed(reader: Shelf) -> list[Spoon]:
    return [_spoon(t["name"], t["body"]["spoon_g"], t["body"]["count"]) for t in reader.things(KIND)]


def _spoon(key: str, spoon_g: float, count: int) -> Spoon:
    s = substance.of(key)
    assert s.spoon_g is not None
    return Spoon(key, s.words, spoon_g, count, *s.spoon_g)
