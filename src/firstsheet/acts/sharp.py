"""How sharp this sitting will be, by pose and stop, with what spoils it most."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables, wording
from firstsheet.acts import own
from firstsheet.acts.door import Door, Form
from firstsheet.acts.found import Figure, Found, Table
from firstsheet.acts.room import room
from firstsheet.camera import fits, focus, sharp
from firstsheet.camera.room import RoomAnswer
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader

BOW_MM, EDGE_MM = 3.0, 3.0  # a large sheet under magnets; a board set by eye; common practice, no source
SPREAD = 0.4  # one person's sway against another's, a share; from the published spread
PARTS = {"smear": "sway across", "sway_focus": "sway out of focus", "paper": "paper and board", "diffraction": "diffraction"}
ROOM_FIELDS = ("camera", "size", "box", "subject", "head", "board", "confusion")


def poses() -> dict[str, tuple[str, sharp.Pose, str]]:
    """Each pose by its key: words, its motion at the head, source."""
    out = {}
    for key, e in tables.load("sway").items():
        motion = sharp.Pose(e["rms_across_mm"], e["rms_along_mm"], e["diffusion_across"], e["diffusion_along"])
        out[key] = (str(e["words"]), motion.scaled(e["head"] * e["share"]), str(e["source"]))
    return out


def sharpness(reader: Reader, form: Form | None = None) -> Found:
    """Blur on the sheet, by pose and by stop. Fields: those of the room (camera, size or box, subject, head or board, confusion), and
    time at aperture (as planned where nobody says), pose (standing, seated, rested), bow and edge (paper and board off so far)."""
    from firstsheet.drawing.true_blur import Spot, true_blur

    d = Door(form)
    for key in ROOM_FIELDS:
        d.said(key)
    time_s = d.read("time", lambda t: q.duration_s(t, bare="s"))
    aperture = d.read("aperture", q.f_number)
    have = poses()
    pose = d.pick("pose", have) or "seated"
    off = [_off(d, "bow", BOW_MM), _off(d, "edge", EDGE_MM)]
    if time_s is not None and not 0.001 <= time_s <= 7200:
        d.problems.add("time", d.said("time"), "From a thousandth of a second to two hours.", "Try “4 s”.")
    if time_s is None and d.said("time") is None:
        with d.problems.at(""):
            time_s, aperture = _planned(reader, aperture)
    asked = {k: v for k, v in (form or {}).items() if k in ROOM_FIELDS}
    a: RoomAnswer | None = None
    with d.problems.at(""):
        a = room(reader, asked | ({"aperture": f"f/{aperture:g}"} if aperture else {}))
    d.close()
    assert a is not None
    assert time_s is not None
    name = asked.get("camera")
    lens = own.lens_of(own.todays_camera(reader, str(name) if name else None).body)
    sittings = {k: sharp.Sitting(lens.focal_mm, a.magnification, p, off[0], off[1], lens.pupil) for k, (_, p, _) in have.items()}
    here = {k: sharp.blur(s, a.aperture, time_s) for k, s in sittings.items()}
    rows = sharp.by_stop(sittings[pose], tuple(fits.stops_of(lens)), time_s, a.aperture)
    spots = [Spot(have[k][0], b.smear, math.hypot(b.sway_focus, b.paper, b.diffraction)) for k, b in here.items()]
    return _found(a, have[pose][0], (here[pose], sharp.best(rows)), (_poses_table(have, here), _stops_table(rows)), true_blur(spots, a.magnification))


def _off(d: Door, key: str, customary: float) -> float:
    value = d.read(key, q.length_mm)
    if value is not None and value > 200:
        d.problems.add(key, d.said(key), "At most 20 cm.", "Lay a straight edge across it: “3 mm”.")
    return customary if value is None else value


def _planned(reader: Reader, aperture: float | None) -> tuple[float, float | None]:
    """Seconds and stop of the plan as it stands."""
    from firstsheet.acts.plan import plan

    try:
        p = plan(reader, {"aperture": f"f/{aperture:g}"} if aperture else None)
    except Refusal as refusal:
        raise Refusal.one("time", "", "The exposure's time; nothing is planned that would say it.", "Try “4 s”.") from refusal
    return p.time_s, p.aperture


def _found(a: RoomAnswer, pose: str, now: tuple[sharp.Blur, sharp.Blur], made: tuple[Table, Table], drawing: str) -> Found:
    b, best = now
    most = max(PARTS, key=lambda k: float(getattr(b, k)))
    shows = "it shows" if b.eyes > focus.CONFUSION_MM else "it passes for sharp"
    first = f"{pose.capitalize()}, {wording.seconds(b.time_s)} at {wording.f_number(a.aperture)}: a point at the eyes is {wording.length(b.eyes)} wide, {shows}; most of it {PARTS[most]}."
    behind = None if a.far_mm is None else a.far_mm
    figures = (
        Figure("near_mm", "In focus before the eyes", wording.length(a.near_mm), a.near_mm, "mm", f"at {wording.f_number(a.aperture)}, blur of {focus.CONFUSION_MM:g} mm", "[WALREE-DOF]"),
        Figure("far_mm", "and behind them", "to the end" if behind is None else wording.length(behind), behind, "mm", "the ears are 85 mm behind", "[WALREE-DOF]"),
        Figure("smear_mm", "Smeared by sway", wording.length(b.smear), b.smear, "mm", "across; one person sways half as much again as another", "[SWAY-2014]", b.smear * (1 - SPREAD), b.smear * (1 + SPREAD)),
        Figure("sway_focus_mm", "Out of focus by sway", wording.length(b.sway_focus), b.sway_focus, "mm", "along the axis", "[SWAY-2014]"),
        Figure("paper_mm", "Paper’s bow and board", wording.length(b.paper), b.paper, "mm", "at the worst place"),
        Figure("diffraction_mm", "Diffraction", wording.length(b.diffraction), b.diffraction, "mm", "in blue", "2.44·λ·N_eff"),
        Figure("best_stop", "Best over eyes and ears", wording.f_number(best.f_number), best.f_number, "1", f"{wording.seconds(best.time_s)}: eyes {wording.length(best.eyes)}, ears {wording.length(best.ears)}"),
    )  # fmt: skip
    notes = ("A pose just taken is unsteady: let the sitter settle for 20 s before you open.", "Times by stop leave reciprocity out; the lens’s own faults wide open are not in it.")
    return Found("sharp", first, figures, made, notes, drawing=drawing)


def _poses_table(have: dict[str, tuple[str, sharp.Pose, str]], here: dict[str, sharp.Blur]) -> Table:
    rows = tuple((have[k][0], wording.length(b.smear), wording.length(b.sway_focus), wording.length(b.eyes)) for k, b in here.items())
    return Table("By pose, on the sheet", ("pose", "smeared", "out of focus", "eyes, all told"), rows, tuple({"pose": k, "source": have[k][2]} | _data(b) for k, b in here.items()))


def _stops_table(rows: list[sharp.Blur]) -> Table:
    shown = tuple((wording.f_number(b.f_number), wording.seconds(b.time_s), wording.length(b.eyes), wording.length(b.ears)) for b in rows)
    return Table("By stop, in the pose asked", ("stop", "time", "eyes", "ears"), shown, tuple(_data(b) for b in rows))


def _data(b: sharp.Blur) -> dict[str, Any]:
    return {"f_number": b.f_number, "time_s": b.time_s, "smear_mm": b.smear, "sway_focus_mm": b.sway_focus, "paper_mm": b.paper,
            "diffraction_mm": b.diffraction, "ears_focus_mm": b.ears_focus, "eyes_mm": b.eyes, "ears_mm": b.ears}  # fmt: skip


def sway_line(reader: Reader, form: Form | None = None) -> tuple[str, str, str] | None:
    """Label, smear and what goes with it for a standing sitter of the plan as it stands; None where nothing is planned."""
    try:
        rows = {r["pose"]: r for r in sharpness(reader, form).tables[0].data}
    except Refusal:
        return None
    have = poses()
    standing, rested, seated = rows["standing"], rows["rested"], rows["seated"]
    shows = "it shows" if standing["smear_mm"] > focus.CONFUSION_MM else "it passes for sharp"
    label = f"{have['standing'][0].capitalize()}, {wording.seconds(standing['time_s'])}"
    return label, f"{wording.length(standing['smear_mm'])} smear", f"on the sheet: {shows}. {have['seated'][0].capitalize()} {wording.length(seated['smear_mm'])}, {have['rested'][0]} {wording.length(rested['smear_mm'])}."
