"""A way of working as timed steps. Pure: no clock, no files but the shipped table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from firstsheet.refusal import Problems
from firstsheet.tables import load
from firstsheet.trays import warmth

LEAST_S, MOST_S = 5.0, 4 * 3600.0
LEAST_DRAIN_S = 3.0  # a lift and the next start must stay two sounds
WANTED = "White light is wanted now, on both sides of the sheet."


@dataclass(frozen=True, slots=True)
class Step:
    """One liquid (or white light) and what it takes.

    key              unique within its process
    tray             what stands there, in words
    entering         what the hands do in the first seconds
    doing            what they do then, a short sentence
    seconds          how long [s], at 20 °C unless given by the person
    low_s, high_s    lift between these [s]
    spread_s         least and most among the reports found [s]
    drain_s          from the lift to the next liquid [s]
    drain_doing      what the hands do then
    light            what the sheet tolerates: "none", "red" or "white"
    light_words      the same, said
    source           where the numbers come from
    hands            "all": they hold it or rock it from the first second to the last; "some": they are free between
    enter_s          so long they are busy putting it in, where they are free afterwards [s]
    wants            a light that the step itself needs, "white", or ""
    restarts         what lies in this tray begins its time anew when another sheet joins it
    agent            how the liquid takes to warmth, a key of `warmth.agents()`; "" for light
    changed          one line on what today's bath made of the time and why; "" where the time is as at 20 °C
    plain_s          its time at 20 °C in a fresh bath, where it was changed [s]; else None
    doubt_s          9 in 10 of that changed time [s]; None where nothing was changed
    appearance_factor  whole time over first appearance of the image: low, likely, high; None where none is known or nothing can be seen
    caution          what can hurt at this step, "" where the way's own say it all
    appears          what a mark “the image shows” makes of this step: rows of (appeared_s, total_s, low_s, high_s) [s], one for each whole
                     second since it went in, of a rising range; a page looks up the row of the second at which it was marked and takes
                     total_s as the step's whole time from going in. A mark without a row changes nothing. () where no factor is known
    """

    key: str
    tray: str
    entering: str
    doing: str
    seconds: float
    low_s: float
    high_s: float
    spread_s: tuple[float, float]
    drain_s: float
    drain_doing: str
    light: str
    light_words: str
    source: str
    hands: str = "some"
    enter_s: float = 5.0
    wants: str = ""
    restarts: bool = False
    agent: str = ""
    changed: str = ""
    plain_s: float | None = None
    doubt_s: tuple[float, float] | None = None
    appearance_factor: warmth.Range | None = None
    appears: tuple[warmth.Appears, ...] = ()
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Process:
    way: str
    words: str
    developer: str
    developer_words: str
    sensitivity: str
    steps: tuple[Step, ...]
    cautions: tuple[str, ...]
    afterwards: str

    def number_of(self, key: str) -> int:
        """The place of a step, counted from 1; 0 where there is no such step."""
        return next((i for i, s in enumerate(self.steps, 1) if s.key == key), 0)

    def after(self, key: str) -> Step | None:
        """The step that follows, None after the last one."""
        number = self.number_of(key)
        return self.steps[number] if 0 < number < len(self.steps) else None

    @property
    def total_s(self) -> float:
        """The whole of an uninterrupted run, the last drain included [s]."""
        return sum(s.seconds + s.drain_s for s in self.steps)


def ways() -> dict[str, str]:
    """Key and words of every way of working."""
    return {key: str(way["words"]) for key, way in load("processes")["ways"].items()}


def rows_of(way: str) -> list[dict[str, Any]]:
    """The shipped steps of a way of working, as the table has them. KeyError for no such way."""
    all_ways = load("processes")["ways"]
    rows: list[dict[str, Any]] = all_ways[all_ways[way].get("same_steps_as", way)]["steps"]
    return rows


def process_for(
    way: str,
    developer_kind: str = "paper",
    sensitivity: str = "blue",
    base: str = "rc",
    seconds: Mapping[str, float] | None = None,
    rows: list[dict[str, Any]] | None = None,
) -> Process:
    """The timed steps for one way of working, developer and paper.

    way             a key of `ways()`
    developer_kind  "paper" (ordinary paper developer), "coffee", or "ra4" for colour reversal
    sensitivity     "blue", "ortho" or "colour"
    base            "rc" (resin-coated) or "fibre"; longer fix and wash for fibre
    seconds         the person's own times by step key [s], 5 s to 4 h; the windows stretch with them
    rows            steps of the person's own in place of the shipped ones, from `ownway.rows`; all else stays the way's

    Raises Refusal with everything that does not fit.
    """
    own = dict(seconds or {})
    data = load("processes")
    problems = Problems()
    _choice(problems, "way", way, data["ways"])
    _choice(problems, "developer", developer_kind, data["developers"])
    _choice(problems, "sensitivity", sensitivity, data["tolerates"])
    _choice(problems, "base", base, ("rc", "fibre"))
    problems.raise_if_any()
    chosen = data["ways"][way]
    whole = {**data["ways"][chosen["same_steps_as"]], **chosen} if "same_steps_as" in chosen else chosen
    rows = whole["steps"] if rows is None else rows
    until = whole.get("until", {})  # what this way of working watches for besides
    rows = [row | {"doing": f"{row['doing']} {until[row['key']]}"} if row["key"] in until else row for row in rows]
    own = {row["key"]: row["own_seconds"] for row in rows if "own_seconds" in row} | own
    _fitting(problems, whole | {"steps": rows}, developer_kind, sensitivity, own)
    problems.raise_if_any()
    return Process(
        way=way,
        words=whole["words"],
        developer=developer_kind,
        developer_words=data["developers"][developer_kind]["words"],
        sensitivity=sensitivity,
        steps=_steps(rows, data["developers"][developer_kind], _tolerates(data, whole, sensitivity), base, own),
        cautions=(data["developers"][developer_kind]["caution"], *whole["cautions"]),
        afterwards=whole["afterwards"],
    )


def _tolerates(data: Mapping[str, Any], whole: Mapping[str, Any], sensitivity: str) -> dict[str, Any]:
    """What this paper tolerates, in the way's own words where it has any."""
    shipped: dict[str, Any] = data["tolerates"][sensitivity]
    own = whole.get("tolerates", {}).get(sensitivity)
    return shipped | ({"until_words": own} if own else {})


def _choice(problems: Problems, where: str, asked: str, allowed: Any) -> None:
    if asked not in allowed:
        problems.add(where, asked, "One of " + ", ".join(allowed) + ".", "Choose one of these.")


def _fitting(
    problems: Problems, whole: Mapping[str, Any], kind: str, sensitivity: str, own: Mapping[str, float]
) -> None:
    rows = whole["steps"]
    keys = [row["key"] for row in rows]
    first = next(row["key"] for row in rows if row.get("seconds_from") == "developer")
    if sensitivity not in whole["papers"]:
        problems.add(
            "sensitivity",
            sensitivity,
            f"For {whole['words']}: {', '.join(whole['papers'])}.",
            "Choose the paper that is in the box, or another way of working.",
        )
    if kind not in whole["developers"] and first not in own:
        problems.add(
            "developer",
            kind,
            f"For {whole['words']}: {', '.join(whole['developers'])}.",
            f"No time was found for it here; give your own seconds for “{first}”.",
        )
    for key, value in own.items():
        if key not in keys:
            allowed = "A step of this way: " + ", ".join(keys) + "."
            problems.add(f"seconds.{key}", value, allowed, "Leave it out.")
        elif not LEAST_S <= value <= MOST_S:  # NaN fails this too
            problems.add(f"seconds.{key}", value, "From 5 s to 4 h.", "Give the time in seconds.")


def _steps(
    rows: list[dict[str, Any]],
    developer: Mapping[str, Any],
    light: Mapping[str, Any],
    base: str,
    own: Mapping[str, float],
) -> tuple[Step, ...]:
    out: list[Step] = []
    safe_after = next(i for i, row in enumerate(rows) if row.get("liquid", row["key"]) in light["until_done"])
    for i, row in enumerate(rows):
        numbers = {**developer, **row} if row.get("seconds_from") == "developer" else {**row}
        if base == "fibre":
            numbers |= row.get("fibre", {})
        usual = float(numbers["seconds"])
        given = float(own.get(row["key"], usual))
        low, high = row.get("own_window") or (float(x) * given / usual for x in numbers["window"])
        guarded = i <= safe_after
        first = not any("seconds_from" in r for r in rows[:i])
        seen = first and "seconds_from" in row and light["until" if guarded else "after"] != "none"
        factor = warmth.usual_factor(numbers["agent"]) if seen else None
        out.append(
            Step(
                key=row["key"],
                tray=row["tray"],
                entering=row.get("entering", row["doing"]),
                doing=row["doing"],
                seconds=given,
                low_s=low,
                high_s=high,
                spread_s=(float(numbers["spread"][0]), float(numbers["spread"][1])),
                drain_s=max(LEAST_DRAIN_S, float(row["drain_s"])),
                drain_doing=row.get("drain_doing", "Let it drain over the tray, by one corner."),
                light=light["until" if guarded else "after"],
                light_words=WANTED if row.get("wants") == "white" else light["until_words" if guarded else "after_words"],
                source=numbers["source"] if given == usual and "own_window" not in row else "your own time",
                hands=row.get("hands", "some"),
                enter_s=float(row.get("enter_s", 5.0)),
                wants=row.get("wants", ""),
                restarts=bool(row.get("restarts", False)),
                agent=numbers.get("agent", ""),
                appearance_factor=factor,
                appears=warmth.appears(given, factor),
                caution=row.get("caution", ""),
            )
        )
    return tuple(out)
