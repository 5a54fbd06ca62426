"""Time and temperature: how much longer a liquid takes in the cold, and the whole time by first appearance of the image.

Pure numbers; figures and their sources are in the table. Ratios are to the time at 20 °C and come as (low, likely, high).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Any

from firstsheet.refusal import Refusal
from firstsheet.tables import load

Range = tuple[float, float, float]
Appears = tuple[int, float, float, float]  # appeared_s, total_s, low_s, high_s
USUAL_C = 20.0
READING_SHARE = 0.10  # two readings of first appearance of one bath differ by so much; common practice, no source
NINE_IN_TEN = 1.645
FURTHEST = 4.0  # a mark that makes the time so many times shorter or longer than planned was not the image showing


@dataclass(frozen=True, slots=True)
class Agent:
    """How one liquid takes to warmth; see the table. `q10` for developers, `cold` for all else."""

    key: str
    words: str
    q10: Range | None
    cold: tuple[tuple[float, float], ...]
    doubt: float
    least_c: float
    most_c: float
    stall: str
    hot: str
    baths: tuple[str, ...]
    source: str


@cache
def agents() -> dict[str, Agent]:
    rows: dict[str, Any] = load("warmth")["agent"]
    return {
        k: Agent(k, r["words"], (r["q10"][0], r["q10"][1], r["q10"][2]) if "q10" in r else None,
                 tuple((float(c), float(x)) for c, x in r.get("cold", ())), float(r.get("doubt", 0.0)), float(r["least_c"]), float(r["most_c"]),
                 r["stall"], r["hot"], tuple(r["baths"]), r["source"])
        for k, r in rows.items()
    }  # fmt: skip


def check(agent: str, temperature_c: float, where: str = "temperature") -> None:
    """Refuses a temperature [°C] at which no time is known for this agent, and says what to do about it."""
    a = agents()[agent]
    if not a.least_c <= temperature_c <= a.most_c:  # NaN fails this too
        words = a.stall if temperature_c < a.least_c else a.hot
        raise Refusal.one(where, f"{a.words} at {temperature_c:g} °C", f"From {a.least_c:g} to {a.most_c:g} °C.", words)


def within(agent: str, temperature_c: float) -> float:
    """The temperature [°C] or the nearest at which a time is known."""
    a = agents()[agent]
    return min(max(temperature_c, a.least_c), a.most_c)


def times_longer(agent: str, temperature_c: float) -> Range:
    """How many times longer it takes than at 20 °C: low, likely, high. Exactly 1 at 20 °C; never rises with warmth.

    temperature_c  [°C], within what the table allows for this agent; Refusal outside
    [TM-11-2323] for fixing and washing in the cold; developers by their ratio for 10 °C, see the table.
    """
    check(agent, temperature_c)
    a = agents()[agent]
    if a.q10 is not None:
        low, likely, high = sorted(q ** ((USUAL_C - temperature_c) / 10.0) for q in a.q10)
        return low, likely, high
    power = _power(a.cold, temperature_c)
    return 2.0 ** (power * (1 - a.doubt)), 2.0**power, 2.0 ** (power * (1 + a.doubt))


def _power(points: tuple[tuple[float, float], ...], temperature_c: float) -> float:
    """log2 of the ratio by straight lines between the points; the last line goes on into the cold, nothing is won by warmth."""
    if temperature_c >= points[0][0]:
        return 0.0
    for i, ((warm, a), (cold, b)) in enumerate(pairwise(points)):
        if temperature_c >= cold or i == len(points) - 2:
            share = (warm - temperature_c) / (warm - cold)
            return math.log2(a) + share * (math.log2(b) - math.log2(a))
    return 0.0


# ── first appearance ──


def usual_factor(developer_kind: str) -> Range | None:
    """Whole time over first appearance where none was learned yet: low, likely, high; None where no figure is known."""
    row = load("warmth")["appearance"].get(developer_kind)
    return None if row is None else (float(row["factor"][0]), float(row["factor"][1]), float(row["factor"][2]))


def learned_factor(proper_s: float, fresh_s: tuple[float, ...]) -> Range:
    """The factor of a developer from its fresh baths: low, likely, high, 9 in 10.

    proper_s  its time fresh at 20 °C [s]
    fresh_s   first appearances in fresh baths, each brought to 20 °C [s]; at least one, above 0
    The doubt is that of these readings and of the one it will be applied to, each off by its own tenth.
    """
    if proper_s <= 0 or not fresh_s or min(fresh_s) <= 0:
        raise ValueError("a time and at least one first appearance, above nothing")
    mean = math.exp(sum(math.log(x) for x in fresh_s) / len(fresh_s))
    spread = math.exp(NINE_IN_TEN * READING_SHARE * math.sqrt(1.0 + 1.0 / len(fresh_s)))
    likely = proper_s / mean
    return likely / spread, likely, likely * spread


def total_after_appearance(appeared_s: float, factor: Range) -> Range:
    """The whole time in the developer once the image has shown [s]: low, likely, high.

    appeared_s  from going in until the first of the image shows [s], above 0
    factor      whole time over first appearance: low, likely, high [1]
    It corrects for cold and for age together: whatever slows the developer slows the image's first appearance alike.
    ValueError for times that are none.
    """
    if not appeared_s > 0 or not 0 < factor[0] <= factor[1] <= factor[2]:
        raise ValueError("first appearance takes some time, and the factor rises")
    return appeared_s * factor[0], appeared_s * factor[1], appeared_s * factor[2]


def appears(seconds: float, factor: Range | None) -> tuple[Appears, ...]:
    """What a mark “the image shows” makes of a step, each whole second: rows of (appeared_s, total_s, low_s, high_s).

    seconds  the step as planned [s]. Rows run from a quarter of it to four times: an earlier or later mark is none of the image.
    Empty where no factor is known: the planned time stands.
    """
    if factor is None:
        return ()
    first, last = (
        math.ceil(seconds / FURTHEST / factor[1]),
        math.floor(seconds * FURTHEST / factor[1]),
    )
    rows = []
    for at in range(max(1, first), last + 1):
        low, likely, high = total_after_appearance(at, factor)
        rows.append((at, round(likely, 1), round(low, 1), round(high, 1)))
    return tuple(rows)


# ── today's bath ──


@dataclass(frozen=True, slots=True)
class Shown:
    """A reading of first appearance: after how long [s], and how warm the bath was [°C], None where nobody said."""

    appeared_s: float
    temperature_c: float | None


@dataclass(frozen=True, slots=True)
class Today:
    """How many times longer than at 20 °C in a fresh bath, 9 in 10; `warm` and `aged` say what is in it."""

    times: Range
    warm: bool
    aged: bool


def today(agent: str, now_c: float | None, fresh: Shown | None = None, last: Shown | None = None) -> Today | None:
    """A bath as it is now; None where nothing is known of it.

    now_c  how warm it is [°C], None where nobody said; Refusal where no time is known at that
    fresh  first appearance in it when it was fresh; last: the newest reading, None where there is but one
    Warmth counts once: what first appearance holds of it already is not added again. A bath never grows younger: a reading quicker than warmth
    explains is taken for noise. Where a reading was taken without its temperature, first appearance alone speaks.
    """
    if now_c is not None:
        check(agent, now_c)
    if fresh is None or last is None:
        return None if now_c is None else Today(times_longer(agent, now_c), True, False)
    longer = last.appeared_s / fresh.appeared_s
    noise = math.sqrt(2.0) * READING_SHARE * NINE_IN_TEN
    then = None if last.temperature_c is None else within(agent, last.temperature_c)
    begun = within(agent, fresh.temperature_c if fresh.temperature_c is not None else USUAL_C)
    known = then is not None and fresh.temperature_c is not None
    if now_c is None:
        now_c = then
    if known and then is not None and now_c is not None:
        tired = longer * times_longer(agent, begun)[1] / times_longer(agent, then)[1]
        if tired <= 1.0:
            return Today(times_longer(agent, now_c), True, False)
        return Today(_doubted(times_longer(agent, now_c), tired, noise), True, True)
    since = 1.0 if then is None or now_c is None else times_longer(agent, now_c)[1] / times_longer(agent, then)[1]
    return Today(_doubted(times_longer(agent, begun), longer * since, noise), False, True)


def _doubted(times: Range, by: float, noise: float) -> Range:
    """A ratio times another that has its own doubt; `noise` is the log of 9 in 10 of it."""
    low = math.hypot(math.log(times[1] / times[0]), noise)
    high = math.hypot(math.log(times[2] / times[1]), noise)
    likely = times[1] * by
    return likely * math.exp(-low), likely, likely * math.exp(high)
