"""The sound of a sheet as words and data for its page; all rounding of it is here."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from firstsheet import wording
from firstsheet.acts.sheet_track import SheetTrack
from firstsheet.acts.strip_track import clock
from firstsheet.refusal import Refusal
from firstsheet.trays.cues import TONES
from firstsheet.trays.runpage import run_json
from firstsheet.trays.striptrack import TICK

EXPOSURE = "exposure"  # the part of a sheet's sound that is not all of it
# A hold marks from the first of these [ms] on, if it is let go before the second: what lies there longer is no finger. Let go between the
# last two it brings the page back.
HOLD_MS = {"mark": 600, "let_go": 4000, "wake": 6000, "forget": 12000}
MOMENTS = {"opened": "lens opened", "capped": "lens shut", "lifted": "lifted: {step}", "finished": "finished"}
SOUND_TEXTS = {
    "marked": "Marked: {what}.",
    "none": "Nothing is marked yet.",
    "as_told": "What is not marked went as the sound told it: hold",
    "go_on": "Go on with the sound where it is",
    "waits": "{n} to be sent to the book.",
    "sent": "All in the book.",
    "memory": "This browser keeps nothing: do not leave this page.",
}


def sheet_sound(t: SheetTrack, why: Refusal | None = None) -> dict[str, Any]:
    """A sheet's sound for its page: the words, and as data what its script needs to mark by touch or key.

    why  what stands against the run's part, where only the exposure can be told
    """
    run = "" if t.first_s is None else f" First liquid at {_minute(t.first_s)}"
    run += "" if t.first_s is None else "." if t.white_s is None else f", white light at {_minute(t.white_s)}."
    part = "" if t.whole else f"?part={EXPOSURE}"
    other = (f"/book/{t.code}/expose?part={EXPOSURE}#track-h", "Only the exposure by ear, the trays by their page")
    if not t.whole:
        other = (f"/book/{t.code}/expose#track-h", "All of it by ear, from the box to white light")
    data = {
        "code": t.code, "marks_url": f"/api/sheets/{t.code}/sound", "total_s": t.total_s, "first_s": t.first_s, "hold_ms": HOLD_MS,
        "awake": not t.no_light,
        "moments": [asdict(m) | {"words": MOMENTS[m.kind].format(step=m.step.replace("_", " "))} for m in t.moments], "texts": SOUND_TEXTS,
        "tones": {kind: [asdict(n) for n in TONES[kind]] for kind in ("tick", "kept", "early", "ready")},
    }  # fmt: skip
    return {
        "url": f"/book/{t.code}/sheet.wav{part}", "total": _minute(t.total_s), "cautions": t.cautions, "before": t.before,
        "notes": [p.sentence() for p in why.problems] if why else t.notes,
        "steps": [], "cues": [{"words": c.words, "at": clock(c.at_s)} for c in t.cues if c.words != TICK],
        "title": "All of it by ear, from the box to white light" if t.whole else "The exposure by ear",
        "told": f"Light from {clock(t.open_s)} to {clock(t.close_s)}: {wording.seconds(t.time_s)}.{run}",
        "size": f"{max(1, round(t.bytes / 1e6))} MB", "volume": f"/volume.wav?how={t.how}", "sitter": t.how != "lamp", "other": None if why else other, "onward": f"/bench/{t.code}",
        "data": run_json(data),
    }  # fmt: skip


def _minute(at_s: float) -> str:
    return clock(at_s).partition(".")[0]
