"""The chain at one aperture, from what was read to seconds wanted, through everything sheets share."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from firstsheet.acts import flash, pack_known, scraps_in_plans
from firstsheet.acts.own import lens_of, room_of
from firstsheet.acts.wish import Wish
from firstsheet.belief import prior
from firstsheet.belief.effects import Effect, group_of
from firstsheet.belief.posterior import Posterior
from firstsheet.camera.room import RoomAnswer, look
from firstsheet.exposure import chain
from firstsheet.exposure.chain import Link, Optics
from firstsheet.light import reading as light_reading
from firstsheet.paper import reciprocity
from firstsheet.refusal import Problems, Refusal

if TYPE_CHECKING:
    from firstsheet.acts.answers import PackOn
    from firstsheet.acts.reader import Reader

CONTACT = "contact_print"
Told = Sequence[tuple[Sequence[Effect], float]]
ON_BOARD = "read on the board: lens, extension and fall-off are in it"
UNDER_LAMP = "read under the lamp, where the paper lies"


@dataclass(frozen=True, slots=True)
class Setting:
    """The chain at one aperture: nominal time, the links up to it, the effects sheets share, prediction in stops.

    felt  the same effects as the time to give feels them, through reciprocity
    strip_stops  how far above 1 s the strip stood that told the nominal time, metered [stop]; 0 without one
    spoils  what no seconds mend, of a print under a kept lamp
    """

    aperture: float | None
    nominal_log2_s: float
    links: tuple[Link, ...]
    shared: tuple[Effect, ...]
    wanted_s: float
    variance: float
    room: RoomAnswer | None
    felt: tuple[Effect, ...] = ()
    pack: PackOn | None = None
    strip_stops: float = 0.0
    spoils: tuple[str, ...] = ()


def settings(reader: Reader, w: Wish, known: Posterior) -> list[Setting]:
    """The chain at the aperture asked for, or at every stop of the table where none was; without a lens, just once."""
    if w.lit:
        return [_lit(reader, w, known)]
    body = w.camera.body
    table: list[float | None] = [*sorted(set(body["stops"]) | {body["f_number"]})]
    if w.aperture:
        table = [w.aperture]
    on_board = w.readings[0].reading.kind == "board"
    if w.way == CONTACT:
        if not on_board:
            allowed = "Lux under the lamp where the paper lies, under the negative or beside it."
            hint = "Try “4 lx on the board”; beside the negative, say the negative’s density there too."
            raise Refusal.one("reading", "; ".join(k.said for k in w.readings), allowed, hint)
        table = [None]
    elif on_board and not w.aperture and not w.board_aperture:
        p = "A reading on the board holds for the stop it was taken at."
        raise Refusal.one("aperture", "", p, "Say the aperture that was set.")
    pack = pack_known.on_lens(reader, w.way, w.light, w.box, known)
    told = pack_known.told_brightness(reader, w.light, w.box.name, known) if pack else []
    problems = Problems()
    out = []
    for n in table:
        with problems.at(""):
            out.append(_setting(reader, w, known, n, on_board, pack, told))
    if not out:
        first = {(p.where, p.asked): p for p in problems.found}
        raise Refusal(*first.values())
    return out


def _lit(reader: Reader, w: Wish, known: Posterior) -> Setting:
    """A contact print under a lamp that is kept: its strip stands for reading, paper and developer at once."""
    from firstsheet.acts import contact_lit

    light = contact_lit.lit(reader, {**(w.lit or {}), "box": w.box.name, "developer": w.developer.name}, known)
    nominal = light.seconds.time_s
    wanted, felt, steps, shared = _through(w.way, known, nominal, light.shared, light.strip_stops)
    links = (*light.links, *scraps_in_plans.sourced(reader, w.way, w.box.name, steps))
    return Setting(None, math.log2(nominal), links, shared, wanted, known.predict(felt)[1], None, felt, None, light.strip_stops, light.spoils())


def _setting(reader: Reader, w: Wish, known: Posterior, n: float | None, on_board: bool, pack: PackOn | None, told: Told) -> Setting:
    readings = [k.reading for k in w.readings]
    room = None
    links: list[Link] = []
    if n and (w.subject_mm or w.head_mm):
        size = (w.box.body["width_mm"], w.box.body["height_mm"])
        room = look(
            lens_of(w.camera.body), room_of(w.camera.body), size, subject_mm=w.subject_mm, head_mm=w.head_mm, aperture=n
        )
    if on_board:
        mid = [light_reading.midtone_on_board(r, reader.now()) for r in readings]
        log2_lx = sum(math.log2(m.illuminance_lx) for m in mid) / len(mid)
        paper_lx = 2.0**log2_lx
        sd = max(m.sd_stops for m in mid)
        weights = [1.0 / len(mid)] * len(mid)
        links.append(Link("board", _read_words(w), None, paper_lx, "lx", UNDER_LAMP if n is None else ON_BOARD))
        paper_lx, more = chain.paper_lx_since_board(paper_lx, n, w.board_aperture, w.filter_density, w.board_filter)
        links += more
        if w.negative_density and n is None:
            lost = chain.filter_stops(w.negative_density)
            paper_lx /= 2.0**lost
            links.append(Link("negative", "through the negative", lost, paper_lx, "lx", "factor = 10^density"))
    else:
        assert n is not None
        found = light_reading.midtone_of_all(readings, reader.now())
        sd = found.sd_stops
        weights = light_reading.weights(readings, reader.now())
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
    if w.flash_share:
        spared = flash.link(reader, w.box.name, w.developer.name, w.way, w.flash_share, nominal)
        nominal = spared.value
        links.append(spared)
    if pack:
        nominal *= 10.0**pack.log_time
        links.append(Link("pack", f"filter pack, {pack.words}", pack.log_time / math.log10(2.0), nominal, "s", "spectra, reports and your sheets of this light"))
    shared = _shared(w, speed.light, sd, on_board, weights)
    wanted, felt, steps, shared = _through(w.way, known, nominal, shared)
    links += scraps_in_plans.sourced(reader, w.way, w.box.name, steps)
    variance = known.variance_after_all(felt, told)
    return Setting(n, math.log2(nominal), tuple(links), shared, wanted, variance, room, felt, pack)


def _shared(
    w: Wish, base_light: str, reading_sd: float, on_board: bool, weights: Sequence[float]
) -> tuple[Effect, ...]:
    effects = prior.speed_effects(w.way, w.box.name, w.box.body)
    effects += prior.developer_effects(w.developer.name, w.developer.body["kind"], w.box.name)
    effects += prior.light_effects(w.way, w.light, base_light)
    effects += _meters(w, weights)
    if not on_board:
        effects.append(prior.camera_effect(w.camera.name))
    number = "+".join(str(k.id) for k in w.readings) if all(k.id for k in w.readings) else "new"
    effects.append(prior.reading_effect(number, reading_sd))
    return tuple(effects)


def _meters(w: Wish, weights: Sequence[float]) -> list[Effect]:
    """Each meter's lasting offset, by the weight its readings have in the mean; the weights sum to 1."""
    out: dict[str, Effect] = {}
    for k, weight in zip(w.readings, weights, strict=True):
        e = prior.meter_effect(k.reading.meter, k.meter_kind)
        so_far = out[e.key].coefficient if e.key in out else 0.0
        out[e.key] = replace(e, coefficient=so_far + weight)
    return list(out.values())


def _through(
    way: str, known: Posterior, nominal_s: float, shared: tuple[Effect, ...], strip_stops: float = 0.0
) -> tuple[float, tuple[Effect, ...], list[Link], tuple[Effect, ...]]:
    """From nominal seconds through everything shared, reciprocity last: (wanted s, effects as felt, links, effects)."""
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
    r, r_var = loss_of(way, known)
    wanted = reciprocity.corrected_s(metered, r)
    links = chain.running_links(nominal_s, steps)
    lost = math.log2(wanted / metered)
    felt = prior.through_reciprocity(way, shared, lever, r, strip_stops)
    counts = felt[-1].coefficient
    r_learned = (r - recip.mean) * counts if recip.key in known.keys else None
    links.append(
        Link(
            "reciprocity", "long exposures, last", lost, wanted, "s", recip.source, abs(counts) * math.sqrt(r_var), r_learned
        )
    )
    return wanted, felt, links, (*shared, recip)


def loss_of(way: str, known: Posterior) -> tuple[float, float]:
    """Schwarzschild's 1/p − 1 as this way of working is known to lose, and its variance [1]."""
    return known.predict([replace(prior.reciprocity_effect(way, 0.0), coefficient=1.0)])


def then_over_now(way: str, known: Posterior, nominal_log2_s: float, wanted_s: float, shared: Sequence[Effect]) -> float:
    """What a plan asked for once over what it would ask for by what is known now, as light the paper feels [log10]: everything shared, with long exposures
    as they are believed now."""
    told = [e for e in shared if not e.key.startswith("recip:")]
    r = loss_of(way, known)[0]
    felt = reciprocity.metered_stops_from_given(wanted_s, r) or math.log2(wanted_s)
    return (felt - nominal_log2_s - known.predict(told)[0]) * math.log10(2.0)


def _grouped(shared: tuple[Effect, ...]) -> dict[str, list[Effect]]:
    out: dict[str, list[Effect]] = {}
    for e in shared:
        if not e.key.startswith("reading:"):
            out.setdefault(group_of(e.key), []).append(e)
    return out


def _read_words(w: Wish) -> str:
    said = "; ".join(k.said for k in w.readings)
    place = w.readings[0].reading.place
    return said if place in said else f"{said}, {place}"
