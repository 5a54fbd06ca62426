"""Test the dark of the room with scraps of paper: where they lie, for how long, what was found, and how long paper may be out of its box."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts import lamptest, own, room_tests
from firstsheet.acts.door import Door, Form, short_name
from firstsheet.acts.room_tests import minutes
from firstsheet.refusal import Refusal
from firstsheet.trays import safelight

if TYPE_CHECKING:
    from firstsheet.acts.lamptest import Grey
    from firstsheet.acts.own import Owned
    from firstsheet.acts.reader import Reader, Row
    from firstsheet.book.store import Book
    from firstsheet.trays.process import Process

KIND = "leak_test"
PLACES = ("board", "where the box is opened", "trays")
MOST_PLACES = 8
RULE = "Safe is called half of the time the scraps lay, if none of them shows a difference; if one does, no time is. Common practice, no source."
REASONS = (
    "Paper sums light for minutes, far below what a meter or an eye shows: paper is the test. Common practice, no source.",
    "Flashed paper shows what bare paper hides [K-4].",
    "Eyes need ten minutes in the dark before they look for leaks [K-4].",
)


@dataclass(frozen=True, slots=True)
class LeakGuide:
    """How to test. needed_s: how long a sheet is out of its box; lay_s: how long scraps lie [s]."""

    box: str
    paper: str
    cautions: tuple[str, ...]
    needed_s: float
    lay_s: float
    places: tuple[str, ...]
    grey: Grey
    steps: tuple[str, ...]
    reasons: tuple[str, ...]
    rule: str


@dataclass(frozen=True, slots=True)
class LeakTest:
    """One test as kept: where scraps lay, where a difference was seen, how long they lay, and what it allows [s]."""

    number: int
    room: str
    box: str
    paper: str
    places: tuple[str, ...]
    seen: tuple[str, ...]
    lay_s: float
    safe_s: float
    wall: str
    again: date
    old: bool
    words: str


def guide(reader: Reader, form: Form | None = None) -> LeakGuide:
    """How to test. Fields: box, way, developer, exposure (the longest planned), places, lux (of the white flash). Refusal with every problem."""
    d = Door(form)
    box = room_tests.box_of(reader, d)
    exposure = d.read("exposure", q.duration_s)
    places = d.read("places", _places) or PLACES
    lux = d.read("lux", lambda t: q.plain_number(t, 0.0001, 100000.0))
    made = room_tests.process_of(box, d) if box else None
    d.close()
    assert box is not None
    assert made is not None
    need = safelight.out_of_box_s(made, exposure if exposure is not None else room_tests.EXPOSURE_S)
    lay = safelight.lay_s(need)
    grey = lamptest.grey_of(reader, box, lux)
    cautions = (
        room_tests.FIRST,
        "You are in a closed dark room for this long: somebody knows, the way out is free, fresh air moves.",
        "By day, in the sun that will be there when you work; never look into the lens.",
        room_tests.DEFER,
    )
    return LeakGuide(box.name, room_tests.paper_words(box), cautions, need, lay, places, grey, _steps(places, lay, grey), (*REASONS, _budget(reader, box, made, need)), RULE)  # fmt: skip


def _budget(reader: Reader, box: Owned, made: Process, need: float) -> str:
    """What leak fogs this paper in the time asked, against an eye that sat ten minutes in the dark."""
    from firstsheet.acts import dark, dark_paper

    fog = dark_paper.fogs(reader, box, made.way, dark_paper.planned_of(reader, box, made.way))
    leak = fog.added_lxs / need
    return f"A leak of about {dark.small_lux(leak)} fogs this paper in {wording.seconds(need)}. {dark.eye_sentence(leak)} The rest: “Dark enough for this paper?”, or firstsheet dark."


def _steps(places: tuple[str, ...], lay: float, grey: Grey) -> tuple[str, ...]:
    return (
        "The room as in a run: lens capped, door or curtain shut, fan on, sun outside at its worst. Every lamp off, the red one and the phone too.",
        "Sit ten minutes in the dark, then look: towards the door, the lens, the floor, the fan. Cover what shows.",
        grey.words,
        f"In the dark cut a scrap for each place, clip a corner, flash it, and write nothing. {room_tests.FLASH_AGAIN}",
        f"Lay one at each: {room_tests.in_list(list(places))}. Emulsion towards the room, as a sheet lies or hangs there. A coin or a card covers half of each.",
        f"Leave them {wording.seconds(lay)}: twice what a sheet is out of its box. Time it by ear; no screen.",
        "Develop, stop and fix them in total darkness, all alike.",
        "In white light, dry: at which places does the edge of the coin show? However faint, it counts. A scrap with no edge, but darker than the others (on a direct positive: paler), had light under its cover too: count it.",
        "Say how long they lay and where something showed, or “no”. Where it did: find it, tape it, and lay scraps again.",
    )


def keep(book: Book, form: Form | None = None) -> LeakTest:
    """Keep what was found. Fields: room (today’s camera unless said), box, lay, places, seen: “no”, or the places where a difference showed."""
    d = Door(form)
    room = _room(book, d)
    box = room_tests.box_of(book, d)
    lay = d.must("lay", room_tests.duration, "How long the scraps lay.", "Try “14 min”.")
    places = d.read("places", _places) or PLACES
    text = d.said("seen")
    seen: tuple[str, ...] = ()
    if text is None:
        d.problems.add("seen", "", "“no”, or the places where a difference showed.", f"Try “{places[0]}”.")
    elif text.lower() not in lamptest.NONE_SEEN:
        seen = d.read("seen", lambda t: _among(t, places)) or ()
    d.close()
    assert room is not None
    assert box is not None
    assert lay is not None
    number = room_tests.keep(book, KIND, {"room": room.name, "box": box.name, "paper": box.body["paper"], "lay_s": lay, "places": list(places), "seen": list(seen)})  # fmt: skip
    return next(t for t in tests(book) if t.number == number)


def _room(reader: Reader, d: Door) -> Owned | None:
    today = reader.get_setting("today") or {}
    name = d.said("room") or today.get("camera")
    try:
        return own.one(reader, "camera", name)
    except Refusal as refusal:
        p = refusal.problems[0]
        d.problems.add("room", p.asked, p.allowed, p.hint)
        return None


def tests(reader: Reader) -> list[LeakTest]:
    """Every test, newest first."""
    return [_told(reader, row) for row in room_tests.newest_first(reader, KIND)]


def standing(reader: Reader, room: str, paper: str, needed_s: float) -> list[tuple[str, bool]]:
    """What the newest test of this room with this kind of paper says of a sheet that is `needed_s` [s] out of its box."""
    mine = [t for t in tests(reader) if t.room == room]
    t = next((t for t in mine if t.paper == paper), None)
    if t is None:
        other = "was tested for leaks with another kind of paper only" if mine else "was not yet tested for leaks"
        return [(f"This room {other}: this sheet is {minutes(needed_s)} out of its box.", False)]
    if t.seen:
        return [(f"Scraps showed light in this room at: {', '.join(t.seen)} ({t.wall[:10]}). Find it, tape it, test again.", False)]  # fmt: skip
    old = [(f"The leak test is of {t.wall[:10]}: make it again.", False)] if t.old else []
    if needed_s > t.safe_s:
        return [(f"This sheet is {minutes(needed_s)} out of its box; the room was found dark enough for {minutes(t.safe_s)}. Lay scraps for longer.", False), *old]  # fmt: skip
    return [(f"The room is dark enough for {minutes(t.safe_s)}; this sheet is {minutes(needed_s)} out of its box.", True), *old]  # fmt: skip


def _told(reader: Reader, row: Row) -> LeakTest:
    b = row["body"]
    safe = 0.0 if b["seen"] else safelight.safe_s(b["lay_s"])
    again = room_tests.again(b)
    found = (
        f"light at {', '.join(b['seen'])}: not safe"
        if b["seen"]
        else f"nothing showed in {minutes(b['lay_s'])}: safe for {minutes(safe)}"
    )
    words = f"{b['room']}, box {b['box']}: {found}. Again by {again.isoformat()}, or when door, fan or sun change."
    return LeakTest(int(row["name"]), b["room"], b["box"], b["paper"], tuple(b["places"]), tuple(b["seen"]), b["lay_s"], safe, b["wall"],
                    again, room_tests.is_old(reader, b), words)  # fmt: skip


def _places(text: str) -> tuple[str, ...]:
    found = tuple(dict.fromkeys(short_name(p.strip()) for p in text.split(",") if p.strip()))
    if not 1 <= len(found) <= MOST_PLACES:
        raise Refusal.one("", text, f"One to {MOST_PLACES} places, commas between.", "Try “board, trays”.")
    return found


def _among(text: str, places: tuple[str, ...]) -> tuple[str, ...]:
    found = _places(text)
    if any(p not in places for p in found):
        raise Refusal.one("", text, "“no”, or among: " + ", ".join(places) + ".", "Name the places as they were laid.")
    return found
