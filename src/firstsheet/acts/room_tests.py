"""What tests of lamps and of the dark room have in common: which box and run they are made for, how they are kept, when to repeat them."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables, wording
from firstsheet.acts import own
from firstsheet.acts.door import Door
from firstsheet.refusal import Refusal
from firstsheet.trays import safelight
from firstsheet.trays.process import Process, process_for, ways

if TYPE_CHECKING:
    from firstsheet.acts.own import Owned
    from firstsheet.acts.reader import Reader, Row
    from firstsheet.book.store import Book

EXPOSURE_S = 30.0  # of the run that a test is made for, where none is said: long for paper in the sun; common practice, no source
WAY_OF = {"ra4": "reversal_ra4", "direct_positive": "direct_positive"}
FLASH_AGAIN = "The flash is given in the same way to every scrap: same lamp, same distance, same seconds."
FIRST = "White light on first, whatever happens: a scrap is worth nothing."
DEFER = "Gloves at the trays. The supplier’s safety data sheet and local rules come first."


def box_of(reader: Reader, d: Door) -> Owned | None:
    """The box said, today’s, or the only one there is; a problem is noted."""
    today = reader.get_setting("today") or {}
    with d.problems.at(""):
        return own.one(reader, "box", d.said("box") or today.get("box"))
    return None


def paper_words(box: Owned) -> str:
    return str(tables.load("papers")[box.body["paper"]]["words"])


def bears_light(box: Owned) -> bool:
    sensitivity = tables.load("papers")[box.body["paper"]]["sensitivity"]
    return bool(tables.load("processes")["tolerates"][sensitivity]["until"] != "none")


def process_of(box: Owned, d: Door) -> Process | None:
    """The shipped steps this box usually goes through: way and developer as said, else the usual ones; a problem is noted."""
    paper = box.body["paper"]
    way = d.pick("way", ways()) or WAY_OF.get(paper, "paper_negative")
    kinds = tables.load("processes")["developers"]
    kind = d.pick("developer", kinds) or tables.load("processes")["ways"][way]["developers"][0]
    with d.problems.at(""):
        return process_for(way, kind, tables.load("papers")[paper]["sensitivity"], box.body.get("base", "rc"))
    return None


def duration(text: str) -> float:
    """A time of a test [s], 1 s to 4 h."""
    found = q.duration_s(text, bare="min")
    if not 1 <= found <= safelight.LONGEST_S:
        raise Refusal.one("", text, "From 1 s to 4 hours.", "Try “7 min”.")
    return found


def keep(book: Book, kind: str, body: dict[str, Any]) -> int:
    """Keep one more test; it is numbered within its kind and the moment goes with it."""
    with book.begin():
        number = len(book.things(kind)) + 1
        book.add_thing(kind, str(number), body | {"wall": book.now().isoformat()})
    return number


def again(body: dict[str, Any]) -> date:
    """The day on which the test is to be made again."""
    return (datetime.fromisoformat(body["wall"]) + timedelta(days=safelight.REPEAT_DAYS)).date()


def is_old(reader: Reader, body: dict[str, Any]) -> bool:
    return reader.now().astimezone(UTC).date() > again(body)


def newest_first(reader: Reader, kind: str) -> list[Row]:
    return sorted(reader.things(kind), key=lambda t: -int(t["name"]))


def minutes(time_s: float) -> str:
    return wording.seconds(time_s) if time_s > 0 else "no time at all"


def in_list(words: list[str]) -> str:
    """ "a, b and c"."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
