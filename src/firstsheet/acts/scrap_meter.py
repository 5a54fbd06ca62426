"""A scrap as meter: the tint's constant found once for a box, then seconds to the tint as a reading the plan goes by."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables, wording
from firstsheet.acts import own, reading
from firstsheet.acts.door import Door, Form
from firstsheet.acts.wish import own_meter
from firstsheet.belief import prior
from firstsheet.light import meter
from firstsheet.light import reading as light_reading
from firstsheet.light import scrap_meter as core
from firstsheet.light.reading import Reading
from firstsheet.refusal import Problems, Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

KEY = "scrap_meter"
SPENT = "The scrap is spent: it never goes back among the paper. Close the box before the scrap sees light."
HOW = (
    "Lay a scrap, emulsion up, where the sitter’s face will be, turned as the face is. Half of it under a card, so that you see it begin.",
    "Count until it has darkened to the tint you keep. Twice or three times, and let the counts average.",
)
TINT = "Keep one tint for good: a chip of matt house paint, or a scrap fixed and washed at the tint, kept in the dark. A printer’s patch is no tint: its ink, paper and age change it."
GLASS = "Not behind glass, unless the tint was set behind it: glass keeps back what darkens the scrap most."


@dataclass(frozen=True, slots=True)
class Tint:
    """A box's tint: its constant [lx·s] and doubt [stop], the kind of light it was found in, the reading beside it."""

    box: str
    lx_s: float
    sd_stops: float
    light: str
    light_words: str
    said: str
    seconds: float
    words: str


@dataclass(frozen=True, slots=True)
class Standing:
    """Every box's tint, and how it is done."""

    tints: tuple[Tint, ...]
    how: tuple[str, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ScrapReading:
    """A reading by scrap. lux_lx: as the paper sees it, in lux of the light the tint was set in [lx]; change_stops against that day [stop]; in_plan: the plan goes by it now."""

    box: str
    seconds: float
    counts: int
    lux_lx: float
    sd_stops: float
    change_stops: float
    light: str
    says: str
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    in_plan: bool


def standing(reader: Reader) -> Standing:
    """What is known of each box's tint."""
    kept = reader.get_setting(KEY) or {}
    return Standing(tuple(_tint(b, kept[b]) for b in sorted(kept)), HOW, (SPENT,), (TINT, GLASS))


def set_tint(book: Book, form: Form | None = None) -> Standing:
    """Fields: seconds (“42 s; 45 s”), reading beside it (“EV 14”, “60000 lx”, a sky), how, light (its kind), box. A newer one takes the older's place."""
    d = Door(form)
    box = d.name("box")
    counts = d.must("seconds", seconds_of, "Seconds until the scrap matched the tint.", "Try “42 s; 45 s”.")
    how = d.pick("how", ("incident", "dome"))
    said = d.must("reading", lambda t: reading.parse(t, how, None, own_meter(book), book.now()), "A reading of the same light at the same place.", "Try “EV 14”.")
    light = d.pick("light", tables.load("lights")) or (book.get_setting("phrase") or {}).get("light")
    if not light:
        d.problems.add("light", "", "The kind of light: " + ", ".join(tables.load("lights")) + ".", "The scrap turns other lights into this one.")
    for k in said or ():
        if k.reading.how == "reflected" or k.reading.kind == "board":
            d.problems.add("reading", k.said, "Light that falls on the face, read where the scrap lies.", "Try “EV 14” read at the face, or lux.")
    d.close()
    assert counts is not None
    assert said is not None
    name = own.one(book, "box", box or (book.get_setting("today") or {}).get("box")).name
    problems = Problems()
    with problems.at("reading"):
        mid = light_reading.midtone_of_all([k.reading for k in said], book.now())
    problems.raise_if_any()
    one = meter.midtone_luminance(how="incident_flat", lux_lx=1.0).luminance_cdm2
    lasting = prior.meter_effect(said[0].reading.meter, said[0].meter_kind).sd
    c = core.constant(mid.luminance_cdm2 / one, math.hypot(mid.sd_stops, lasting), counts)
    kept = dict(book.get_setting(KEY) or {})
    kept[name] = {"lx_s": c.lx_s, "sd_stops": c.sd_stops, "light": light, "said": "; ".join(k.said for k in said), "seconds": counts.mean_s}
    book.set_setting(KEY, kept)
    return standing(book)


def read(reader: Reader, form: Form | None = None) -> ScrapReading:
    """Seconds to the tint as a reading. Fields: seconds, box. Nothing is kept."""
    return _read(reader, form)[0]


def into_plan(book: Book, form: Form | None = None) -> ScrapReading:
    """The same, and the plan goes by it: its light is then the one the tint was set in, as the scrap has turned this light into that."""
    from dataclasses import replace

    got, kept = _read(book, form)
    phrase = dict(book.get_setting("phrase") or {})
    with book.begin():
        number = book.add_reading(kept.body(), None)
        phrase.pop("board", None)
        fresh = sorted(set(phrase.get("fresh", ())) | {"readings", "light"})
        book.set_setting("phrase", phrase | {"readings": [number], "light": got.light, "fresh": fresh})
    return replace(got, in_plan=True)


def seconds_of(text: str) -> core.Counted:
    """“42 s; 45 s”, “42, 45 s” or “42 45”: counts of one light."""
    parts = [x for x in text.replace(";", " ").replace(", ", " ").replace("s", " ").split() if x]
    return core.counted([q.plain_number(x, 0.0, 1e6) for x in parts])


def _read(reader: Reader, form: Form | None) -> tuple[ScrapReading, reading.Kept]:
    d = Door(form)
    box = d.name("box")
    counts = d.must("seconds", seconds_of, "Seconds until the scrap matched the tint.", "Try “42 s; 45 s”.")
    d.close()
    assert counts is not None
    name = own.one(reader, "box", box or (reader.get_setting("today") or {}).get("box")).name
    kept = (reader.get_setting(KEY) or {}).get(name)
    if kept is None:
        raise Refusal.one("tint", "", f"No tint is set for box {name} yet.", "Count once beside a reading of the same light: firstsheet scrapmeter tint", kind="missing")
    c = core.Constant(kept["lx_s"], kept["sd_stops"])
    meter_name = f"scrap of {name}"
    sd = core.reading_sd(c, counts, prior.meter_effect(meter_name, "scrap").sd)
    lux = core.light_lx(c, counts)
    change = math.log2(kept["seconds"] / counts.mean_s)
    said = f"scrap of {name}, {wording.seconds(counts.mean_s)} to the tint"
    r = Reading(kind="lux", how="incident_flat", lux_lx=lux, sd_stops=sd, meter=meter_name, taken_wall=reader.now(), place="at the face")
    light = str(tables.load("lights")[kept["light"]]["words"])
    than = f"{wording.stops_apart(abs(change))} {'more' if change > 0 else 'less'} light than" if abs(change) >= 0.05 else "As much light as"
    says = f"{than} when the tint was set, as this paper sees it; {wording.stops_pm(sd)}."
    notes = (
        f"In the plan it stands as {light}, the light the tint was set in: the scrap has turned this light into that one, so no other step for its colour is taken.",
        "Damp and warmth hasten the darkening; set the tint again in another season.", GLASS,
    )  # fmt: skip
    return ScrapReading(name, counts.mean_s, counts.n, lux, sd, change, kept["light"], says, (SPENT,), notes, False), reading.Kept(r, said, "scrap")


def _tint(box: str, kept: dict[str, Any]) -> Tint:
    light = str(tables.load("lights")[kept["light"]]["words"])
    words = f"Box {box}: {wording.seconds(kept['seconds'])} to the tint in {light}, {kept['said']}; {wording.stops_pm(kept['sd_stops'])}."
    return Tint(box, kept["lx_s"], kept["sd_stops"], kept["light"], light, kept["said"], kept["seconds"], words)
