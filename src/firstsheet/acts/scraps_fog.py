"""An old or unknown box: an unexposed piece fixed only beside one developed and fixed; their difference is fog, and it may rise."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables, wording
from firstsheet.acts import scraps, scraps_cautions
from firstsheet.acts.door import Door, Form
from firstsheet.answer import Z90

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader, Row
    from firstsheet.book.store import Book
    from firstsheet.paper.curve_scraps import Fogged, Patch

KIND = "fog_test"
YEAR_DAYS = 365.25
OLD_DAYS = 365  # after which a test is made again; common practice, no source
TYPED_SD = 0.02
PHOTO_SD = 0.02  # of one piece beside the other in a photo, by uneven light and glare [D]; common practice, no source
PICTURE_SAID = "fog of"
PLACES = ("white", "fixed_at", "developed_at")
# What is seen with the two side by side in daylight: difference and its doubt [D]; common practice, no source.
LOOKS = {"same": (0.0, 0.03), "veiled": (0.07, 0.03), "grey": (0.18, 0.06), "dark": (0.60, 0.25)}
LOOK_WORDS = {"same": "both alike", "veiled": "the developed one a little veiled", "grey": "the developed one grey", "dark": "the developed one dark"}  # fmt: skip
# Speed that such a box may have lost, from and to [stop]; reports of old paper are −0.7 ± 0.8, common practice, no source.
SLOWER: dict[str, tuple[float, float | None]] = {"none": (0.0, 0.5), "not told apart": (0.0, 1.0), "slight": (0.0, 1.0), "clear": (0.0, 1.5), "heavy": (0.0, None)}  # fmt: skip
USABLE = {"none": "anything", "not told apart": "not known", "slight": "pictures, a little veil over their whites", "clear": "tests and dark pictures", "heavy": "practice"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class FogTest:
    """One test of a box.

    fog, low, high  what development adds to unexposed paper, its 90 % range [D]; `kind` of density it is
    word            none, slight, clear, heavy or "not told apart"; `usable` for what, in words
    slower_low_stops, slower_high_stops  speed it may have lost [stop]; None above where nobody can say
    drift_per_year, drift_sd  how fast fog rose over all tests of the box [D a year]; None before two a month apart
    """

    number: int
    box: str
    developer: str
    day: str
    kind: str
    by: str
    fog: float
    low: float
    high: float
    word: str
    usable: str
    sentence: str
    slower_low_stops: float
    slower_high_stops: float | None
    slower_words: str
    tests: int
    drift_per_year: float | None
    drift_sd: float | None
    drift_words: str
    stands: bool
    state: str
    notes: tuple[str, ...]
    caution: str


def measure(book: Book, form: Form | None = None, picture: int | None = None) -> FogTest:
    """The test of an old or unknown box, kept with the box and its day.

    Fields: box, developer, day (today unless said), and one of: fixed and developed (densities typed, or “12:1” for a step of a
    strip; density_sd, kind); looks (same, veiled, grey, dark); or, with a kept picture's number, the places white, fixed_at and
    developed_at. Negative-working paper: on a positive the unexposed piece develops black. Refusal with every problem.
    """
    d = Door(form)
    have = scraps.things(book, d)
    day = d.read("day", q.day) or book.now().date()
    if day > book.now().date():
        d.problems.add("day", day.isoformat(), "A day that has been.", "Leave it out for today.")
    if "box" in have and all(tables.load("ways")[w]["sense"] == "positive" for w in scraps.ways_of(have["box"])):
        d.problems.add("box", have["box"].name, "Paper that light darkens: an unexposed piece of a positive develops black.",
                       "Draw its curve instead: fog shows as a deepest black that is none.")  # fmt: skip
    pieces = _pieces(book, d, picture)
    d.close()
    assert pieces is not None
    from firstsheet.paper.curve_scraps import box_fog

    fixed, developed, by = pieces
    found = box_fog(fixed, developed)
    box, developer = have["box"].name, have["developer"].name
    body = {
        "box": box, "developer": developer, "day": day.isoformat(), "kind": fixed.kind, "by": by, "fog": found.fog, "low": found.low,
        "high": found.high, "word": found.word, "sentence": found.sentence, "picture": picture, "evidence": {}, "stands": True,
        "line": told(found), "form": {k: str(v) for k, v in dict(form or {}).items()},
    }  # fmt: skip
    return of(book, scraps.keep(book, KIND, f"fog of {box} in {developer}, {day.isoformat()}, {fixed.kind}", body))


def of(reader: Reader, number: int) -> FogTest:
    """A kept one by its number."""
    t = scraps.row(reader, number, KIND)
    b = t["body"]
    low, high = SLOWER[b["word"]]
    all_of_it = of_box(reader, b["box"])
    drift = _drift([r["body"] for r in all_of_it if r["body"]["kind"] == b["kind"]])
    return FogTest(
        int(t["id"]), b["box"], b["developer"], b["day"], b["kind"], b["by"], b["fog"], b["low"], b["high"], b["word"], USABLE[b["word"]],
        b["sentence"], low, high, _slower(b["word"]), len(all_of_it), drift[0], drift[1], drift[2], b["stands"],
        scraps.state_of(b), (*scraps.beside(reader, t), *_notes(reader, b)), " ".join(scraps_cautions.TRAYS),
    )  # fmt: skip


def of_box(reader: Reader, box: str) -> list[Row]:
    """Every test of a box that stands, by its day."""
    found = [t for t in reader.things(KIND) if t["body"]["box"] == box and t["body"]["stands"]]
    return sorted(found, key=lambda t: (t["body"]["day"], int(t["id"])))


def take_in(book: Book, box: str, data: bytes) -> int:
    """Keep a picture of both pieces beside a white, upright and without position; its number."""
    from firstsheet.light.photo import receive

    got = receive(data)
    body = {"width": got.width, "height": got.height, "said": f"{PICTURE_SAID} {box}"}
    return book.add_picture("image/jpeg", got.kept_jpeg, body)


def measure_picture(book: Book, data: bytes, form: Form | None = None) -> FogTest:
    """A picture sent with its places; what cannot be looked at is not kept. Fields as in `measure`."""
    with book.begin():
        return measure(book, form, take_in(book, str((form or {}).get("box") or ""), data))


def size(book: Book, picture: int) -> tuple[int, int]:
    """Width and height of a picture kept of a test of fog [px]."""
    body = _picture(book, picture)["body"]
    return int(body["width"]), int(body["height"])


def told(f: Fogged) -> str:
    """ "0.12 D": two decimals, no more is worth telling."""
    return f"fog {max(f.fog, 0.0):.2f} D" if f.word != "not told apart" else f"no fog above {max(f.high, 0):.2f} D"


# ── what was seen ──


def _pieces(book: Book, d: Door, picture: int | None) -> tuple[Patch, Patch, str] | None:
    from firstsheet.paper.curve_scraps import Patch

    sd = d.read("density_sd", lambda t: q.plain_number(t, 0.001, 0.5)) or TYPED_SD
    kind = d.pick("kind", ("reflection", "transmission")) or "reflection"
    looks = d.pick("looks", LOOKS)
    read = {k: d.read(k, lambda t: scraps.density_said(book, t)) for k in ("fixed", "developed")}
    said = [
        w
        for w, there in (
            ("looks", d.said("looks")),
            ("densities", d.said("fixed") or d.said("developed")),
            ("picture", picture),
        )
        if there
    ]
    places = _places(d, picture)
    if len(said) > 1:
        d.problems.add(
            "looks" if "looks" in said else "fixed",
            " and ".join(said),
            "Densities, or how they look, or a picture.",
            "Leave the others out.",
        )
    if not said:
        d.problems.add(
            "fixed",
            "",
            "Densities of both pieces, or how they look side by side: " + ", ".join(LOOKS) + ".",
            "Or a photo of both beside a white.",
        )
    if "densities" in said:
        for key in ("fixed", "developed"):
            if d.said(key) is None:
                d.problems.add(key, "", "A density of each piece.", "Read both the same way.")
    if d.problems.found:
        return None
    if picture is not None:
        return _seen(book, picture, places)
    if looks:
        more, doubt = LOOKS[looks]
        each = doubt / math.sqrt(2)
        return Patch(0.0, each), Patch(more, each), f"{scraps.BY_EYE}: {LOOK_WORDS[looks]}"
    (fixed, own_a), (developed, own_b) = (read[k] or (0.0, None) for k in ("fixed", "developed"))
    return Patch(fixed, own_a or sd, kind), Patch(developed, own_b or sd, kind), f"densities by {kind}"  # type: ignore[arg-type]


def _places(d: Door, picture: int | None) -> dict[str, tuple[float, float]]:
    from firstsheet.acts.versions import place

    if picture is None:
        for key in PLACES:
            if d.said(key) is not None:
                d.problems.add(key, d.said(key), "A place goes with a picture.", "Send the picture, or leave it out.")
        return {}
    at = {key: d.must(key, place, "A place “x,y”, each from 0 to 1.", "Touch it on the picture.") for key in PLACES}
    return {k: v for k, v in at.items() if v is not None}


def _seen(book: Book, picture: int, places: dict[str, tuple[float, float]]) -> tuple[Patch, Patch, str]:
    from firstsheet.foresee.patches import touched
    from firstsheet.paper.curve_scraps import Patch

    seen = touched(_picture(book, picture)["data"], places, ("white",))
    white = seen["white"].luminance
    rows = []
    for key in ("fixed_at", "developed_at"):
        rows.append(Patch(0.05 - math.log10(seen[key].luminance / white), math.hypot(PHOTO_SD, seen[key].log_sd)))
    return rows[0], rows[1], "a photo beside a white"


def _picture(book: Book, picture: int) -> Row:
    from firstsheet.refusal import Refusal

    row = book.get_picture(picture)
    if not str(row["body"].get("said", "")).startswith(PICTURE_SAID):
        raise Refusal.one(
            "picture", picture, "A picture of two pieces of unexposed paper.", "Send it again.", "missing"
        )
    return row


# ── words ──


def _slower(word: str) -> str:
    high = SLOWER[word][1]
    if high is None:
        return "How much speed it has lost nobody can say: only a strip tells."
    upto = wording.stops_apart(high)
    return f"It may have lost nothing, or up to {upto} of speed: a doubt, no figure. Only a strip tells."


def _drift(bodies: list[dict[str, Any]]) -> tuple[float | None, float | None, str]:
    from firstsheet.paper.curve_scraps import fog_drift

    if len(bodies) < 2:
        return None, None, "One test so far: made again in half a year, it tells whether fog rises."
    rows = [
        (date.fromisoformat(b["day"]).toordinal() / YEAR_DAYS, b["fog"], max((b["high"] - b["low"]) / 2 / Z90, 0.005))
        for b in bodies
    ]
    found = fog_drift(rows)
    if found is None:
        return None, None, f"{len(bodies)} tests within a month tell no drift."
    first, last = bodies[0], bodies[-1]
    span = f"from {max(first['fog'], 0):.2f} D on {first['day']} to {max(last['fog'], 0):.2f} D on {last['day']}"
    rate = f"{abs(found.per_year):.2f} ±{max(found.sd, 0.01):.2f} D a year"
    if not found.shown:
        return (
            found.per_year,
            found.sd,
            f"Over {len(bodies)} tests, {span}: no change that stands clear of its doubt ({rate}).",
        )
    way = "rises" if found.per_year > 0 else "falls, which fog does not do: look at how it was read"
    return found.per_year, found.sd, f"Over {len(bodies)} tests, {span}: fog {way}, {rate}."


def _notes(reader: Reader, b: dict[str, Any]) -> list[str]:
    out = ["Box age, as sheets tell it, is learned apart from their speed, as a slow drift."]
    if b["word"] in ("slight", "clear"):
        out.append(
            "Fog lies over what is pale: in a negative’s shadows, in a print’s whites. Cold storage slows it, nothing undoes it."
        )
    if (reader.now().date() - date.fromisoformat(b["day"])).days > OLD_DAYS:
        out.append("This test is more than a year old: make it again before the box is used.")
    return out
