"""What to do next with this sitter, in this light, from this box: by the expected cost of the keeper."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet import tables, wording
from firstsheet.belief import decide
from firstsheet.belief.decide import Option, Stakes
from firstsheet.belief.posterior import Posterior
from firstsheet.exposure import hand, latitude
from firstsheet.paper.response import way_of

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.acts.setting import Setting
    from firstsheet.acts.wish import Wish

STRIP_SD = 0.30  # which step looks right, by eye, between steps [stop]; common practice, no source
WEDGE_SD = 0.10  # a wedge read step by step tells box and developer [stop]; no source
JUDGE_SD = 0.25
WEDGE_TELLS = ("kind:", "box:", "dev:", "devbox:")


@dataclass(frozen=True, slots=True)
class Advice:
    """The ways to go on, cheapest first, and the recommendation in words.

    saves     what the first saves against exposing now, in the person's money (or in sheets where no price is known)
    in_money  whether costs are in money
    """

    options: tuple[Option, ...]
    words: str
    saves: float
    in_money: bool


def variance_after_strip(known: Posterior, s: Setting, retry_stops: float) -> float:
    """Variance of the right exposure after a strip [stop²]; where that lies off the strip's ends, only the side is learned."""
    sd = math.sqrt(s.variance)
    on_it = known.variance_after(s.felt, s.felt, math.hypot(retry_stops, STRIP_SD))
    missed, then = latitude.beyond(sd, hand.strip_reach_stops(sd))
    return (1.0 - missed) * on_it + missed * max(on_it, then)


def advise(reader: Reader, w: Wish, known: Posterior, s: Setting) -> Advice:
    """Expected cost per keeper of each way to go on. A sheet without a price counts as 1; a minute as the person said."""
    retry = float(tables.load("ways")["retry_sd"]) * known.scale("retry")
    price = w.box.body["cost"]
    minute = (reader.get_setting("worth") or {}).get("minute") or 0.0
    stakes = Stakes(
        float(way_of(w.way)["latitude"]),
        retry,
        JUDGE_SD,
        1.0 if price is None else float(price),
        0.0 if price is None else float(minute),
    )
    after_strip = math.sqrt(variance_after_strip(known, s, retry))
    told = [e for e in s.felt if e.key.startswith(WEDGE_TELLS)]
    after_wedge = math.sqrt(known.variance_after(s.felt, told, WEDGE_SD)) if told else math.sqrt(s.variance)
    ways = decide.options(math.sqrt(s.variance), after_strip, after_wedge, stakes)
    now = next(o for o in ways if o.key == "expose")
    saves = now.cost - ways[0].cost
    return Advice(ways, _words(ways, saves, w.box.body["currency"], price is not None), saves, price is not None)


def _words(ways: tuple[Option, ...], saves: float, currency: str, in_money: bool) -> str:
    best = ways[0]

    def amount(x: float) -> str:
        if in_money:
            return wording.money(x, currency)
        return f"{x:.1f} sheet" if x <= 1.05 else f"{x:.1f} sheets"

    if best.key == "expose":
        by = ways[1].cost - best.cost
        return f"Expose now; {ways[1].words} would cost {amount(by)} more."
    each = f"{amount(best.cost)} against {amount(best.cost + saves)} for the keeper"
    return f"{best.words[0].upper()}{best.words[1:]}: {each}."
