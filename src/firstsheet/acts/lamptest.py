"""Test a lamp, or this phone, as a safelight for one paper: the steps told, the comparison kept, and what it allows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts import calibrate_kept, room_tests
from firstsheet.acts.door import Door, Form, short_name
from firstsheet.acts.room_tests import minutes
from firstsheet.refusal import Refusal
from firstsheet.trays import safelight

if TYPE_CHECKING:
    from firstsheet.acts.own import Owned
    from firstsheet.acts.reader import Reader, Row
    from firstsheet.book.store import Book

KIND = "lamp_test"
KINDS = {"lamp": "lamp", "phone": "phone or screen"}
NONE_SEEN = ("no", "none", "nothing")
NO_LAMP = "This paper sees all colours: there is no lamp for it, and no screen. Total darkness until the first stop and the rinse are done [K-4]."
RULE = "Safe is called half of the longest time at which neither half shows a difference; that half is common practice, no source. The longest time itself is the limit of the published test [K-4]."
REASONS = (
    "Paper that was flashed to a light grey shows what a lamp adds; bare paper hides it [K-4].",
    "Lamp before the flash and lamp after it act differently: 7 minutes may pass before, and only 3 after. The lesser counts [K-4].",
)


@dataclass(frozen=True, slots=True)
class Grey:
    """The flash that makes the grey: exposure with its range [lx·s], seconds at the lux said; all None where no curve tells it."""

    exposure_lxs: float | None
    low_lxs: float | None
    high_lxs: float | None
    lux_lx: float | None
    seconds_s: float | None
    words: str
    source: str


@dataclass(frozen=True, slots=True)
class LampGuide:
    """How to test. needed_s: what a run of this paper takes under the lamp [s]; openings_s, totals_s: each opening, and what each part has had [s]."""

    box: str
    paper: str
    cautions: tuple[str, ...]
    needed_s: float
    openings_s: tuple[float, ...]
    totals_s: tuple[float, ...]
    grey: Grey
    steps: tuple[str, ...]
    reasons: tuple[str, ...]
    rule: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LampTest:
    """One test as kept. before_s, after_s: the shortest time at which a difference showed, None for none; limit_s, safe_s [s]."""

    number: int
    lamp: str
    kind: str
    distance_mm: float | None
    brightness: str
    box: str
    paper: str
    tested_s: tuple[float, ...]
    before_s: float | None
    after_s: float | None
    limit_s: float
    safe_s: float
    wall: str
    again: date
    old: bool
    away: bool
    words: str


def guide(reader: Reader, form: Form | None = None) -> LampGuide:
    """How to test a lamp for a box. Fields: box, way, developer, exposure (of the run that it is for), lux (of the white flash, at the paper).

    Refusal for paper that bears no light at all, and for every field that cannot be read.
    """
    d = Door(form)
    box = room_tests.box_of(reader, d)
    exposure = d.read("exposure", q.duration_s)
    lux = d.read("lux", lambda t: q.plain_number(t, 0.0001, 100000.0))
    made = room_tests.process_of(box, d) if box else None
    d.close()
    assert box is not None
    assert made is not None
    if not room_tests.bears_light(box):
        raise Refusal.one("box", box.name, NO_LAMP, "Switch every lamp off; let the sound lead you.")
    need = safelight.red_s(made, exposure if exposure is not None else room_tests.EXPOSURE_S)
    each = safelight.openings(need)
    grey = grey_of(reader, box, lux)
    totals = safelight.totals(each)
    notes = (
        []
        if safelight.safe_s(totals[-1]) >= need
        else ["Seven steps do not reach twice the time of this run: work faster under the lamp, or dim it."]
    )
    cautions = (
        room_tests.FIRST,
        "Leave fluorescent lamps off for five minutes first: they glow on [K-4].",
        room_tests.DEFER,
    )
    return LampGuide(box.name, room_tests.paper_words(box), cautions, need, each, totals, grey, _steps(each, totals, grey), REASONS, RULE, tuple(notes))  # fmt: skip


def _steps(each: tuple[float, ...], totals: tuple[float, ...], grey: Grey) -> tuple[str, ...]:
    n = len(each)
    said = [wording.seconds(t) for t in each]
    return (
        "Lamp, filter and distance as in a run; for a phone: its page in red, brightness and place as in a run. Then everything off.",
        grey.words,
        f"In the dark cut one strip, clip a corner of its half A, and lay it where sheets are handled. Think of it as {n + 1} parts, each across both halves.",
        "Lamp still off: cover half B with card and flash half A, all parts of it. Then uncover B.",
        f"Cover part 1: no lamp ever reaches it. Lamp on for {said[0]}, and off; cover part 2 as well. Go on with {room_tests.in_list(said[1:])}, and cover one part more after each. So parts 2 to {n + 1} have had {room_tests.in_list([wording.seconds(t) for t in totals])} of the lamp.",
        "Lamp off, all parts uncovered. Cover half A and flash half B, just as A was.",
        "Develop, stop and fix in total darkness, as a sheet is.",
        "In white light, dry, on a white sheet of paper: in each half, which is the first part that differs from part 1, by however little? A coin’s edge that shows is a difference.",
        "Half B had the lamp before its flash, half A after it. Say of both which time is the first that shows, or “no”.",
    )


def grey_of(reader: Reader, box: Owned, lux: float | None) -> Grey:
    strip = "First find the grey, lamp off: a strip with white light of 1, 2, 4, 8 and 16 s, weak and far; take the first part that is a light grey (0.25 to 0.50 in density [K-4]), one that you just see at a glance. On a direct positive: the first that is just less than black."
    rows = [t for t in reader.things("curve") if t["body"]["box"] == box.name and t["body"]["kind"] == "reflection" and not t["body"].get("dropped")]  # fmt: skip
    for row in sorted(rows, key=lambda t: -int(t["id"])):
        from firstsheet.paper import curve_points

        try:
            curve = calibrate_kept.curve_from(row["body"])
            place = (
                curve_points.place(curve, above_base=safelight.GREY_D)
                if curve.sense > 0
                else curve_points.place(curve, below_dmax=safelight.GREY_D)
            )
            f = curve_points.exposure(curve, place, "grey of the test")
        except Refusal:
            continue
        if f.value is None or f.low is None or f.high is None:
            continue
        seconds = f.value / lux if lux else None
        how = (
            f"that is {wording.seconds(seconds)} at {wording.lux(lux)}"
            if seconds is not None and lux
            else "measure the lux where the strip lies and divide by it"
        )
        words = f"The flash, lamp off: {f.value:.2g} lx·s ({f.low:.2g} to {f.high:.2g}) of white light; {how}. It makes a light grey; try it on a scrap first."
        source = f"{safelight.GREY_D:g} {'above base+fog' if curve.sense > 0 else 'below Dmax, ours: the published test is for paper that darkens with light'}, on the curve of {calibrate_kept.of_what(row['body'])} [K-4]"
        return Grey(f.value, f.low, f.high, lux, seconds, words, source)
    return Grey(None, None, None, lux, None, strip, "no curve of this box is kept [K-4]")


def keep(book: Book, form: Form | None = None) -> LampTest:
    """Keep what a test showed. Fields: lamp (its name), kind (lamp, phone), distance, brightness (of a phone), box, tested (“1 3 7 min”),
    before, after: “no”, or the shortest time that shows a difference. Both halves must be told: bare paper alone is no test.
    """
    d = Door(form)
    lamp = d.must("lamp", short_name, "What you call this lamp, or this phone.", "Try “bench lamp”.")
    kind = d.pick("kind", KINDS) or "lamp"
    distance = d.must("distance", q.length_mm, "How far it is from the paper.", "Try “1.2 m”.")
    brightness = d.name("brightness")
    if kind == "phone" and brightness is None:
        d.problems.add("brightness", "", "How bright this phone was, as it says itself.", "Try “least”, or “20 %”.")
    box = room_tests.box_of(book, d)
    tested = d.must("tested", _times, "What the parts have had of the lamp, shortest first.", "Try “1 3 7 min”.") or ()
    seen = {}
    for half in ("before", "after"):
        text = d.said(half)
        if text is None:
            d.problems.add(half, "", "“no”, or the shortest time that shows a difference; both halves are needed [K-4].", "A strip without a flash hides what a lamp does.")  # fmt: skip
        elif text.lower() not in NONE_SEEN:
            seen[half] = d.read(half, lambda t: _one_of(t, tested))
    d.close()
    assert box is not None
    if not room_tests.bears_light(box):
        raise Refusal.one("box", box.name, NO_LAMP, "A test cannot make a lamp safe for it.")
    number = room_tests.keep(book, KIND, {
        "lamp": lamp, "kind": kind, "distance_mm": distance, "brightness": brightness or "", "box": box.name,
        "paper": box.body["paper"], "tested_s": list(tested), "before_s": seen.get("before"), "after_s": seen.get("after"),
    })  # fmt: skip
    return next(t for t in tests(book) if t.number == number)


def put_away(book: Book, lamp: str) -> list[LampTest]:
    """This lamp is no longer used: runs no longer ask about it. Its tests stay in the book. Refusal for a name that has none."""
    rows = [t for t in book.things(KIND) if t["body"]["lamp"] == lamp and not t["body"].get("away")]
    if not rows:
        names = ", ".join(dict.fromkeys(t.lamp for t in tests(book) if not t.away)) or "none yet"
        raise Refusal.one(
            "lamp", lamp, f"Lamps in use that were tested: {names}.", "See: firstsheet lamptest", "missing"
        )
    with book.begin():
        for t in rows:
            book.add_thing(KIND, t["name"], t["body"] | {"away": True})
    return [t for t in tests(book) if t.lamp == lamp]


def tests(reader: Reader) -> list[LampTest]:
    """Every test, newest first."""
    return [_told(reader, row) for row in room_tests.newest_first(reader, KIND)]


def standing(reader: Reader, paper: str, needed_s: float) -> list[tuple[str, bool]]:
    """What the tests say of a run whose paper is `needed_s` [s] under the lamp: sentences, each with whether all is well.

    Each lamp in use counts by its newest test with this kind of paper; the shortest decides, for both may be on.
    """
    newest: dict[str, LampTest] = {}
    others: dict[str, LampTest] = {}
    for t in tests(reader):
        if not t.away:
            (newest if t.paper == paper else others).setdefault(t.lamp, t)
    said = []
    for lamp, t in newest.items():
        said.append(_fits(t, needed_s))
        if t.old:
            said.append((f"The test of {lamp} is of {t.wall[:10]}: make it again.", False))
    said += [(f"{lamp} was tested with another kind of paper only: not for this one.", False) for lamp in others if lamp not in newest]  # fmt: skip
    if not newest and not others:
        said.append(
            (
                f"No lamp was tested with this paper, nor this phone: this run is {minutes(needed_s)} under red light.",
                False,
            )
        )
    return [(text[:1].upper() + text[1:], well) for text, well in said]


def _fits(t: LampTest, needed_s: float) -> tuple[str, bool]:
    if t.safe_s <= 0:
        return f"{t.lamp} is not safe for this paper{_where(t)}: keep it off.", False
    if needed_s > t.safe_s:
        return f"this run is {minutes(needed_s)} under red light; {t.lamp}{_where(t)} is safe for {minutes(t.safe_s)} (tested clean to {minutes(t.limit_s)}). Cover the tray, hang it further off, or keep it off.", False  # fmt: skip
    return f"{t.lamp}{_where(t)}: safe for {minutes(t.safe_s)}; this run takes {minutes(needed_s)} of it.", True


def _where(t: LampTest) -> str:
    at = f" at {wording.length(t.distance_mm)}" if t.distance_mm is not None else ""
    return f"{at}, brightness {t.brightness}" if t.brightness else at


def _told(reader: Reader, row: Row) -> LampTest:
    b: dict[str, Any] = row["body"]
    tested = tuple(float(x) for x in b["tested_s"])
    limit = safelight.both_limit_s(tested, b["before_s"], b["after_s"])
    safe = safelight.safe_s(limit)
    again = room_tests.again(b)
    t = LampTest(int(row["name"]), b["lamp"], b["kind"], b["distance_mm"], b["brightness"], b["box"], b["paper"], tested, b["before_s"],
                 b["after_s"], limit, safe, b["wall"], again, room_tests.is_old(reader, b), bool(b.get("away")), "")  # fmt: skip
    verdict = (
        f"safe for {minutes(safe)}, clean to {minutes(limit)}" if limit else "not safe: the shortest time shows already"
    )
    return replace(t, words=f"{t.lamp}{_where(t)}, box {t.box}: {verdict}. Again by {again.isoformat()}, or when lamp, filter, place or paper change.")  # fmt: skip


def _times(text: str) -> tuple[float, ...]:
    """ "1 3 7 min" or "60 s, 3 min" [s], rising; 1 to 12 of them."""
    parts = text.replace(",", " ").split()
    unit = parts[-1] if parts and not parts[-1][:1].isdigit() else ""
    joined: list[str] = []
    for p in parts:
        if p[:1].isdigit():
            joined.append(p)
        elif joined:
            joined[-1] += f" {p}"
    found = tuple(
        room_tests.duration(p if " " in p or not p[-1].isdigit() or not unit else f"{p} {unit}") for p in joined
    )
    if not 1 <= len(found) <= 12 or list(found) != sorted(set(found)):
        raise Refusal.one("", text, "One to twelve times, rising.", "Try “1 3 7 min”.")
    return found


def as_said(times_s: tuple[float, ...]) -> str:
    """Times as a person would write them for `keep`: “1 3 7 min”."""
    return " ".join(f"{t / 60:g}" for t in times_s) + " min"


def _one_of(text: str, tested: tuple[float, ...]) -> float:
    said = room_tests.duration(text)
    for t in tested:
        if abs(t - said) < 0.5:
            return t
    raise Refusal.one(
        "", text, "“no”, or one of " + ", ".join(wording.seconds(t) for t in tested) + ".", "The first that shows."
    )
