"""What is known of the packs: told sheets as they are kept, what a kind of light asks by spectra, and where a light or box begins that was never tried."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import tables
from firstsheet.acts import own
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from firstsheet.acts.answers import PackOn, Plan
    from firstsheet.acts.own import Owned
    from firstsheet.acts.reader import Reader
    from firstsheet.belief.effects import Effect
    from firstsheet.belief.posterior import Posterior
    from firstsheet.colour.learned import Belief
    from firstsheet.colour.neighbours import Place
    from firstsheet.colour.pack import Gel, Pack
    from firstsheet.colour.weigh import Sheet

THING, GELS = "pack", "pack_gels"
RING = "pack_ring"  # the patches of a masked sheet that was asked for, until it is read
UNKNOWN = "pack_unknown"  # a setting that holds where a sheet is planned whose pack nobody wrote down
WAY = "reversal_ra4"
SHORT_CC = 8.0  # a cast this large is seen [CC]; ours
HOPELESS_CC = 40.0  # one this large is no print [CC]; ours
LAMP_K = 3200.0  # where the layers' own speeds are said [K]
GREEN_D, BLUE_D = 0.60, 1.20  # green and blue over red in lamp light [D]: practitioners, one report
REPORTED = "sun"  # the light in which most packs are reported, and for which the doubt of those reports holds
LEAST_METERED_SD = 0.10  # all layers, from one hour of a light to another [D]; ours


def which(reader: Reader, light: str | None, box: str | None) -> tuple[str, str, str]:
    light = light or str((reader.get_setting("phrase") or {}).get("light") or "sun")
    found = own.one(reader, "box", box or (reader.get_setting("today") or {}).get("box"))
    if not _colour(found):
        raise Refusal.one("box", found.name, "A box of colour paper.", "Own one first: firstsheet own box … --paper ra4.")
    return f"{found.name} in {light}", light, found.name


def kept_sheets(reader: Reader, key: str) -> list[dict[str, Any]]:
    return next((list(t["body"]["sheets"]) for t in reader.things(THING) if t["name"] == key), [])


def on_lens(reader: Reader, way: str, light: str, box: Owned, known: Posterior) -> PackOn | None:
    """The pack a plan of this box in this light is made for; None where this is no colour reversal."""
    if way != WAY or not _colour(box) or reader.get_setting(UNKNOWN):
        return None
    from firstsheet.acts.answers import PackOn
    from firstsheet.colour.pack import in_words

    now = solved(reader, light, box.name, kept_sheets(reader, f"{box.name} in {light}"), known)[2]
    return PackOn(in_words(now.written), now.written, now.real, now.log_time, now.left_cc)


def told_brightness(reader: Reader, light: str, box: str, known: Posterior) -> list[tuple[Sequence[Effect], float]]:
    """What told sheets saw of a colour plan's brightness, each with its doubt [stop]: it moved the pack's time, and so it narrows the plan's doubt.

    Each sheet of the book whose brightness was said saw what its own plan shares (paper, light, meter, camera, its reading) through retry, hand and eye, and
    narrows what this plan shares with it. A judged sheet told its brightness there, and counts there alone; a masked sheet is one.
    """
    from firstsheet.acts.sheet import sheet
    from firstsheet.belief.effects import Effect
    from firstsheet.exposure.hand import giving

    retry = float(tables.load("ways")["retry_sd"]) * known.scale("retry")
    seen: dict[str, tuple[Sequence[Effect], float]] = {}
    for s in kept_sheets(reader, f"{box} in {light}"):
        if not (s.get("bright") and s.get("plan") and s.get("sheet")):
            continue
        made = sheet(reader, s["sheet"])
        if not made.judgement and made.given_s:
            hand = giving(made.given_s, "cap", ()).sd_stops  # a shutter is surer, and this no surer than it is
            shared = [Effect.from_json(e) for e in s["plan"]["shared"]]
            told = [e for e in shared if not e.key.startswith("recip:")]
            sd = math.hypot(float(s["light_sd"]) / math.log10(2.0), retry, hand)
            if s["sheet"] not in seen or sd < seen[s["sheet"]][1]:  # of a masked sheet its surest patch
                seen[s["sheet"]] = told, sd
    return [*seen.values()]


def plan_of(reader: Reader, light: str, box: str) -> Plan | None:
    """The plan where it is this box in this light, through a pack; else None."""
    from firstsheet.acts import plan as plans

    if (reader.get_setting("phrase") or {}).get("light") != light:
        return None
    try:
        found = plans.plan(reader)
    except Refusal:
        return None
    return found if found.pack and found.box == box else None


def unfiltered_s(found: Plan | None) -> float | None:
    """The plan's seconds without its pack [s]."""
    return found.wanted_s / 10.0**found.pack.log_time if found and found.pack else None


def told_by(plan: Mapping[str, Any]) -> dict[str, Any]:
    """What is kept of the plan a sheet was made by, so that what its seconds are taken to be later is known."""
    return {"shared": [list(e) for e in plan["shared"]], "nominal_log2_s": plan["nominal_log2_s"], "wanted_s": plan["wanted_s"]}


def solved(reader: Reader, light: str, box: str, kept: list[dict[str, Any]], known: Posterior | None = None, near: list[Other] | None = None) -> tuple[Belief, Any, Pack]:
    """The belief about this box in this light by `kept`, begun from its neighbours, or from `near` instead; the state to set the pack for; that pack."""
    import numpy as np

    from firstsheet.acts import plan as plans
    from firstsheet.colour import neighbours, weigh
    from firstsheet.colour import pack as packs

    learned = plans.known_now(reader) if known is None else known
    beside = []
    for n in others(reader, light, box) if near is None else near:
        place = place_of(n.box, n.light)
        beside.append((place, weigh.weigh(neighbours.alone(place), matrix_of(n.light), _sheets(reader, n.box, n.kept, learned), heaps=weigh.PLAIN)[0]))
    matrix = matrix_of(light)
    belief, aim = weigh.weigh(neighbours.begin(place_of(box, light), beside), matrix, _sheets(reader, box, kept, learned))
    return belief, np.asarray(aim), packs.of_gels(aim, matrix, owned_gels(reader))


@dataclass(frozen=True, slots=True)
class Other:
    """A box in a light that has told sheets; `count` of them, a masked one as one."""

    box: str
    light: str
    kept: list[dict[str, Any]]
    count: int


def others(reader: Reader, light: str, box: str) -> list[Other]:
    """Every other box and light with told sheets; first this box's, then this light's."""
    out = []
    other_paper = {b.name for b in own.owned(reader, "box") if not _colour(b)}  # a name may have gone to a box of another paper since
    for t in reader.things(THING):
        of_box, _, of_light = t["name"].rpartition(" in ")
        if t["body"]["sheets"] and of_box not in other_paper and (of_box, of_light) != (box, light) and of_light in tables.load("lights"):
            out.append(Other(of_box, of_light, t["body"]["sheets"], count_of(t["body"]["sheets"])))
    return sorted(out, key=lambda n: (n.box != box, n.light != light, n.box, n.light))


def count_of(kept: list[dict[str, Any]]) -> int:
    """Sheets told; the patches of one masked sheet are one."""
    return len({s.get("mask") or -i for i, s in enumerate(kept, 1)})


def _sheets(reader: Reader, box: str, kept: list[dict[str, Any]], known: Posterior) -> list[Sheet]:
    """As they are weighed. Told against the seconds of a plan that has since learned anew, the same light is another share of today's seconds: a
    brightness told here and in judging the sheet counts once."""
    from firstsheet.acts.setting import then_over_now
    from firstsheet.belief.effects import Effect
    from firstsheet.colour import cast
    from firstsheet.colour.weigh import Sheet

    def three(v: Any) -> Any:
        return tuple(v) if v else None

    out = []
    for s in kept:
        moved = 0.0
        if s.get("plan"):
            by = s["plan"]
            moved = then_over_now(WAY, known, by["nominal_log2_s"], by["wanted_s"], [Effect.from_json(e) for e in by["shared"]])
        elif s.get("ei") and (speed := _speed_now(reader, box, known)):  # as they were kept before: by the speed of the box alone
            moved = math.log10(speed / s["ei"])
        said = three(s.get("said"))
        clear = said is not None and said[0] in ("neutral", *cast.COLOURS) and said[1] in cast.HOW_MUCH and said[2] in cast.BRIGHT
        seen = cast.Seen(three(s["state"]), s["light_sd"], s["cast_sd"], s["words"], said if clear else None, three(s.get("density")))
        out.append(Sheet(three(s["pack"]), s["log_time"] + moved, seen))
    return out


def _speed_now(reader: Reader, box: str, known: Posterior) -> float | None:
    """The speed a plan of this box goes by now; None where the box is owned no more."""
    from firstsheet.acts import plan as plans

    body = next((b.body for b in own.owned(reader, "box") if b.name == box), None)
    return plans.box_speed(WAY, box, body, known)[0] if body else None


def _colour(box: Owned) -> bool:
    return bool(tables.load("papers")[box.body["paper"]]["sensitivity"] == "colour")


def place_of(box: str, light: str) -> Place:
    """What spectra say of a box in a kind of light before any sheet."""
    import numpy as np

    from firstsheet.colour.neighbours import Place
    from firstsheet.light import spectrum as sp
    from firstsheet.paper import emulsion

    kind = sp.kinds()[light]
    warm, cold = (sp.warmed(kind.spectrum, by) for by in (kind.mired_sd, -kind.mired_sd))
    hour = [0.5 * (emulsion.seen(cold, k) - emulsion.seen(warm, k)) * math.log10(2.0) for k in emulsion.LAYERS]
    here, reported = (np.array([0.0, *prior_excess(k)]) for k in (light, REPORTED))
    metered = max(LEAST_METERED_SD, float(tables.load("lights")[light]["red_sd"]) * math.log10(2.0))
    return Place(box, light, here, here - reported, np.array(hour), metered)


def owned_gels(reader: Reader) -> list[Gel] | None:
    from firstsheet.colour.pack import Gel

    have = next((t["body"]["gels"] for t in reader.things(GELS)), None)
    return [Gel(*g) for g in have] if have else None


def prior_excess(light: str) -> tuple[float, float]:
    """How much more than red the green and the blue layer receive in a kind of light, before any sheet [D]."""
    from firstsheet.light import spectrum as sp
    from firstsheet.paper import emulsion

    here, lamp = sp.kinds()[light].spectrum, sp.planck(LAMP_K)
    red, green, blue = (emulsion.seen(here, k) - emulsion.seen(lamp, k) for k in emulsion.LAYERS)
    return GREEN_D + (green - red) * math.log10(2.0), BLUE_D + (blue - red) * math.log10(2.0)


def matrix_of(light: str) -> Any:
    """Density each layer loses to one CC of each dye in this light, taken over a hundred [D]; rows red, green, blue."""
    import numpy as np

    from firstsheet.light import filters
    from firstsheet.light import spectrum as sp
    from firstsheet.paper import emulsion

    here = sp.kinds()[light].spectrum
    return np.array([[emulsion.filter_stops(here, k, filters.dye(d, 1.0))[0] * math.log10(2.0) / 100.0 for d in "YMC"] for k in emulsion.LAYERS])
