"""When a run is interrupted: what may wait, what a wrong tray did, what white light by mistake means for this sheet.

Pure: the shipped table, turned into answers for one process. Nothing here says that a sheet is saved; it says what
each liquid does, and what to do next.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from firstsheet import wording
from firstsheet.paper import response
from firstsheet.tables import load
from firstsheet.trays.process import Process, Step

LOST = ""


@dataclass(frozen=True, slots=True)
class Wait:
    """How a step takes a pause.

    kind    "no", "goes_on" (its time goes on counting) or "waits" (its time stands still)
    most_s  "goes_on": so long in this tray altogether; "waits": so long each time [s]; 0 where it may not wait
    words   the same, said
    """

    kind: str
    most_s: float
    words: str


@dataclass(frozen=True, slots=True)
class Wrong:
    """What the wrong tray did, what to do now, and where the sheet goes on: a step's key; "" where it is lost.

    stays  it goes on where it lies, from when it went in
    """

    means: str
    do: str
    on: str
    stays: bool = False


@dataclass(frozen=True, slots=True)
class Lit:
    """What white light means for the sheet now, and what to do; "" and "" where it does no harm."""

    means: str
    do: str


def wait(process: Process, step: Step) -> Wait:
    """Whether a sheet may wait in this step, and how long."""
    entry: dict[str, Any] = load("interruptions")["pause"][_role(step)]
    following = process.after(step.key)
    kind = str(entry["kind"])
    most_s = 0.0
    if kind != "no":
        most_s = max(step.high_s, float(entry.get("most", 0.0)))
    words = str(entry["words"]).format(
        tray=step.tray,
        most=wording.seconds(most_s),
        light=step.light_words,
        next=following.tray if following else "next tray",
    )
    return Wait(kind, most_s, words)


def wrong(process: Process, due: Step, into: Step) -> Wrong:
    """The sheet was due in one step and lies in the tray of another."""
    table: dict[str, Any] = load("interruptions")["wrong"]
    stage = stage_of(process, due)
    answer = table.get(stage, {}).get(_role(into), table["unknown"])
    number = process.number_of(due.key)
    before = process.steps[number - 2] if number > 1 else due
    stop = next((s for s in process.steps if _role(s) == "stop"), due)
    on = {"due": due.key, "before": before.key, "there": into.key, "first_stop": stop.key, "lost": LOST}[answer["on"]]
    do = str(answer["do"]).format(due=due.tray, before=before.tray)
    return Wrong(str(answer["means"]), do, on, answer["on"] == "there")


def lit(process: Process, step: Step) -> Lit:
    """White light by mistake while the sheet is in, or drains from, this step."""
    if step.light == "white":
        return Lit("", "")
    table: dict[str, Any] = load("interruptions")["lights"]
    entry = table.get(stage_of(process, step))
    if entry is None:
        return Lit("", "")
    return Lit(str(entry["means"]).format(tone=_fog(process)), str(entry["do"]))


def ended(process: Process, step: Step | None, kind: str) -> str:
    """What an end before the end means for the sheet: "stopped" or "abandoned", in this step; None after the last."""
    if kind == "abandoned":
        return "The sheet was given up. Out of the tray with it, and rinse your gloves."
    if step is None:
        return "The run was stopped. Every step was done."
    if stage_of(process, step) == "fixed":
        return "The run was stopped. The picture is fixed; what is not washed out of it will stain in time."
    return (
        "The run was stopped. It is not fixed: light goes on changing it. To keep it as it is, stop, fix and wash it."
    )


def stage_of(process: Process, step: Step) -> str:
    """Where in its life a sheet is that is due in this step; the names are the table's."""
    at = process.number_of(step.key) - 1
    roles = [_role(s) for s in process.steps]
    developed = roles.index("developer") if "developer" in roles else 0
    fixers = [i for i, r in enumerate(roles) if r == "fixer"]
    if at <= developed:
        return "undeveloped"
    if fixers and at > fixers[-1]:
        return "fixed"
    if fixers and at >= fixers[0]:
        return "fixing"
    if "light" not in roles:
        return "stopping"
    light = roles.index("light")
    if "bleach" in roles:
        return _reversed_stage(roles, at, light)
    colour = roles.index("colour_developer") if "colour_developer" in roles else light
    return "stopped" if at < light else "fogging" if at == light else "colouring" if at <= colour else "coloured"


def _reversed_stage(roles: list[str], at: int, light: int) -> str:
    """Between first developer and fixer of a paper that is bleached and developed again."""
    if at <= roles.index("bleach"):
        return "unbleached"
    if at < light:
        return "bleached"
    second = roles.index("developer", light) if "developer" in roles[light:] else light
    return "relit" if at == light else "again" if at <= second else "twice"


def seen(step: Step) -> bool:
    """Whether the image can be seen to show first in this step: a developer, under a lamp."""
    return _role(step) == "developer" and step.light != "none"


def _role(step: Step) -> str:
    roles: dict[str, str] = load("interruptions")["roles"]
    return roles.get(step.agent) or roles.get(step.key) or ("light" if step.wants == "white" else "unknown")


def _fog(process: Process) -> str:
    try:
        return "darker" if response.sense(process.way) > 0 else "paler"
    except KeyError:
        return "changed in tone"
