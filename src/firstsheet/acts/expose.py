"""Expose: the plan becomes a sheet with a code; what was really given is one word, by default as planned."""

from __future__ import annotations

from typing import TYPE_CHECKING

from firstsheet import quantities as q
from firstsheet.acts import plan as planning
from firstsheet.acts.answers import SheetState
from firstsheet.acts.day_sun import SUN_SEEN, ask_first
from firstsheet.acts.door import Door, Form
from firstsheet.acts.own import lens_of, one
from firstsheet.acts.sheet import mark, sheet
from firstsheet.acts.wish import say
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from collections.abc import Sequence

    from firstsheet.book.store import Book

SHORTEST_S, LONGEST_S = 0.001, 86_400.0


def keep(book: Book, form: Form | None = None, *, strip: bool = False, patches: Sequence[str] = ()) -> SheetState:
    """Keep the plan of this form (over what was said before) as a sheet, as a test strip, or as a masked sheet of these patches, with a code for its back.

    Refused in the hours in which the sun can enter the lens, where they are known, unless the form says `sun`: "seen".
    """
    said = dict(form or {})
    seen = str(said.pop("sun", "")).strip().lower() == SUN_SEEN
    with book.begin():
        if said:
            say(book, said)
        p = planning.plan(book)
        if p.way != "contact_print":
            ask_first(book, lens_of(one(book, "camera", p.camera).body), seen=seen)
        sitting = _sitting(book, p.sitter) if p.sitter else None
        body = {"plan": planning.as_body(p), "strip": list(p.strip.times_s) if strip else None} | ({"patches": list(patches)} if patches else {})
        code = book.new_code()
        book.add_sheet(code, body, sitting)
        phrase = dict(book.get_setting("phrase") or {})
        if not strip:
            phrase.pop("flash", None)  # it was wished for this sheet; the next is asked again
        book.set_setting("phrase", phrase | {"fresh": []})
    return sheet(book, code)


def expose(book: Book, code: str, form: Form | None = None) -> SheetState:
    """Mark what was given. Fields: given (seconds), aperture, remark; nothing said means as planned.

    A second `expose` of the same sheet corrects the first, which stays in the book. Refused once it has been judged.
    """
    d = Door(form)
    given = d.read("given", _given)
    aperture = d.read("aperture", q.f_number)
    remark = d.said("remark") or ""
    d.close()
    row = book.get_sheet(code)
    now = sheet(book, code)
    if now.judgement:
        raise Refusal.one("sheet", code, "A sheet that has not been judged yet.", "Take the judgement back first.")
    planned = row["body"]["plan"]
    strip = row["body"].get("strip")
    if strip and given is not None:
        raise Refusal.one(
            "given", d.said("given"), "A strip has no one time: its steps are judged by the times it was planned with.",
            "Leave it out; if the steps were given otherwise, give the strip up and plan another.",
        )  # fmt: skip
    if now.patches and given is not None:
        raise Refusal.one("given", d.said("given"), "A masked sheet has no one time: each patch got its own.", "Leave it out; if they were given otherwise, give the sheet up and keep another.")
    body = {
        "given_s": given if given is not None else planned["wanted_s"] if strip else planned["time_s"],
        "aperture": aperture if aperture is not None else planned["aperture"],
        "remark": remark,
        "box": planned["box"],
        "sheets": planned["strip"]["sheets"] if strip else 1.0,
    }
    mark(book, row, "exposed", body)
    return sheet(book, code)


def _given(text: str) -> float:
    time_s = q.duration_s(text, bare="s")
    if not SHORTEST_S <= time_s <= LONGEST_S:
        hint = "A sheet that got no light was not exposed."
        raise Refusal.one("", text, "From 1/1000 s to a day.", hint)
    return time_s


def _sitting(book: Book, subject: str) -> int:
    """The sitting of this subject, the last one if it is theirs, else a new one."""
    last = book.sittings(limit=1)
    if last and last[0]["subject"] == subject:
        return int(last[0]["id"])
    return book.add_sitting(subject, {})
