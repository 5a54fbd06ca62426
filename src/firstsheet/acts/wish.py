"""What a person has said for today and for this sheet, gathered from the form in hand and from what was said before."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables
from firstsheet.acts import colour_of_light, own, reading, scraps_in_plans
from firstsheet.acts.door import Door, Form
from firstsheet.acts.flash import share_of
from firstsheet.acts.own import Owned
from firstsheet.exposure import hand
from firstsheet.refusal import Problems, Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

TODAY = ("camera", "box", "developer", "way", "meter")
LEAST_EV, MOST_EV = -11.3, 16.3  # of incident meters, for 0.001 and 200 000 lx: E = 2.5·2^EV, C 250 [ISO-2720]
SHEET = ("light", "subject", "head", "aperture", "filter", "negative", "flash", "sitter", "readings")


@dataclass(frozen=True, slots=True)
class Wish:
    """Everything a plan needs, resolved. `assumed` names what was carried over and not said for this sheet.

    flash_share  even flash besides the picture, as a share of the threshold [1]; 0 for none
    lit  a contact print under a lamp and through a negative that are kept: as `contact_plan.say` heard it; then nothing is read
    board_aperture, board_filter  what stood when the board was read: f-number, None where not known, and density [1]
    """

    camera: Owned
    box: Owned
    developer: Owned
    way: str
    light: str
    subject_mm: float | None
    head_mm: float | None
    aperture: float | None
    filter_density: float
    negative_density: float
    sitter: str
    readings: tuple[reading.Kept, ...]
    assumed: tuple[str, ...] = ()
    board_aperture: float | None = None
    board_filter: float = 0.0
    flash_share: float = 0.0
    lit: dict[str, Any] | None = None

    @property
    def steps(self) -> hand.Steps:
        """How its test strip is divided."""
        return hand.UNDER_LAMP if self.lit else hand.ON_BOARD


@dataclass(slots=True)
class Heard:
    """Said values by key, canonical, before they are resolved against what is owned."""

    today: dict[str, Any] = field(default_factory=dict)
    sheet: dict[str, Any] = field(default_factory=dict)
    readings: list[reading.Kept] = field(default_factory=list)


def hear(reader: Reader, form: Form | None) -> Heard:
    """Read a form's words. Everything is optional; every problem is told at once."""
    d = Door(form)
    heard = Heard()
    for kind in ("camera", "box", "developer", "meter"):
        name = d.name(kind)
        if name is not None:
            with d.problems.at(kind):
                heard.today[kind] = own.one(reader, kind, name).name
    way = d.pick("way", [k for k, v in tables.load("ways").items() if isinstance(v, dict)])
    if way:
        heard.today["way"] = way
    said: dict[str, Any] = {
        "light": d.pick("light", tables.load("lights")),
        "subject": d.read("subject", lambda t: _length(t, "subject")),
        "head": d.read("head", lambda t: _length(t, "head")),
        "aperture": d.read("aperture", _aperture),
        "filter": d.read("filter", lambda t: colour_of_light.filter_density(reader, t)),
        "negative": d.read("negative", lambda t: scraps_in_plans.negative_density(reader, t)),
        "flash": d.read("flash", share_of),
        "sitter": d.name("sitter"),
    }
    heard.sheet = {k: v for k, v in said.items() if v is not None}
    if "subject" in heard.sheet and "head" in heard.sheet:
        d.problems.add(
            "head", d.said("head"), "Either the distance or the head size; the other follows.", "Leave one out."
        )
    how = d.pick("how", reading.HOW)
    tone = d.said("tone")
    text = d.said("reading")
    if text is not None:
        with d.problems.at("reading"):
            heard.readings = reading.parse(text, how, tone, own_meter(reader, heard.today.get("meter")), reader.now())
            _lit(heard.readings)
    elif how or tone:
        d.problems.add("reading", "", "How and tone go with a reading.", "Give the reading too: “EV 11”.")
    d.close()
    return heard


def _lit(readings: list[reading.Kept]) -> None:
    """Refuse light that is not there, in the words in which it was said."""
    from firstsheet.light import reading as light_reading

    problems = Problems()
    for k in readings:
        try:
            if k.reading.kind == "board":
                light_reading.midtone_on_board(k.reading)
            else:
                light_reading.midtone_of(k.reading)
        except Refusal as refusal:
            p = refusal.problems[0]
            at = f" At EV and ISO 100 in the face’s light that is EV {LEAST_EV:g} to {MOST_EV:g}.".replace("-", "−")
            problems.add(
                "", k.said, p.allowed + (at if k.reading.kind in ("ev", "triple") and p.where == "lux" else ""), p.hint
            )
    problems.raise_if_any()


def say(book: Book, form: Form | None) -> Heard:
    """Hear a form and remember it: the plan is said piece by piece, and each piece stays until said otherwise."""
    heard = hear(book, form)
    today, phrase = _with(book, heard)
    with book.begin():
        if heard.today:
            book.set_setting("today", today)
        ids = [book.add_reading(k.body(), None) for k in heard.readings]
        fresh = set(phrase.get("fresh", ())) | set(heard.sheet) | ({"readings"} if ids else set())
        if "subject" in heard.sheet:
            phrase.pop("head", None)
        if "head" in heard.sheet:
            phrase.pop("subject", None)
        if heard.readings or "negative" in heard.sheet:
            phrase.pop("lit", None)
        stood = _stood(phrase, heard)
        if "flash" in heard.sheet:
            phrase["flash_of"] = _box_name(book, today)
        phrase |= heard.sheet | ({"readings": ids} if ids else {}) | {"fresh": sorted(fresh)}
        if stood is None:
            phrase.pop("board", None)
        else:
            phrase["board"] = stood
        book.set_setting("phrase", phrase)
    return heard


def _with(reader: Reader, heard: Heard) -> tuple[dict[str, Any], dict[str, Any]]:
    """Today with what was heard, and what of the sheet's phrase still holds: another box goes its own way, and a flash was wished for one paper."""
    before = dict(reader.get_setting("today") or {})
    today, phrase = before | heard.today, dict(reader.get_setting("phrase") or {})
    gone = dict(before.get("ways") or {})  # which way each box last went
    if before.get("box") and before.get("way"):
        gone[before["box"]] = before["way"]
    if "box" in heard.today and "way" not in heard.today:
        ways = tables.load("papers")[own.one(reader, "box", today["box"]).body["paper"]]["ways"]
        if way := gone.get(today["box"], today.get("way")):
            today["way"] = way if way in ways else ways[0]
    if gone:
        today["ways"] = gone
    wished = phrase.get("flash_of") not in (None, _box_name(reader, today))
    if wished or any(before.get(k) and before[k] != today.get(k) for k in ("box", "developer", "way")):
        phrase.pop("flash", None)
    return today, phrase


def _box_name(reader: Reader, today: dict[str, Any]) -> str | None:
    try:
        return own.one(reader, "box", today.get("box")).name
    except Refusal:
        return None


def standing(reader: Reader) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What holds now, in words: for today, the only thing of a kind too, which nobody need say; and for this sheet."""
    from firstsheet import wording

    today, phrase = reader.get_setting("today") or {}, reader.get_setting("phrase") or {}
    things = []
    for kind in ("camera", "box", "developer", "meter"):
        have = own.owned(reader, kind)
        name = today.get(kind) or (have[0].name if len(have) == 1 else None)
        if name:
            things.append(name if kind in name.lower() else f"{kind} {name}")
        elif have:
            things.append(f"{kind} not chosen")
    ways, lights = tables.load("ways"), tables.load("lights")
    if today.get("way") in ways:
        things.append(str(ways[today["way"]]["words"]))
    said: list[str] = []
    if phrase.get("light") in lights:
        said.append(str(lights[phrase["light"]]["words"]))
    who = phrase.get("sitter") or "the sitter"
    if phrase.get("subject"):
        said.append(f"{who} at {wording.length(phrase['subject'])}")
    elif phrase.get("head"):
        said.append(f"{who}, the head {wording.millimetres(phrase['head'])} tall on the sheet")
    elif phrase.get("sitter"):
        said.append(str(who))
    said += [k.said for k in reading.of_phrase(reader, list(phrase.get("readings", ())))]
    if "aperture" in phrase:
        said.append(wording.f_number(phrase["aperture"]) if phrase["aperture"] else "any stop")
    said += [f"{key} of density {phrase[key]:g}" for key in ("filter", "negative") if phrase.get(key)]
    said += [f"flashed, {phrase['flash']:.0%} of the threshold".replace("%", " %")] if phrase.get("flash") else []
    return tuple(things), tuple(said)


def _stood(phrase: dict[str, Any], heard: Heard) -> dict[str, Any] | None:
    """What stood on the lens when the board was read: an aperture not known then is the first one said after; None without a board."""
    now = phrase | heard.sheet
    if heard.readings:
        on_board = heard.readings[0].reading.kind == "board"
        return {"aperture": now.get("aperture"), "filter": now.get("filter")} if on_board else None
    stood: dict[str, Any] | None = phrase.get("board")
    return stood and stood | {"aperture": stood["aperture"] or now.get("aperture")}


def wish(reader: Reader, form: Form | None = None) -> Wish:
    """The form over what was said before, over what there is only one of. Refuses with everything still missing."""
    heard = hear(reader, form)
    today, phrase = _with(reader, heard)
    if "subject" in heard.sheet:
        phrase.pop("head", None)
    if "head" in heard.sheet:
        phrase.pop("subject", None)
    sheet = phrase | heard.sheet
    fresh = set(phrase.get("fresh", ())) | set(heard.sheet) | ({"readings"} if heard.readings else set())
    problems = Problems()
    things: dict[str, Owned] = {}
    for kind in ("camera", "box", "developer"):
        with problems.at(kind):
            things[kind] = own.one(reader, kind, today.get(kind))
    way = today.get("way")
    if "box" in things:
        way = own.way_of_paper(problems, things["box"], way)
    lit = phrase.get("lit") if way == "contact_print" and not heard.readings and "negative" not in heard.sheet else None
    if lit and "box" in things and "developer" in things:
        problems.raise_if_any()
        base = str(tables.load("ways")["contact_print"]["base_light"])
        return Wish(things["camera"], things["box"], things["developer"], str(way), base, None, None, None, 0.0, 0.0, "", (), lit=lit)
    kept = heard.readings
    if not kept:
        with problems.at("reading"):
            kept = reading.of_phrase(reader, list(phrase.get("readings", ())))
    if not kept:
        problems.add(
            "reading", "", "lx, cd/m², EV, an aperture-time-ISO, a word for the sky, or a photo.", "Try “EV 11”."
        )
    light = sheet.get("light") or _light_of(kept)
    if not light:
        problems.add(
            "light", "", "The kind of light: " + ", ".join(tables.load("lights")) + ".", "Paper sees each differently."
        )
    on_board = bool(kept) and kept[0].reading.kind == "board"
    stood = (_stood(phrase, heard) or {}) if on_board else {}
    if way != "contact_print" and "negative" in heard.sheet:
        problems.add(
            "negative", heard.sheet["negative"], "Only a contact print has a negative over it.", "Leave it out."
        )
    negative = sheet.get("negative") if way == "contact_print" else None
    if not sheet.get("subject") and not sheet.get("head") and not on_board:
        problems.add(
            "subject", "", "How far the sitter is from the lens, or how tall the head on the sheet.", "Try “3 m”."
        )
    problems.raise_if_any()
    mute = (*(() if negative is not None else ("negative",)), *(() if sheet.get("flash") else ("flash",)))
    assumed = tuple(k for k in SHEET if k in sheet and k not in fresh and k not in mute)
    return Wish(
        things["camera"], things["box"], things["developer"], str(way), str(light), sheet.get("subject"), sheet.get("head"),
        sheet.get("aperture"), float(sheet.get("filter") or 0.0), float(negative or 0.0), str(sheet.get("sitter") or ""), tuple(kept), assumed,
        stood.get("aperture") or None, float((stood.get("filter") if stood else sheet.get("filter")) or 0.0),
        float(sheet.get("flash") or 0.0),
    )  # fmt: skip


def _light_of(kept: list[reading.Kept]) -> str | None:
    from firstsheet.light import words

    for k in kept:
        if k.reading.kind == "word" and k.reading.word:
            return str(words.sky(k.reading.word).light)
    return None


def own_meter(reader: Reader, name: str | None = None) -> tuple[str, str] | None:
    """Name and kind of the meter named, of today's, or of the only one there is; None where that is not settled."""
    name = name or (reader.get_setting("today") or {}).get("meter")
    if name is None:
        have = own.owned(reader, "meter")
        return None if len(have) != 1 else (have[0].name, have[0].body["kind"])
    found = own.one(reader, "meter", name)
    return found.name, found.body["kind"]


def _length(text: str, what: str) -> float:
    mm = q.length_mm(text)
    low, high = (200.0, 100_000.0) if what == "subject" else (2.0, 3000.0)
    if not low <= mm <= high:
        raise Refusal.one("", text, f"From {low:g} mm to {high / 1000:g} m.", "Check the unit.")
    return mm


def _aperture(text: str) -> float:
    return 0.0 if text.lower() in ("any", "auto", "choose") else q.f_number(text)
