"""A paper measured from a strip: how to make one, its picture read and read again. The curve is in `calibrate_curve`."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables
from firstsheet.acts import calibrate_outline as outline
from firstsheet.acts import calibrate_parts as parts
from firstsheet.acts.calibrate_parts import Quad
from firstsheet.acts.door import Door, Form, whole
from firstsheet.paper import response
from firstsheet.refusal import Refusal
from firstsheet.strips import make

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book
    from firstsheet.strips.read import Sense, StripRead

WAYS = {
    "even_tone": "in the camera, before an even tone",
    "opal": "in the camera, opal over the lens",
    "lamp": "under a lamp",
    "tablet": "through a 21-step tablet, in contact",
}
TABLET_STEPS = 21
# The darkest a step may be told to be at least, by the bits of its picture [D]: below it codes, glare and noise say nothing. Common
# practice, no source; no paper looked at goes far beyond 2.2.
DARKEST = {8: 2.0, 16: 3.0}
FOUND = ("found", "first")  # words for the outline that was found first
LIT = {"front": "reflection", "behind": "transmission"}  # and the kind of density that is then read


@dataclass(frozen=True, slots=True)
class MadeStep:
    """One step of a strip to be made: its exposure [lx·s] (relative to 1 lx where no lux was said), what the cover does."""

    step: int
    exposure_lxs: float
    open_steps: int | None
    time_s: float | None


@dataclass(frozen=True, slots=True)
class Instructions:
    """How to make a strip. `exposures` is what to say of it once it has been read."""

    way: str
    way_words: str
    said: tuple[str, ...]
    steps: tuple[MadeStep, ...]
    absolute: bool
    exposures: str


@dataclass(frozen=True, slots=True)
class PatchSeen:
    """One step, least exposed first: its corners in fractions of the picture, its density, or why there is none.

    shared  the parts of sd that the steps of this picture have in common [D]
    beyond  it is darker than this picture can show: `density` is then that limit
    """

    polygon: Quad
    density: float | None
    sd: float | None
    censored: str | None
    rejected: str
    shared: tuple[float, ...] = ()
    beyond: bool = False


@dataclass(frozen=True, slots=True)
class StripLooked:
    """A strip as read. `strip` is its number in the book and that of its picture; lit, "front" (looked at) or "behind" (shone through);
    moved, whether its outline is another than the first."""

    strip: int
    patches: tuple[PatchSeen, ...]
    corners: Quad
    card_corners: Quad | None
    counted_from: str
    proposed_steps: int
    count_given: bool
    sense: str
    lit: str
    moved: bool
    notes: tuple[str, ...]


def instructions(reader: Reader, form: Form | None = None) -> Instructions:
    """How to make a strip: way (even_tone, opal, lamp, tablet), steps, factor (√2 or 2), first (time), lux (one, three or each).

    Refusal with every problem.
    """
    d = Door(form)
    way = d.pick("way", WAYS) or "even_tone"
    steps = d.read("steps", lambda t: whole(t, 3, 40))
    pace = d.read("factor", parts.factor) or make.SQRT2
    said_s = d.read("first", lambda t: q.duration_s(t, bare="s"))
    if said_s == 0.0:
        d.problems.add("first", d.said("first"), "A time above nothing.", "Write it like “1 s”.")
    first_s = said_s or 1.0
    lux = d.read("lux", lambda t: parts.numbers(t.lower().replace("lux", "").replace("lx", ""), 1e-4, 1e6))
    if way == "tablet" and lux and len(set(lux)) > 1:
        d.problems.add("lux", d.said("lux"), "One lux for the whole tablet.",
                       "Read it at the middle; move the lamp away until both ends read the same.")  # fmt: skip
        lux = lux[:1]
    count = steps or (TABLET_STEPS if way == "tablet" else 9 if pace < 1.7 else 7)
    level: tuple[float, ...] | None = tuple(lux) if lux else None
    with d.problems.at(""):
        if level and len(level) == 3 and count != 3:
            ends, level = level, None
            level = make.steps_between((ends[0], ends[1], ends[2]), count)
    plan = None
    with d.problems.at(""):
        plan = make.plan_strip(way.replace("_", " "), steps=count, factor=pace, first_s=first_s, lux=level)  # type: ignore[arg-type]
    d.close()
    assert plan is not None
    rows = tuple(
        MadeStep(
            k + 1, h, plan.moves[k].open_steps if plan.moves else None, plan.moves[k].time_s if plan.moves else None
        )
        for k, h in enumerate(plan.exposures_lxs)
    )
    return Instructions(way, WAYS[way], plan.said, rows, level is not None, _to_say(way, first_s, pace, lux))


def _to_say(way: str, first_s: float, pace: float, lux: list[float] | None) -> str:
    at = f" at {' '.join(map(q.written, lux))} lx" if lux else " at … lx"
    if way == "tablet":
        return f"tablet {q.written(first_s)} s{at}"
    step = "√2" if abs(pace - make.SQRT2) < 1e-9 else f"{pace:.4g}"
    return f"first {q.written(first_s)} s{at}, steps of {step}"


# ── read ──


def look(book: Book, data: bytes, form: Form | None = None) -> StripLooked:
    """Read a strip in a picture and keep both. Fields: steps, sense (negative or positive) or way, corners, taken (scan, photo),
    lit (front unless said; behind: on a light table, densities by transmission), card (yes/no), card_white, card_greys, card_black, card_sd.

    What is kept is upright, of bounded size, and holds no position data. Refusal with every problem, or by what is wrong
    with the picture.
    """
    d = Door(form)
    steps = d.read("steps", lambda t: whole(t, 3, 40))
    sense = _sense(book, d)
    quad = d.read("corners", parts.corners)
    taken = d.pick("taken", ("scan", "photo"))
    lit = d.pick("lit", LIT) or "front"
    card = parts.card(d)
    if lit == "behind" and card is not None:
        d.problems.add(
            "card",
            d.said("card") or "",
            "The card is for strips lit from the front.",
            "On a light table the strip’s own border is what densities are counted from.",
        )
    if not data:
        d.problems.add("picture", "", "A picture of the strip.", "A JPEG, PNG, TIFF or HEIC; a scan is best.")
    d.close()
    from firstsheet.strips.read import read_strip

    kept = parts.kept_picture(data)
    taken = taken or ("photo" if kept.camera else "scan")
    if quad is None:
        read = read_strip(data, steps=steps, sense=sense, card=card, taken=taken)  # type: ignore[arg-type]
    else:  # corners are told of the picture upright
        read = read_strip(kept.measured, steps=steps, sense=sense, corners=quad, card=card, taken=taken)  # type: ignore[arg-type]
    turn = kept.orientation if quad is None else 1
    with book.begin():
        measured = book.add_picture("image/png", kept.measured, {"of": "strip, to be read again"})
        shown = {"of": "strip", "measured": measured, "width": kept.size[0], "height": kept.size[1]}
        number = book.add_picture("image/jpeg", kept.shown, shown)
        how = {
            "sense": sense,
            "lit": lit,
            "taken": taken,
            "card": parts.card_body(card),
            "measured": measured,
            "steps": steps,
            "bits": kept.bits,
        }
        book.add_thing("strip", str(number), how | _body(read, turn))
    return strip(book, number)


def again(book: Book, number: int, form: Form | None = None) -> StripLooked:
    """Read the kept picture again; what was read before stays in the book.

    Fields: corners (or “found”: the outline of the first reading), steps, sense; meant (yes), where an outline about a step off the
    first one is meant so. Refusal with every problem.
    """
    before = _kept(book, number)
    first = before.get("first") or {"corners": before["corners"], "steps": len(before["patches"])}
    d = Door(form)
    steps = d.read("steps", lambda t: whole(t, 3, 40))
    quad = d.read("corners", lambda t: _quad(first["corners"]) if t.strip().lower() in FOUND else parts.corners(t))
    count = steps or len(before["patches"])
    meant = d.flag("meant")
    if quad is not None and not meant:
        seen = book.get_picture(number)["body"]
        off = outline.slipped(_quad(first["corners"]), first["steps"], quad, count, (seen["width"], seen["height"]))
        if off:
            d.problems.add("corners", off, "About one step off the outline that was found first.",
                           "Drag it back, or say that it is meant; with another count of steps nothing is asked.")  # fmt: skip
    sense: Sense = _sense(book, d, str(before["sense"]))
    d.close()
    from firstsheet.strips.read import read_strip

    data = bytes(book.get_picture(before["measured"])["data"])
    card = parts.card_from(before["card"])
    where = quad or _quad(before["corners"])  # another count of the same strip: it lies where it lay
    read = read_strip(data, steps=count, sense=sense, corners=where, card=card, taken=before["taken"])
    how = {k: before[k] for k in ("taken", "card", "measured")} | {
        "lit": lit_of(before),
        "sense": sense,
        "steps": steps or before["steps"],
        "bits": before.get("bits", 8),
        "first": first,
    }
    book.add_thing("strip", str(number), how | _body(read, 1))
    return strip(book, number)


def strip(reader: Any, number: int) -> StripLooked:
    """A strip as it was read last."""
    body = _kept(reader, number)
    limit = DARKEST[body.get("bits", 8)]
    patches = tuple(
        PatchSeen(_quad(p["polygon"]), p["density"], p["sd"], p["censored"], p["rejected"], tuple(p.get("shared", ())))
        for p in body["patches"]
    )
    patches = tuple(_within(p, limit) for p in patches)
    moved = "first" in body and not outline.same(_quad(body["first"]["corners"]), _quad(body["corners"]))
    card = _quad(body["card_corners"]) if body["card_corners"] else None
    return StripLooked(
        number, patches, _quad(body["corners"]), card, body["counted_from"], body["proposed_steps"],
        body["steps"] is not None, body["sense"], lit_of(body), moved, tuple(body["notes"]),
    )  # fmt: skip


def _within(p: PatchSeen, limit: float) -> PatchSeen:
    """A bound beyond what the picture can show is told as that limit."""
    if p.density is None or p.censored != "at_least" or p.density <= limit:
        return p
    return replace(p, density=limit, beyond=True)


def outline_said(text: str | None) -> Quad | None:
    """Corners as they were said, to be shown again; None for what is none."""
    try:
        return parts.corners(text) if text else None
    except Refusal:
        return None


def lit_of(body: dict[str, Any]) -> str:
    """How a kept strip was lit; those kept before that was asked were looked at."""
    return str(body.get("lit", "front"))


def strips(reader: Reader) -> list[StripLooked]:
    """Every strip that was read, newest first."""
    return [strip(reader, n) for n in sorted((int(t["name"]) for t in reader.things("strip")), reverse=True)]


def _kept(reader: Any, number: int) -> dict[str, Any]:
    found: dict[str, Any] | None = next((t["body"] for t in reader.things("strip") if t["name"] == str(number)), None)
    if found is None:
        raise Refusal.one("strip", number, "A strip that is in the book.", "Read its picture first.", "missing")
    return found


def _sense(reader: Reader, d: Door, otherwise: str | None = None) -> Sense:
    said = d.pick("sense", ("negative", "positive"))
    way = d.pick("way", [k for k, v in tables.load("ways").items() if isinstance(v, dict)])
    if said is None and way is None and otherwise is None:
        today = reader.get_setting("today") or {}
        way = today.get("way") or _way_of_box(reader, today.get("box"))
    if said is None and way is not None:
        said = "negative" if response.sense(way) > 0 else "positive"
    said = said or otherwise
    if said is None and not any(p.where in ("sense", "way") for p in d.problems.found):
        d.problems.add(
            "sense", "", "negative: more light makes it darker. positive: lighter.", "Say which this paper does."
        )
    return "positive" if said == "positive" else "negative"


def _way_of_box(reader: Reader, name: str | None) -> str | None:
    boxes = [t for t in reader.things("box") if name is None or t["name"] == name]
    return str(tables.load("papers")[boxes[0]["body"]["paper"]]["ways"][0]) if len(boxes) == 1 else None


def _body(read: StripRead, turn: int) -> dict[str, Any]:
    patches = [
        {
            "polygon": _rounded(p.polygon, turn),
            "density": p.density,
            "sd": p.sd,
            "censored": p.censored,
            "rejected": p.rejected,
            "shared": list(p.shared),
        }
        for p in read.patches
    ]
    return {
        "patches": patches, "corners": _rounded(read.corners, turn),
        "card_corners": _rounded(read.card_corners, turn) if read.card_corners else None,
        "counted_from": read.reference.kind, "reference": [read.reference.density, read.reference.sd],
        "proposed_steps": read.proposed_steps, "notes": list(read.notes),
    }  # fmt: skip


def _rounded(points: Quad, turn: int) -> list[list[float]]:
    return [[round(x, 5), round(y, 5)] for x, y in parts.turned_quad(points, turn)]


def _quad(points: list[list[float]]) -> Quad:
    return tuple((float(x), float(y)) for x, y in points)
