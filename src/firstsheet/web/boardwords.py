"""The board as words: where it goes, what it sees, how deep is sharp."""

from __future__ import annotations

import math
from typing import Any

from firstsheet import wording
from firstsheet.camera.room import RoomAnswer


def board(a: RoomAnswer) -> dict[str, Any]:
    """The board in numbers, each with its label and what goes with it."""
    figures = [
        ("In focus, before and behind the eyes", _before_behind(a),
         f"at {wording.f_number(a.aperture)}. {'The ears are sharp too.' if a.ears_sharp else 'The ears, 85 mm behind, are soft.'}"),
        ("A head on the sheet", f"{wording.length(a.head_mm)} tall", f"±{1.645 * a.head_sd_mm:.0f} mm from one head to another."),
        ("Corners of the sheet", wording.stops(a.corner_falloff_stops) if a.corner_falloff_stops > -20 else "no light", _covered(a)),
        ("Board and paper may be off by", f"±{wording.length(a.depth_of_focus_mm)}", "before the eyes go soft."),
        ("The sheet takes in", f"{wording.length(a.field_mm[0])} × {wording.length(a.field_mm[1])}", "at the eyes."),
    ]  # fmt: skip
    return {
        "board": wording.millimetres(a.board_mm), "subject": wording.length(a.subject_mm), "size": life_size(a.magnification),
        "head": wording.length(a.head_mm), "figures": figures, "notes": a.notes,
        "subject_said": f"{a.subject_mm:.0f} mm", "aperture": wording.f_number(a.aperture),
        "sources": (a.focus_source, a.head_source, a.depth_source, a.coverage_source),
    }  # fmt: skip


def _before_behind(a: RoomAnswer) -> str:
    if a.far_mm is None:
        return f"{wording.length(a.near_mm)} and all behind"
    near, far = wording.length(a.near_mm), wording.length(a.far_mm)
    return (
        f"{near.removesuffix(' mm')} and {far}" if near.endswith(" mm") and far.endswith(" mm") else f"{near} and {far}"
    )


def _covered(a: RoomAnswer) -> str:
    if a.covered is None:
        return "against the centre; how wide the lens covers is not known."
    return (
        "against the centre; the lens covers them."
        if a.covered
        else "against the centre; the lens does not cover them."
    )


def life_size(m: float) -> str:
    """Magnification in words: “a quarter life-size”, “0.31 × life-size”."""
    named = {
        1.0: "life-size",
        0.5: "half life-size",
        1 / 3: "a third life-size",
        0.25: "a quarter life-size",
        0.2: "a fifth life-size",
    }
    for value, words in named.items():
        if math.isclose(m, value, rel_tol=0.02):
            return words
    return f"{m:.2g} × life-size"
