"""From judged sheets to what is known: each judgement carries its own evidence, and the whole is refitted in book order."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from firstsheet import tables
from firstsheet.belief import prior
from firstsheet.belief.effects import Effect
from firstsheet.belief.posterior import Observation, Posterior, condition
from firstsheet.exposure.hand import giving
from firstsheet.paper import reciprocity

if TYPE_CHECKING:
    from firstsheet.book.store import Book

COMPARISON_SD = 0.15  # two instruments on the same tone within a minute; common practice, no source


def evidence(
    plan: dict[str, Any], given_s: float, aperture: float | None, need_stops: float, sd_stops: float, shutter: str
) -> dict[str, Any]:
    """What a judged sheet says of all it shares, as kept with its judgement.

    plan        the sheet's plan as kept
    given_s     exposure given [s]; aperture, the f-number it was given at
    need_stops  log2(right exposure / given) as seen [stop]; sd_stops its doubt
    """
    retry = float(tables.load("ways")["retry_sd"])
    stopped = 2.0 * math.log2(aperture / plan["aperture"]) if aperture and plan["aperture"] else 0.0
    right_log2_s = math.log2(given_s) + need_stops - stopped
    shared = [Effect.from_json(e) for e in plan["shared"] if not str(e[0]).startswith("recip:")]
    r = float(tables.load("ways")["reciprocity_mean"])
    lever = reciprocity.metered_stops_from_given(2.0 ** (math.log2(given_s) + need_stops), r)
    shared.append(prior.reciprocity_effect(plan["way"], lever))
    sd = math.sqrt(sd_stops**2 + retry**2 + giving(given_s, shutter, ()).sd_stops ** 2)
    return {"stops": right_log2_s - plan["nominal_log2_s"], "sd": sd, "effects": [e.to_json() for e in shared]}


def compared(meter: str, meter_kind: str, against: str, against_kind: str, reads_high_stops: float) -> dict[str, Any]:
    """Two meters on the same tone: how much higher the first one read [stop]. A meter reading high asks for more light."""
    one = prior.meter_effect(meter, meter_kind)
    other = prior.meter_effect(against, against_kind)
    minus = Effect(other.key, -1.0, other.mean, other.sd, other.words, other.source)
    return {"stops": reads_high_stops, "sd": COMPARISON_SD, "effects": [one.to_json(), minus.to_json()]}


def observation(name: str, body: dict[str, Any]) -> Observation:
    return Observation(body["stops"], body["sd"], tuple(Effect.from_json(e) for e in body["effects"]), name)


def observations(book: Book) -> list[Observation]:
    """All evidence that stands: comparisons of meters, then judged sheets that were not taken back, each by its last word."""
    out = [observation(t["name"], t["body"]) for t in book.things("comparison")]
    standing: dict[int, Any] = {}
    for m in book.all_marks():
        if m["kind"] == "judged":
            standing.pop(m["sheet_id"], None)
            standing[m["sheet_id"]] = m["body"].get("evidence")
        elif m["kind"] == "unjudged":
            standing.pop(m["sheet_id"], None)
    out += [observation(str(sheet_id), body) for sheet_id, body in standing.items() if body]
    return out


def refit(book: Book) -> Posterior:
    """Fit everything again and keep it: an undone judgement leaves no trace."""
    fitted = condition(observations(book))
    book.put_posterior(0, fitted.to_json())
    return fitted
