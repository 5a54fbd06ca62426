"""What baths in the trays tell a run: which one a step goes into, how warm it is, when the image first showed in it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from firstsheet.trays import warmth
from firstsheet.trays.warmth import Shown

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader, Row

KIND = "bath"
APPEARED = "appeared"  # the mark of a run: the image shows
AGENTS = {"developer": "paper", "developer_coffee": "coffee", "developer_colour": "ra4"}


@dataclass(frozen=True, slots=True)
class Read:
    """One reading of first appearance: when, after how long [s], how warm the bath was as last said [°C] or None."""

    wall: str
    appeared_s: float
    temperature_c: float | None

    @property
    def shown(self) -> Shown:
        return Shown(self.appeared_s, self.temperature_c)


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


def readings(reader: Reader, row: Row) -> list[Read]:
    """Every first appearance read in this bath, said or marked at a run, in the order of time; each with the warmth that held then."""
    body = row["body"]
    warm = [(str(body["opened"]), body["temperature_c"])]
    warm += [(e["wall"], e["temperature_c"]) for e in body["events"] if e["temperature_c"] is not None]
    said = [(str(e["wall"]), float(e["appeared_s"])) for e in body["events"] if e["appeared_s"] is not None]
    found = sorted([*said, *_marked(reader, row)])
    return [Read(wall, s, next((c for at, c in reversed(warm) if at <= wall), warm[0][1])) for wall, s in found]


def _marked(reader: Reader, row: Row) -> list[tuple[str, float]]:
    """Marks “the image shows” of sheets whose run went through this bath; the first of a sheet counts."""
    marks = reader.all_marks(APPEARED)
    if not marks:
        return []
    opened, ended = datetime.fromisoformat(row["body"]["opened"]), row["body"]["ended"]
    until = datetime.fromisoformat(ended) if ended else reader.now()
    codes = {s["id"]: s["code"] for s in reader.sheets(limit=1000)}
    through = {t["name"]: t["body"].get("frozen") or {} for t in reader.things("at_trays")}
    out: dict[int, tuple[str, float]] = {}
    for m in marks:
        run = through.get(codes.get(m["sheet_id"], ""), {})
        first = run.get("first")
        if m["sheet_id"] in out or not opened <= m["wall"] <= until or run.get("baths", {}).get(first) != row["name"]:
            continue
        if m["elapsed_s"] and m["body"].get("step") in (None, "", first) and 0.5 <= m["elapsed_s"] <= 3600:
            out[m["sheet_id"]] = (m["wall"].isoformat(), float(m["elapsed_s"]))
    return list(out.values())


def fresh_of(reader: Reader, developer: str, agent: str) -> tuple[float, ...]:
    """First appearance in every fresh bath of this developer, thrown away or not, each brought to 20 °C [s]."""
    out = []
    for t in reader.things(KIND):
        body = t["body"]
        if body["kind"] not in warmth.agents()[agent].baths:
            continue
        here = readings(reader, t)[:1]
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
