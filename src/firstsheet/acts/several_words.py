"""Sentences on several sheets at once; and what can hurt there, said first. Cautions from docs/safety.md."""

from __future__ import annotations

from collections.abc import Sequence

from firstsheet import wording
from firstsheet.trays.process import Process
from firstsheet.trays.runpage import clock_words
from firstsheet.trays.several import Deed
from firstsheet.trays.several_chain import Wanted

FIRST = "If anything happens, white light first: splash, faintness, a fall. All these sheets are worth less."
ROOM = "The way out stays free of sitters, bags and trays; the room opens at one push, and somebody outside knows who is in it and until when."
AIR = "People who wait, wait outside: each one in the dark room uses up its air. The fan stays on."
SUN = "Never the lens uncovered toward the sun, reflections too: behind it, it sets fire. Between sheets the cap is on, outside."
HURRY = "Do not run. Gloves stay on between trays, hands are rinsed before the paper box; a wet floor is wiped at once."
LAMP = "Lamp, switch and leads away from trays and wet hands."
LIGHTS = {
    "lens": "Lens open: no other sheet is uncovered.",
    "white": "White light is allowed: every sheet is covered or past it.",
    "red": "Red lamp only.",
    "none": "No light at all, not even red.",
}
DEEDS = {
    "compose": "compose and focus, lens open; then lens shut",
    "mount": "box open, sheet on the board, box shut",
    "expose": "expose, lens open; then lens shut",
    "carry": "off the board and to the trays",
    "box": "into the box for exposed sheets, lid shut",
    "unbox": "out of the box for exposed sheets, lid shut",
}


def clock(time_s: float) -> str:
    return clock_words(time_s)


def headline(count: int, end_s: int, per_hour: float) -> str:
    sheets = "1 sheet" if count == 1 else f"{count} sheets"
    return f"{sheets} in {wording.seconds(end_s)}: {per_hour:.1f} an hour."


def proof(proven: bool, longer: float) -> str:
    if proven:
        return "No order is quicker."
    return f"At most {max(1, round(100 * longer + 0.49))} % longer than the quickest there can be; that it is the quickest is not proved."


def hindrance(what: str) -> str:
    if what == "hands":
        return "one pair of hands"
    if what == "light":
        return "the room’s light: the lens stays shut while a sheet is uncovered"
    return "the sheet that comes last or takes longest" if what == "sheet" else f"the {what}"


def light_words(light: str) -> str:
    return LIGHTS[light]


def deed_words(process: Process, d: Deed) -> str:
    """What hands do, in a few words, with the tray's name."""
    if not d.step:
        if d.kind == "expose" and process.way == "contact_print":
            return f"expose {wording.seconds(d.until_s - d.at_s)} under the lamp; lamp off"
        if d.kind == "mount" and process.way == "contact_print":
            return "box open, paper and negative under the glass, box shut"
        return (
            f"expose {wording.seconds(d.until_s - d.at_s)}, lens open; then lens shut"
            if d.kind == "expose"
            else DEEDS[d.kind]
        )
    step = process.steps[process.number_of(d.step) - 1]
    if d.kind == "rock":
        return f"{step.tray} {wording.seconds(d.until_s - d.at_s)}, hands on it"
    if d.kind == "enter":
        return f"into the {step.tray}"
    return f"lift from the {step.tray}, drain"


def caution_lines(wanted: Sequence[Wanted]) -> tuple[str, ...]:
    """What can hurt, before anything else; each way's own cautions once."""
    lamp = (LAMP,) if any(w.process.way == "contact_print" for w in wanted) else ()
    own = [c for w in wanted for c in (*w.process.cautions, w.process.afterwards)]
    return (FIRST, ROOM, AIR, SUN, HURRY, *lamp, *dict.fromkeys(own))
