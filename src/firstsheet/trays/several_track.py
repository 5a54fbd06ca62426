"""One sound for several sheets: whose turn it is, what hands do, and the room's light, in the order of the plan.

Each stretch begins at its tone: so many pips as the sheet's number. Ten seconds before, where nothing else is being said, it is named.
Within a stretch each tray is named when the sheet goes in, and lifting has its own tone. Less light is said before a box is opened,
more light only after it is allowed.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

from firstsheet.refusal import Refusal
from firstsheet.trays import voice
from firstsheet.trays.cues import PIP, PIP_EVERY_S, TONES
from firstsheet.trays.process import Process
from firstsheet.trays.several import Deed, Lit, Several
from firstsheet.trays.several_chain import Wanted
from firstsheet.trays.striptrack import Spoken

LEAD_S = 20.0  # before the first deed: what is said first
READY_S = 10.0
TICK_S = 10.0
ROOM_S = 1.0  # between the end of a word and the next tone
LONGEST_S = 2 * 3600.0  # a longer file is too large for a phone
SAID = {
    "compose": "compose",
    "mount": "mount_sheet",
    "expose": "expose_now",
    "carry": "off_the_board",
    "box": "into_box",
    "unbox": "out_of_box",
}
SHUT_S = 4.0  # the lens is shut so long before a composed picture is left for the paper box
AFTER_S = 1.8  # after an exposure its end is told first
WHITE_S = 30.0  # white light is offered where it may stay on for so long


@dataclass(frozen=True, slots=True)
class Track:
    """zero_s  where the plan's beginning lies in the sound [s]; total_s: its length [s]"""

    zero_s: float
    total_s: float
    cues: tuple[Spoken, ...]


def track(wanted: Sequence[Wanted], plan: Several, now_s: int = 0) -> Track:
    """The cues of what is still to be done, from now_s of the plan on. Refusal for a plan of more than two hours, or one that is over."""
    deeds = [d for d in plan.deeds if d.at_s >= now_s and not d.marked]
    if not deeds or plan.end_s - now_s > LONGEST_S:
        raise Refusal.one(
            "sheets",
            f"{(plan.end_s - now_s) / 3600:.1f} h",
            "Up to two hours still to be done for one sound.",
            "Plan fewer at once.",
        )
    zero = LEAD_S - now_s
    by = {w.name: w.process for w in wanted}
    strong = [c for d in sorted(deeds, key=lambda d: d.at_s) for c in _deed(by[d.sheet], plan, d, zero)]
    named = {(d.sheet, d.key): d for d in reversed(deeds)}
    ready = [
        Spoken(
            d.at_s + zero - READY_S,
            "ready",
            (*_dark(plan, d), "sheet_word", *_number(d.sheet), "in_word", "n10"),
            _tone_s("ready"),
        )
        for d in named.values()
    ]
    lights = [
        c for c in (_brighter(a.light, b, zero) for a, b in itertools.pairwise(plan.lights)) if c and c.at_s >= LEAD_S
    ]
    over = Spoken(plan.end_s + zero, "drain_end", ("run_over",), _tone_s("drain_end"))
    cues = _into_gaps([*strong, over], [_first(), *lights, *ready])
    cues = _with_ticks(cues, plan.end_s + zero)
    last = cues[-1]
    return Track(zero, last.at_s + last.after_s + voice.lasts_s(last.clips) + 1.0, tuple(cues))


def _first() -> Spoken:
    return Spoken(0.5, "", ("lights_on_first",))


def _number(name: str) -> tuple[str, ...]:
    return voice.number(int(name)) if name.isdigit() and 1 <= int(name) <= 59 else ()


def _dark(plan: Several, d: Deed) -> tuple[str, ...]:
    """What is said of the light before a box of paper is opened; nothing elsewhere."""
    if d.kind not in ("mount", "unbox"):
        return ()
    light = next((x.light for x in plan.lights if x.from_s <= d.at_s < x.to_s), "none")
    return {"none": ("no_light",), "red": ("red_lamp_only",)}.get(light, ())


def _brighter(before: str, now: Lit, zero: float) -> Spoken | None:
    """More light is allowed: said after its moment, never before, and only where it stays so for a while."""
    if before == "none" and now.light == "red":
        return Spoken(now.from_s + zero, "", ("red_lamp_on",))
    if now.light == "white" and now.to_s - now.from_s >= WHITE_S:
        return Spoken(now.from_s + zero, "", ("switch_on",))
    return None


def _deed(process: Process, plan: Several, d: Deed, zero: float) -> list[Spoken]:
    """The cue at the beginning of one piece of work."""
    at = d.at_s + zero + (AFTER_S if d.kind == "carry" else 0.0)
    if d.kind == "lift":
        return [Spoken(at, "lift", ("sheet_word", *_number(d.sheet), "lift_drain"), _tone_s("lift"))]
    step = process.steps[process.number_of(d.step) - 1] if d.step else None
    clip = step.tray.replace(" ", "_").replace("-", "_") if step else SAID[d.kind]
    pips = int(d.sheet) if d.sheet.isdigit() else 1
    cues = [Spoken(at, "start", (*_dark(plan, d), "sheet_word", *_number(d.sheet), clip), _tone_s("start", pips), pips)]
    if d.kind in ("compose", "expose"):
        shut_s = d.until_s + zero - (SHUT_S if d.kind == "compose" and d.until_s - d.at_s > 2 * SHUT_S else 0.0)
        shut = Spoken(shut_s, "close", ("lens_shut",), _tone_s("close"))
        cues = [Spoken(at, "open", ("sheet_word", *_number(d.sheet), clip), _tone_s("open")), *_counted(d, at), shut]
    return cues


def _counted(d: Deed, at: float) -> list[Spoken]:
    """The seconds left of an exposure, the last five."""
    end = at + d.until_s - d.at_s
    return [
        Spoken(end - n, "", voice.number(n))
        for n in (5, 4, 3, 2, 1)
        if d.kind == "expose" and d.until_s - d.at_s >= n + 4
    ]


def _tone_s(kind: str, number: int = 1) -> float:
    """From the onset of a tone to where a word may follow [s]."""
    end = (number - 1) * PIP_EVERY_S + PIP.for_s if kind == "start" else max(n.at_s + n.for_s for n in TONES[kind])
    return end + 0.1


def _end_s(c: Spoken) -> float:
    return c.at_s + c.after_s + (voice.lasts_s(c.clips) if c.clips else 0.0)


def _into_gaps(strong: list[Spoken], more: list[Spoken]) -> list[Spoken]:
    """Cues that tell a deed stand at their moment, cut to what is left before the next; others only where there is room for them.

    A light's words may come a little later than its moment, never before it; a warning of a stretch not at all if not in time.
    """
    strong = sorted(strong, key=lambda c: c.at_s)
    out: list[Spoken] = []
    for n, c in enumerate(strong):
        until = strong[n + 1].at_s if n + 1 < len(strong) else float("inf")
        clips = c.clips
        while clips and c.at_s + c.after_s + voice.lasts_s(clips) > until:
            clips = clips[1:]
        out.append(replace(c, clips=clips))
    for c in more:
        length = _end_s(c) - c.at_s
        late = 8.0 if not c.tone else 0.0
        for at in _free(sorted(out, key=lambda x: x.at_s), c.at_s, c.at_s + late, length):
            out.append(replace(c, at_s=at))
            break
    return sorted(out, key=lambda c: c.at_s)


def _free(cues: list[Spoken], at: float, latest: float, length: float) -> list[float]:
    """The first moment from `at` to `latest` at which `length` fits between the cues; none where there is none."""
    for c in cues:
        end = _end_s(c) + 0.2
        if c.at_s < at + length + ROOM_S and at < end:
            at = end
    return [at] if 0 <= at <= latest else []


def _with_ticks(cues: list[Spoken], until: float) -> list[Spoken]:
    """A tick every ten seconds where nothing else sounds: a missing one is how silence is noticed."""
    ticks = []
    for n in range(1, int(until // TICK_S) + 1):
        at = n * TICK_S
        if all(not (c.at_s - 1.0 < at < max(_end_s(c), c.at_s) + 0.5) for c in cues if abs(c.at_s - at) < 15):
            ticks.append(Spoken(at, "tick", ()))
    return sorted([*cues, *ticks], key=lambda c: c.at_s)
