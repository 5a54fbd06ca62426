"""What a measured curve says of all it shares with sheets, and what the plan of now would be with it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import tables
from firstsheet.acts import calibrate_parts as parts
from firstsheet.acts import learn
from firstsheet.belief import prior
from firstsheet.exposure.chain import needed_lx_s
from firstsheet.paper import reciprocity
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.answers import Plan
    from firstsheet.acts.own import Owned
    from firstsheet.book.store import Book
    from firstsheet.paper.curve import Curve, StepSeen

HANDLING_SD = 0.10  # a strip against a sheet: another tray, another minute [stop]; no source
LOG10_2 = math.log10(2.0)


@dataclass(frozen=True, slots=True)
class NextPlan:
    """What the plan of now says without this curve and with it [s], each at its own stop; None where no plan can be made."""

    before_s: float | None
    after_s: float | None
    before_sd_stops: float | None
    after_sd_stops: float | None
    before_aperture: float | None = None
    after_aperture: float | None = None


@dataclass(frozen=True, slots=True)
class Said:
    """Everything said of one strip, read."""

    box: Owned
    developer: Owned
    way: str
    light: str
    meter: tuple[str, str]
    kind: str
    exposures: parts.Exposures
    steps: list[StepSeen]
    counted_from: str = "typed"


def evidence(c: Curve, said: Said, common: float) -> tuple[dict[str, Any] | None, str]:
    """What the curve says of all it shares with sheets, or why it says nothing."""
    from firstsheet.paper import curve_points as points

    if c.kind == "transmission":
        return None, "A curve by transmission sets no speed: the mid-tone is one of reflection."
    if not c.absolute:
        return None, "Only steps are known, not lux-seconds: the slope is told, the speed is not."
    at = points.exposure(c, points.mid_place(c), "the mid-tone's exposure")
    if at.value is None or at.log10_sd is None:
        return None, f"The mid-tone was not reached. {at.missing}"
    sd = math.sqrt(max(at.log10_sd**2 - common**2, 0.0)) / LOG10_2
    sd = math.sqrt(sd**2 + HANDLING_SD**2 + parts.LUX_SD_STOPS**2)  # the meter itself is an effect of its own
    speed = prior.starting_speed(said.way, said.box.body)
    effects = [
        *prior.speed_effects(said.way, said.box.name, said.box.body),
        *prior.developer_effects(said.developer.name, said.developer.body["kind"], said.box.name),
        *prior.light_effects(said.way, said.light, speed.light),
        prior.meter_effect(*said.meter),
    ]
    need = math.log2(at.value / needed_lx_s(speed.ei))
    time_s = _time_at(said.exposures, at.value)
    # As for a sheet: what was given beyond a second holds reciprocity, which is its own effect.
    r = float(tables.load("ways")["reciprocity_mean"])
    metered = reciprocity.metered_stops_from_given(time_s, r) if time_s else 0.0
    felt = prior.through_reciprocity(said.way, effects, metered, r) if metered > 0 else tuple(effects)
    stops = need
    if metered > 0:
        given = math.log2(time_s or 1.0)
        nominal = given - need
        stops = given - ((1.0 + r) * nominal - r * metered)
    return {"stops": stops, "sd": sd, "effects": [e.to_json() for e in felt]}, ""


def _time_at(given: parts.Exposures, lxs: float) -> float | None:
    """How long a step with this exposure [lx·s] was open [s], between the steps by their logarithms."""
    if given.times_s is None:
        return None
    pairs = sorted(zip(given.lxs, given.times_s, strict=True))
    for (h0, t0), (h1, t1) in itertools.pairwise(pairs):
        if h0 <= lxs <= h1 and h1 > h0:
            share = math.log(lxs / h0) / math.log(h1 / h0)
            return float(t0 * (t1 / t0) ** share)
    return pairs[0][1] if lxs < pairs[0][0] else pairs[-1][1]


def faster_stops(told: dict[str, Any] | None) -> float | None:
    """Against all that was held before any sheet [stop]."""
    if told is None:
        return None
    began = sum(float(e[1]) * float(e[2]) for e in told["effects"])
    return began - float(told["stops"])


class _Foreseen:
    """The book as it would be with each of these evidences under its name, or with none (None); nothing written reaches it."""

    def __init__(self, book: Book, told: Mapping[str, dict[str, Any] | None]) -> None:
        self._book, self._told = book, told
        self._known: Any = None
        learn.refit(self)  # type: ignore[arg-type]  # the reading half of a book, and its posterior kept here

    def __getattr__(self, name: str) -> Any:
        return getattr(self._book, name)

    def things(self, kind: str) -> list[dict[str, Any]]:
        if kind != "comparison":
            return self._book.things(kind)
        found = [t for t in self._book.things(kind) if t["name"] not in self._told]
        newest = 1 + max((int(t["id"]) for t in self._book.things(kind)), default=0)  # as if it were kept now
        found += [{"id": newest, "name": name, "body": body} for name, body in self._told.items() if body is not None]
        return sorted(found, key=lambda t: str(t["name"]))

    def put_posterior(self, upto_mark: int, body: Any, data: bytes | None = None) -> int:
        self._known = {"body": body}
        return 0

    def newest_posterior(self) -> dict[str, Any] | None:
        found: dict[str, Any] | None = self._known
        return found


def foreseen(book: Book, told: Mapping[str, dict[str, Any] | None]) -> NextPlan:
    """The plan of now without any of these evidences, by name, and with them. Nothing is stored."""
    before = _plan(_Foreseen(book, dict.fromkeys(told)))
    if before is None or all(body is None for body in told.values()):
        return (
            NextPlan(before.time_s, None, before.sd_stops, None, before.aperture)
            if before
            else NextPlan(None, None, None, None)
        )
    after = _plan(_Foreseen(book, told))
    if after is None:
        return NextPlan(before.time_s, None, before.sd_stops, None, before.aperture)
    return NextPlan(before.time_s, after.time_s, before.sd_stops, after.sd_stops, before.aperture, after.aperture)


def _plan(reader: Any) -> Plan | None:
    from firstsheet.acts import plan

    try:
        return plan.plan(reader)
    except Refusal:
        return None
