"""Your coffee's acid, told by a pH strip in a bath that was weighed: what is the least known of a coffee developer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet import measures
from firstsheet import quantities as q
from firstsheet.acts.door import Door, Form
from firstsheet.chemistry import solution
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.mixing_own import Shelf
    from firstsheet.book.store import Book

KIND, NAME = "coffee_acid", "coffee"
STRIP = 0.3  # half-width of a narrow-range strip's reading; common practice, no source
TELLS = 1.5  # mmol/g of range, beyond which it told hardly more than was known
BEST = "Less soda to the coffee tells more: 5 g soda ash and 40 g coffee in a litre, stirred gently, without vitamin C"


@dataclass(frozen=True, slots=True)
class CoffeeAcid:
    """Acid in a gram of the coffee [mmol/g], 9 in 10, from a pH that was read."""

    low: float
    likely: float
    high: float
    measured_ph: float
    give: float
    sentence: str


def measure(book: Book, form: Form | None = None) -> CoffeeAcid:
    """Fields: lines (what went in, with coffee), makes, ph (as read), give (what the reading is worth, 0.3 unless said), temperature.

    Refusal where it tells nothing: no coffee, or a pH that such a mix cannot have.
    """
    from firstsheet.acts import mixing_check, mixing_own

    d = Door(form)
    makes = d.must("makes", measures.volume_ml, "How much water it was made up to.", "Try “1 l”.")
    said = d.must("lines", str, "What went in.", "Try “54 g soda ash; 16 g vitamin C; 40 g instant coffee”.")
    ph = d.must("ph", lambda t: q.plain_number(t, 6, 13), "The pH as read.", "Try “9.8”.")
    give = d.read("give", lambda t: q.plain_number(t, 0.02, 1.0)) or STRIP
    temperature = d.read("temperature", mixing_own.tray_c)
    rows = []
    if said:
        with d.problems.at("lines"):
            rows = mixing_own.lines_of(said, makes or 1000.0)
    d.close()
    assert ph is not None
    parts = [mixing_check.part_of(mixing_check.recipe_line(r)) for r in rows if "of" in r]
    if not any(p.substance.acid_mmol_per_g for p in parts):
        raise Refusal.one("lines", said, "A mix with coffee in it.", "Say all that went in, by weight.")
    found = solution.coffee_acid(parts, ph, give, 20.0 if temperature is None else temperature)
    if found is None:
        raise Refusal.one(
            "ph",
            ph,
            "A pH that this mix can have.",
            "Another soda than was said, or a strip for another range: check both.",
        )
    low, likely, high = found
    if high - low > TELLS:
        raise Refusal.one("ph", ph, "A reading that narrows it.", f"{BEST}.")
    book.add_thing(KIND, NAME, {"low": low, "likely": likely, "high": high, "ph": ph, "give": give, "lines": said})
    return CoffeeAcid(low, likely, high, ph, give, _sentence(low, likely, high))


def _sentence(low: float, likely: float, high: float) -> str:
    return f"Your coffee takes about {likely:.1f} mmol of soda a gram, {low:.1f} to {high:.1f}. It counts from now on; another coffee, another strip."


def known(reader: Shelf) -> tuple[float, float] | None:
    """The range that a strip told [mmol/g]; None for nothing known."""
    rows = reader.things(KIND)
    return (float(rows[0]["body"]["low"]), float(rows[0]["body"]["high"])) if rows else None
