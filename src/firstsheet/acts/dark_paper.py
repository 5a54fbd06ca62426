"""How little light fogs this paper: from its measured curve where there is one, else from what is known of the box, with the doubt of it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet.acts import calibrate_kept, plan, room_tests
from firstsheet.acts.versions import tones_of
from firstsheet.belief import prior
from firstsheet.exposure.chain import needed_lx_s
from firstsheet.paper import response
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.answers import Plan
    from firstsheet.acts.own import Owned
    from firstsheet.acts.reader import Reader
    from firstsheet.foresee.tone import Tones

MID_D = 0.60  # above base+fog: the mid-tone of paper that light darkens [ISO-6846]
SPECTRUM_SD = 0.5  # a leak's light against the light a speed is stated for [stop]: open shade is up to 0.9 faster; ours


@dataclass(frozen=True, slots=True)
class Fogs:
    """What shows on this paper.

    added_lxs   least added light that changes some tone of a picture by a difference that shows [lx·s]
    bare_lxs    the same on paper that saw nothing: its threshold [lx·s]
    mid_lxs     what a mid-tone wants [lx·s]
    sd_stops    doubt of all three [stop]
    shape_sd    doubt of the first over the last, however fast the paper is [stop]
    source      where they come from
    """

    added_lxs: float
    bare_lxs: float
    mid_lxs: float
    sd_stops: float
    shape_sd: float
    source: str


def fogs(reader: Reader, box: Owned, way: str, planned: Plan | None) -> Fogs:
    """For this box in this way of working. The plan as it stands tells the kind of light and the developer, where it is of this box."""
    from firstsheet.paper import veil

    developer, light = (planned.developer, planned.light) if planned else (_developer(reader, box), "")
    tones, number = tones_of(reader, way, box.name, developer, light)
    mid_log = _mid_log(tones)
    added, bare = (f(tones.log_h, tones.density) / 10.0**mid_log for f in (veil.least_added, veil.bare_added))
    steeper = (tones.log_h - mid_log) * (1 - tones.contrast_sd) + mid_log
    shape_sd = abs(math.log2(veil.least_added(steeper, tones.density) / 10.0**mid_log / added))
    mid, mid_sd, source = _mid(reader, box, way, planned)
    if number is not None:
        b = calibrate_kept.row(reader, number)["body"]
        if b.get("absolute"):
            doubt = math.hypot(float(b.get("common_log_h_sd") or 0.0) / math.log10(2.0), tones.contrast_sd)
            mid, mid_sd, source = 10.0**mid_log, doubt, "its own exposures in lx·s"
    return Fogs(mid * added, mid * bare, mid, math.hypot(mid_sd, shape_sd), shape_sd, f"{tones.words}; {source}")


def planned_of(reader: Reader, box: Owned, way: str) -> Plan | None:
    """The plan as it stands, where there is one for this box and way of working through a lens."""
    try:
        p = plan.plan(reader)
    except Refusal:
        return None
    return p if p.box == box.name and p.way == way and p.aperture is not None else None


def on_board(p: Plan) -> tuple[float, float]:
    """Mid-tone on the board at the planned stop [lx], and the seconds it wants there before reciprocity [s]."""
    lx = [link.value for link in p.chain if link.unit == "lx"][-1]
    before = [link.value for link in p.chain if link.unit == "s" and link.key != "reciprocity"][-1]
    return lx, before


def _mid(reader: Reader, box: Owned, way: str, planned: Plan | None) -> tuple[float, float, str]:
    if planned:
        lx, time_s = on_board(planned)
        return lx * time_s, planned.sd_stops, "speed as the plan has it, in its light"
    effects = prior.speed_effects(way, box.name, box.body)
    mean, variance = plan.known_now(reader).predict(effects)
    ei = prior.starting_speed(way, box.body).ei * 2.0**-mean
    return needed_lx_s(ei), math.sqrt(variance), f"speed as the box is known, EI {ei:.2g}"


def _mid_log(t: Tones) -> float:
    import numpy as np

    density = t.base + MID_D if t.sense > 0 else (t.base + t.dmax) / 2
    return float(t.log_h_of(np.array([density]))[0])


def _developer(reader: Reader, box: Owned) -> str:
    """The developer of today, or of the box's newest curve; "" where nobody said."""
    today = (reader.get_setting("today") or {}).get("developer")
    if today:
        return str(today)
    found = [t for t in reader.things("curve") if t["body"]["box"] == box.name and not t["body"].get("dropped")]
    return str(max(found, key=lambda t: int(t["id"]))["body"]["developer"]) if found else ""


def way_for(box: Owned, way: str | None) -> str:
    """The way of working said, else the one this paper usually goes."""
    return way or room_tests.WAY_OF.get(box.body["paper"], "paper_negative")


def darkens(way: str) -> str:
    """What a veil does to the picture, in a word."""
    return "greys its whites" if response.sense(way) > 0 else "greys its blacks"
