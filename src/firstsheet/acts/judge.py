"""Judge: the border first, then what is seen. What was not exposure's doing teaches nothing about the paper's speed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables, wording
from firstsheet.acts import flash, judge_causes, learn, notes
from firstsheet.acts.advice import STRIP_SD
from firstsheet.acts.answers import Change, SheetState
from firstsheet.acts.door import Door, Form
from firstsheet.acts.own import hand_of
from firstsheet.acts.plan import known_now
from firstsheet.acts.setting import CONTACT
from firstsheet.acts.sheet import mark, sheet
from firstsheet.belief.effects import Effect
from firstsheet.belief.posterior import Posterior
from firstsheet.exposure.hand import Hand
from firstsheet.paper import response
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

NOT_LOOKED = "not looked at"  # the edge of a contact print that nothing covered

@dataclass(frozen=True, slots=True)
class Told:
    """A judgement that was not said in a word of the table: stops more exposure needed, its doubt [stop], what was seen.

    picture  the number of the kept picture it was seen on, 0 for none
    """

    need_stops: float
    sd_stops: float
    words: str
    picture: int = 0


def judge(book: Book, code: str, form: Form, picture: bytes | None = None, told: Told | None = None) -> Change:
    """Judge a sheet. Fields: border (white, grey, black), seen (a word of the table) or, for a strip, step;
    wet (yes/no), kept (yes/no), faults (keys, comma between), note. A picture of the result may come with it.

    `told` stands for seen or step where the need is known directly. Judging again replaces the earlier judgement, which
    stays in the book.
    """
    now = sheet(book, code)
    body = weighed(now, form, shutter_of(book, now.plan), told)
    if told and told.picture:
        body["picture"] = told.picture
    row = book.get_sheet(code)
    before = known_without(book, int(row["id"])) if now.judgement else known_now(book)
    with book.begin():
        if picture:
            body["picture"] = keep_picture(book, picture)
        mark(book, row, "judged", body)
        after = learn.refit(book)
    tone = response.need_from_tone(now.plan["way"], body["need_stops"])  # the sense is its own inverse: need to tone
    return _change(now, body, before, after, judge_causes.words(book, now, tone, _edge(now.plan["way"], body["border"])))


def weighed(
    now: SheetState, form: Form, shutter: tuple[str, Sequence[float], Hand], told: Told | None = None
) -> dict[str, Any]:
    """What a judgement says of this sheet, as it is kept with it: the words, and the evidence where it teaches.

    Nothing is stored. Raises Refusal with every problem of the form, or where the sheet was not exposed.
    """
    if now.given_s is None:
        hint = "Say what it was given: firstsheet expose " + now.code
        raise Refusal.one("sheet", now.code, "A sheet that has been exposed.", hint)
    if now.patches:
        raise Refusal.one("sheet", now.code, f"A sheet of one picture; this one has {len(now.patches)} patches.", "Read them all from one photo: firstsheet pack ring --photo, or the filter pack’s page.")
    d = Door(form)
    border = d.pick("border", ("white", "grey", "black"))
    way = now.plan["way"]
    if border is None and d.said("border") is None and way == CONTACT:
        border = NOT_LOOKED
    elif border is None and d.said("border") is None:
        d.problems.add(
            "border", "", "white, grey or black.", "Look first at the edge that the frame or a magnet covered."
        )
    key = None if told else d.pick("seen", tables.load("seen"))
    step = d.read("step", lambda t: q.plain_number(t, 0.5, len(now.plan["strip"]["times_s"]) + 0.5)) if now.strip and not told else None
    if step is not None and d.said("seen") is not None:
        d.problems.add(
            "step", d.said("step"), "The step that looks right, or what is seen: one of them.", "Leave one out."
        )
    wet = d.flag("wet")
    kept = d.flag("kept")
    faults = _faults(d)
    note = d.said("note") or ""
    if now.strip and d.said("step") is None and d.said("seen") is None and not told:
        d.problems.add(
            "step", "", "The step that looks right, 1 for the shortest; 2.5 lies between two.", "Or say what you see."
        )
    if not now.strip and not told and key is None and d.said("seen") is None:
        d.problems.add(
            "seen", "", "One of: " + ", ".join(tables.load("seen")) + ".", "Say what you see, not what went wrong."
        )
    d.close()
    need, sd, words = (told.need_stops, told.sd_stops, told.words) if told else _need(now, way, key, step, bool(wet))
    fogged = response.border_says(way, _edge(way, str(border))) == "fogged"
    spoiled = [f for f in faults if not tables.load("faults")[f]["teaches"]]
    body: dict[str, Any] = {
        "border": border, "seen": told.words if told else key, "step": step, "words": words, "wet": bool(wet), "kept": kept, "faults": faults,
        "note": note, "need_stops": need, "need_sd": sd, "fogged": fogged, "taught": not fogged and not spoiled,
    }  # fmt: skip
    if body["taught"]:
        # A strip is told by its step; a sheet by its word and its keeping, unless another fault decided that.
        whole = key is not None and step is None
        keeping = None if faults or now.strip else kept
        look = learn.look(way, str(key), bool(wet), keeping, now.plan["latitude_stops"]) if whole else None
        plan = flash.unflashed(now.plan) if now.plan.get("flash_share") and not now.flashed else now.plan
        body["evidence"] = learn.evidence(
            plan, now.given_s, now.given_aperture or now.plan["aperture"], (need, sd), shutter, look
        )
    return body


def known_without(reader: Reader, sheet_id: int) -> Posterior:
    """What would be known had this sheet never been judged: fitted anew from everything else."""
    from firstsheet.belief.whole import fit

    # Comparisons of meters have names too, but no moment.
    return fit([o for o in learn.observations(reader) if o.years is None or o.name != str(sheet_id)])


def _edge(way: str, said: str) -> str:
    """The edge as it counts: one not looked at, for under a lamp nothing covers it unless a coin was laid there, counts as it should be."""
    return str(response.way_of(way)["border"]) if said == NOT_LOOKED else said


def colour_next(reader: Reader, code: str) -> str:
    """That a colour sheet’s cast is still to be told, and how; nothing for other sheets."""
    if not sheet(reader, code).plan.get("pack"):
        return ""
    return f"Its colour teaches the filter pack; a brightness told there as well counts once. Next: firstsheet pack told --sheet {code} --colour …"


def take_back(book: Book, code: str) -> SheetState:
    """Take the judgement back. Everything known is afterwards exactly as if it had never been made."""
    now = sheet(book, code)
    if not now.judgement:
        raise Refusal.one("sheet", code, "A sheet that has been judged.", "There is nothing to take back.")
    with book.begin():
        mark(book, book.get_sheet(code), "unjudged", {})
        learn.refit(book)
    return sheet(book, code)


def keep_picture(book: Book, data: bytes) -> int:
    """Keep a picture, upright and without position or any other data of its own."""
    from firstsheet.light.photo import receive

    got = receive(data)
    return book.add_picture("image/jpeg", got.kept_jpeg, {"width": got.width, "height": got.height})


def _faults(d: Door) -> list[str]:
    said = d.said("faults") or ""
    out = []
    for word in (w.strip().lower().replace(" ", "_") for w in said.split(",")):
        if not word:
            continue
        if word not in tables.load("faults"):
            d.problems.add(
                "faults", word, "Any of: " + ", ".join(tables.load("faults")) + ".", "Leave it out if unsure."
            )
        else:
            out.append(word)
    return out


def _need(now: SheetState, way: str, key: str | None, step: float | None, wet: bool) -> tuple[float, float, str]:
    """Stops more exposure that was needed, its doubt [stop], and the words for it."""
    if step is not None and now.given_s:
        # Against what the sheet is noted as given: the two together then say the step's own time, whatever was noted.
        pace = math.log2(now.plan["strip"]["times_s"][1] / now.plan["strip"]["times_s"][0])
        first = math.log2(now.plan["strip"]["times_s"][0] / now.given_s)
        need = first + (step - 1.0) * pace
        darker, doubt = response.dry_down(way, wet=wet)
        need += response.need_from_tone(way, darker)
        return need, math.hypot(STRIP_SD, doubt), f"step {step:g} looks right"
    seen = response.seen(way, str(key), wet=wet)
    return seen.need_stops, seen.sd_stops, seen.words


def shutter_of(reader: Reader, plan: dict[str, Any]) -> tuple[str, Sequence[float], Hand]:
    """What timed this sheet, with its speeds [s] and the hand; a contact print was timed by its lamp."""
    if plan["aperture"] is None:
        return "lamp", (), Hand()
    for t in reader.things("camera"):
        if t["name"] == plan["camera"]:
            return str(t["body"]["shutter"]), t["body"]["speeds_s"], hand_of(t["body"])
    return "cap", (), Hand()


def _change(
    now: SheetState, body: dict[str, Any], before: Posterior, after: Posterior, looked_for: tuple[str, ...] = ()
) -> Change:
    shared = [Effect.from_json(e) for e in now.plan["shared"]]
    # a print under a kept lamp goes by that lamp's strip, and not by the box's speed
    lamp = [e for e in shared if e.key.startswith("lamp:")]
    box = lamp or [e for e in shared if e.key.split(":")[0] in ("kind", "box")]
    was, was_var = before.predict(box)
    became, became_var = after.predict(box)
    next_time = tuple(str(tables.load("faults")[f]["next"]) for f in body["faults"])
    if not body["taught"]:
        why = _border_words(now) if body["fogged"] else "That was not the exposure's doing."
        words = (why, "It stays in the book and teaches nothing about the paper's speed.")
        if body["fogged"]:
            next_time = (str(tables.load("faults")["fogged"]["next"]), *next_time)
        next_time = (*next_time, *looked_for)
        return Change(words, False, was, math.sqrt(was_var), was, math.sqrt(was_var), next_time)
    if lamp:
        said = f"Prints under this lamp now ask {notes.more_words(became)} its strip told, {wording.stops_pm(math.sqrt(became_var))}"
    else:
        said = f"Box {now.plan['box']} now looks {notes.off_words(became)} we began with, {wording.stops_pm(math.sqrt(became_var))}"
    said += f"; before this sheet {wording.stops(was)}, {wording.stops_pm(math.sqrt(was_var))}."
    unflashed: tuple[str, ...] = ()
    if now.plan.get("flash_share") and not now.flashed:
        unflashed = ("It was planned with a flash and none is noted, so it counts as not flashed. A flash is noted before the trays.",)
    return Change((_given_words(body["need_stops"]), said, *unflashed), True, was, math.sqrt(was_var), became, math.sqrt(became_var), (*next_time, *looked_for))


def _border_words(now: SheetState) -> str:
    """A negative's border is fogged by light alone; a positive's is black only where it was developed to its end."""
    if response.sense(now.plan["way"]) > 0:
        return "The border says stray light, not exposure."
    return "The border is not black: light reached it, or development was cut short. That is not exposure."


def _given_words(need: float) -> str:
    if abs(need) < 0.2:
        return "The exposure was right within what an eye can tell."
    return f"It wanted {2.0**need:.2g} times the light ({wording.stops(need)})."
