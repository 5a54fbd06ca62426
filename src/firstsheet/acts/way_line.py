"""One route as a line of places and lights: its minutes in each light, its litres, what a sheet costs, what can hurt."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet import quantities as q
from firstsheet import tables, wording
from firstsheet.acts import own, ways
from firstsheet.acts.door import Door, Form
from firstsheet.acts.frozen_run import steps_of
from firstsheet.drawing.way_line import way_line
from firstsheet.paper import response
from firstsheet.tables import load
from firstsheet.trays import ownway, wayline
from firstsheet.trays.process import Process, process_for
from firstsheet.trays.runpage import clock_words
from firstsheet.trays.wayline import Leg, Used

if TYPE_CHECKING:
    from firstsheet.acts.own import Owned
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

LITRE = "litre_cost"
NO_PRICE = ("none", "no", "-")


@dataclass(frozen=True, slots=True)
class WayLine:
    """A route from blank paper to finished picture.

    legs       its stretches in order; total_s, dark_s, red_s, white_s  the whole, and in each light [s]
    box        whose size and price are taken; None where no box of its paper is described: then nothing is known of litres and cost
    liquids    each with its tray and what one sheet uses up [l]; trays_l  all trays together [l]
    sheet_cost, chemicals_cost  of one sheet, in `currency`; None where no price is known. litre_cost as said
    """

    name: str
    of: str
    words: str
    plain: str
    mirrored: str
    legs: tuple[Leg, ...]
    total_s: float
    dark_s: float
    red_s: float
    white_s: float
    box: str | None
    size: str
    liquids: tuple[Used, ...]
    trays_l: float | None
    sheet_cost: float | None
    chemicals_cost: float | None
    litre_cost: float | None
    currency: str
    cautions: tuple[str, ...]
    afterwards: str
    notes: tuple[str, ...]
    drawing_svg: str


def line(reader: Reader, name: str, form: Form | None = None) -> WayLine:
    """The route of that name, a shipped one by its key or one's own. Fields: box (today's, if its paper goes this way, else the first that does)."""
    d = Door(form)
    said = d.name("box")
    found = ways.way(reader, name)
    box = None
    with d.problems.at("box"):
        box = _box(reader, found.of, said)
    d.close()
    process = _process(reader, found, box)
    phrase = reader.get_setting("phrase") or {}
    flashed = bool(phrase.get("flash")) and found.of != "contact_print"
    legs = wayline.line(process, flashed=flashed)
    clock = [clock_words(leg.seconds) if leg.seconds else "" for leg in legs]
    by = wayline.seconds_by_light(legs)
    size = (box.body["width_mm"], box.body["height_mm"]) if box else None
    liquids = wayline.liquids(process, *size) if size else ()
    price, currency = _litre(reader)
    cost = float(box.body["cost"]) if box and box.body["cost"] is not None else None
    entry = response.way_of(found.of)
    title = found.name if found.own else found.words
    return WayLine(
        found.name, found.of, found.words, str(entry["plain"]), str(entry["mirrored"]), legs, sum(leg.seconds for leg in legs),
        by.get("none", 0.0), by.get("red", 0.0), by.get("white", 0.0), box.name if box else None, wording.sheet_size(*size) if size else "",
        liquids, sum(u.tray_l for u in liquids) if size else None, cost, sum(u.sheet_l for u in liquids) * price if price is not None and size else None, price,
        (box.body["currency"] if box and cost is not None else "") or currency, process.cautions, process.afterwards,
        _notes(box, liquids, price, found.of), way_line(legs, clock, title),
    )  # fmt: skip


def say_litre(book: Book, form: Form | None = None) -> float | None:
    """What a litre of working bath costs, about, for every route. Fields: litre (“2 EUR”; “none” takes it back)."""
    d = Door(form)
    got = d.must("litre", lambda t: (None, "") if t.lower() in NO_PRICE else q.money(t), "What a litre of working bath costs, about.", "Try “2 EUR”.")
    d.close()
    assert got is not None
    book.set_setting(LITRE, {"cost": got[0], "currency": got[1]})
    return got[0]


def _litre(reader: Reader) -> tuple[float | None, str]:
    kept = reader.get_setting(LITRE) or {}
    return kept.get("cost"), str(kept.get("currency", ""))


def _box(reader: Reader, way: str, said: str | None) -> Owned | None:
    papers = tables.load("papers")
    fits = [b for b in own.owned(reader, "box") if way in papers[b.body["paper"]]["ways"]]
    if said:
        return own.one(reader, "box", said)
    today = (reader.get_setting("today") or {}).get("box")
    return next((b for b in fits if b.name == today), fits[0] if fits else None)


def _process(reader: Reader, found: ways.Way, box: Owned | None) -> Process:
    """The route's steps on this box's paper; on the kind it is meant for where there is no box."""
    whole = load("processes")["ways"][found.of]
    sees = tables.load("papers")[box.body["paper"]]["sensitivity"] if box else whole["papers"][0]
    sees = sees if sees in whole["papers"] else whole["papers"][0]
    steps = ownway.shipped(found.of)
    if found.own:
        from firstsheet.acts import at_trays

        steps = steps_of(at_trays.own_way(reader, found.name))
    return process_for(found.of, whole["developers"][0], sees, box.body["base"] if box else "rc", rows=ownway.rows(found.of, steps))


def _notes(box: Owned | None, liquids: tuple[Used, ...], price: float | None, way: str) -> tuple[str, ...]:
    out = []
    if box is None:
        out.append("No box of its paper is described, so nothing is known of litres and cost.")
    if any(u.whole for u in liquids):
        names = ", ".join(u.words for u in liquids if u.whole)
        out.append(f"How much paper goes through is not known of: {names}. There a sheet is charged the whole tray; several sheets share it.")
    if price is None and box is not None:
        out.append("What a litre of working bath costs you was not said, so the chemicals are not in the price.")
    if way == "paper_negative":
        out.append("The picture comes with a second sheet: the contact print, a route of its own.")
    return tuple(out)


# ── in words ──


def minutes_words(w: WayLine) -> str:
    """“23 min: 4 in no light, 6 under the red lamp, 13 in white light.”"""
    parts = [(w.dark_s, "in no light"), (w.red_s, "under the red lamp"), (w.white_s, "in white light")]
    told = ", ".join(f"{_min(s)} {words}" for s, words in parts if s > 0)
    return f"{_min(w.total_s)} min: {told}."


def _min(seconds: float) -> str:
    return f"{max(1, round(seconds / 60.0))}"


def litres_words(w: WayLine) -> str:
    """What stands in the trays and what a sheet uses; "" where nothing is known."""
    if w.trays_l is None:
        return ""
    used = sum(u.sheet_l for u in w.liquids)
    return f"{len(w.liquids)} trays of {w.liquids[0].tray_l:.1f} l for {w.size}, {w.trays_l:.1f} l in all; a sheet uses up about {used:.1f} l."


def cost_words(w: WayLine) -> str:
    """What one sheet costs; "" where no price is known."""
    sheet = f"{wording.money(w.sheet_cost, w.currency)} in paper" if w.sheet_cost is not None else ""
    baths = f"about {wording.about(w.chemicals_cost, w.currency)} in baths" if w.chemicals_cost is not None else ""
    told = " and ".join(x for x in (sheet, baths) if x)
    return f"A picture costs {told}." if told else ""
