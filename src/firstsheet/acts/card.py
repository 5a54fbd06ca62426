"""The printed reference card: what its patches measure, by an instrument or by a spot meter; kept until it is said anew."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables
from firstsheet.acts import calibrate_parts as parts
from firstsheet.acts.door import Door, Form
from firstsheet.refusal import Problems, Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

STOP_D = math.log10(2.0)  # one stop of light is 0.30 of density
METER_SD_STOPS = 0.10  # one spot reading against another on one card, in one light; common practice, no source
PATCHES = 6
HOW = {"measured": "measured", "meter": "by a spot meter against the white"}
DARK_NOTE = "A spot meter sees a little of the white around a black: the true black may be darker than it tells."
UNKNOWN = "Nobody measured this card: its greys are no reference, its black is not known, and densities read beside it stay in doubt."
LIGHT_BLACK = "Glue a piece of fully blackened glossy paper over the patch and measure that."


@dataclass(frozen=True, slots=True)
class Card:
    """white, black, greys  densities by reflection, greys light to dark; None where not known
    sd     doubt of each [D]
    how    "measured", "meter" or "" where nobody said
    typed  the same as it is typed where a strip is read; told by a meter, with its doubt
    notes  sentences
    """

    white: float | None
    greys: tuple[float, ...] | None
    black: float | None
    sd: float | None
    how: str
    typed: dict[str, str]
    notes: tuple[str, ...]


def card(reader: Reader) -> Card:
    """The card as it was said last."""
    said: dict[str, Any] = reader.get_setting("card") or {}
    if not said:
        return Card(None, None, None, None, "", {}, (UNKNOWN,))
    greys = tuple(float(g) for g in said["greys"]) if said["greys"] else None
    notes = []
    if said["black"] is None:
        notes.append("Its black is not known: densities above 1.5 read beside it stay in doubt.")
    if greys is None:
        notes.append("Its greys are not known: a phone’s own rendering cannot be told from the paper’s.")
    if said["how"] == "meter":
        notes.append(DARK_NOTE)
        notes.append(
            "Told by a meter they are good to about ±0.05, and are filled in with that doubt where a strip is read; a densitometer is surer."
        )
    typed = _typed(said["white"], greys, said["black"])
    if said["how"] == "meter":
        typed["card_sd"] = f"{said['sd']:.2f}"
    return Card(said["white"], greys, said["black"], said["sd"], said["how"], typed, tuple(notes))


def say_card(book: Book, form: Form | None) -> Card:
    """Say what its patches measure. Fields: white, greys (four, light to dark), black, each a density; or readings (six, white first,
    in EV or stops) with white where it is known; or forget = yes.

    Raises Refusal with every problem; what was said before then stays.
    """
    d = Door(form)
    forget = d.flag("forget")
    white = d.read("white", lambda t: q.plain_number(t, 0.0, 0.5))
    black = d.read("black", lambda t: q.plain_number(t, 0.0, 3.5))
    greys = d.read("greys", lambda t: parts.numbers(t, 0.0, 3.5))
    readings = d.read("readings", _readings)
    if greys is not None and len(greys) != PATCHES - 2:
        d.problems.add(
            "greys", d.said("greys"), "Four densities, light to dark.", "Leave it out if they were not measured."
        )
    if readings is not None and (greys is not None or black is not None):
        d.problems.add("readings", d.said("readings"), "Readings of a meter, or densities: not both.", "Leave one out.")
    if readings is not None and not d.problems.found:
        white, greys, black = _by_meter(readings, white)
    if not forget and white is None and greys is None and black is None and not d.problems.found:
        d.problems.add("black", "", "The density of a patch at least.", "Write it like “1.72”.")
    _in_order(d.problems, white, greys, black, "readings" if readings is not None else "")
    d.close()
    if forget:
        book.set_setting("card", {})
    else:
        how = "meter" if readings is not None else "measured"
        sd = math.hypot(METER_SD_STOPS * STOP_D * math.sqrt(2.0), 0.03) if how == "meter" else 0.02
        body = {"white": white, "greys": greys, "black": black, "how": how, "sd": sd}
        book.set_setting("card", body)
    return card(book)


def _readings(text: str) -> list[float]:
    found = parts.numbers(text.lower().replace("ev", " ").replace("−", "-"), -20.0, 30.0)
    if len(found) != PATCHES:
        raise Refusal.one(
            "", text, "Six readings: white, four greys, black.", "Write them like “12.0 10.9 10.0 9.2 8.1 7.0”."
        )
    return found


def _by_meter(readings: list[float], white: float | None) -> tuple[float, list[float], float]:
    """Density of each patch from what one meter reads on it in one light: D = D_white + 0.301·(reading on white − reading)."""
    base = float(tables.load("card")["patch"][0]["density"]) if white is None else white
    found = [base + STOP_D * (readings[0] - r) for r in readings]
    return base, [round(g, 2) for g in found[1:-1]], round(found[-1], 2)


def _in_order(
    problems: Problems, white: float | None, greys: list[float] | None, black: float | None, field: str
) -> None:
    """White lightest, greys darker and darker, black darkest and at least what a lens's flare leaves to be read."""
    least = float(tables.load("card")["patch"][-1]["smallest"])
    if black is not None and black < least:
        problems.add(field or "black", f"{black:.2f}", f"A black of {least:g} or more.", LIGHT_BLACK)
    row = [v for v in (white, *(greys or ()), black) if v is not None]
    if any(b <= a for a, b in itertools.pairwise(row)):
        problems.add(
            field or "greys",
            " ".join(f"{v:.2f}" for v in row),
            "Each patch darker than the one before.",
            "Begin with the white.",
        )


def _typed(white: float | None, greys: tuple[float, ...] | None, black: float | None) -> dict[str, str]:
    said = {"card_white": white, "card_black": black}
    out = {k: f"{v:.2f}" for k, v in said.items() if v is not None}
    return out | ({"card_greys": " ".join(f"{g:.2f}" for g in greys)} if greys else {})
