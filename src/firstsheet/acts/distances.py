"""Board, chair, size and lens: any two give the rest; marks from the floor to the board; the board's ruler."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts import own
from firstsheet.acts.door import Door, Form
from firstsheet.acts.found import Figure, Found, Table
from firstsheet.camera import focus, remedy, solve, sunburn
from firstsheet.camera.lens import Lens
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader

STAND_MM = 600.0  # to stand behind the board; common practice, no source
THIN = "Thin lens: v = f(1 + m), u = f(1 + 1/m) [SS0512]"
SIZES = ("magnification", "head", "across", "tall")


def camera_and_sheet(reader: Reader, d: Door) -> tuple[own.Owned | None, tuple[float, float] | None]:
    """The camera said or today's, and the size said or today's box's; problems are noted in `d`."""
    camera = size = None
    with d.problems.at("camera"):
        camera = own.todays_camera(reader, d.name("camera"))
    said = d.said("size")
    name = d.name("box")
    if said is not None:
        size = d.read("size", q.sheet_size_mm)
    else:
        with d.problems.at("size"):
            box = own.one(reader, "box", name or (reader.get_setting("today") or {}).get("box"))
            size = (box.body["width_mm"], box.body["height_mm"])
    return camera, size


def share(text: str) -> float:
    """A magnification: “0.5”, “1/2”, “half” life-size."""
    return q.plain_number({"life-size": "1", "half": "1/2", "a half": "1/2", "quarter": "1/4", "a quarter": "1/4", "third": "1/3", "a third": "1/3"}.get(text.lower().removesuffix(" life-size").strip(), text), 0.001, 20)


def distances(reader: Reader, form: Form | None = None) -> Found:
    """All of lens, board, chair and size from two of them; with one, your own lens is the other.

    Fields: subject, board, focal, and one of magnification, head, across, tall (what the sheet takes in); aperture, confusion;
    camera; size or box.
    """
    d = Door(form)
    camera, size = camera_and_sheet(reader, d)
    given, m = _given(d, size)
    aperture = d.read("aperture", q.f_number)
    confusion = d.read("confusion", q.length_mm)
    if confusion is not None and not 0.01 <= confusion <= 20:
        d.problems.add("confusion", d.said("confusion"), "From 0.01 to 20 mm.", "0.5 mm for a large sheet.")
    if m is not None:
        given["magnification"] = m
    own_lens = len(given) == 1 and "focal" not in given
    if own_lens and camera is not None:
        given["focal"] = camera.body["focal_mm"]
    found: solve.Solved | None = None
    if not d.problems.found:
        if len(given) > 2:
            d.problems.add("subject", " and ".join(solve.NAMES[k] for k in given), "Two of them: the others follow.", "Leave one out.")
        elif not given:
            d.problems.add("subject", "", "One of chair, board and size for your own lens, or two for any lens.", "Try “3 m”.")
        else:
            with d.problems.at(""):
                found = solve.solve(given)
    d.close()
    assert camera is not None
    assert size is not None
    assert found is not None
    lens = own.lens_of(camera.body)
    n = lens.f_number if aperture is None else aperture
    return _answer(camera, lens, found, size, (n, confusion or focus.CONFUSION_MM, own_lens))


def _given(d: Door, size: tuple[float, float] | None) -> tuple[dict[str, float], float | None]:
    given = {}
    for key in ("subject", "board", "focal"):
        value = d.read(key, q.length_mm)
        if value is not None:
            given[key] = value
    m = d.read("magnification", share)
    for key, over in (("head", None), ("across", 0), ("tall", 1)):
        mm = d.read(key, q.length_mm)
        if mm is None or (over is not None and size is None):
            continue
        if not 1 <= mm <= 1e6:
            d.problems.add(key, d.said(key), "From 1 mm to 1 km.", "Try “120 mm” for a head.")
            continue
        so = mm / focus.HEAD_MM if over is None or size is None else size[over] / mm
        if m is not None and abs(so / m - 1) > 0.02:
            d.problems.add(key, d.said(key), "Sizes that agree: another was said.", "Say one size only.")
        else:
            m = so
    return given, m


def _answer(camera: own.Owned, lens: Lens, s: solve.Solved, size: tuple[float, float], how: tuple[float, float, bool]) -> Found:
    n, confusion, own_lens = how
    body = camera.body
    deeper = solve.deeper_mm(s.board_mm, body["board_max_mm"])
    n_eff = focus.effective_f_number(n, s.magnification, lens.pupil)
    tilt = solve.tilt_deg(n_eff, confusion, max(size))
    slack = focus.depth_of_focus_mm(n_eff, confusion)
    field = (size[0] / s.magnification, size[1] / s.magnification)
    notes = [] if own_lens else [_lens_note(lens, s)]
    if deeper > 0:
        notes.append(f"The board goes {wording.millimetres(body['board_max_mm'])} back: the room must be {wording.millimetres(deeper)} deeper, {wording.length(s.board_mm)} to the board and {wording.length(STAND_MM)} more to stand behind it.")
    elif s.board_mm < body["board_min_mm"]:
        notes.append(f"The board comes no nearer than {wording.millimetres(body['board_min_mm'])}.")
    figures: tuple[Figure, ...] = (
        Figure("board_mm", "Board to lens", wording.millimetres(s.board_mm), s.board_mm, "mm", "", THIN),
        Figure("subject_mm", "Sitter’s eyes to lens", remedy.metres(s.subject_mm, 2), s.subject_mm, "mm", "", THIN),
        Figure("magnification", "Size on the sheet", f"{s.magnification:.2f} × life-size", s.magnification, "1", f"a head {wording.length(s.magnification * focus.HEAD_MM)} tall"),
        Figure("focal_mm", "Lens", wording.millimetres(s.focal_mm), s.focal_mm, "mm", "your own" if own_lens else "the lens that does it", THIN),
        Figure("field_width_mm", "The sheet takes in", f"{wording.length(field[0])} × {wording.length(field[1])}", field[0], "mm", f"at the eyes, on {wording.sheet_size(*size)}"),
        Figure("deeper_mm", "The room must be deeper by", "nothing" if deeper == 0 else wording.millimetres(deeper), deeper, "mm"),
        Figure("extension_stops", "The extension costs", wording.stops_apart(focus.extension_stops(s.magnification, lens.pupil)), focus.extension_stops(s.magnification, lens.pupil), "stop", "", "(1 + m/p)² [SS0512]"),
        Figure("tilt_deg", "The board may be out of square by", f"{tilt:.1f}°", tilt, "degree", f"{wording.length(slack)} forward at one edge and back at the other, at {wording.f_number(n)}: then nothing is left for bow", "tan = N_eff·c ÷ half the sheet"),
    )  # fmt: skip
    if own_lens:
        figures = (*figures, _sun_figure(lens, s.board_mm))
    first = f"Board {wording.millimetres(s.board_mm)}, sitter {remedy.metres(s.subject_mm, 2)}, lens {wording.millimetres(s.focal_mm)}: {s.magnification:.2f} × life-size."
    return Found("distances", first, figures, notes=tuple(notes))


def _sun_figure(lens: Lens, board_mm: float) -> Figure:
    """What the sun does to a board that stands here, should it get in; the focus is worse and is said beside it."""
    kw = sunburn.spot_kw_m2(lens, board_mm)
    wide = sunburn.spot_mm(lens.focal_mm, lens.f_number, board_mm)
    focus_kw = sunburn.focus_irradiance_kw_m2(lens.f_number, lens.transmission)
    catches = "wood can catch" if kw >= sunburn.WOOD_IGNITES_KW_M2 else "less than lights wood"
    return Figure("sun_board_kw_m2", "The sun on this board, should it get in", f"{_two(kw)} kW/m² in a spot {wide:.0f} mm wide", kw, "kW/m²",
                  f"{catches}; {_two(focus_kw)} at the focus, {wording.millimetres(lens.focal_mm)} behind the lens, where a curtain or you may be: cap the lens", "spot (f/N)·|v − f|/f + θ·v; wood [BABRAUSKAS-2001]")  # fmt: skip


def _two(x: float) -> str:
    """Two figures: the beam itself is known to one in ten."""
    return f"{float(f'{x:.2g}'):g}"


def _lens_note(lens: Lens, s: solve.Solved) -> str:
    off = s.focal_mm / lens.focal_mm - 1
    if abs(off) < 0.01:
        return f"Your {lens.focal_mm:g} mm lens does it."
    return f"Your lens is {lens.focal_mm:g} mm: this wants one {wording.millimetres(abs(s.focal_mm - lens.focal_mm))} {'longer' if off > 0 else 'shorter'}."


def marks(reader: Reader, form: Form | None = None) -> Found:
    """From the floor's tape to the board's: a table, or the one mark asked for.

    Fields: floor or board_mark (a mark); floor_zero, board_zero (how far each tape's zero is from the lens's middle); camera.
    """
    d = Door(form)
    camera = None
    with d.problems.at("camera"):
        camera = own.todays_camera(reader, d.name("camera"))
    zeros = (d.read("floor_zero", q.length_mm) or 0.0, d.read("board_zero", q.length_mm) or 0.0)
    floor, board = d.read("floor", q.length_mm), d.read("board_mark", q.length_mm)
    if d.said("floor") and d.said("board_mark"):
        d.problems.add("floor", d.said("floor"), "One mark, the floor's or the board's.", "Leave one out.")
    d.close()
    assert camera is not None
    f = camera.body["focal_mm"]
    low, high = camera.body["board_min_mm"], camera.body["board_max_mm"]
    figures: tuple[Figure, ...] = ()
    first = "Floor to board, from the furthest sitter of this slide to the nearest."
    notes: list[str] = []
    if floor is not None:
        at = solve.board_mark(f, floor, *zeros)
        figures = (Figure("board_mark_mm", "On the board’s tape", wording.millimetres(at), at, "mm", "", THIN),)
        first = f"Chair at {remedy.metres(floor)}: board at {wording.millimetres(at)}."
        if not low - 0.5 <= at + zeros[1] <= high + 0.5:
            notes.append("The board does not go there.")
    elif board is not None:
        at = solve.floor_mark(f, board, *zeros)
        figures = (Figure("floor_mark_mm", "On the floor’s tape", "far" if math.isinf(at) else remedy.metres(at, 2), at if math.isfinite(at) else None, "mm", "", THIN),)
        first = f"Board at {wording.millimetres(board)}: chair {'far away' if math.isinf(at) else 'at ' + remedy.metres(at, 2)}."
    ruler = [t for t in solve.ticks(f, low, high) if t.labelled]
    rows = tuple(("far" if math.isinf(t.subject_mm) else remedy.metres(t.subject_mm - zeros[0], 2), wording.millimetres(t.board_mm - zeros[1]), f"{focus.magnification_at_board(f, t.board_mm):.2f}") for t in ruler)
    data: tuple[dict[str, Any], ...] = tuple({"floor_mm": t.subject_mm - zeros[0], "board_mm": t.board_mm - zeros[1], "magnification": focus.magnification_at_board(f, t.board_mm)} for t in ruler)
    if not ruler:
        notes.append("This board's slide reaches no sitter with this lens.")
    return Found("marks", first, figures, (Table("Marks", ("floor", "board", "× life-size"), rows, data),), tuple(notes))


def ruler(reader: Reader, form: Form | None = None) -> tuple[Found, str]:
    """The board's ruler: what it holds, and the page to print. Field: camera."""
    from firstsheet.drawing import ruler as drawn

    d = Door(form)
    camera = None
    with d.problems.at("camera"):
        camera = own.todays_camera(reader, d.name("camera"))
    d.close()
    assert camera is not None
    f, low, high = camera.body["focal_mm"], camera.body["board_min_mm"], camera.body["board_max_mm"]
    ticks = solve.ticks(f, low, high)
    if not ticks:
        raise Refusal.one("camera", camera.name, f"A board that goes further back than the focal length, {f:g} mm.", "Describe the camera again: how far does the board go?")
    svgs = drawn.pieces(ticks, low, high)
    title = f"{camera.name}: ruler for the board, lens {f:g} mm"
    words = f"A ruler in {len(svgs)} {'piece' if len(svgs) == 1 else 'pieces'}, {wording.millimetres(high - low)} long, for a {f:g} mm lens."
    data = tuple({"board_mm": t.board_mm, "subject_mm": t.subject_mm, "labelled": t.labelled} for t in ticks)
    table = Table("Marks", ("sitter", "from the lens"), tuple(("far" if math.isinf(t.subject_mm) else remedy.metres(t.subject_mm), f"{t.board_mm:.1f} mm") for t in ticks if t.labelled), data)
    return Found("ruler", words, (), (table,), ("Lay its first end so far behind the lens as it says. Print at 100 % and lay a rule to the check line of every piece.",)), drawn.page(svgs, title)
