"""The positive of a photographed negative on the screen: through its density by transmission and this paper's curve, as it would print."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts import contact_kept, contact_photo, versions
from firstsheet.acts.contact_kept import LAMP
from firstsheet.acts.door import Door, Form
from firstsheet.printing import contact as core
from firstsheet.printing import lamp as lamps

if TYPE_CHECKING:
    from firstsheet.book.store import Book
    from firstsheet.foresee.tone import Tones


@dataclass(frozen=True, slots=True)
class Positive:
    """The print this negative could be: stops over the seconds of the rule that were given; dead_black and blown_white, shares of the picture [1]."""

    negative: str
    first: str
    more_stops: float
    range_log: float
    dead_black: float
    blown_white: float
    mirrored: bool
    words: str
    notes: tuple[str, ...]


def positive(book: Book, form: Form | None = None) -> Positive:
    """What the print could be, in numbers. Nothing is stored. Fields: negative (the only one with a photo unless said); range (“R 110”) or grade of
    the paper, its own curve unless said; first (shadows, highlights); stops more than that rule; or give, seconds under the lamp, with lamp and height;
    facing (together, apart); outline (yes: dead black and blown white outlined)."""
    return _positive(book, form)[0]


def drawn(book: Book, form: Form | None = None) -> bytes:
    """The same as a JPEG, which is white light: for the sun, not for the darkroom."""
    from firstsheet.foresee import picture as pictures

    _, made, outline = _positive(book, form)
    return pictures.jpeg(pictures.outlined(made) if outline else made.codes)


def _positive(book: Book, form: Form | None) -> tuple[Positive, Any, bool]:
    import numpy as np

    from firstsheet.foresee import picture as pictures
    from firstsheet.light import pixels
    from firstsheet.printing import positive as core_positive

    d = Door(form)
    name, touched = _photo_of(book, d)
    said_range = d.read("range", lambda t: q.plain_number(t.upper().removeprefix("ISO").strip().removeprefix("R").strip(), 30, 250) / 100)
    grade = d.read("grade", contact_kept.grade)
    first = d.pick("first", ("shadows", "highlights")) or "shadows"
    more = d.read("stops", lambda t: q.plain_number(t, -6, 6))
    give, height = d.read("give", q.duration_s), d.read("height", q.length_mm)
    lamp = _lamp(book, d) if give is not None else None
    facing = d.pick("facing", ("together", "apart")) or "together"
    outline = d.flag("outline") is True
    if said_range is not None and grade is not None:
        d.problems.add("grade", grade, "The range or the grade, one of them.", "Leave the other out.")
    if more is not None and give is not None:
        d.problems.add("stops", more, "Stops or seconds, one of them.", "Leave the other out.")
    if height is not None:
        with d.problems.at("height"):
            lamps.check_height(height)
    d.close()
    side = touched.get("side", "")
    seen = contact_photo.seen_of(book, int(touched["picture"]), touched["form"])
    kept = next(n for n in contact_kept.negatives_kept(book) if n.name == name)
    tones = _paper(book, core.range_of(grade) if grade is not None else said_range, lamp)
    foot, black = core_positive.ends(tones.log_h, tones.density)
    rule = core_positive.rule_log(kept.clear_d, kept.dense_d, black - foot, first)
    time_log = rule + (more or 0.0) * math.log10(2.0) if lamp is None or give is None else math.log10(give / _black_s(lamp, height))
    density = tones.density_of(core_positive.on_paper(contact_photo.framed(seen, contact_photo.LONG_PX), time_log, black))
    flip = core_positive.mirrored(side, facing)
    density = pictures.turned(density, False, flip)
    codes = np.repeat(pixels.encoded(10.0 ** -np.asarray(density, dtype=float))[:, :, None], 3, axis=2)
    dead, blown = tones.black(density), tones.white(density)
    made = pictures.Drawn(codes, float(dead.mean()), float(blown.mean()), dead, blown)
    words = f"{name}: {wording.share(made.dead_black)} of the picture dead black, {wording.share(made.blown_white)} blown white, {_given(core_positive.stops(time_log - rule), first)}."
    notes = (
        f"The paper: {tones.words}.",
        f"The print {'shows left and right of the photo exchanged' if flip else 'comes as the photo shows it'}: the negative's {side} lay toward the camera, the sheets lie {facing}.",
        "For judging what the print could be: the lamp's own fall-off and the grain of the paper base are not in it.",
    )
    return Positive(name, first, core_positive.stops(time_log - rule), black - foot, made.dead_black, made.blown_white, flip, words, notes), made, outline


def _given(stops: float, first: str) -> str:
    at = f"the {first} put right"
    return at if abs(stops) < 0.05 else f"{wording.stops_apart(abs(stops))} {'more' if stops > 0 else 'less'} than {at}"


def _photo_of(book: Book, d: Door) -> tuple[str, dict[str, Any]]:
    """The negative named, or the only one, of those whose photo shows the whole picture."""
    name = d.name("negative")
    rows = [t for t in book.things(contact_photo.PHOTO) if t["body"]["form"].get("corners")]
    found = [t for t in rows if name is None or t["name"].lower() == name.lower()]
    if len(found) == 1:
        return str(found[0]["name"]), found[0]["body"]
    names = ", ".join(t["name"] for t in rows) or "none yet"
    d.problems.add("negative", name or "", f"One kept from a photo with its corners: {names}.", "Photograph it on a light, and say its corners.")
    return "", {}


def _lamp(book: Book, d: Door) -> dict[str, Any] | None:
    name = d.name("lamp")
    rows = book.things(LAMP)
    found = [t for t in rows if name is None or t["name"].lower() == name.lower()]
    if len(found) == 1:
        body: dict[str, Any] = found[0]["body"]
        return body
    d.problems.add("lamp", name or "", f"One of: {', '.join(t['name'] for t in rows) or 'none yet'}.", "Seconds go with a lamp; or say stops instead.")
    return None


def _black_s(b: dict[str, Any], height_mm: float | None) -> float:
    """Seconds to full black of bare paper at this height, under what glass the strip had [s]."""
    known = lamps.Lamp(b["kind"], b["black_s"], b["sd"], b["height_mm"], b["across_mm"])
    return float(b["black_s"] * 2.0 ** (lamps.moved_stops(known, height_mm)[0] if height_mm else 0.0))


def _paper(book: Book, range_log: float | None, lamp: dict[str, Any] | None) -> Tones:
    """The printing paper's curve: of the lamp's box, else today's; with a range that was said, a curve through its ends."""
    from firstsheet.foresee import tone

    today = book.get_setting("today") or {}
    box, developer = ((lamp or today).get(k) or "" for k in ("box", "developer"))
    own = versions.tones_of(book, "contact_print", box, developer)[0]
    if range_log is None:
        return own
    return tone.of_figures("contact_print", own.base, own.dmax, range_log, f"R {100 * range_log:.0f}, as said")
