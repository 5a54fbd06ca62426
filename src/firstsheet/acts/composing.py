"""Composing on the board by photographs: the mark at which the eyes are sharpest, the head's size, a board out of square, magnets' shadows."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts import ahead_look, ahead_plane, own
from firstsheet.acts.door import Door, Form
from firstsheet.acts.found import Figure, Found, Table
from firstsheet.acts.versions import place
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book
    from firstsheet.foresee.square import Measured

FOCUSING = "focusing"
MOST_PHOTOS = 12


def add_focus(book: Book, picture: int, form: Form | None = None) -> Found:
    """One photo of the picture on the board, at one mark. Fields: mark (where the board stood), at “x,y” (the eyes, in the photo as it
    lies). Photos at three marks or more tell where it is sharpest."""
    from firstsheet.foresee import focus
    from firstsheet.light.photo import linear_luminance

    d = Door(form)
    mark = d.must("mark", q.length_mm, "The board’s mark, as on its scale.", "Try “752 mm”.")
    at = d.must("at", place, "A place “x,y”, each from 0 to 1.", "Touch the eyes; an edge if there is no face.")
    d.close()
    assert mark is not None
    assert at is not None
    y, _ = linear_luminance(book.get_picture(picture)["data"])
    seen = focus.sharpness(y, at)
    rows = [r for r in _kept(book) if r["mark_mm"] != mark]
    if len(rows) >= MOST_PHOTOS:
        raise Refusal.one("mark", len(rows) + 1, f"At most {MOST_PHOTOS} marks.", "Begin anew about the best of them.")
    with book.begin():
        book.set_setting(FOCUSING, [*rows, {"mark_mm": mark, "value": seen.value, "sd": seen.sd, "seen": seen.seen, "picture": picture}])
    return focused(book)


def begin_focus(book: Book) -> Found:
    """Forget the marks tried so far; the photos stay in the book."""
    with book.begin():
        book.set_setting(FOCUSING, [])
    return focused(book)


def focused(reader: Reader) -> Found:
    """Where the board is sharpest by the photos so far."""
    from firstsheet.foresee import focus

    rows = sorted(_kept(reader), key=lambda r: r["mark_mm"])
    most = max((r["value"] for r in rows), default=0.0)
    shown = tuple((wording.millimetres(r["mark_mm"]), wording.share(min(r["value"] / most, 1.0)) if most and r["seen"] else "nothing but noise") for r in rows)
    table = Table("Marks tried", ("mark", "sharpness"), shown, tuple({k: r[k] for k in ("mark_mm", "value", "sd", "seen")} for r in rows))
    notes = ("Take each photo from the same place with the same settings; wait until the board is still.", "Eyes first: what is sharpest there is kept, whatever the rest does.")
    try:
        best = focus.best([r["mark_mm"] for r in rows], [focus.Sharp(r["value"], r["sd"], r["seen"]) for r in rows])
    except Refusal as refusal:
        p = refusal.problems[0]
        return Found("focus", f"{len(rows)} of at least {focus.FEWEST} marks tried. {p.hint}" if p.where == "marks" else f"{p.allowed} {p.hint}", tables=(table,), notes=notes)
    if best.side:
        way = "nearer to the lens" if best.side == "nearer" else "further from the lens"
        return Found("focus", f"It is sharpest beyond the marks tried: move the board {way} and photograph again.", tables=(table,), notes=notes)
    low, high = best.mark_mm - 1.645 * best.sd_mm, best.mark_mm + 1.645 * best.sd_mm
    figure = Figure("mark_mm", "Sharpest at", wording.millimetres(best.mark_mm), best.mark_mm, "mm", f"{wording.millimetres(low)} to {wording.millimetres(high)}", "energy of edges, noise taken off", low, high)
    return Found("focus", f"Set the board to {wording.millimetres(best.mark_mm)}, ±{wording.millimetres(1.645 * best.sd_mm)}.", (figure,), (table,), notes)


def _kept(reader: Reader) -> list[dict[str, Any]]:
    return list(reader.get_setting(FOCUSING) or [])


def compose(book: Book, picture: int, form: Form | None = None) -> Found:
    """A photo of the board measured. Fields: corners (of the sheet, four places as the photo lies), chin and crown, left and right
    (each “x,y x,y”: two ends of something that stands upright), magnet (its breadth) and thick, size (of the sheet, else the box's)."""
    from firstsheet.foresee import square

    d = Door(form)
    corners = d.must("corners", ahead_look.corners_said, "Four places “x,y”.", "Touch the sheet’s corners as they lie in the photo, clockwise from its top left.")
    chin, crown = d.read("chin", place), d.read("crown", place)
    left, right = d.read("left", _line), d.read("right", _line)
    magnet, thick = d.read("magnet", q.length_mm), d.read("thick", q.length_mm)
    size = d.read("size", q.sheet_size_mm)
    if (chin is None) != (crown is None):
        d.problems.add("crown" if chin else "chin", "", "Chin and crown, both.", "Touch both ends of the head.")
    if (left is None) != (right is None):
        d.problems.add("right" if left else "left", "", "Two things that stand upright, one left and one right.", "A door frame’s two sides.")
    if thick is not None and magnet is None:
        d.problems.add("magnet", "", "The magnet’s breadth.", "Try “20 mm”.")
    d.close()
    assert corners is not None
    p = ahead_look.plan_or_none(book)
    sheet = size or ahead_plane.size_of(book, p)
    shape = book.get_picture(picture)["body"]
    measured = square.Measured.of([(x * shape["width"], y * shape["height"]) for x, y in corners], sheet)
    figures: list[Figure] = []
    notes: list[str] = []
    wide, high = int(shape["width"]), int(shape["height"])
    if chin and crown:
        head = measured.length_mm((chin[0] * wide, chin[1] * high), (crown[0] * wide, crown[1] * high))
        figures.append(Figure("head_mm", "Head on the sheet", wording.length(head), head, "mm", f"{wording.share(min(head / measured.tall_mm, 1.0))} of the sheet’s height", "photo, by the sheet’s corners", 0.97 * head, 1.03 * head))
    if left and right:
        _squared(figures, notes, measured, (left, right), (wide, high), p.board_mm if p else None)
    if magnet is not None:
        body = own.todays_camera(book, p.camera if p else None).body
        _magnets(figures, notes, sheet, (magnet, thick or 5.0), p.board_mm if p else None, body["focal_mm"] / (p.aperture if p and p.aperture else body["f_number"]))
    if not figures:
        notes.append("Touch chin and crown for the head’s size, or two upright things for the board’s tilt.")
    first = f"{figures[0].label}: {figures[0].said}." if figures else "The sheet’s corners are found."
    return Found("compose", first, tuple(figures), notes=tuple(notes))


def _squared(figures: list[Figure], notes: list[str], measured: Measured, uprights: Any, shape: tuple[int, int], board_mm: float | None) -> None:
    from firstsheet.foresee import square

    ends = [[measured.at_mm((x * shape[0], y * shape[1])) for x, y in line] for line in uprights]
    turn = square.converging(ends[0], ends[1])
    if board_mm is None:
        notes.append("Say how far the sitter is, so that the board’s distance is known: the tilt follows from both.")
        return
    tilt = square.tilt_deg(turn, board_mm)
    doubt = square.tilt_deg(square.converging_sd(ends[0], ends[1]), board_mm)
    way = "bottom" if tilt > 0 else "top"
    said = f"{abs(tilt):.1f}°"
    figures.append(Figure("tilt_deg", "Board out of upright", said, tilt, "°", f"±{1.645 * doubt:.1f}°", "converging uprights, tan θ = v·(ds/dy)/s", tilt - 1.645 * doubt, tilt + 1.645 * doubt))
    if abs(tilt) > 1.645 * doubt:
        notes.append(f"The board’s {way} is further from the lens: bring it in by {wording.length(measured.tall_mm * math.tan(math.radians(abs(tilt))))} over the height of the sheet.")
    else:
        notes.append("Upright, as far as these two lines can tell.")


def _magnets(figures: list[Figure], notes: list[str], sheet: tuple[float, float], magnet: tuple[float, float], board_mm: float | None, lens_mm: float) -> None:
    from firstsheet.foresee import square

    reach, soft = square.magnet_shadow(sheet, magnet, board_mm or 1000.0, lens_mm)
    figures.append(Figure("magnet_mm", "A corner magnet covers", wording.length(reach), reach, "mm", f"from the corner inwards, its edge soft over {wording.length(soft)}", "geometry of its shadow"))
    notes.append("Lay magnets outside the picture, on the border; thin ones throw less.")


def _line(text: str) -> tuple[tuple[float, float], tuple[float, float]]:
    parts = text.split()
    if len(parts) != 2:
        raise Refusal.one("", text, "Two places “x,y x,y”.", "Touch its upper and its lower end.")
    return place(parts[0]), place(parts[1])
