"""What baths in the trays tell a run: which one a step goes into, how warm it is, when the image first showed in it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from firstsheet import wording
from firstsheet.acts.frozen_run import Shown
from firstsheet.chemistry import bath
from firstsheet.tables import load
from firstsheet.trays import warmth

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader, Row

KIND = "bath"
AGENTS = {"developer": "paper", "developer_coffee": "coffee", "developer_colour": "ra4"}


@dataclass(frozen=True, slots=True)
class Read:
    """One reading of first appearance: when, after how long [s], how warm the bath was as last said [°C] or None."""

    wall: str
    appeared_s: float
    temperature_c: float | None

    @property
    def shown(self) -> warmth.Shown:
        return warmth.Shown(self.appeared_s, self.temperature_c)


@dataclass(frozen=True, slots=True)
class Appearance:
    """One reading of first appearance in the bath's own course.

    wall, hours_open  when, and how long it had been open then [h]
    appeared_s, temperature_c  as read [s, °C]
    later    so many times later than the first reading, warmth allowed for where both were read with theirs
    """

    wall: str
    hours_open: float
    appeared_s: float
    temperature_c: float | None
    later: float
    words: str


def series(read: list[Read], opened: datetime, q10: float) -> tuple[Appearance, ...]:
    """The drift of first appearance over the day."""
    out = []
    for r in read:
        first = read[0]
        later = bath.slowed(first.appeared_s, r.appeared_s, first.temperature_c, r.temperature_c, q10).tired
        hours = (datetime.fromisoformat(r.wall) - opened).total_seconds() / 3600
        warm = "" if r.temperature_c is None else f" at {r.temperature_c:g} °C"
        than = "; the first" if r is first else (f"; {later:.2g} times the first" if abs(later - 1) >= 0.05 else "; as late as the first") + (", warmth allowed for" if warm and first.temperature_c is not None else "")  # fmt: skip
        words = f"{wording.seconds(3600 * hours) if hours * 3600 >= 60 else 'At once'}{' after pouring' if hours * 3600 >= 60 else ''}: first appearance {wording.seconds(r.appeared_s)}{warm}{than}."
        out.append(Appearance(r.wall, hours, r.appeared_s, r.temperature_c, later, words))
    return tuple(out)


def factor_of(reader: Reader, row: Row, runs: Shown | None = None) -> warmth.Range | None:
    """What fresh baths of this one's developer have taught of its factor, from the shipped time of its kind; None where none was read."""
    agent = AGENTS.get(row["body"]["kind"])
    name = row["body"].get("developer")
    kind = {"paper": "paper", "coffee": "coffee"}.get(agent or "")
    if agent is None or kind is None:
        return None
    fresh = fresh_of(reader, name or "", agent, runs)
    return warmth.learned_factor(float(load("processes")["developers"][kind]["seconds"]), fresh) if fresh else None


def bath_for(reader: Reader, agent: str, developer: str) -> Row | None:
    """The open bath that a step goes into: one poured as this developer, else one of its kind that names no other; the newest."""
    kinds = warmth.agents()[agent].baths
    found = [t for t in reader.things(KIND) if t["body"]["kind"] in kinds and not t["body"]["ended"]]
    if agent in AGENTS.values():
        found = [t for t in found if t["body"].get("developer") in (None, developer)]
    order = sorted(
        found,
        key=lambda t: (
            kinds.index(t["body"]["kind"]),
            t["body"].get("developer") is None,
            t["name"] != developer,
            -t["id"],
        ),
    )
    return order[0] if order else None


def temperature(body: dict[str, Any]) -> tuple[float, str] | None:
    """How warm the bath was when it was last said [°C], and when that was (ISO, UTC)."""
    for e in reversed(body["events"]):
        if e["temperature_c"] is not None:
            return float(e["temperature_c"]), str(e["wall"])
    return None if body["temperature_c"] is None else (float(body["temperature_c"]), str(body["opened"]))


def readings(reader: Reader, row: Row, runs: Shown | None = None) -> list[Read]:
    """Every first appearance read in this bath, said or marked at a run, in the order of time; each with the warmth that held then.

    runs  those in which the image was seen, where they were read already
    """
    body = row["body"]
    c = body["temperature_c"]
    warm: list[tuple[str, float | None]] = [(str(body["opened"]), c)]
    out = []
    for e in body["events"]:
        c = c if e["temperature_c"] is None else e["temperature_c"]
        warm.append((str(e["wall"]), c))
        if e["appeared_s"] is not None:
            out.append(Read(str(e["wall"]), float(e["appeared_s"]), c))
    for wall, s, said in _marked(row, runs or Shown(reader)):
        held = next((c for at, c in reversed(warm) if at <= wall), warm[0][1])
        out.append(Read(wall, s, held if said is None else said))
    return sorted(out, key=lambda r: r.wall)


def _marked(row: Row, runs: Shown) -> Iterator[tuple[str, float, float | None]]:
    """What was marked at the runs of sheets that went through this bath: when, after how long, and how warm it was said to be for that run."""
    opened, ended = datetime.fromisoformat(row["body"]["opened"]), row["body"]["ended"]
    until = datetime.fromisoformat(ended) if ended else None
    for found, mark, said in runs.runs:
        inside = opened <= mark["wall"] and (until is None or mark["wall"] <= until)
        since = runs.seconds(found) if inside and found["baths"].get(found["first"]) == row["name"] else None
        if since is not None:
            yield mark["wall"].isoformat(), since, said


def fresh_of(reader: Reader, developer: str, agent: str, runs: Shown | None = None) -> tuple[float, ...]:
    """First appearance in every fresh bath of this developer, thrown away or not, each brought to 20 °C [s]."""
    out = []
    runs = runs or Shown(reader)
    for t in reader.things(KIND):
        body = t["body"]
        if body["kind"] not in warmth.agents()[agent].baths:
            continue
        here = readings(reader, t, runs)[:1]
        mine = [(r.appeared_s, r.temperature_c) for r in here if body.get("developer") in (None, developer)]
        mine += [
            (f["appeared_s"], f["temperature_c"])
            for f in body.get("before", ())
            if f["developer"] in (None, developer) and f["kind"] == body["kind"]
        ]
        for seconds, c in mine:
            at = warmth.USUAL_C if c is None else warmth.within(agent, c)
            out.append(seconds / warmth.times_longer(agent, at)[1])
    return tuple(out)


def carried(reader: Reader, row: Row | None) -> list[dict[str, Any]]:
    """What a bath poured under a name that was used before keeps of those: how soon the image showed in each when fresh."""
    if row is None:
        return []
    body = row["body"]
    now = [
        {
            "appeared_s": r.appeared_s,
            "temperature_c": r.temperature_c,
            "developer": body.get("developer"),
            "kind": body["kind"],
        }
        for r in readings(reader, row)[:1]
    ]
    return [*body.get("before", ()), *now][-30:]
