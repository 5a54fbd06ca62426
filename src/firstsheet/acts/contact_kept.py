"""What a contact print remembers: lamps by one strip each, and negatives by what passes through them."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts import own
from firstsheet.acts.door import Door, Form, short_name, times_s, whole
from firstsheet.acts.scraps_in_plans import negative_density
from firstsheet.answer import Z90
from firstsheet.printing import contact as core
from firstsheet.printing import lamp as lamps
from firstsheet.printing import negative as negatives
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

LAMP, NEGATIVE = "print_lamp", "print_negative"
LOOKED_SD_D = 0.06  # of a density looked at and carried over to transmission [D]; ours, no source
WHY_NOT_LOOKED = "Looked at, light passes the picture more than once, printed through only once: how they go together is measured on each paper."
CAUTION = "Lamp, lead and battery dry and away from the trays, dry hands; a bulb is hot and cracks when splashed."


@dataclass(frozen=True, slots=True)
class LampKnown:
    """A lamp as kept: black_s to full black of bare paper [s], 9 in 10 between low_s and high_s, at height_mm; over_d what lay over the strip [D]."""

    name: str
    kind: str
    box: str
    developer: str
    black_s: float
    low_s: float
    high_s: float
    height_mm: float
    battery: bool
    glass: bool
    words: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NegativeKnown:
    """A negative as kept: by transmission [D], base included; state dry or wet when read."""

    name: str
    clear_d: float
    dense_d: float
    range_d: float
    sd_d: float
    state: str
    grade: int | None
    words: str
    grain_d: float | None = None
    grain_low_d: float | None = None
    grain_high_d: float | None = None


def lamp(book: Book, form: Form | None = None) -> LampKnown:
    """Keep a lamp by its strip. Fields: name, kind (point, flat, beam), height, times (“2 4 8 16 s”), black (first step as black as the next,
    from 1), over (density by transmission that lay over the strip; nothing unless said), across (its diameter, flat), corner (“0.8” stop less,
    measured) with corner_at, power (battery, mains), glass (yes where glass lay over the strip), box, developer."""
    d = Door(form)
    box, developer = _paper(book, d)
    name = d.must("name", short_name, "A name for the lamp.", "Try “phone”.")
    kind = d.pick("kind", lamps.KINDS) or "point"
    height = d.must("height", q.length_mm, "Lamp to sheet.", "Try “1.5 m”.")
    times = d.must("times", times_s, "The whole exposure of each step, rising.", "Try “2 4 8 16 32 s”.")
    black = d.must(
        "black",
        lambda t: whole(t, 1, 40),
        "The first step as black as the next, counted from 1.",
        "Try “4”.",
    )
    over = d.read("over", lambda t: negative_density(book, t)) or 0.0
    across = d.read("across", q.length_mm) or 0.0
    corner = d.read("corner", lambda t: q.plain_number(t, 0.0, 6.0))
    corner_at = d.read("corner_at", q.length_mm)
    power = d.pick("power", lamps.SAG_SD) or "battery"
    glass = bool(d.flag("glass"))
    if (corner is None) != (corner_at is None):
        d.problems.add(
            "corner",
            "" if corner is None else corner,
            "How much less, in stops, and how far from the middle.",
            "Say corner and corner_at.",
        )
    if corner_at is not None and corner_at < 20.0:
        d.problems.add("corner_at", f"{corner_at:g} mm", "From 20 mm: how far from the middle it was measured.", "Measure near a corner of the sheet.")
    at = (0.0, 0.0)
    if height is not None:
        with d.problems.at("height"):
            lamps.check_height(height)
    if times is not None and black is not None:
        with d.problems.at(""):
            at = lamps.counted_black(times, black, over, negatives.READING_SD_D if over else 0.0)
    d.close()
    assert name is not None
    body = {
        "kind": kind, "height_mm": height, "black_s": at[0], "sd": at[1], "across_mm": across, "corner": corner, "corner_mm": corner_at,
        "battery": power == "battery", "glass": glass, "box": box, "developer": developer, "times_s": times, "black": black, "over_d": over,
    }  # fmt: skip
    book.add_thing(LAMP, name, body)
    return _lamp_known(name, body)


def _lamp_known(name: str, b: dict[str, Any]) -> LampKnown:
    spread = 2.0 ** (Z90 * b["sd"])
    low, high = b["black_s"] / spread, b["black_s"] * spread
    words = (
        f"{name}, {lamps.KINDS[b['kind']]}: {wording.seconds(b['black_s'])} turn bare paper of {own_words(b['box'])} in {b['developer']} full black at "
        f"{wording.length(b['height_mm'])}, 9 in 10 between {wording.seconds(low)} and {wording.seconds(high)}."
    )
    return LampKnown(
        name,
        b["kind"],
        b["box"],
        b["developer"],
        b["black_s"],
        low,
        high,
        b["height_mm"],
        b["battery"],
        b["glass"],
        words,
        (CAUTION,),
    )


def own_words(box: str) -> str:
    return box if "box" in box.lower() else f"box {box}"


def negative(book: Book, form: Form | None = None) -> NegativeKnown:
    """Keep a negative. Fields: name, clear and dense (“0.55” by transmission; “1.40 looked at, box D”; or what a meter held behind reads,
    “850 lx”, “EV 9”, with bare, the lamp alone), state (dry, wet)."""
    d = Door(form)
    name = d.must("name", short_name, "A name, or its sheet's code.", "Try “boat”.")
    bare = d.read("bare", light_read)
    sds = []
    got: dict[str, float] = {}
    for key, what in (
        ("clear", "The clearest tone that must not all be black."),
        ("dense", "The densest tone that must not all be white."),
    ):
        text = d.said(key)
        if text is None:
            d.problems.add(key, "", what, "Try “0.60” by transmission, or “850 lx” behind it with bare.")
            continue
        with d.problems.at(key):
            got[key], sd = _density(book, text, bare)
            sds.append(sd)
    state = d.pick("state", ("dry", "wet")) or "dry"
    found = None
    if len(got) == 2:
        with d.problems.at(""):
            found = negatives.checked(got["clear"], got["dense"], max(sds), state)
    d.close()
    assert name is not None
    assert found is not None
    book.add_thing(
        NEGATIVE, name, {"clear_d": found.clear_d, "dense_d": found.dense_d, "sd_d": found.sd_d, "state": state}
    )
    return _negative_known(name, found)


def _negative_known(name: str, n: negatives.Negative) -> NegativeKnown:
    g = core.grade_for(n.range_d)
    fits = f"grade {g} holds it" if g is not None else "no grade from 0 to 5 holds it"
    words = f"{name}, {n.state}: from {n.clear_d:.2f} to {n.dense_d:.2f} D by transmission, a range of {n.range_d:.2f} D give or take {Z90 * n.sd_d * math.sqrt(2):.2f}; {fits}."
    return NegativeKnown(name, n.clear_d, n.dense_d, n.range_d, n.sd_d, n.state, g, words, n.grain_d, n.grain_low_d, n.grain_high_d)


def grade(text: str) -> float:
    """A grade from 0 to 5, halves too, as filters come."""
    said = q.plain_number(text, 0, 5)
    if 2 * said != int(2 * said):
        raise Refusal.one("", text, "A grade from 0 to 5, or half-way: 2, 2.5.", "Or the paper's R: range “R 110”.")
    return said


def light_read(text: str) -> tuple[float, str]:
    """Lux, or 2 to the EV, and which: only ratios of one kind are used, so no meter constant."""
    word = text.strip()
    if word.upper().startswith("EV"):
        return math.pow(2.0, q.plain_number(word[2:].strip(), -8.0, 22.0)), "EV"
    if not re.search(r"(lx|lux)$", word, re.IGNORECASE):
        raise Refusal.one("", text, "A reading with its unit: lx, or EV before it.", "Try “1600 lx” or “EV 9”.")
    return q.plain_number(re.sub(r"\s*(lx|lux)$", "", word, flags=re.IGNORECASE), 1e-3, 1e6), "lx"


def _density(reader: Reader, text: str, bare: tuple[float, str] | None) -> tuple[float, float]:
    if re.search(r"looked at|by reflection", text, re.IGNORECASE):
        try:
            return negative_density(reader, text), LOOKED_SD_D
        except Refusal as refusal:
            p = refusal.problems[0]
            raise Refusal.one("", text, f"{WHY_NOT_LOOKED} {p.allowed}", p.hint) from None
    if bare is not None and re.fullmatch(r"[\d.,\s]+", text):
        raise Refusal.one("", text, "A density, or a reading as bare is one: this can be both.", f"Say “{text.strip()} {bare[1]}”, or “{text.strip()} D”.")
    if re.search(r"^\s*EV|lx|lux", text, re.IGNORECASE):
        if bare is None:
            raise Refusal.one(
                "",
                text,
                "A reading behind the negative goes with one of the lamp alone.",
                "Say bare, in the same unit.",
            )
        behind, unit = light_read(text)
        if unit != bare[1]:
            raise Refusal.one("", text, f"In {bare[1]}, as bare was read: the two do not compare.", "Read both with one meter, the same way.")
        return negatives.density(bare[0], behind), negatives.READING_SD_D
    return negative_density(reader, text), negatives.READING_SD_D


def _paper(reader: Reader, d: Door) -> tuple[str, str]:
    today = reader.get_setting("today") or {}
    names = {}
    for kind in ("box", "developer"):
        with d.problems.at(kind):
            found = own.one(reader, kind, d.name(kind) or today.get(kind))
            names[kind] = found.name
            if kind == "box":
                own.way_of_paper(d.problems, found, "contact_print", "box")
    return names.get("box", ""), names.get("developer", "")


def lamps_kept(reader: Reader) -> list[LampKnown]:
    """Every lamp, by name."""
    return [_lamp_known(str(t["name"]), t["body"]) for t in reader.things(LAMP)]


def negatives_kept(reader: Reader) -> list[NegativeKnown]:
    """Every negative, by name."""
    return [_negative_known(str(t["name"]), negatives.Negative(**t["body"])) for t in reader.things(NEGATIVE)]
