"""Baths in the trays: opened, sheets through (those run by the book count themselves), first appearance, silver, moved forward, ended."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from firstsheet import measures, wording
from firstsheet import quantities as q
from firstsheet.acts import bath_readings, mixing_own, mixing_words, own
from firstsheet.acts.door import Door, Form, short_name
from firstsheet.acts.frozen_run import Shown
from firstsheet.chemistry import bath
from firstsheet.chemistry.bath import Kind
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader, Row
    from firstsheet.book.store import Book

KIND = "bath"
STRIP_SHARE = 0.25  # of a sheet, where a strip went through; a guess
RUN_THROUGH = ("finished", "stopped")
SOON = 3  # sheets left, cautiously, from which on it says so


@dataclass(frozen=True, slots=True)
class Bath:
    """How one bath stands.

    area_m2       paper through it: said, and run by the book while it was open
    hours_open    since it was poured
    silver_g_l    with silver_low_g_l and silver_high_g_l; None for what holds none. limit_g_l: at which it ends
    left_least, left_likely, left_most  sheets of `size_words` still to go; None where no figure is known or no size was said yet
    longer        how many times later the image first appears than in the fresh bath; tired: warmth allowed for; None without readings
    developer     which developer of the book it is; None where nobody said
    appearances   every first appearance read in it, in the order of time
    factor_low, factor, factor_high  whole time over first appearance as its fresh baths have taught; None where none was read
    state         good, soon, spent or ended
    """

    number: int
    name: str
    kind: str
    kind_words: str
    volume_ml: float
    opened: str
    hours_open: float
    temperature_c: float | None
    area_m2: float
    sheets: float
    by_book: int
    size_words: str
    silver_g_l: float | None
    silver_low_g_l: float | None
    silver_high_g_l: float | None
    limit_g_l: float | None
    carried_ml: float
    left_least: int | None
    left_likely: int | None
    left_most: int | None
    longer: float | None
    tired: float | None
    moves: int
    state: str
    headline: str
    reasons: tuple[str, ...]
    advice: tuple[str, ...]
    waste: str
    collect: bool
    source: str
    developer: str | None = None
    appearances: tuple[bath_readings.Appearance, ...] = ()
    factor_low: float | None = None
    factor: float | None = None
    factor_high: float | None = None


def open_bath(book: Book, form: Form | None = None) -> Bath:
    """Pour a bath. Fields: name, kind (see the list; a developer of the book has its own), volume, temperature, developer (which of the book)."""
    d = Door(form)
    name = d.must("name", short_name, "A name for the tray.", "Try “fixer one”.")
    kind = d.pick("kind", bath.kinds())
    developer = d.read("developer", lambda t: own.one(book, "developer", t))
    if kind is None and developer is not None and d.said("kind") is None:
        kind = "developer_coffee" if developer.body["kind"] == "coffee" else "developer"
    if developer is not None and kind is not None and kind not in bath_readings.AGENTS:
        d.problems.add("developer", developer.name, "A developer in a developer’s tray.", "Leave it out for this one.")
    if kind is None and d.said("kind") is None and d.said("developer") is None:
        d.problems.add("kind", "", "One of: " + ", ".join(bath.kinds()) + ".", "Say what is in the tray.")
    volume = d.must("volume", measures.volume_ml, "How much is in it.", "Try “2 l”.")
    temperature = d.read("temperature", mixing_own.tray_c)
    if volume is not None and volume > bath.MOST_LITRES * 1000:
        d.problems.add("volume", d.said("volume"), "Up to 500 l.", "Check the unit.")
    d.close()
    body: dict[str, Any] = {"kind": kind, "volume_ml": volume, "opened": book.now().isoformat(), "ended": None, "moves": 0, "events": [],
            "temperature_c": temperature, "size_mm": None, "developer": developer.name if developer else None,
            "before": bath_readings.carried(book, next((t for t in book.things(KIND) if t["name"] == name), None))}  # fmt: skip
    return of(book, book.add_thing(KIND, str(name), body))


def through(book: Book, form: Form | None = None) -> Bath:
    """What went through, or was read. Fields: bath (its name or number), sheets (1 unless said), size (“12x16 in”; as before unless said),
    temperature, appeared (first appearance of the image: “18 s”), silver (a test strip's reading after them: “0.4 g/l”). Sheets run by the book while
    the bath is open are counted by themselves: say only others."""
    d = Door(form)
    row = d.must("bath", lambda t: _row(book, t), "Which bath.", "Its name or its number.")
    sheets = d.read("sheets", q.count)
    size = d.read("size", q.sheet_size_mm)
    temperature, appeared = (
        d.read("temperature", mixing_own.tray_c),
        d.read("appeared", lambda t: q.duration_s(t, bare="s")),
    )
    silver = d.read("silver", _silver)
    body = row["body"] if row else {}
    known = size or body.get("size_mm")
    if row and body["ended"]:
        d.problems.add("bath", row["name"], "A bath that is in use.", "This one was thrown away; pour a new one.")
    if sheets and not known:
        d.problems.add("size", "", "Width and height of a sheet with a unit.", "Try “12x16 in”.")
    if appeared is not None and not 0.5 <= appeared <= 3600:
        d.problems.add(
            "appeared", d.said("appeared"), "From half a second to an hour.", "Say when the image first showed."
        )
    if not any(x is not None for x in (sheets, size, temperature, appeared, silver)) and not d.problems.found:
        d.problems.add("sheets", "", "What went through, or what was read.", "Try sheets “2”.")
    d.close()
    assert row is not None
    area = of(book, int(row["id"])).area_m2 + (sheets * known[0] * known[1] / 1e6 if sheets and known else 0.0)
    event = {"wall": book.now().isoformat(), "sheets": sheets or 0, "size_mm": known, "temperature_c": temperature, "appeared_s": appeared,
             "silver_g_l": silver, "area_at_m2": area}  # fmt: skip
    return of(book, book.add_thing(KIND, row["name"], body | {"events": [*body["events"], event], "size_mm": known}))


def forward(book: Book, said: str) -> Bath:
    """Move a second fixer forward: it is the first from now on, with what it holds."""
    row = _row(book, said)
    if row["body"]["kind"] != "fixer_second":
        raise Refusal.one("bath", row["name"], "A second fixer.", "Only that moves forward.")
    now = of(book, int(row["id"]))
    holds = {"wall": book.now().isoformat(), "sheets": 0, "size_mm": row["body"]["size_mm"], "temperature_c": None, "appeared_s": None,
             "silver_g_l": now.silver_g_l, "area_at_m2": now.area_m2}  # fmt: skip
    body = row["body"] | {
        "kind": "fixer_first",
        "moves": row["body"]["moves"] + 1,
        "events": [*row["body"]["events"], holds],
    }
    return of(book, book.add_thing(KIND, row["name"], body))


def end(book: Book, said: str, back: bool = False) -> Bath:
    """Thrown away; or taken back."""
    row = _row(book, said)
    return of(
        book, book.add_thing(KIND, row["name"], row["body"] | {"ended": None if back else book.now().isoformat()})
    )


def baths(reader: Reader) -> list[Bath]:
    """Those in use first, newest first."""
    once = _Once(reader)
    have = [_bath(reader, t, once) for t in reader.things(KIND)]
    return sorted(have, key=lambda b: (b.state == "ended", -b.number))


def of(reader: Reader, number: int) -> Bath:
    return _bath(reader, _row(reader, str(number)))


def named(reader: Reader, said: str) -> Bath:
    """The bath of that name or number."""
    return _bath(reader, _row(reader, said))


def _row(reader: Reader, said: str) -> Row:
    rows = reader.things(KIND)
    for t in rows:
        if said in (t["name"], str(t["id"])):
            return t
    names = ", ".join(t["name"] for t in rows) or "none yet"
    raise Refusal.one(
        "bath", said, f"In the book: {names}.", "Pour one: firstsheet bath open …, or the page.", "missing"
    )


def _silver(text: str) -> float:
    import re

    found = re.fullmatch(r"\s*([0-9]+(?:[.,][0-9]+)?)\s*g ?/ ?l\s*", text.lower())
    if found is None or not 0 <= float(found[1].replace(",", ".")) <= 20:
        raise Refusal.one("", text, "Grams of silver in a litre, 0 to 20.", "Write it like “0.4 g/l”.")
    return float(found[1].replace(",", "."))


# ── how it stands ──


def _bath(reader: Reader, t: Row, once: _Once | None = None) -> Bath:
    once = once or _Once(reader)
    b, kind = t["body"], bath.kinds()[t["body"]["kind"]]
    opened = datetime.fromisoformat(b["opened"])
    until = datetime.fromisoformat(b["ended"]) if b["ended"] else reader.now()
    counted = once.by_book(opened, until)
    said = [(e["sheets"], e["size_mm"]) for e in b["events"] if e["sheets"]]
    area = sum(n * w * h / 1e6 for n, (w, h) in said) + sum(share * w * h / 1e6 for share, w, h in counted)
    litres = b["volume_ml"] / 1000
    size = b["size_mm"] or (counted[-1][1:] if counted else None)
    read = [(e["silver_g_l"], e["area_at_m2"]) for e in b["events"] if e["silver_g_l"] is not None]
    silver = bath.silver(kind, litres, area, read[-1] if read else None) if kind.silver_g_per_l is not None else None
    left_m2 = bath.area_left(kind, litres, area, read[-1] if read else None)
    left = bath.sheets_left(left_m2, size[0] * size[1] / 1e6) if left_m2 and size else None
    seen = bath_readings.readings(reader, t, once.shown) if kind.key in bath_readings.AGENTS else []
    slow, factor = _slow(seen, kind), bath_readings.factor_of(reader, t, once.shown)
    hours = (until - opened).total_seconds() / 3600
    state, reasons = _state(kind, left_m2, left, slow, hours, bool(b["ended"]), b["moves"])
    return Bath(
        number=int(t["id"]), name=t["name"], kind=kind.key, kind_words=kind.words, volume_ml=b["volume_ml"], opened=b["opened"], hours_open=hours,
        temperature_c=_last(b, "temperature_c", b["temperature_c"]), area_m2=area, sheets=sum(n for n, _ in said) + sum(s for s, _, _ in counted),
        by_book=len(counted), size_words=wording.sheet_size(*size) if size else "", silver_g_l=silver[1] if silver else None,
        silver_low_g_l=silver[0] if silver else None, silver_high_g_l=silver[2] if silver else None, limit_g_l=kind.silver_g_per_l,
        carried_ml=bath.carried_ml(area)[1], left_least=left[0] if left else None, left_likely=left[1] if left else None,
        left_most=left[2] if left else None, longer=slow.longer if slow else None, tired=slow.tired if slow else None, moves=b["moves"],
        state=state, headline=_headline(state, left, size), reasons=tuple(reasons), advice=tuple(_advice(kind, state, slow, b["moves"])),
        waste=kind.waste, collect=kind.collect, source=kind.source, developer=b.get("developer"),
        appearances=bath_readings.series(seen, opened, bath.q10_of(bath_readings.AGENTS.get(kind.key, "paper"))),
        factor_low=factor[0] if factor else None, factor=factor[1] if factor else None, factor_high=factor[2] if factor else None,
    )  # fmt: skip


class _Once:
    """What every bath asks of the book, read once: runs that ended, each with its sheet's share and size; runs in which the image showed."""

    def __init__(self, reader: Reader) -> None:
        from firstsheet.acts import several_kept  # it asks the baths how long a step takes

        boxes = {x["name"]: x["body"] for x in reader.things("box")}
        rows = {r["id"]: r["body"] for r in reader.sheets(limit=1000)}
        self.shown = Shown(reader)
        alone = [(m["sheet_id"], m["wall"]) for kind in RUN_THROUGH for m in reader.all_marks(kind)]
        self.ended = sorted(
            (
                (sheet, wall, STRIP_SHARE if rows[sheet].get("strip") else 1.0, boxes[rows[sheet]["plan"]["box"]])
                for sheet, wall in (*alone, *several_kept.through(reader))
                if sheet in rows and rows[sheet]["plan"]["box"] in boxes
            ),
            key=lambda e: e[:2],
        )

    def by_book(self, opened: datetime, until: datetime) -> list[tuple[float, float, float]]:
        """Sheets whose run ended while the bath was open: share of a sheet, width, height [mm]. Each once."""
        found = {
            sheet: (share, float(box["width_mm"]), float(box["height_mm"]))
            for sheet, wall, share, box in self.ended
            if opened <= wall <= until
        }
        return list(found.values())


def _last(b: dict[str, Any], key: str, first: Any) -> Any:
    return next((e[key] for e in reversed(b["events"]) if e[key] is not None), first)


def _slow(read: list[bath_readings.Read], kind: Kind) -> bath.Slowed | None:
    if len(read) < 2:
        return None
    first, last = read[0], read[-1]
    q10 = bath.q10_of(bath_readings.AGENTS.get(kind.key, "paper"))
    return bath.slowed(first.appeared_s, last.appeared_s, first.temperature_c, last.temperature_c, q10)


def _state(kind: Kind, left_m2: bath.Range | None, left: tuple[int, int, int] | None, slow: bath.Slowed | None, hours: float, ended: bool, moves: int) -> tuple[str, list[str]]:  # fmt: skip
    if ended:
        return "ended", []
    spent, soon = [], []
    if left_m2 is not None and left_m2[1] <= 0:
        spent.append("As much paper is through as it does.")
    elif left is not None and left[1] == 0:
        spent.append("Not one more of this size, likely.")
    elif left is not None and left[0] < SOON:
        soon.append("Few sheets are left.")
    if kind.open_h is not None and hours >= kind.open_h[1]:
        spent.append(f"Open for {_hours(hours)}; {_hours(kind.open_h[1])} is what it bears.")
    elif kind.open_h is not None and hours >= kind.open_h[0]:
        soon.append(f"Open for {_hours(hours)} already.")
    if slow is not None and slow.tired >= bath.TIRED:
        spent.append(f"The image appears {slow.tired:.1f} times later than when fresh, warmth allowed for.")
    elif slow is not None and slow.low > 1:
        soon.append(f"The image appears {slow.tired:.1f} times later than when fresh, warmth allowed for.")
    if moves > bath.fresh_after_moves():
        spent.append(f"It was moved forward more than {bath.fresh_after_moves()} times: both new now [NAVEDTRA-14209].")
    return ("spent", spent) if spent else ("soon", soon) if soon else ("good", [])


def _hours(hours: float) -> str:
    return f"{mixing_words.figure(hours)} h" if hours >= 1 else f"{round(hours * 60)} min"


def _headline(state: str, left: tuple[int, int, int] | None, size: Any) -> str:
    if state == "ended":
        return "Thrown away"
    if state == "spent":
        return "Spent: make it new"
    if left is None or not size:
        return "In use"
    least, likely, most = left
    span = f", {least} to {most}" if least != most else ""
    return f"Good for about {likely} more of {wording.sheet_size(*size)}{span}"


def _advice(kind: Kind, state: str, slow: bath.Slowed | None, moves: int) -> list[str]:
    """What to do now."""
    out = []
    if slow is not None and state != "spent" and slow.longer > 1.05:
        out.append(
            f"It takes {slow.longer:.2g} times as long as fresh by first appearance, warmth and age together: runs of the book have that in their times."
        )
    if state == "spent":
        if kind.key == "fixer_first":
            out.append("Throw the first away, move the second forward, and put a fresh one in its place.")
        elif kind.key == "fixer_single":
            out.append("Make it new; or put a fresh second fixer after it, which lets the first go on to 2 g/l.")
    if kind.key == "fixer_second" and state != "ended":
        out.append(
            f"Moves forward when the first is spent; after {bath.fresh_after_moves()} moves both are made new. Moved so far: {moves}."
        )
    if kind.silver_g_per_l is not None and state != "ended":
        out.append(
            "The silver is reckoned, not measured: a test strip for silver, or a drop test on a wet border, beats it."
        )
    return out


def facts(b: Bath) -> list[str]:
    """What the answer rests on."""
    f = mixing_words.figure
    out = [
        f"Through it: {f(b.area_m2)} m², {f(b.sheets)} sheets, {b.by_book} of them run by the book; open {_hours(b.hours_open)}."
        if b.area_m2
        else f"Nothing has gone through it; open {_hours(b.hours_open)}."
    ]
    if b.limit_g_l is not None:
        low, likely, high = b.silver_low_g_l or 0.0, b.silver_g_l or 0.0, b.silver_high_g_l or 0.0
        span = f" ({f(low)} to {f(high)})" if high > low else ""
        out.append(f"Silver about {f(likely)} g/l{span}; it ends at {f(b.limit_g_l)} g/l.")
    if b.area_m2 > 0:
        out.append(
            f"Carried out with the sheets: about {mixing_words.about(b.carried_ml)} ml; half as much or twice as much."
        )
    out += [a.words for a in b.appearances]
    if b.factor is not None:
        out.append(
            f"The whole time is about {f(b.factor)} times first appearance ({f(b.factor_low or 0.0)} to {f(b.factor_high or 0.0)}), by fresh baths of it."
        )
    return [*out, f"From: {b.source}."]
