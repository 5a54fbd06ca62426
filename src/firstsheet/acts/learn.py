"""From judged sheets to what is known: each judgement keeps what was seen, unweighed, and the whole is refitted in book order."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from firstsheet import tables
from firstsheet.belief import prior
from firstsheet.belief.effects import Effect
from firstsheet.belief.evidence import Look, Seen
from firstsheet.belief.posterior import Observation, Posterior
from firstsheet.exposure.hand import Hand, giving
from firstsheet.paper import reciprocity, response

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

COMPARISON_SD = 0.15  # two instruments on the same tone within a minute; common practice, no source
EYE_SD = 0.25  # of a judgement by eye near the right tone [stop]; common practice, no source
EYE_SHARE = 0.20  # further off it is worth a fifth of how far off it looks; no source
YEAR_S = 365.25 * 86_400.0
NO_WEIGHT_SD = 1e4  # of a curve or scrap that counts no longer [stop]: it is left out, as if it had never been
NOTICED = 0.5  # chance of an unsaid change from which it is spoken of


def look(way: str, key: str, wet: bool, kept: bool | None, latitude_stops: float) -> Look:
    """What one word of the table, and whether the sheet was kept, say of the exposure.

    A sheet that looks as wanted and was not kept had another fault; its not being kept says nothing.
    """
    dry, judged = response.seen(way, key, wet=False), response.seen(way, key, wet=wet)
    dries = judged.need_stops - dry.need_stops
    low, high = sorted(-dries - response.need_from_tone(way, tone) for tone in _between(key))
    eye = math.hypot(max(EYE_SD, EYE_SHARE * abs(dry.need_stops)), response.dry_down(way, wet=wet)[1])
    return Look(low, high, eye, None if dry.need_stops == 0.0 and not kept else kept, latitude_stops)


def _between(key: str) -> tuple[float, float]:
    """The tones halfway to the neighbouring words [stop]."""
    tones = sorted(float(entry["tone"]) for entry in tables.load("seen").values())
    i = tones.index(float(tables.load("seen")[key]["tone"]))
    low = (tones[i - 1] + tones[i]) / 2.0 if i else -math.inf
    high = (tones[i] + tones[i + 1]) / 2.0 if i + 1 < len(tones) else math.inf
    return low, high


def evidence(
    plan: dict[str, Any],
    given_s: float,
    aperture: float | None,
    need: tuple[float, float],
    shutter: tuple[str, Sequence[float]] | tuple[str, Sequence[float], Hand],
    seen: Look | None = None,
) -> dict[str, Any]:
    """What a judged sheet says of all it shares, as kept with its judgement.

    plan        the sheet's plan as kept
    given_s     exposure given [s]; aperture, the f-number it was given at
    need        log2(right exposure / given) as seen, and its doubt [stop]
    shutter     the camera's, with its speeds [s] and the hand where its timing is known
    seen        the word and the keeping behind it; None for a strip, where `need` is all there is
    """
    stopped = 2.0 * math.log2(aperture / plan["aperture"]) if aperture and plan["aperture"] else 0.0
    given_log2_s = math.log2(given_s) - stopped
    retry_sd, hand_sd = float(tables.load("ways")["retry_sd"]), giving(given_s, *shutter).sd_stops
    sd = math.hypot(need[1], retry_sd, hand_sd)
    shared = [Effect.from_json(e) for e in plan["shared"]]
    strip = float(plan.get("strip_stops", 0.0))
    lever = next(e for e in shared if e.key.startswith("recip:")).coefficient
    if "loss" in plan:
        r = max(0.0, float(plan["loss"]))
    else:  # a plan kept before it kept that
        r = math.log2(plan["wanted_s"]) / lever - 1.0 if lever > 0 else float(tables.load("ways")["reciprocity_mean"])
    # The point about which reciprocity is straight: between what the plan held for right and what was seen.
    planned = math.log2(plan["wanted_s"])
    trust = plan["sd_stops"] ** 2 / (plan["sd_stops"] ** 2 + sd**2)
    right_log2_s = planned + trust * (given_log2_s + need[0] - planned)
    metered = reciprocity.metered_stops_from_given(2.0**right_log2_s, r)
    felt = prior.through_reciprocity(plan["way"], [e for e in shared if not e.key.startswith("recip:")], metered, r, strip)
    # Measured from the nominal time as felt, about the point (metered, r): see `through_reciprocity`.
    over = (1.0 + r if metered > 0 else 1.0) * plan["nominal_log2_s"] - r * felt[-1].coefficient
    given = given_log2_s - over
    return {
        "stops": given + need[0], "sd": sd, "effects": [e.to_json() for e in felt], "given": given,
        "retry_sd": retry_sd, "hand_sd": hand_sd, "look": seen.to_json() if seen else None, "need": list(need),
        "strip": "strip_stops" in plan,
    }  # fmt: skip


def compared(meter: str, meter_kind: str, against: str, against_kind: str, reads_high_stops: float) -> dict[str, Any]:
    """Two meters on the same tone: how much higher the first one read [stop]. A meter reading high asks for more light."""
    one = prior.meter_effect(meter, meter_kind)
    other = prior.meter_effect(against, against_kind)
    minus = Effect(other.key, -1.0, other.mean, other.sd, other.words, other.source)
    return {"stops": reads_high_stops, "sd": COMPARISON_SD, "effects": [one.to_json(), minus.to_json()]}


def observation(name: str, body: dict[str, Any], years: float | None = None) -> Observation:
    """Evidence as kept; a body of stops, sd and effects alone is plain normal evidence. years: when, from any one moment."""
    seen = None
    effects = tuple(Effect.from_json(e) for e in body["effects"])
    if any(e.key.startswith("lamp:") for e in effects) and not body.get("strip"):
        body, effects = _before_strips(body, effects)
    if "given" in body:
        look = Look.from_json(body["look"]) if body["look"] else None
        seen = Seen(body["given"], body["retry_sd"], body["hand_sd"], look, *body["need"])
    return Observation(
        body["stops"], body["sd"], effects, name, seen, years
    )


def _before_strips(body: dict[str, Any], effects: tuple[Effect, ...]) -> tuple[dict[str, Any], tuple[Effect, ...]]:
    """A print judged before its plan kept its strip's time: of long exposures it said what it could not know, so that is left out."""
    law = sum(e.coefficient * e.mean for e in effects if e.key.startswith("recip:"))
    moved = {k: body[k] - law for k in ("stops", "given") if k in body}
    return body | moved, tuple(e for e in effects if not e.key.startswith("recip:"))


def observations(book: Reader) -> list[Observation]:
    """All evidence that stands: comparisons, then judged sheets that were not taken back, each by its last word."""
    out = [observation(t["name"], t["body"]) for t in book.things("comparison") if t["body"]["sd"] < NO_WEIGHT_SD]
    standing: dict[int, Any] = {}
    # The two kinds by name: a run leaves dozens of marks a sheet, and none of those says anything of speed.
    words = [m for kind in ("judged", "unjudged") for m in book.all_marks(kind)]
    for m in sorted(words, key=lambda m: int(m["id"])):
        standing.pop(m["sheet_id"], None)
        if m["kind"] == "judged":
            standing[m["sheet_id"]] = m["body"].get("evidence"), m["wall"].timestamp() / YEAR_S
    out += [observation(str(sheet_id), body, years) for sheet_id, (body, years) in standing.items() if body]
    return out


def refit(book: Book) -> Posterior:
    """Fit everything again and keep it: an undone judgement leaves no trace."""
    from firstsheet.belief.whole import fit

    fitted = fit(observations(book))
    book.put_posterior(0, fitted.to_json())
    return fitted


def code_of(reader: Reader, name: str) -> str:
    """The code of the sheet whose evidence bears this name; "" where it is no sheet."""
    found = reader.sheets(limit=1, before=int(name) + 1) if name.isdigit() else []
    return str(found[0]["code"]) if found else ""


def noticed(reader: Reader, known: Posterior, box: str, developer_kind: str) -> list[str]:
    """What the sheets speak of that nobody said, where it touches a plan of this box in this developer."""
    out = []
    for c in known.changes:
        tenths = min(9, math.floor(10.0 * c.chance + 0.5))
        if c.chance < NOTICED:
            continue
        if c.kind == "swap" and c.what == box:
            since = code_of(reader, c.since)
            when = f"since sheet {since}" if since else "of late"
            out.append(f"Box {box} has behaved like another box {when}: is it a new one? {tenths} in 10.")
        elif c.kind == "drift" and c.what in ("", developer_kind) and abs(c.stops) >= 0.01:
            which = str(tables.load("developers")[c.what]["words"]) if c.what else "The developers"
            way = "more" if c.stops > 0 else "less"
            out.append(
                f"{which[0].upper()}{which[1:]}: {abs(c.stops):.2f} stop {way} light from sitting to sitting; is the bath tired? {tenths} in 10."
            )
    return out
