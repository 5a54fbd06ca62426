"""A way of working at the trays as the person has it: shipped steps with times of their own, added, left out, in another order.

Only what can be run safely is let through: what light is allowed is never typed, it follows from the paper and the steps.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from firstsheet.refusal import Problems, Refusal
from firstsheet.tables import load
from firstsheet.trays.process import LEAST_DRAIN_S, LEAST_S, MOST_S, rows_of

MOST_STEPS, MOST_DRAIN_S = 16, 120.0
DEVELOPERS = ("developer", "first_developer", "colour_developer", "second_developer")
BETWEEN = ("stop", "second_stop", "rinse", "second_rinse", "third_rinse")  # what ends a developer
FIXERS = ("fix", "second_fix", "bleach_fix")


@dataclass(frozen=True, slots=True)
class OwnStep:
    """One step of a way of the person's own.

    key      unique within the way
    liquid   a key of `liquids(way)`: what is in the tray and what hands do there
    seconds  [s] at 20 °C; None for the shipped time, which knows the developer and the base
    low_s, high_s  its window [s]; None stretches the shipped one
    hands    "all" or "some"; None as shipped
    drain_s  [s]; None as shipped
    """

    key: str
    liquid: str
    seconds: float | None = None
    low_s: float | None = None
    high_s: float | None = None
    hands: str | None = None
    drain_s: float | None = None


def liquids(way: str) -> dict[str, dict[str, Any]]:
    """What may stand in a tray of this way: its own shipped steps, and those that any way may have."""
    return {**load("processes")["more"], **{row["key"]: row for row in rows_of(way)}}


def shipped(way: str) -> tuple[OwnStep, ...]:
    """The shipped way, to begin a copy with."""
    return tuple(OwnStep(row["key"], row["key"]) for row in rows_of(way))


def rows(way: str, steps: Sequence[OwnStep]) -> list[dict[str, Any]]:
    """The steps as `process_for` takes them. Refusal with everything that cannot be run so."""
    check(way, steps)
    known = liquids(way)
    out = []
    for s in steps:
        row = {**known[s.liquid], "key": s.key, "liquid": s.liquid}
        if s.seconds is not None:
            row["own_seconds"] = s.seconds
        if s.low_s is not None and s.high_s is not None:
            row["own_window"] = (s.low_s, s.high_s)
        if s.hands is not None:
            row["hands"] = s.hands
        if s.drain_s is not None:
            row["drain_s"] = s.drain_s
        out.append(row)
    return out


def added(way: str, steps: Sequence[OwnStep], step: OwnStep, after: str) -> tuple[OwnStep, ...]:
    """With one more step behind the step `after`, "" for the first place. Refusal where that is none."""
    taken = {s.key for s in steps}
    key = next(k for k in (step.liquid, *(f"{step.liquid}_{i}" for i in range(2, MOST_STEPS + 3))) if k not in taken)
    at = _place(steps, after)
    return (*steps[:at], replace(step, key=key), *steps[at:])


def moved(steps: Sequence[OwnStep], key: str, after: str) -> tuple[OwnStep, ...]:
    """With the step `key` behind the step `after`, "" for the first place."""
    step = find(steps, key)
    if after == key:
        raise Refusal.one("after", after, "Another step, or “start”.", "A step cannot stand behind itself.")
    rest = tuple(s for s in steps if s.key != key)
    at = _place(rest, after)
    return (*rest[:at], step, *rest[at:])


def find(steps: Sequence[OwnStep], key: str) -> OwnStep:
    for s in steps:
        if s.key == key:
            return s
    raise Refusal.one("step", key, "One of: " + ", ".join(s.key for s in steps) + ".", "Name a step of this way.")


def _place(steps: Sequence[OwnStep], after: str) -> int:
    if not after:
        return 0
    for i, s in enumerate(steps):
        if s.key == after:
            return i + 1
    raise Refusal.one(
        "after", after, "One of: start, " + ", ".join(s.key for s in steps) + ".", "Say behind which step."
    )


# ── what can be run ──


def check(way: str, steps: Sequence[OwnStep]) -> None:
    """Refusal with every problem of these steps in this way: their numbers, and their order."""
    problems = Problems()
    known = liquids(way)
    for s in steps:
        if s.liquid not in known:
            problems.add(s.key, s.liquid, "One of: " + ", ".join(known) + ".", "Choose what is in the tray.")
        _numbers(problems, s, bool(known.get(s.liquid, {}).get("wants")))
    if not 3 <= len(steps) <= MOST_STEPS:
        problems.add("steps", len(steps), f"From 3 to {MOST_STEPS} steps.", "A way ends in the wash.")
    problems.raise_if_any()
    names = [s.liquid for s in steps]
    kinds = {row["key"] for row in rows_of(way)}
    (_colour if "colour_developer" in kinds else _reversed if "bleach" in kinds else _black)(names, _order(problems))
    problems.raise_if_any()


def _order(problems: Problems) -> Callable[[str, str, str], None]:
    def wrong(asked: str, allowed: str, hint: str) -> None:
        problems.add("steps", asked, allowed, hint)

    return wrong


def _numbers(problems: Problems, s: OwnStep, lit: bool) -> None:
    if s.seconds is not None and not LEAST_S <= s.seconds <= MOST_S:  # NaN fails this too
        problems.add("time", f"{s.seconds:g} s", "From 5 s to 4 h.", "Try “2 min”.")
    if (s.low_s is None) != (s.high_s is None):
        problems.add("window", "", "Two times, from and to.", "Try “1:30 to 3:00”.")
    elif s.low_s is not None and s.high_s is not None:
        if s.seconds is None:
            problems.add("window", "", "A window goes with a time of your own.", "Say the time too.")
        elif not 1 <= s.low_s <= s.seconds <= s.high_s <= MOST_S:
            asked = f"{s.low_s:g} to {s.high_s:g} s"
            problems.add("window", asked, "A window that holds the time.", f"It must hold {s.seconds:g} s.")
    if s.hands is not None and s.hands not in ("all", "some"):
        problems.add("hands", s.hands, "all or some.", "“some”: they are free once it lies there.")
    elif lit and s.hands == "some":
        problems.add("hands", s.hands, "all: both sides are turned to the light by hand.", "Leave it out.")
    if s.drain_s is not None and not (math.isfinite(s.drain_s) and LEAST_DRAIN_S <= s.drain_s <= MOST_DRAIN_S):
        problems.add("drain", f"{s.drain_s:g} s", "From 3 s to 2 min.", "Try “10 s”.")


def _black(names: list[str], wrong: Callable[[str, str, str], None]) -> None:
    _begins(names, "developer", wrong)
    if "fix" not in names:
        wrong(
            "no fixer", "Paper that is not fixed goes on darkening in white light.", "Add “fix” between stop and wash."
        )
        return
    fix, last_fix = names.index("fix"), _last(names, FIXERS)
    if any(i > fix for i, n in enumerate(names) if n in DEVELOPERS):
        wrong("developer after fix", "The developer comes before the fixer.", "Fixer ends all developing.")
    if "second_fix" in names and names.index("second_fix") < fix:
        wrong("second_fix before fix", "The second fixer after the first.", "Move it.")
    _between(names, "developer", fix, wrong)
    _ends(names, last_fix, wrong)


def _colour(names: list[str], wrong: Callable[[str, str, str], None]) -> None:
    _begins(names, "first_developer", wrong)
    for key, hint in (
        ("white_light", "Without it nothing is left for the colour developer to work on."),
        ("colour_developer", "It makes the picture in colour."),
        ("bleach_fix", "It takes out the silver; without it the print stays black."),
    ):
        if names.count(key) != 1:
            wrong(f"{key} {names.count(key)} times", f"One “{key}”.", hint)
            return
    light, colour, fix = (names.index(k) for k in ("white_light", "colour_developer", "bleach_fix"))
    before = names[:light]
    developed = _last(before, ("first_developer",))
    stops = [i for i, n in enumerate(before) if n in ("stop", "second_stop") and i > developed]
    rinses = [i for i, n in enumerate(before) if n == "rinse"]
    if not stops or not rinses or rinses[-1] < stops[0]:
        wrong(
            "light before stop and rinse",
            "Colour paper sees light only after first developer, stop and rinse.",
            "What developer is left in it would blacken the sheet: put “stop”, then “rinse”, before “white_light”.",
        )
    elif rinses[0] < stops[0]:
        wrong("rinse before stop", "The first stop comes before any rinse.", "From the rinse on light is allowed.")
    if colour < light:
        wrong("colour_developer before white_light", "The light before the colour developer.", "Move it.")
    if fix < colour:
        wrong(
            "bleach_fix before colour_developer", "Bleach-fix after the colour developer.", "It destroys a developer."
        )
    if any(n == "first_developer" for n in names[light:]):
        wrong("first_developer after white_light", "The first developer before the light.", "Move it.")
    _between(names, "colour_developer", fix, wrong)
    _ends(names, _last(names, FIXERS), wrong)


REVERSED = {
    "bleach": "It takes the first picture out; without it the sheet stays a negative and goes black.",
    "clear": "It takes out the brown of the bleach; until then it bears no white light.",
    "white_light": "Without it nothing is left for the second developer to work on.",
    "second_developer": "It makes the picture.",
}


def _reversed(names: list[str], wrong: Callable[[str, str, str], None]) -> None:
    """Reversal of an ordinary paper: developed, bleached, cleared, lit, developed again; never fixed before that."""
    _begins(names, "first_developer", wrong)
    for key, hint in REVERSED.items():
        if names.count(key) != 1:
            wrong(f"{key} {names.count(key)} times", f"One “{key}”.", hint)
            return
    order = [names.index(k) for k in ("first_developer", *REVERSED) if k in names]
    if order != sorted(order):
        wrong(", ".join(names), "first_developer, bleach, clear, white_light, second_developer, in this order.", "Move what stands wrong.")
        return
    bleach, clear, _, second = order[-4:]
    if any(n == "first_developer" for n in names[bleach:]):
        wrong("first_developer after bleach", "The first developer before the bleach.", "Move it.")
    early = [n for n in names[:second] if n in FIXERS]
    if early:
        wrong(f"{early[0]} before second_developer", "The fixer last, if at all.", "It takes out what the second picture is made of.")
    waters = ("rinse", "second_rinse", "third_rinse")
    for start, end, why in (
        (0, bleach, "Developer carried into permanganate turns it brown: water between them, not stop alone."),
        (bleach, clear, "Acid bleach carried into the clearing bath gives off sulphur dioxide: water between them."),
    ):
        if not any(n in waters for n in names[start:end]):
            wrong(f"{names[end]} without a rinse before it", "A rinse between them.", why)
    _between(names, "second_developer", len(names) - 1, wrong)
    _ends(names, max(_last(names, FIXERS), second), wrong)


def _begins(names: list[str], developer: str, wrong: Callable[[str, str, str], None]) -> None:
    first = next((n for n in names if n != "soak"), "")
    if first != developer:
        wrong(
            first or "soak", f"A way begins with “{developer}”, a soak before it at most.", "Put the developer first."
        )
    elif "soak" in names[names.index(developer) :]:
        wrong("soak", "A soak only before the first developer.", "Elsewhere it is a “rinse”.")


def _between(names: list[str], developer: str, fix: int, wrong: Callable[[str, str, str], None]) -> None:
    last = _last(names[:fix], (developer,))
    if last >= 0 and not any(n in BETWEEN for n in names[last + 1 : fix]):
        wrong(
            f"{names[fix]} straight after {developer}",
            "A stop or a rinse between them.",
            "Developer carried over spoils what comes next and stains the sheet.",
        )


def _ends(names: list[str], last_fix: int, wrong: Callable[[str, str, str], None]) -> None:
    if names[-1] != "wash":
        wrong(names[-1], "A way ends in the wash.", "Fixer left in the paper eats the picture: add “wash” at the end.")
    if "washing_aid" in names and names.index("washing_aid") < last_fix:
        wrong("washing_aid before fixer", "The washing aid after the last fixer.", "Move it.")
    if any(n == "wash" for n in names[: max(last_fix, 0)]):
        wrong("wash before fixer", "The wash after the last fixer.", "Before it use “rinse”.")


def _last(names: Sequence[str], which: Sequence[str]) -> int:
    return max((i for i, n in enumerate(names) if n in which), default=-1)
