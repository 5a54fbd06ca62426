"""The lens as it is: each act takes what was measured and says what follows; with `keep` it is kept with the camera."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts import own
from firstsheet.acts.door import Door, Form
from firstsheet.acts.found import Figure, Found, Table
from firstsheet.acts.lens_parts import CARD_NOTES, blue_found, discs_found, pinhole_found, range90
from firstsheet.camera import barrel as rims
from firstsheet.camera import focus, measured
from firstsheet.camera.sunburn import sun_caution
from firstsheet.exposure import hand as hands
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

LEAST_TAPS, MOST_TAPS = 5, 40
Asked = tuple[own.Owned, Door]


def _begin(reader: Reader, form: Form | None) -> Asked:
    d = Door(form)
    camera: own.Owned | None = None
    with d.problems.at("camera"):
        camera = own.todays_camera(reader, d.name("camera"))
    d.flag("keep")
    if camera is None:
        d.problems.raise_if_any()
    assert camera is not None
    return camera, d


def lens(reader: Reader, form: Form | None = None) -> Found:
    """Everything known of the camera's lens, and what nobody measured yet. Field: camera."""
    camera, d = _begin(reader, form)
    d.close()
    body, it = camera.body, own.lens_of(camera.body)
    how = body.get("focal_how")
    sd = body.get("focal_sd_mm")
    low, high = range90(it.focal_mm, sd)
    focal = Figure("focal_mm", "Focal length", wording.millimetres(it.focal_mm), it.focal_mm, "mm",
                   f"measured, {how}, ±{sd:.0f} mm" if how else "as it was said", low=low, high=high)  # fmt: skip
    hand = own.hand_of(body)
    figures = [
        focal,
        Figure("f_number", "Widest stop", wording.f_number(it.f_number), it.f_number, "1",
               f"a pupil of {wording.millimetres(it.focal_mm / it.f_number)}, ±{it.f_number_sd_stops:g} stop"),
        Figure("pupil", "Pupil magnification", f"{it.pupil:.2g}", it.pupil, "1", "exit over entrance; 1 where nobody measured it"),
        Figure("hand_sd_s", "Timing by hand", f"±{hand.sd_s:.2f} s", hand.sd_s, "s",
               f"from {hand.taps} taps; {_late(hand.late_s)}" if hand.taps else "customary; ten taps make it yours"),
    ]  # fmt: skip
    if it.barrel:
        at = rims.reach(it.focal_mm, 0.25, it.pupil)
        lit = rims.lit_circle_mm(it.barrel, it.focal_mm / it.f_number, at)
        figures.insert(3, _lit(lit, f"at {wording.f_number(it.f_number)}, a quarter life-size"))
    unknown = [words for key, words in (("focal_how", "its focal length"), ("barrel", "its barrel")) if not body.get(key)]
    notes = (f"Nobody measured {' or '.join(unknown)} yet.",) if unknown else ()
    return Found("lens", f"{camera.name}: {it.focal_mm:g} mm, {wording.f_number(it.f_number)}.", tuple(figures), notes=notes, cautions=(sun_caution(it),))


def _late(late_s: float) -> str:
    if abs(late_s) < 0.05:
        return "neither late nor early"
    return f"{abs(late_s):.1f} s too {'long' if late_s > 0 else 'short'} on the average"


def focal(reader: Reader, form: Form | None = None) -> Found:
    """Focal length by a far window on a card (card, window), or by two sizes of one thing (thing, first, second, travel)."""
    camera, d = _begin(reader, form)
    card, window = d.read("card", q.length_mm), d.read("window", q.length_mm)
    two = {k: d.read(k, q.length_mm) for k in ("thing", "first", "second", "travel")}
    said_two = [k for k in two if d.said(k)]
    if d.said("card") and said_two:
        d.problems.add("card", d.said("card"), "One way or the other.", "Keep the two sizes: they are the surer way.")
    elif not d.said("card") and len(said_two) < 4:
        missing = ", ".join(k for k in two if k not in said_two)
        d.problems.add("card" if not said_two else missing.split(",")[0], "",
                       "The card behind the lens with a far window sharp on it; or thing, first, second and travel.",
                       f"Still missing: {missing}." if said_two else "Try “612 mm”.")  # fmt: skip
    found: measured.Measured | None = None
    if not d.problems.found:
        with d.problems.at(""):
            if card is not None:
                found = measured.focal_from_window(card, math.inf if window is None else window)
            else:
                found = measured.focal_from_two(**{f"{k}_mm": float(v or 0) for k, v in two.items()})
    d.close()
    assert found is not None
    low, high = range90(found.mm, found.sd_mm)
    said = camera.body["focal_mm"]
    off = found.mm / said - 1
    within = low is not None and high is not None and low <= said <= high
    differs = f"It is {abs(100 * off):.0f} % {'longer' if off > 0 else 'shorter'}."
    notes = [f"Said until now: {said:g} mm. {'Within the doubt.' if within else differs}"]
    notes += CARD_NOTES if card is not None else []
    return Found(
        "lens_focal", f"The focal length is {found.mm:.0f} mm, 9 in 10 within {1.645 * found.sd_mm:.0f} mm.",
        (Figure("focal_mm", "Focal length", wording.millimetres(found.mm), found.mm, "mm", f"by {found.how}", "Thin lens: " + ("f = uv/(u + v)" if card else "f = travel ÷ (m₂ − m₁)"), low, high),),
        notes=tuple(notes), cautions=(sun_caution(own.lens_of(camera.body)),),
        keeps={"focal_mm": round(found.mm, 1), "focal_sd_mm": round(found.sd_mm, 1), "focal_how": found.how},
    )  # fmt: skip


def pupil(reader: Reader, form: Form | None = None) -> Found:
    """True f-number and pupil magnification from the pupil's width seen from both ends. Fields: front, back."""
    camera, d = _begin(reader, form)
    front = d.must("front", q.length_mm, "The bright disc's width seen from the front.", "Try “74 mm”.")
    back = d.read("back", q.length_mm)
    n = sd = 0.0
    p = None
    if front is not None:
        with d.problems.at(""):
            n, sd = measured.f_number_of(camera.body["focal_mm"], front, camera.body.get("focal_sd_mm") or 0.0)
        if back is not None and front > 0:
            p = back / front
            if not 0.2 <= p <= 5:
                d.problems.add("back", d.said("back"), "From a fifth of the front to five times it.", "Measure the bright disc, not the glass.")
    d.close()
    assert front is not None
    off = 2 * math.log2(n / camera.body["f_number"])
    figures = [Figure("f_number", "Widest stop, measured", wording.f_number(n), n, "1", f"{wording.stops_pm(sd)}; {_off(off)}",
                      "f ÷ pupil", n * 2 ** (-1.645 * sd / 2), n * 2 ** (1.645 * sd / 2))]  # fmt: skip
    keeps: dict[str, Any] = {"f_number": round(n, 2)}
    if p is not None:
        figures.append(Figure("pupil", "Pupil magnification", f"{p:.2f}", p, "1", f"at half life-size the extension costs {focus.extension_stops(0.5, p):.2f} stop, not {focus.extension_stops(0.5):.2f}", "[WALREE-DOF]"))
        keeps["pupil"] = round(p, 3)
    if [s for s in camera.body["stops"] if s < n * 0.95]:
        keeps["stops"] = [s for s in camera.body["stops"] if s >= n * 0.95]
    notes = ("From a metre away, one eye shut, the rule held across the glass: read the bright disc, iris wide open.",)
    return Found("lens_pupil", f"Wide open it is {wording.f_number(n)}, {wording.stops_pm(sd)}.", tuple(figures), notes=notes, cautions=(sun_caution(own.lens_of(camera.body)),), keeps=keeps)  # fmt: skip


def _off(stops: float) -> str:
    return "as it was said" if abs(stops) < 0.05 else f"{wording.stops_apart(stops)} {'darker' if stops > 0 else 'brighter'} than was said"


def barrel(reader: Reader, form: Form | None = None) -> Found:
    """What the barrel cuts off. Fields: length, front, back (widths of its rims), before (share before the iris), magnification."""
    camera, d = _begin(reader, form)
    had = camera.body.get("barrel") or {}
    sizes = {key: d.read(key, q.length_mm) or had.get(f"{key}_mm") for key in ("length", "front", "back")}
    for key, words in (("length", "Rim to rim, along the barrel."), ("front", "The front rim's clear width.")):
        if sizes[key] is None and not any(p.where == key for p in d.problems.found):
            d.problems.add(key, d.said(key) or "", words, "Try “120 mm”.")
    share = d.read("before", lambda t: q.plain_number(t, 0, 1))
    m = d.read("magnification", _magnification)
    made: rims.Barrel | None = None
    if sizes["length"] and sizes["front"]:
        with d.problems.at(""):
            made = rims.Barrel(sizes["length"], sizes["front"], sizes["back"] or sizes["front"], had.get("before", 0.5) if share is None else share)
    d.close()
    assert made is not None
    it = own.lens_of(camera.body)
    m = 0.25 if m is None else m
    at = rims.reach(it.focal_mm, m, it.pupil)
    rows, data = [], []
    for n in sorted({it.f_number, *(it.stops or _marks(it.f_number))}):
        lit = rims.lit_circle_mm(made, it.focal_mm / n, at)
        edge = rims.shading_stops(made, it.focal_mm / n, 0.35 * at.image_mm, at)
        rows.append((wording.f_number(n), "all" if math.isinf(lit) else wording.length(lit), "dark" if edge < -20 else wording.stops(edge)))
        data.append({"f_number": n, "lit_circle_mm": lit if math.isfinite(lit) else None, "edge_stops": max(edge, -99.0)})
    choked = rims.choked_stops(made, it.focal_mm / it.f_number, at)
    notes = [f"Wide open the rims themselves take {wording.stops_apart(choked)} from the middle: measure the pupil again."] if choked < -0.05 else []
    wide = rims.lit_circle_mm(made, it.focal_mm / it.f_number, at)
    first = "The barrel cuts nothing off." if math.isinf(wide) else f"Wide open the barrel halves the light {wording.length(wide / 2)} from the middle of the sheet."
    title = f"What gets through, at {m:g} × life-size"
    return Found(
        "lens_barrel", first, (_lit(wide, f"at {wording.f_number(it.f_number)}, {m:g} × life-size"),),
        (Table(title, ("stop", "half the light in a circle of", f"{0.35 * at.image_mm:.0f} mm off the middle"), tuple(rows), tuple(data)),),
        tuple(notes), keeps={"barrel": {"length_mm": made.length_mm, "front_mm": made.front_mm, "back_mm": made.back_mm, "before": made.before}},
    )  # fmt: skip


def _lit(lit_mm: float, aside: str) -> Figure:
    inf = math.isinf(lit_mm)
    return Figure("lit_circle_mm", "Circle with half the middle’s light through the barrel", "no end" if inf else wording.length(lit_mm), None if inf else lit_mm, "mm", aside, "overlap of the pupil with both rims")


def _marks(widest: float) -> tuple[float, ...]:
    return tuple(widest * 2 ** (k / 2) for k in range(5))


def _magnification(text: str) -> float:
    return q.plain_number(text, 0.01, 4)


def discs(reader: Reader, form: Form | None = None) -> Found:
    """Home-made discs: f-numbers of holes (holes), holes for f-numbers (stops). hole: real width of the widest opening, where the discs go between glasses."""
    camera, d = _begin(reader, form)
    holes = d.read("holes", lambda t: tuple(q.length_mm(part) for part in t.replace(";", ",").split(",") if part.strip()))
    wanted = d.read("stops", own.stop_table)
    hole = d.read("hole", q.length_mm)
    if not d.said("holes") and not d.said("stops"):
        d.problems.add("holes", "", "Holes there are, or f-numbers you want.", "Try “40 mm, 28 mm”, or stops “11 16 22”.")
    for h in holes or ():
        if h < 0.1:
            d.problems.add("holes", f"{h:g} mm", "No hole narrower than 0.1 mm.", "For smaller ones ask for the pinhole.")
    d.close()
    return discs_found(own.lens_of(camera.body), holes or (), wanted or (), hole)


def shutter(reader: Reader, form: Form | None = None) -> Found:
    """A shutter's measured speed. Fields: marked (what it says), measured (one or more times)."""
    camera, d = _begin(reader, form)
    marked = d.must("marked", q.duration_s, "The speed engraved.", "Try “1/25”.")
    times = d.must("measured", own.speeds, "What was measured, once or more.", "Try “0.05 0.048 0.053”.")
    if camera.body["shutter"] != "shutter":
        d.problems.add("camera", camera.name, "A camera with a mechanical shutter.", "Describe it again with its shutter, or tap ten times for a hand.")
    for key, least in (("marked", marked), ("measured", min(times) if times else None)):
        if least is not None and least <= 0:
            d.problems.add(key, d.said(key), "Times above nothing.", "Try “1/25”.")
    d.close()
    assert marked
    assert times
    mean = math.exp(sum(math.log(t) for t in times) / len(times))
    spread = math.sqrt(sum(math.log2(t / mean) ** 2 for t in times) / (len(times) - 1)) if len(times) > 1 else hands.SHUTTER_SD_STOPS
    off = math.log2(mean / marked)
    mark = wording.seconds(marked)
    marks = [row for row in camera.body.get("marks", []) if row[0] != mark]
    old = {marked, *(row[1] for row in camera.body.get("marks", []) if row[0] == mark)}
    kept = sorted({mean, *(s for s in camera.body["speeds_s"] if all(abs(math.log2(s / o)) > 0.01 for o in old))})
    return Found(
        "lens_shutter", f"Marked {mark} it gives {wording.seconds(mean)}: {wording.stops(off)}.",
        (Figure("time_s", f"At {mark}", wording.seconds(mean), mean, "s", f"{wording.stops_pm(spread)} from one to the next"),
         Figure("off_stops", "Against its mark", wording.stops(off), off, "stop")),
        notes=("Plans then count with the measured time and say which mark to set.",),
        keeps={"speeds_s": kept, "marks": [*marks, [mark, mean]]},
    )  # fmt: skip


def hand(reader: Reader, form: Form | None = None) -> Found:
    """A hand's own timing from taps. Fields: wanted (the time counted), taps (the times it gave)."""
    _, d = _begin(reader, form)
    wanted = d.must("wanted", lambda t: q.duration_s(t, bare="s"), "The time that was counted.", "Try “2 s”.")
    taps = d.must("taps", lambda t: tuple(q.duration_s(part, bare="s") for part in t.replace(",", " ").split()), "Ten times as they came out.", "Try “2.1 1.9 2.2 2.0 …”.")
    if wanted is not None and not 0.5 <= wanted <= 60:
        d.problems.add("wanted", d.said("wanted"), "From half a second to a minute.", "Two seconds are a good measure.")
    if taps and not LEAST_TAPS <= len(taps) <= MOST_TAPS:
        d.problems.add("taps", f"{len(taps)} said", f"From {LEAST_TAPS} to {MOST_TAPS}; ten are enough.", "Tap a few more.")
    if taps and wanted and max(taps) > 3 * wanted + 1:
        d.problems.add("taps", f"{max(taps):g} s", "No tap more than three times what was counted.", "Leave out the one that went wrong.")
    d.close()
    assert wanted
    assert taps
    found = hands.hand_from(wanted, taps)
    before = math.log2(1 + hands.HAND_SD_S / wanted)
    now = math.log2(1 + found.sd_s / wanted)
    return Found(
        "lens_hand", f"Your hand: ±{found.sd_s:.2f} s, {_late(found.late_s)}.",
        (Figure("sd_s", "From one to the next", f"±{found.sd_s:.2f} s", found.sd_s, "s", f"±{now:.2f} stop at {wording.seconds(wanted)}; a customary hand ±{before:.2f}", "taps, the customary 0.15 s counted as two of them"),
         Figure("late_s", "Open longer than counted", f"{found.late_s:+.2f} s".replace("-", "−"), found.late_s, "s", "a plan then says by how much to shut sooner or later")),
        keeps={"hand": {"late_s": found.late_s, "sd_s": found.sd_s, "taps": found.taps}},
    )  # fmt: skip


def single(reader: Reader, form: Form | None = None) -> Found:
    """A single glass: how far to move the board after focusing by eye. Fields: abbe, subject (or board)."""
    camera, d = _begin(reader, form)
    abbe = d.read("abbe", lambda t: q.plain_number(t, 15, 100)) or camera.body.get("abbe")
    subject, board = d.read("subject", q.length_mm), d.read("board", q.length_mm)
    if abbe is None and d.said("abbe") is None:
        d.problems.add("abbe", "", "The glass's Abbe number.", "58 for spectacle crown or plastic; 30 for the unbreakable plastic.")
    if (d.said("subject") is None) == (d.said("board") is None):
        d.problems.add("subject", d.said("subject") or "", "Either the sitter's distance or the board's.", "Try “3 m”.")
    d.close()
    assert abbe
    it = own.lens_of(camera.body)
    v = focus.board_for_subject(it.focal_mm, subject) if subject else float(board or 0)
    u = subject or focus.subject_for_board(it.focal_mm, v)
    return blue_found(it, abbe, u, v)


def pinhole(reader: Reader, form: Form | None = None) -> Found:
    """The best pinhole. Fields: board (hole to sheet), subject (far where nobody says)."""
    camera, d = _begin(reader, form)
    board = d.read("board", q.length_mm) or camera.body["board_max_mm"]
    subject = d.read("subject", q.length_mm)
    for key, value in (("board", board), ("subject", subject)):
        if value is not None and not 10 <= value <= 1e7:
            d.problems.add(key, d.said(key), "From 1 cm to 10 km.", "Try “900 mm”.")
    d.close()
    return pinhole_found(board, math.inf if subject is None else subject)


WAYS: dict[str, Callable[..., Found]] = {
    "lens": lens, "focal": focal, "pupil": pupil, "barrel": barrel, "discs": discs, "shutter": shutter, "hand": hand,
    "single": single, "pinhole": pinhole,
}  # fmt: skip


def keep(book: Book, what: str, form: Form) -> Found:
    """Answer, and keep with the camera what the answer says it keeps."""
    from dataclasses import replace

    found = WAYS[what](book, form)
    if not found.keeps:
        raise Refusal.one("keep", "yes", "Nothing of this answer is kept with the camera.", "Leave it out.")
    name = form.get("camera")
    own.measured(book, own.todays_camera(book, str(name) if name else None), found.keeps)
    return replace(found, kept=True)
