"""Plan a sheet: from what was said and what is known to seconds, with doubt."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from firstsheet import tables
from firstsheet.acts import learn, notes
from firstsheet.acts.advice import advise, variance_after_strip
from firstsheet.acts.answers import Doubt, Plan, Strip
from firstsheet.acts.door import Form
from firstsheet.acts.own import hand_of, lens_of
from firstsheet.acts.setting import Setting, loss_of
from firstsheet.acts.setting import settings as settings_of
from firstsheet.acts.wish import Wish, wish
from firstsheet.belief import prior
from firstsheet.belief.posterior import Posterior
from firstsheet.exposure import hand, latitude
from firstsheet.light import reading as light_reading
from firstsheet.paper.response import way_of

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader

STRIP_SHEETS = 0.25


def plan(reader: Reader, form: Form | None = None) -> Plan:
    """The answer for this form over what was said before. Nothing is stored.

    Raises Refusal with every problem: what is missing, what the room cannot do, what is not understood.
    """
    w = wish(reader, form)
    known = known_now(reader)
    return _answer(reader, w, known, chosen(reader, w, known))


def chosen(reader: Reader, w: Wish, known: Posterior) -> Setting:
    """The chain at the aperture that was said, or at the one that suits the hand or the shutter best."""
    settings = {s.aperture: s for s in settings_of(reader, w, known)}
    if None in settings:
        return settings[None]
    n = hand.choose_stop(
        {a: s.wanted_s for a, s in settings.items() if a}, w.camera.body["shutter"], w.camera.body["speeds_s"]
    )
    return settings[n]


def known_now(reader: Reader) -> Posterior:
    row = reader.newest_posterior()
    return Posterior.from_json(row["body"] if row else None)


def _answer(reader: Reader, w: Wish, known: Posterior, s: Setting) -> Plan:
    entry = way_of(w.way)
    body = w.camera.body
    given = hand.giving(s.wanted_s, "lamp" if s.aperture is None else body["shutter"], body["speeds_s"], hand_of(body))
    retry = float(tables.load("ways")["retry_sd"]) * known.scale("retry")
    sd = math.sqrt(s.variance)
    lat = float(entry["latitude"])
    chance = latitude.keeper_chance(math.sqrt(s.variance + retry**2 + given.sd_stops**2), lat, given.off_stops)
    spread = latitude.spread_s(s.wanted_s, sd)
    after = variance_after_strip(known, s, retry, w.steps)
    strip = Strip(
        hand.strip_times_s(s.wanted_s, sd, w.steps),
        STRIP_SHEETS,
        latitude.keeper_chance(math.sqrt(after + retry**2 + given.sd_stops**2), lat),
    )
    ei, ei_sd = box_speed(w.way, w.box.name, w.box.body, known)
    left = notes.sheets_left(reader, w.box)
    cost = w.box.body["cost"]
    age = _age_s(reader, w)
    return Plan(
        way=w.way, way_words=entry["words"], box=w.box.name, camera=w.camera.name, developer=w.developer.name, light=w.light,
        light_words=str(w.lit["lamp"]) if w.lit else tables.load("lights")[w.light]["words"], sitter=w.sitter, aperture=s.aperture, wanted_s=s.wanted_s,
        time_s=given.time_s, how_given=given.how, range50_s=spread["range50_s"], range90_s=spread["range90_s"],
        keeper_chance=chance, latitude_stops=lat, sd_stops=sd, ei_now=ei, ei_low=ei * 2.0 ** (-1.645 * ei_sd),
        ei_high=ei * 2.0 ** (1.645 * ei_sd), chain=s.links,
        doubts=_doubts(known, s, retry, given.sd_stops), strip=strip, changed=notes.changed(reader, w, known),
        notes=(*learn.noticed(reader, known, w.box.name, w.developer.body["kind"]), *s.spoils, *notes.of_plan(reader, w, s, given, left)), cautions=notes.cautions(w, lens_of(body)), assumed=w.assumed,
        readings=tuple(k.said for k in w.readings) or notes.of_print(w), reading_age_s=age,
        range_of_scene_stops=_scene_range(w), sheets_left=left, advice=advise(reader, w, known, s), cost=cost,
        cost_per_keeper=cost / chance if cost is not None and chance > 0 else None, currency=w.box.body["currency"],
        subject_mm=s.room.subject_mm if s.room else None, board_mm=s.room.board_mm if s.room else None,
        magnification=s.room.magnification if s.room else None, nominal_log2_s=s.nominal_log2_s, shared=s.shared, strip_stops=s.strip_stops, loss=loss_of(w.way, known)[0], flash_share=w.flash_share, pack=s.pack,
    )  # fmt: skip


def box_speed(way: str, box: str, body: dict[str, Any], known: Posterior) -> tuple[float, float]:
    """The box's exposure index now, in the light its speed is stated for and its usual developer, and its sd [stop]."""
    mean, variance = known.predict(prior.speed_effects(way, box, body))
    return prior.starting_speed(way, body).ei * 2.0**-mean, math.sqrt(variance)


def _doubts(known: Posterior, s: Setting, retry: float, hand_sd: float) -> tuple[Doubt, ...]:
    parts = {g: share * s.variance for g, share in known.shares(s.felt).items()}
    parts["the same settings twice"] = retry**2
    parts["timing by hand"] = hand_sd**2
    total = sum(parts.values())
    ranked = sorted(parts.items(), key=lambda gv: -gv[1])
    return tuple(Doubt(g, v / total, math.sqrt(v)) for g, v in ranked if v > 0)


def _age_s(reader: Reader, w: Wish) -> float | None:
    taken = [k.reading.taken_wall for k in w.readings if k.reading.taken_wall]
    return (reader.now() - min(taken)).total_seconds() if taken else None


def _scene_range(w: Wish) -> float:
    if len(w.readings) < 2 or w.readings[0].reading.kind == "board":
        return 0.0
    return light_reading.midtone_of_all([k.reading for k in w.readings]).range_stops


def as_body(p: Plan) -> dict[str, Any]:
    """What a sheet keeps of its plan: the whole answer, and the effects by which it will teach."""
    from firstsheet.answer import to_json

    body = to_json(p)
    assert isinstance(body, dict)
    return body
