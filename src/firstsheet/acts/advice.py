"""What to do next with this sitter, in this light, from this box: by the expected cost of the keeper."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet import tables, wording
from firstsheet.acts import worth
from firstsheet.belief import decide, prior
from firstsheet.belief.decide import Option, Stakes
from firstsheet.belief.effects import Effect
from firstsheet.belief.posterior import Posterior
from firstsheet.exposure import hand, latitude
from firstsheet.paper.response import way_of

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.acts.setting import Setting
    from firstsheet.acts.wish import Wish

STRIP_SD = 0.30  # which step looks right, by eye, between steps [stop]; common practice, no source
WEDGE_SD = math.hypot(0.10, 0.10)  # a wedge read step by step: handling, lux on the board; its meter is an effect of its own [stop]; no source
JUDGE_SD = 0.25
WEDGE_TELLS = ("kind:", "box:", "dev:", "devbox:", "light:")


@dataclass(frozen=True, slots=True)
class Advice:
    """The ways to go on, the recommended first, then cheapest first, and the recommendation in words.

    saves         what the first saves against exposing now, in the person's money (or in sheets where no price is known)
    in_money      whether costs are in money
    narrows       what one more strip would narrow, in words
    sd_now_stops, sd_strip_stops  doubt of the right exposure now and after a strip [stop]
    minute        what a minute counts here, in the person's money; None where nobody said or it cannot be compared
    more_sheets   sheets still to come from this box, the next counted; None where nobody said
    counted       both of these in words, where they were said
    """

    options: tuple[Option, ...]
    words: str
    saves: float
    in_money: bool
    narrows: str
    sd_now_stops: float
    sd_strip_stops: float
    minute: float | None
    more_sheets: float | None
    counted: tuple[str, ...]


def variance_after_strip(known: Posterior, s: Setting, retry_stops: float, steps: hand.Steps = hand.ON_BOARD) -> float:
    """Variance of the right exposure after a strip [stop²]; where that lies off the strip's ends, only the side is learned."""
    sd = math.sqrt(s.variance)
    on_it = known.variance_after(s.felt, s.felt, math.hypot(retry_stops, STRIP_SD))
    missed, then = latitude.beyond(sd, hand.strip_reach_stops(sd, steps))
    return min(s.variance, (1.0 - missed) * on_it + missed * max(on_it, then))  # where told colours already say more than a strip would, it adds nothing


def variance_after_wedge(known: Posterior, felt: Sequence[Effect], meter: Effect) -> float:
    """Variance of the right exposure after a wedge made in this light [stop²]: it tells neither the reading nor the lens, and all it
    tells it tells through the meter on the board, which earlier wedges have made better known."""
    told = [e for e in felt if e.key.startswith(WEDGE_TELLS)]
    return known.variance_after(felt, [*told, meter], WEDGE_SD)


def _wedge_meter(reader: Reader) -> Effect:
    """The meter of the newest wedge that told a speed; before the first one a lux meter that nothing is known of."""
    for t in sorted(reader.things("comparison"), key=lambda t: -int(t["id"])):
        effects = [Effect.from_json(e) for e in t["body"].get("effects", ())]
        if any(e.key.startswith("box:") for e in effects):  # a wedge; two meters compared have none
            return next((e for e in effects if e.key.startswith("meter:")), prior.meter_effect("lux meter", "lux"))
    return prior.meter_effect("lux meter", "lux")


def advise(reader: Reader, w: Wish, known: Posterior, s: Setting) -> Advice:
    """Expected cost per keeper of each way to go on. A sheet without a price counts as 1; a minute as the person said."""
    retry = float(tables.load("ways")["retry_sd"]) * known.scale("retry")
    price, currency = w.box.body["cost"], w.box.body["currency"]
    minute, season = worth.minute_cost(reader, w.box), worth.season(reader, w.box)
    stakes = Stakes(
        float(way_of(w.way)["latitude"]), retry, JUDGE_SD, 1.0 if price is None else float(price), minute or 0.0, season_left=season.share
    )  # fmt: skip
    now, after_strip = math.sqrt(s.variance), math.sqrt(variance_after_strip(known, s, retry, w.steps))
    after_wedge = math.sqrt(min(s.variance, variance_after_wedge(known, s.felt, _wedge_meter(reader))))
    ways = decide.options(now, after_strip, after_wedge, stakes)
    saves = next(o for o in ways if o.key == "expose").cost - ways[0].cost
    words = _words(ways, saves, currency, price is not None)
    return Advice(ways, words, saves, price is not None, f"A strip now: ±{now:.2f} → ±{after_strip:.2f} stop.", now, after_strip, minute,
                  season.more, _counted(minute, currency, season))  # fmt: skip


def _counted(minute: float | None, currency: str, season: worth.Season) -> tuple[str, ...]:
    out = []
    if minute is not None:
        out.append(f"A minute is counted as {wording.money(minute, currency)}.")
    if season.more is not None and season.more > 1:
        out.append(f"{season.more:g} more sheets from box {season.box}, this one counted: a strip serves them too.")
    return tuple(out)


def _words(ways: tuple[Option, ...], saves: float, currency: str, in_money: bool) -> str:
    best = ways[0]

    def amount(x: float) -> str:
        if in_money:
            return wording.about(x, currency)
        return f"{x:.1f} sheet" if x <= 1.05 else f"{x:.1f} sheets"

    if best.key == "expose":
        by = ways[1].cost - best.cost
        if by < decide.SAME * best.cost:
            return f"Expose now; {ways[1].words} would cost about the same."
        return f"Expose now; {ways[1].words} would cost about {amount(by)} more."
    each = f"about {amount(best.cost)} for the keeper, against {amount(best.cost + saves)}"
    return f"{best.words[0].upper()}{best.words[1:]}: {each}."
