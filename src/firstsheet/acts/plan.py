"""Plan a sheet: from what was said and what is known to seconds, with doubt."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import tables
from firstsheet.acts import notes
from firstsheet.acts.answers import Doubt, Plan, Strip
from firstsheet.acts.door import Form
from firstsheet.acts.own import lens_of, room_of
from firstsheet.acts.wish import Wish, wish
from firstsheet.belief import prior
from firstsheet.belief.effects import Effect
from firstsheet.belief.posterior import Posterior
from firstsheet.camera.room import RoomAnswer, look
from firstsheet.exposure import chain, hand, latitude
from firstsheet.exposure.chain import Link, Optics
from firstsheet.light import reading as light_reading
from firstsheet.paper import reciprocity
from firstsheet.paper.response import way_of
from firstsheet.refusal import Problems, Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader

STRIP_SHEETS = 0.25
STRIP_SD = 0.30  # which step looks right, by eye, between steps; common practice, no source


@dataclass(frozen=True, slots=True)
class Setting:
    """The chain at one aperture: nominal time, the links up to it, the effects sheets share, prediction in stops."""

    aperture: float
    nominal_log2_s: float
    links: tuple[Link, ...]
    shared: tuple[Effect, ...]
    wanted_s: float
    variance: float
    room: RoomAnswer | None


def plan(reader: Reader, form: Form | None = None) -> Plan:
    """The answer for this form over what was said before. Nothing is stored.

    Raises Refusal with every problem: what is missing, what the room cannot do, what is not understood.
    """
    w = wish(reader, form)
    known = known_now(reader)
    settings = {s.aperture: s for s in _settings(reader, w, known)}
    n = hand.choose_stop({a: s.wanted_s for a, s in settings.items()}, w.camera.body["shutter"])
    return _answer(reader, w, known, settings[n])


def known_now(reader: Reader) -> Posterior:
    row = reader.newest_posterior()
    return Posterior.from_json(row["body"] if row else None)


def _settings(reader: Reader, w: Wish, known: Posterior) -> list[Setting]:
    """The chain at the aperture asked for, or at every stop of the table where none was."""
    body = w.camera.body
    table = sorted(set(body["stops"]) | {body["f_number"]})
    if w.aperture:
        table = [w.aperture]
    on_board = w.readings[0].reading.kind == "board"
    if on_board and not w.aperture:
        p = "A reading on the board holds for the stop it was taken at."
        raise Refusal.one("aperture", "", p, "Say the aperture that was set.")
    problems = Problems()
    out = []
    for n in table:
        with problems.at(""):
            out.append(_setting(reader, w, known, n, on_board))
    if not out:
        first = {(p.where, p.asked): p for p in problems.found}
        raise Refusal(*first.values())
    return out


def _setting(reader: Reader, w: Wish, known: Posterior, n: float, on_board: bool) -> Setting:
    readings = [k.reading for k in w.readings]
    room = None
    links: list[Link] = []
    if w.subject_mm or w.head_mm:
        size = (w.box.body["width_mm"], w.box.body["height_mm"])
        room = look(
            lens_of(w.camera.body), room_of(w.camera.body), size, subject_mm=w.subject_mm, head_mm=w.head_mm, aperture=n
        )
    if on_board:
        mid = [light_reading.midtone_on_board(r, reader.now()) for r in readings]
        log2_lx = sum(math.log2(m.illuminance_lx) for m in mid) / len(mid)
        paper_lx = 2.0**log2_lx
        sd = max(m.sd_stops for m in mid)
        links.append(
            Link(
                "board",
                _read_words(w),
                None,
                paper_lx,
                "lx",
                "read on the board: lens, extension and fall-off are in it",
            )
        )
    else:
        found = light_reading.midtone_of_all(readings, reader.now())
        sd = found.sd_stops
        links.append(
            Link("reading", _read_words(w), None, found.luminance_cdm2, "cd/m²", "mid-tone, K 12.5 [ISO-2720]", sd)
        )
        filter_stops = chain.filter_stops(w.filter_density)
        optics = Optics(n, room.extension_stops if room else 0.0, filter_stops)
        paper_lx, more = chain.paper_lx_from_scene(found.luminance_cdm2, optics)
        links += more
    speed = prior.starting_speed(w.way, w.box.body)
    need = chain.needed_lx_s(speed.ei)
    nominal = need / paper_lx
    links.append(Link("paper", f"paper at EI {speed.ei:.3g}", None, nominal, "s", speed.source))
    shared = _shared(w, speed.light, sd, on_board)
    wanted, variance, steps, shared = _through(w.way, known, nominal, shared)
    links += steps
    return Setting(n, math.log2(nominal), tuple(links), shared, wanted, variance, room)


def _shared(w: Wish, base_light: str, reading_sd: float, on_board: bool) -> tuple[Effect, ...]:
    effects = prior.speed_effects(w.way, w.box.name, w.box.body)
    effects += prior.developer_effects(w.developer.name, w.developer.body["kind"], w.box.name)
    effects += prior.light_effects(w.light, base_light)
    effects.append(prior.meter_effect(w.readings[0].reading.meter, w.readings[0].meter_kind))
    if not on_board:
        effects.append(prior.camera_effect(w.camera.name))
    number = "+".join(str(k.id) for k in w.readings) if all(k.id for k in w.readings) else "new"
    effects.append(prior.reading_effect(number, reading_sd))
    return tuple(effects)


def _through(
    way: str, known: Posterior, nominal_s: float, shared: tuple[Effect, ...]
) -> tuple[float, float, list[Link], tuple[Effect, ...]]:
    """From nominal seconds through everything shared, reciprocity last: (wanted s, variance, links, effects with it)."""
    steps: list[tuple[str, str, float, str, float | None, float | None]] = []
    for words, effects in _grouped(shared).items():
        mean, variance = known.predict(effects)
        began = sum(e.coefficient * e.mean for e in effects)
        learned = mean - began if any(e.key in known.keys for e in effects) else None
        source = effects[0].source
        steps.append((effects[0].key.split(":")[0], words, mean, source, math.sqrt(variance), learned))
    metered = nominal_s * 2.0 ** known.predict(shared)[0]
    lever = reciprocity.stops_above_reference(metered)
    recip = prior.reciprocity_effect(way, lever)
    r, r_var = known.predict([Effect(recip.key, 1.0, recip.mean, recip.sd)])
    wanted = reciprocity.corrected_s(metered, r)
    links = chain.running_links(nominal_s, steps)
    lost = math.log2(wanted / metered)
    r_learned = (r - recip.mean) * lever if recip.key in known.keys else None
    links.append(
        Link(
            "reciprocity", "long exposures, last", lost, wanted, "s", recip.source, lever * math.sqrt(r_var), r_learned
        )
    )
    everything = (*shared, recip)
    return wanted, known.predict(everything)[1], links, everything


def _grouped(shared: tuple[Effect, ...]) -> dict[str, list[Effect]]:
    from firstsheet.belief.effects import group_of

    out: dict[str, list[Effect]] = {}
    for e in shared:
        if not e.key.startswith("reading:"):
            out.setdefault(group_of(e.key), []).append(e)
    return out


def _read_words(w: Wish) -> str:
    return "; ".join(k.said for k in w.readings) + f", {w.readings[0].reading.place}"


def _answer(reader: Reader, w: Wish, known: Posterior, s: Setting) -> Plan:
    entry = way_of(w.way)
    body = w.camera.body
    given = hand.giving(s.wanted_s, body["shutter"], body["speeds_s"])
    retry = float(tables.load("ways")["retry_sd"])
    sd = math.sqrt(s.variance)
    lat = float(entry["latitude"])
    chance = latitude.keeper_chance(math.sqrt(s.variance + retry**2 + given.sd_stops**2), lat, given.off_stops)
    spread = latitude.spread_s(s.wanted_s, sd)
    after = known.variance_after(s.shared, s.shared, math.hypot(retry, STRIP_SD))
    strip = Strip(
        hand.strip_times_s(s.wanted_s, sd),
        STRIP_SHEETS,
        latitude.keeper_chance(math.sqrt(after + retry**2 + given.sd_stops**2), lat),
    )
    ei, ei_sd = box_speed(w, known)
    left = notes.sheets_left(reader, w.box)
    cost = w.box.body["cost"]
    age = _age_s(reader, w)
    return Plan(
        way=w.way, way_words=entry["words"], box=w.box.name, camera=w.camera.name, developer=w.developer.name, light=w.light,
        light_words=tables.load("lights")[w.light]["words"], sitter=w.sitter, aperture=s.aperture, wanted_s=s.wanted_s,
        time_s=given.time_s, how_given=given.how, range50_s=spread["range50_s"], range90_s=spread["range90_s"],
        keeper_chance=chance, latitude_stops=lat, sd_stops=sd, ei_now=ei, ei_low=ei * 2.0 ** (-1.645 * ei_sd),
        ei_high=ei * 2.0 ** (1.645 * ei_sd), chain=s.links,
        doubts=_doubts(known, s, retry, given.sd_stops), strip=strip, changed=notes.changed(reader, w, known),
        notes=notes.of_plan(reader, w, s, given, left), cautions=notes.cautions(w, lens_of(body)), assumed=w.assumed,
        readings=tuple(k.said for k in w.readings), reading_age_s=age,
        range_of_scene_stops=_scene_range(w), sheets_left=left, cost=cost,
        cost_per_keeper=cost / chance if cost is not None and chance > 0 else None, currency=w.box.body["currency"],
        subject_mm=s.room.subject_mm if s.room else None, board_mm=s.room.board_mm if s.room else None,
        magnification=s.room.magnification if s.room else None, nominal_log2_s=s.nominal_log2_s, shared=s.shared,
    )  # fmt: skip


def box_speed(w: Wish, known: Posterior) -> tuple[float, float]:
    """The box's exposure index now, in the light its speed is stated for and its usual developer, and its sd [stop]."""
    speed = prior.starting_speed(w.way, w.box.body)
    mean, variance = known.predict(prior.speed_effects(w.way, w.box.name, w.box.body))
    return speed.ei * 2.0**-mean, math.sqrt(variance)


def _doubts(known: Posterior, s: Setting, retry: float, hand_sd: float) -> tuple[Doubt, ...]:
    parts = {g: share * s.variance for g, share in known.shares(s.shared).items()}
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
