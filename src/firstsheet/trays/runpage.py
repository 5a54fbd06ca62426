"""What the page of a run is given: all that it will ever say, for once loaded it runs alone.

Keys of the mapping: `code`, `sheet_words`, `way_words`, `light` ("red", "dark" or "sun", as the page
opens), `steps`, `trays`, `tones`, `marks`, `cautions`, `afterwards`, `emergency`, `texts`, `sounds`, `wrong`, `dark` (None
where a red lamp is allowed), `onward_url`, `marks_url`, `enter_s`, `hold_ms`, `early_hold_ms`,
`wake_hold_ms`, `take_back_s`, `ahead_s`, `ready_s`, `hand_in_form`, `long_words`. Times are seconds, waits for a finger milliseconds.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any
from urllib.parse import quote

from firstsheet.trays import interrupt
from firstsheet.trays.cues import READY_S, TONES, Cue, Note, cues_of, schedule, tone
from firstsheet.trays.process import Process, Step
from firstsheet.trays.progress import timed

DARK_LEAD_S = 60.0  # from "begin" to the first liquid when the sheet is already in the hand
LIVE_BEFORE_S = 15.0  # the action says "lift" from here on; before it says "lift early"
TAKE_BACK_S = 10.0
HAND_IN_FORM = "marks of a run"  # what the text of a card’s marks says it is
LONG_WORDS = 60  # letters; what the hands do is set smaller from here on
ENTER_S = 15.0  # so long the page says how the sheet goes in
# What was missed is told by name.
SOUNDS = {
    "start": "into the tray", "ready": "ten seconds to go", "lift": "lift", "late": "longest time", "drain_end": "the end",
}  # fmt: skip
LIGHTS = {"none": "dark", "red": "red", "white": "sun"}

EMERGENCY = (
    "White light on now. The sheet is worth less.",
    "Splash in the eye: rinse with water for fifteen minutes, lids held open, and have someone fetch help.",
    "Faint, coughing or a fall: out into the air. Do not go back in alone.",
    "Splash on the skin: off with gloves and cloth, rinse with plenty of water.",
    "Then the supplier’s safety data sheet and a doctor. What they and local rules say comes first.",
)

TEXTS = {
    "begin": "Begin: the sheet is in the {tray}",
    "begin_dark": "Begin in the dark",
    "lift": "Hold here to lift",
    "lift_early": "Hold to lift early",
    "draining": "Into the {tray} at 0:00",
    "draining_last": "The run is over at 0:00",
    "close": "Hold here to close the run",
    "back": "Take back the last lift: hold",
    "white": "White page: hold",
    "left": "left",
    "over": "over its time",
    "drain_left": "to drain",
    "at_most": "At most {time} in this one.",
    "late": "Longer than it should be here. Lift it.",
    "lifted": "{tray} had {time}.",
    "lights": "Lights on, noted at {time}.",
    "done": "Every step is done.",
    "stopped": "The run was stopped. The sheet stays as it is.",
    "finished": "The run is finished.",
    "abandoned": "The sheet was given up. Out of the tray with it, and rinse your gloves.",
    "pause": "Called away, pause: hold",
    "go_on": "Go on: hold",
    "may_wait": "to wait",
    "own_left": "Of its own time, {time} is left.",
    "own_on": "{time} in this tray so far.",
    "waited_long": "It has waited too long. Go on.",
    "lies_in": "there",
    "it_is_in": "It is in the {tray} now: hold",
    "lost": "Give this sheet up: hold",
    "not_so": "Not so, take that back: hold",
    "shows": "The image shows now: hold",
    "shows_back": "It does not show yet, take that back: hold",
    "showed": "It showed after {time}. {total} in all, by that; between {low} and {high}.",
    "showed_only": "It showed after {time}, noted. The planned time stands.",
    "lamp_off": "The lamp is off again: hold",
    "lit": "White light for {time}.",
    "card_marks": "{n} marks on this card. Hand them in.",
    "card_marks_one": "1 mark on this card. Hand it in.",
    "book_all": "All in the book.",
    "book_waits": "{n} marks waiting for the book.",
    "book_waits_one": "1 mark waiting for the book.",
    "book_refused": "The book does not take {n}: kept here.",
    "book_memory": "This browser keeps nothing: do not leave or reload this page.",
    "missed": "Missed while this phone slept: {what}.",
    "clock": "This phone’s clock jumped while the run went on: look at the tray, not only here.",
    "silent": "Touch the page once for sound.",
    "no_sound": "This browser makes no sound: watch the time.",
    "card_alone": "This page is a file: it needs no network and no server. Its marks stay in this browser until they are handed in.",
    "count": "“One thousand and one, one thousand and two”: each is a second. At sixty fold down a finger and begin again at one.",
    "count_dark": "No light means no watch either: have this read to you twice before the box is opened.",
    "alone": "This page goes on without the network.",
    "no_reload": "Do not reload: this page could not come back without the network.",
    "track_over": "By the sound, the dark part is over.",
    "by_track": "No lift was marked in the dark. It went as the sound told it: hold",
}


def run_page(
    process: Process, sheet_code: str, sheet_words: str, marks: Iterable[Mapping[str, Any]] = (), onward_url: str = ""
) -> dict[str, Any]:
    """The mapping that the template of the run page takes as `run`.

    sheet_code   the short code pencilled on the back
    sheet_words  what the person calls it ("Sheet 31, direct positive 12×16")
    marks        what the book holds of this run: each with id, kind, step, elapsed_s [s], wall_ms [ms, UTC]
    onward_url   where the finished sheet is judged; "" for no link
    """
    steps = [_step(process, step, number) for number, step in enumerate(process.steps, 1)]
    path = quote(sheet_code, safe="")
    return {
        "code": sheet_code,
        "sheet_words": sheet_words,
        "way_words": process.words[:1].upper() + process.words[1:],
        "developer_words": process.developer_words,
        "total_words": clock_words(process.total_s),
        # a page that is loaded again in the dark must come up black; its script shows it where that is safe
        "light": LIGHTS[process.steps[0].light],
        "steps": steps,
        "trays": [{"step": s["key"], "words": s["tray"]} for s in steps],
        "tones": _tones(len(steps)),
        "marks": [dict(m) for m in marks],
        "cautions": list(process.cautions),
        "afterwards": process.afterwards,
        "emergency": list(EMERGENCY),
        "texts": TEXTS,
        "sounds": SOUNDS,
        "wrong": _wrong(process),
        "dark": _dark(process, path),
        "onward_url": onward_url,
        "marks_url": f"/api/sheets/{path}/marks",
        "enter_s": ENTER_S,
        "hold_ms": 600,
        "early_hold_ms": 3000,
        "wake_hold_ms": 6000,
        "take_back_s": TAKE_BACK_S,
        "ahead_s": 150.0,
        "ready_s": READY_S,
        "hand_in_form": HAND_IN_FORM,
        "long_words": LONG_WORDS,
    }


def run_json(run: Mapping[str, Any]) -> str:
    """The mapping as JSON that is safe inside a `<script>` element."""
    text = json.dumps(run, ensure_ascii=False, allow_nan=False)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def dark_track(process: Process) -> tuple[Cue, ...]:
    """The cues of the sound file of a dark run, its lead included."""
    return schedule(process, lead_s=DARK_LEAD_S)


def clock_words(seconds: float) -> str:
    """Minutes and seconds as on a darkroom clock.

    >>> clock_words(390), clock_words(3600)
    ('6:30', '60:00')
    """
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}"


def _count(seconds: float) -> str:
    """How far to count, as fingers and seconds.

    >>> _count(120), _count(90), _count(10)
    ('2 fingers', '1 finger and 30', '10')
    """
    fingers, rest = divmod(round(seconds), 60)
    words = [f"{fingers} finger{'' if fingers == 1 else 's'}"] if fingers else []
    return " and ".join([*words, *([str(rest)] if rest or not fingers else [])])


def _step(process: Process, step: Step, number: int) -> dict[str, Any]:
    return {
        "key": step.key,
        "number": number,
        "tray": step.tray,
        "entering": step.entering,
        "doing": step.doing,
        "seconds": step.seconds,
        "high_s": step.high_s,
        "live_s": _live_s(step),
        "drain_s": step.drain_s,
        "drain_doing": step.drain_doing,
        "time_words": clock_words(step.seconds),
        "count": _count(step.seconds),
        "count_high": _count(step.high_s),
        "count_drain": _count(step.drain_s),
        "high_words": clock_words(step.high_s),
        "window_words": f"Lift between {clock_words(step.low_s)} and {clock_words(step.high_s)}",
        "spread_words": f"reports run from {clock_words(step.spread_s[0])} to {clock_words(step.spread_s[1])}",
        "light": LIGHTS[step.light],
        "light_words": step.light_words,
        "changed": step.changed,
        "sees": interrupt.seen(step),
        "appears": [_appears(process, step, row[0]) for row in step.appears] if interrupt.seen(step) else [],
        **_interrupted(process, step),
        "source": step.source,
        "cues": [_cue(c) for c in cues_of(process, step)],
    }


def _live_s(step: Step) -> float:
    return min(step.low_s, max(0.0, step.seconds - LIVE_BEFORE_S))


def _cue(cue: Cue) -> dict[str, Any]:
    return {"at_s": cue.at_s, "kind": cue.kind, "number": cue.number}


def _appears(process: Process, step: Step, shown_s: int) -> list[Any]:
    """What the page makes of the step when the image shows in this second: its times, and its cues."""
    s = timed(step, shown_s)
    return [shown_s, s.seconds, s.low_s, s.high_s, _live_s(s), [_cue(c) for c in cues_of(process, s)]]


def _interrupted(process: Process, step: Step) -> dict[str, Any]:
    wait, lit = interrupt.wait(process, step), interrupt.lit(process, step)
    return {
        "pause": wait.kind,
        "pause_most_s": wait.most_s,
        "pause_words": wait.words,
        "lit_means": lit.means,
        "lit_do": lit.do,
        "stopped_words": interrupt.ended(process, step, "stopped"),
    }


def _wrong(process: Process) -> dict[str, dict[str, dict[str, Any]]]:
    """What a wrong tray means and what to do, by the step it was due in and the one it went into."""
    found: dict[str, dict[str, dict[str, Any]]] = {}
    for due in process.steps:
        others = [s for s in process.steps if s.key != due.key]
        answers = {s.key: interrupt.wrong(process, due, s) for s in others}
        found[due.key] = {k: {"means": a.means, "do": a.do, "on": a.on, "stays": a.stays} for k, a in answers.items()}
    return found


def _tones(steps: int) -> dict[str, list[dict[str, float]]]:
    found = {kind: [_note(n) for n in notes] for kind, notes in TONES.items()}
    return found | {f"start {i}": [_note(n) for n in tone("start", i)] for i in range(1, steps + 1)}


def _note(note: Note) -> dict[str, float]:
    return {"at_s": note.at_s, "hz": note.hz, "for_s": note.for_s, "gain": note.gain}


def _dark(process: Process, path: str) -> dict[str, Any] | None:
    hidden = [s for s in process.steps if s.light == "none"]
    if not hidden:
        return None
    lifts: list[dict[str, Any]] = []
    begin_s = over_s = 0.0
    for step in process.steps:
        begin_s += step.seconds
        if step.light == "none":
            lifts.append({"step": step.key, "at_s": begin_s})
            over_s = begin_s + step.drain_s
        begin_s += step.drain_s
    last = hidden[-1]
    return {
        "track": f"/trays/{path}/track.wav",
        "lead_s": DARK_LEAD_S,
        "lead_words": clock_words(DARK_LEAD_S),
        "until": last.key,
        "until_words": last.tray,
        "lifts": lifts,
        "over_s": over_s,
    }
