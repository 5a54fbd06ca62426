"""What to do next: go now, bracket, a test strip first, or a step wedge first; by expected cost of the keeper.

V(s), the sheets to a keeper from a doubt of s stops, follows from one judged sheet after another: each is kept with
P(|error| ≤ latitude), error ~ N(0, s² + retry²); a miss is judged, which narrows s for the next. That the miss itself
says the error was large is left out: against the game solved by quadrature V is within 0.06 sheet up to 1.3 stop.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from firstsheet.exposure.latitude import keeper_chance

MOST_SHEETS = 60
STRIP_SHARE = 0.25  # of a sheet
WEDGE_SHARE = 0.125
SAME = 0.03  # ways whose costs differ by less of the cheapest are called the same: the figures are worth no more


@dataclass(frozen=True, slots=True)
class Stakes:
    """What a keeper costs here.

    latitude_stops, retry_stops, judge_stops  ± that keeps, the same settings twice, one judgement by eye [stop]
    sheet_cost       one sheet, in the person's money
    minute_cost      what a minute of this light or of this sitter is worth, in the same money; 0 where there is no hurry
    sheet_min        minutes from exposing a sheet to judging it; strip_min and wedge_min the same for those
    season_left      share of the season that comes after the next sheet [0 … 1]: what a strip teaches serves later sheets too
    """

    latitude_stops: float
    retry_stops: float
    judge_stops: float
    sheet_cost: float
    minute_cost: float = 0.0
    sheet_min: float = 12.0
    strip_min: float = 12.0
    wedge_min: float = 15.0
    season_left: float = 0.0


@dataclass(frozen=True, slots=True)
class Option:
    """One way to go on. cost in the person's money; sheets counts strips at their share; chance is of the first sheet."""

    key: str
    words: str
    cost: float
    sheets: float
    minutes: float
    keeper_chance: float


def season_left(made: float, more: float) -> float:
    """Share of the season that comes after the next sheet [0 … 1], `made` sheets behind and `more` ahead, the next one counted.

    (more − 1)/(made + more): what a strip teaches serves later sheets only where some come after this one.
    """
    if made < 0 or more < 0:
        raise ValueError("sheets cannot be fewer than none")
    return (more - 1.0) / (made + more) if more > 1 else 0.0


def sheets_to_keeper(sd_stops: float, stakes: Stakes) -> float:
    """V(s): expected sheets until one is kept, from a doubt of `sd_stops` about the right exposure [stop]. ≥ 1."""
    left, expected, variance = 1.0, 0.0, sd_stops**2
    noise = stakes.retry_stops**2 + stakes.judge_stops**2
    for _ in range(MOST_SHEETS):
        expected += left
        left *= 1.0 - keeper_chance(math.sqrt(variance + stakes.retry_stops**2), stakes.latitude_stops)
        if left < 1e-9:
            break
        variance = variance * noise / (variance + noise) if variance > 0 else 0.0
    return expected


def bracket(sd_stops: float, stakes: Stakes) -> tuple[float, float, float]:
    """Two sheets exposed before either is judged, `gap` stops apart about the plan: (gap [stop], chance that one or
    both are kept, sheets to a keeper). The gap is the one of a few that keeps most often.
    """
    best = (0.0, 0.0)
    for gap in (0.4, 0.6, 0.8, 1.0, 1.4, 2.0):
        p = _either_kept(sd_stops, gap, stakes)
        if p > best[1]:
            best = (gap, p)
    after = sd_stops**2
    noise = stakes.retry_stops**2 + stakes.judge_stops**2
    if after > 0:
        after = 1.0 / (1.0 / after + 2.0 / noise)
    return best[0], best[1], 2.0 + (1.0 - best[1]) * sheets_to_keeper(math.sqrt(after), stakes)


def _either_kept(sd: float, gap: float, stakes: Stakes) -> float:
    """P(at least one of two sheets at ±gap/2 is kept): their common error integrated out, retry independent."""
    steps, reach = 120, 5.0
    total = 0.0
    for i in range(steps):
        z = -reach + (i + 0.5) * 2.0 * reach / steps
        weight = math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi) * 2.0 * reach / steps
        missed = 1.0
        for side in (-0.5, 0.5):
            off = sd * z + side * gap
            missed *= 1.0 - keeper_chance(stakes.retry_stops, stakes.latitude_stops, off)
        total += weight * (1.0 - missed)
    return min(1.0, total)


def options(sd_now: float, sd_after_strip: float, sd_after_wedge: float, stakes: Stakes) -> tuple[Option, ...]:
    """The ways to go on, cheapest first; but exposing now is first where nothing else is cheaper by more than SAME, for what a strip
    would tell is a forecast, and it takes another quarter of an hour.

    sd_now           doubt of the right exposure [stop]
    sd_after_strip   the same after a strip of this sitter in this light
    sd_after_wedge   the same after a wedge made in this light, which tells paper, developer and light but not the reading
    """
    per_sheet = stakes.sheet_cost + stakes.minute_cost * stakes.sheet_min

    def chance(sd: float) -> float:
        return keeper_chance(math.hypot(sd, stakes.retry_stops), stakes.latitude_stops)

    now = sheets_to_keeper(sd_now, stakes)
    out = [
        Option("expose", "expose now", now * per_sheet, now, now * stakes.sheet_min, chance(sd_now)),
    ]
    gap, either, both = bracket(sd_now, stakes)
    minutes = stakes.sheet_min + (both - 2.0) * stakes.sheet_min
    out.append(
        Option(
            "bracket",
            f"two sheets, {gap:.1f} stop apart",
            both * stakes.sheet_cost + minutes * stakes.minute_cost,
            both,
            minutes,
            either,
        )
    )
    for key, words, sd, share, wait in (
        ("strip", "a test strip first", sd_after_strip, STRIP_SHARE, stakes.strip_min),
        ("wedge", "a step wedge first", sd_after_wedge, WEDGE_SHARE, stakes.wedge_min),
    ):
        later = sheets_to_keeper(sd, stakes)
        # Half of what is learned is about the box and serves the sheets still to come this season.
        charged = share * (1.0 - 0.5 * stakes.season_left)
        cost = charged * stakes.sheet_cost + wait * stakes.minute_cost + later * per_sheet
        out.append(Option(key, words, cost, share + later, wait + later * stakes.sheet_min, chance(sd)))
    ways = sorted(out, key=lambda o: (o.cost, o.key))
    if out[0].cost <= ways[0].cost * (1.0 + SAME):
        ways.remove(out[0])
        ways.insert(0, out[0])
    return tuple(ways)
