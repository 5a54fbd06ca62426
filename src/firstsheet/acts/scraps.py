"""What small scraps told of a paper, as the book keeps it: found by number, let count in plans, and taken back.

kind            of a thing in the book, and its page
reciprocity     loss of long exposures
fog_test        an unexposed piece fixed only beside one developed
two_developers  the same strip in two developers
two_readings    the same patches by reflection and by transmission
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables
from firstsheet.acts import learn, own
from firstsheet.acts.door import Door, whole
from firstsheet.acts.learn import NO_WEIGHT_SD
from firstsheet.acts.own import Owned
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader, Row
    from firstsheet.book.store import Book

KINDS = ("reciprocity", "fog_test", "two_developers", "two_readings")
# Whether it counts, in words.
STATES = {"counts": "counts", "waits": "waits, and changes nothing until it is let count", "taken back": "taken back: it stays in the book and says nothing",
          "replaced": "another took its place"}  # fmt: skip
# An answer whose doubt is larger than this many times that of the one that stands does not take its place.
ROUGHER = 1.1
BY_EYE = "by eye"
WORDS = {"reciprocity": "Long exposures", "fog_test": "Fog", "two_developers": "Two developers", "two_readings": "Looked at and shone through"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Told:
    """One kept answer in a list: its number, what it is, of which box, in one line, of which day (ISO 8601); whether it stands.

    state  counts; waits until it is let; taken back; replaced by another in its place
    """

    number: int
    kind: str
    words: str
    box: str
    line: str
    day: str
    stands: bool
    state: str


def row(reader: Reader, number: int, kind: str | None = None) -> Row:
    """A kept answer by its number, or by one it had before it was taken back or let stand; of this kind where one is said."""
    for k in (kind,) if kind else KINDS:
        for t in reader.things(k):
            if number == t["id"] or number in t["body"]["was"]:
                return t
    raise Refusal.one(
        "number", number, "The number of something a scrap told.", "It may have been made again since.", "missing"
    )


def kind_of(reader: Reader, number: int) -> str:
    """Which of KINDS the kept answer with this number is."""
    return str(row(reader, number)["kind"])


def listed(reader: Reader, box: str | None = None) -> list[Told]:
    """Everything kept, of one box or of all, newest first; what a newer one took the place of is left out."""
    found = [
        _told(t) for k in KINDS for t in reader.things(k) if (box is None or t["body"]["box"] == box) and not t["body"].get("replaced")
    ]  # fmt: skip
    return sorted(found, key=lambda t: -t.number)


def told(reader: Reader, number: int) -> Told:
    """One of them by its number, or by one it had before; also one that another took the place of."""
    return _told(row(reader, number))


def _told(t: Row) -> Told:
    b, kind = t["body"], str(t["kind"])
    return Told(int(t["id"]), kind, WORDS[kind], b["box"], b["line"], day_of(b), b["stands"], state_of(b))


def day_of(body: dict[str, Any]) -> str:
    """The day of a kept answer, ISO 8601."""
    return str(body.get("day") or body["wall"][:10])


def state_of(body: dict[str, Any]) -> str:
    """counts, waits, taken back or replaced."""
    if body["stands"]:
        return "counts"
    return "replaced" if body.get("replaced") else "taken back" if body.get("taken_back") else "waits"


def beside(reader: Reader, t: Row) -> list[str]:
    """What stands in the place of this answer, or whose place it took, in a sentence; nothing where it is the only one."""
    others = [o for o in reader.things(t["kind"]) if o["body"]["slot"] == t["body"]["slot"] and o["name"] != t["name"]]
    standing = next((o for o in others if o["body"]["stands"]), None)
    if t["body"]["stands"]:
        before = max((o for o in others if o["body"].get("replaced")), key=lambda o: int(o["id"]), default=None)
        return (
            [f"It took the place of what was told on {day_of(before['body'])}: {before['body']['line']}."]
            if before
            else []
        )
    if standing is None or t["body"].get("taken_back"):
        return []
    why = "It is rougher than" if _rougher(t["kind"], t["body"], standing["body"]) else "In its place stands"
    one = f"what was told on {day_of(standing['body'])}: {standing['body']['line']}"
    goes_on = "; that one goes on counting until you let this one" if why.startswith("It is") else ""
    return [f"{why} {one}{goes_on}."]


def _rougher(kind: str, new: dict[str, Any], old: dict[str, Any]) -> bool:
    if kind == "fog_test" and new["by"].startswith(BY_EYE) and not old["by"].startswith(BY_EYE):
        return True  # words for a look, however close, do not take a reading's place
    mine, theirs = _doubt(kind, new), _doubt(kind, old)
    return mine is not None and theirs is not None and mine > ROUGHER * theirs


def _doubt(kind: str, body: dict[str, Any]) -> float | None:
    """How rough an answer is beside another of its kind; None where that is not one figure."""
    if kind == "reciprocity":
        return float(body["sd"])
    if kind == "fog_test":
        return float(body["high"]) - float(body["low"])
    if kind == "two_readings":  # the mean width of its 90 % range, against how far it reaches
        rows = body["table"]
        return float(sum(r[3] - r[2] for r in rows)) / len(rows) / float(rows[-1][0] - rows[0][0])
    return None


def keep(book: Book, kind: str, slot: str, body: dict[str, Any]) -> int:
    """Keep an answer; where it stands, it takes the place of what stood in its slot, and its evidence counts.

    One rougher than what stands is kept beside it and waits until it is let.

    slot  what it answers; one answer at most stands in it
    body  box, line (one line for lists), stands; evidence: by name, what it says of what sheets share (may be empty)
    """
    before = [t for t in book.things(kind) if t["body"]["slot"] == slot]
    name = slot if not before else f"{slot} ({len(before) + 1})"
    if any(t["body"]["stands"] and _rougher(kind, body, t["body"]) for t in before):
        body = body | {"stands": False}
    with book.begin():
        made = book.add_thing(kind, name, {"was": []} | body | {"name": name, "slot": slot})
        if body["stands"]:
            _take_place(book, before)
            if body["evidence"]:
                _teach(book, body["evidence"])
    return made


def stand(book: Book, number: int) -> int:
    """Let it count from now on, in place of what stood in its slot; its number after that."""
    t = row(book, number)
    if t["body"]["stands"]:
        return int(t["id"])
    with book.begin():
        others = [
            o for o in book.things(t["kind"]) if o["body"]["slot"] == t["body"]["slot"] and o["name"] != t["name"]
        ]
        _take_place(book, others)
        made = _again(book, t, stands=True, replaced=False, taken_back=False)
        if t["body"]["evidence"]:
            _teach(book, t["body"]["evidence"])
    return made


def take_back(book: Book, number: int) -> int:
    """It stays in the book and counts no longer; plans are as if it never had. Its number after that."""
    t = row(book, number)
    if state_of(t["body"]) in ("taken back", "replaced"):
        return int(t["id"])
    with book.begin():
        made = _again(book, t, stands=False, taken_back=True)
        if t["body"]["stands"] and t["body"]["evidence"]:
            _teach(book, {name: e | {"sd": NO_WEIGHT_SD} for name, e in t["body"]["evidence"].items()})
    return made


def _take_place(book: Book, others: list[Row]) -> None:
    for t in others:
        if t["body"]["stands"]:
            _again(book, t, stands=False, replaced=True)


def _again(book: Book, t: Row, **changed: bool) -> int:
    """A new version of the thing, that may still be found by its older numbers."""
    return book.add_thing(t["kind"], t["name"], t["body"] | changed | {"was": [*t["body"]["was"], t["id"]]})


def _teach(book: Book, evidence: dict[str, dict[str, Any]]) -> None:
    for name, told in evidence.items():
        book.add_thing("comparison", name, told)
    learn.refit(book)


# ── what every form of a scrap says ──


def things(reader: Reader, d: Door, kinds: tuple[str, ...] = ("box", "developer")) -> dict[str, Owned]:
    """Box and developer as said, as they hold today, or the only one there is; problems are noted."""
    today = reader.get_setting("today") or {}
    out: dict[str, Owned] = {}
    for kind in kinds:
        with d.problems.at(kind):
            out[kind] = own.one(reader, kind, d.said(kind) or today.get(kind))
    return out


def ways_of(box: Owned) -> list[str]:
    ways: list[str] = tables.load("papers")[box.body["paper"]]["ways"]
    return ways


def named(box: str) -> str:
    """“box D”."""
    return box if "box" in box.lower() else f"box {box}"


def density_said(reader: Reader, text: str, low: float = -0.2, high: float = 6.0) -> tuple[float, float | None]:
    """A density typed in, or “12:3”, step 3 of strip 12 as it was read; its own doubt [D] where it was read."""
    strip, colon, step = text.partition(":")
    if not colon:
        return q.plain_number(text, low, high), None
    from firstsheet.acts import calibrate

    found = calibrate.strip(reader, whole(strip, 1, 999_999_999))
    n = whole(step, 1, 40)
    if n > len(found.patches):
        raise Refusal.one(
            "", text, f"Strip {found.strip} has {len(found.patches)} steps.", "The least exposed is the first."
        )
    p = found.patches[n - 1]
    if p.density is None or p.censored:
        raise Refusal.one("", text, "A step that was read to a figure.", p.rejected or "The instrument ran out there.")
    return p.density, max(p.sd or 0.0, 0.005)
