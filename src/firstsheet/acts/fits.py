"""What fits: a map of sheet size against the sitter's distance for the lens in its room; and which lens to buy."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts import own
from firstsheet.acts.distances import camera_and_sheet, share
from firstsheet.acts.door import Door, Form
from firstsheet.acts.found import Figure, Found, Table
from firstsheet.camera import coverage, fits, focus, remedy
from firstsheet.camera.fits import Cell, Fit
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader

INCH_MM = 25.4
SHORT = {Fit.BIG: "big", Fit.CLOSE: "close", Fit.FAR: "far", Fit.DARK: "dark", Fit.THIN: "thin"}


def fits_here(reader: Reader, form: Form | None = None) -> Found:
    """The map for one camera, or the reason of one cell. Fields: camera, size and subject (one cell), confusion."""
    d = Door(form)
    camera = None
    with d.problems.at("camera"):
        camera = own.todays_camera(reader, d.name("camera"))
    size, subject = d.read("size", q.sheet_size_mm), d.read("subject", q.length_mm)
    confusion = _confusion(d)
    if subject is not None and not 10 <= subject <= 1e6:
        d.problems.add("subject", d.said("subject"), "From 1 cm to 1 km.", "Try “3 m”.")
    d.close()
    assert camera is not None
    lens, room = own.lens_of(camera.body), own.room_of(camera.body)
    asked = [] if subject is None else [subject]
    distances = tuple(sorted({*fits.subjects_mm(lens.focal_mm, room), *asked}))
    sheets = [(w * INCH_MM, h * INCH_MM) for w, h in fits.SHEETS_IN]
    if size is not None and all(max(abs(size[0] - s[0]), abs(size[1] - s[1])) > 1 for s in sheets):
        sheets.append(size)
    rows, links, data = [], [], []
    yes = 0
    for u in distances:
        cells = [fits.cell(lens, room, s, u, confusion) for s in sheets]
        yes += sum(c.fit is Fit.YES for c in cells)
        rows.append((remedy.metres(u), *(_short(c) for c in cells)))
        links.append(("", *(_link(camera.name, s, u) for s in sheets)))
        data += [_data(c, s, u) for c, s in zip(cells, sheets, strict=True)]
    head = ("sitter", *(wording.sheet_size(*s).removesuffix(" in").replace(" × ", "×") for s in sheets))
    table = Table("Sheet size in inches against the sitter’s distance", head, tuple(rows), tuple(data), tuple(links))
    first = f"{yes} of {len(data)} can be made with the {lens.focal_mm:g} mm lens; the stop is the widest that holds the ears."
    figures: tuple[Figure, ...] = ()
    if size is not None and subject is not None:
        c = fits.cell(lens, room, size, subject, confusion)
        first = f"{wording.sheet_size(*size)}, sitter at {remedy.metres(subject)}: {reason(c, lens.focal_mm, room.board_max_mm, room.board_min_mm)}"
        if math.isfinite(c.board_mm):
            figures = (Figure("board_mm", "Board to lens", wording.millimetres(c.board_mm), c.board_mm),
                       Figure("magnification", "Size on the sheet", f"{c.magnification:.2f} × life-size", c.magnification, "1", f"a head {wording.length(c.magnification * focus.HEAD_MM)} tall"))  # fmt: skip
    unknown = ("Nobody has said what circle this lens covers: corners are taken as lit.",) if coverage.circle_mm(lens, 0.2) is None and lens.barrel is None else ()
    words = ("A stop: it can be made. close, far: the board does not reach. dark: the corners are. thin: no stop holds the ears. big: the sheet does not fit the room.",)
    return Found("fits", first, figures, (table,), (*words, *unknown))


def _confusion(d: Door) -> float:
    value = d.read("confusion", q.length_mm)
    if value is not None and not 0.01 <= value <= 20:
        d.problems.add("confusion", d.said("confusion"), "From 0.01 to 20 mm.", "0.5 mm for a large sheet.")
    return value or focus.CONFUSION_MM


def _short(c: Cell) -> str:
    return wording.f_number(c.stop) if c.fit is Fit.YES and c.stop else SHORT[c.fit]


def _link(camera: str, sheet: tuple[float, float], u: float) -> str:
    from urllib.parse import urlencode

    return "?" + urlencode({"camera": camera, "size": f"{sheet[0]:g}x{sheet[1]:g} mm", "subject": f"{u:g} mm"})


def _data(c: Cell, sheet: tuple[float, float], u: float) -> dict[str, Any]:
    return {"sheet_mm": sheet, "subject_mm": u, "fit": c.fit.value, "stop": c.stop, "board_mm": c.board_mm, "magnification": c.magnification,
            "needed_circle_mm": c.needed_mm, "circle_mm": c.circle_mm}  # fmt: skip


def reason(c: Cell, focal_mm: float, board_max_mm: float, board_min_mm: float) -> str:
    """A verdict in one sentence."""
    if c.fit is Fit.YES and c.stop:
        return f"yes, at {wording.f_number(c.stop)}."
    if c.fit is Fit.BIG:
        return "the sheet is larger than the room."
    if math.isinf(c.board_mm):
        return f"too close: nearer than its focal length, {focal_mm:g} mm, a lens makes no picture."
    if c.fit is Fit.CLOSE:
        return f"too close: the board would have to stand {wording.millimetres(c.board_mm)} back; it goes to {wording.millimetres(board_max_mm)}."
    if c.fit is Fit.FAR:
        return f"too far: the board would have to come to {wording.millimetres(c.board_mm)}; it comes to {wording.millimetres(board_min_mm)}."
    if c.fit is Fit.DARK and c.circle_mm is not None and c.circle_mm < c.needed_mm:
        return f"dark corners: the circle is {wording.millimetres(c.circle_mm)}, the sheet needs {wording.millimetres(c.needed_mm)}."
    if c.fit is Fit.DARK:
        return "dark corners: the barrel takes more than a stop from them at every stop that holds the ears."
    return f"too thin: at the smallest stop {wording.length(c.behind_mm or 0.0)} behind the eyes is sharp; the ears are {focus.EARS_BEHIND_MM:.0f} mm behind."


def lenses(reader: Reader, form: Form | None = None) -> Found:
    """Which focal lengths make a picture of this size on this sheet in this room. Fields: magnification or head, size or box, coverage, outside, camera."""
    d = Door(form)
    camera, size = camera_and_sheet(reader, d)
    m, head = d.read("magnification", share), d.read("head", q.length_mm)
    angle = d.read("coverage", q.angle_deg) or fits.PROCESS_DEG
    outside = d.read("outside", q.length_mm)
    if not 5 <= angle <= 150:
        d.problems.add("coverage", d.said("coverage"), "An angle from 5 to 150 degrees.", "Process lenses cover 45 to 48 degrees.")
    if (d.said("magnification") is None) == (d.said("head") is None):
        d.problems.add("magnification", d.said("magnification") or "", "The size × life-size, or a head’s height on the sheet.", "Try “1/2”.")
    if head is not None and not 1 <= head <= 5000:
        d.problems.add("head", d.said("head"), "From 1 mm to 5 m.", "Life-size is 230 mm.")
    d.close()
    assert camera is not None
    assert size is not None
    m = m if m is not None else float(head or 0) / focus.HEAD_MM
    room = own.room_of(camera.body)
    if size[0] > room.width_mm or size[1] > room.height_mm:
        raise Refusal.one("size", wording.sheet_size(*size), f"The room is {room.width_mm:g} mm wide and {room.height_mm:g} mm high.", "Use a smaller sheet, or turn it.")
    span = fits.focal_span(room, m, size, angle, math.inf if outside is None else outside)
    what = f"{m:.2g} × life-size on {wording.sheet_size(*size)}"
    if span.low_mm > span.high_mm:
        first = f"No lens makes {what} in this room: it would have to be over {span.low_mm:.0f} mm, because {span.why_low}, and under {span.high_mm:.0f} mm, because {span.why_high}."
        return Found("lenses", first, notes=(f"The room would do with a board that goes back to {wording.millimetres(span.low_mm * (1 + m))}.",))
    covers = span.low_covers_mm <= span.high_mm
    first = f"{what}: a lens from {math.ceil(span.low_covers_mm if covers else span.low_mm)} to {math.floor(span.high_mm)} mm."
    notes = [f"Longer: {span.why_high}."]
    notes.append(f"A lens that covers {angle:g}° must be {math.ceil(span.low_covers_mm)} mm or longer for the corners." if covers else
                 f"No lens here covers it with {angle:g}°: even {math.floor(span.high_mm)} mm needs {_angle(size, span.high_mm, m):.0f}°.")  # fmt: skip
    rows, data = [], []
    for f in (f for f in fits.SOLD_MM if span.low_mm <= f <= span.high_mm):
        n = focus.f_number_to_reach(focus.EARS_BEHIND_MM, f, m)
        need = _angle(size, f, m)
        rows.append((f"{f} mm", remedy.metres(focus.subject_at(f, m), 2), wording.millimetres(focus.board_at(f, m)), f"{need:.0f}°", wording.f_number(n)))
        data.append({"focal_mm": float(f), "subject_mm": focus.subject_at(f, m), "board_mm": focus.board_at(f, m), "angle_deg": need, "f_number_for_ears": n})
    table = Table("Lenses that are sold about so long", ("lens", "sitter", "board", "must cover", "for the ears"), tuple(rows), tuple(data))
    figures = (Figure("focal_low_mm", "From", f"{math.ceil(span.low_mm)} mm", span.low_mm, "mm", span.why_low), Figure("focal_high_mm", "To", f"{math.floor(span.high_mm)} mm", span.high_mm, "mm", span.why_high),
               Figure("focal_covers_mm", f"Covers with {angle:g}° from", f"{math.ceil(span.low_covers_mm)} mm", span.low_covers_mm))  # fmt: skip
    return Found("lenses", first, figures, (table,) if rows else (), tuple(notes))


def _angle(size: tuple[float, float], focal_mm: float, m: float) -> float:
    return 2 * math.degrees(math.atan2(coverage.corner_height_mm(size), focus.board_at(focal_mm, m)))
