"""Contrast before the sheet is spent: the scene's range against this paper's, what each way out buys in stops and costs, and which to take."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from firstsheet import quantities as q
from firstsheet import tables, wording
from firstsheet.acts import calibrate_kept, flash
from firstsheet.acts import plan as planning
from firstsheet.acts.door import Door, Form
from firstsheet.acts.setting import CONTACT
from firstsheet.answer import Z90
from firstsheet.belief import prior
from firstsheet.exposure import contrast as weighing
from firstsheet.exposure import preflash
from firstsheet.exposure.contrast import Range, Way
from firstsheet.paper import response
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.own import Owned
    from firstsheet.acts.reader import Reader
    from firstsheet.exposure.preflash import Flashed
    from firstsheet.paper.curve import Curve

SCENE_SD = 0.3  # of a range from two readings [stop]; ours, no source
USUAL_FLASH = Range(1.0, 0.4)  # a paper whose curve nobody drew: what 0.7 of the threshold buys on one of middle grade, closed form
CLEARLY = 0.10  # a second thing to do must better the chance by so much
SAID = "The ranges are to about a third of a stop; what shade, reflector, filter and developer buy is common practice, no source."


@dataclass(frozen=True, slots=True)
class Option:
    """One way out.

    buys_stops, low, high  of range, middle and ends of the 90 % range
    light_stops  how much longer the exposure becomes
    minutes, sheet_minutes  of the evening, once, and with each sheet
    lost_stops   of the scene, that still find no room
    keeper_chance  of a sheet that holds both ends, but for the way's latitude; cost_per_keeper in money, None where no price is known or no keeper to be had
    open         whether it can be done with this box, light and what was measured; else `why_not`
    """

    key: str
    words: str
    does: str
    buys_stops: float
    low: float
    high: float
    light_stops: float
    minutes: float
    sheet_minutes: float
    lost_stops: float
    keeper_chance: float
    cost_per_keeper: float | None
    open: bool
    why_not: str
    caution: str
    source: str


@dataclass(frozen=True, slots=True)
class FlashTold:
    """What the flash does to this paper's curve: share [1], flash [lx·s], border [D], picture [stop]; see `Flashed`."""

    share: float
    flash_lx_s: float
    bought_stops: float
    border_d: float
    picture_stops: float
    words: str


@dataclass(frozen=True, slots=True)
class Contrast:
    """The scene against the paper. Options in the order they are offered; `take` is the key of the one to take, `also` of
    the one that makes it clearly better still, "" for none.

    scene_stops, paper_stops  the two ranges; paper_low, paper_high its 90 % range; measured: from this box's own curve
    exposure_sd  doubt of the exposure [stop]
    plot_svg     the curve without and with the flash, the scene under it; "" where no curve was drawn
    """

    box: str
    developer: str
    way: str
    way_words: str
    scene_stops: float
    scene_words: str
    paper_stops: float
    paper_low: float
    paper_high: float
    paper_words: str
    measured: bool
    exposure_sd: float
    options: tuple[Option, ...]
    take: str
    also: str
    says: str
    flash: FlashTold | None
    currency: str
    notes: tuple[str, ...]
    plot_svg: str


def contrast(reader: Reader, form: Form | None = None) -> Contrast:
    """Fields: range (“6” stops, or “1:64”; without it, the plan's spot readings), share (of the threshold), light, box, developer, way."""
    d = Door(form)
    box, developer, way = flash.todays(reader, d)
    said = d.read("range", range_of)
    share = d.read("share", flash.share_of)
    light = d.pick("light", tables.load("lights"))
    if way == CONTACT:
        d.problems.add("way", way, "A way with a scene before the lens: paper negative, direct positive, a reversal.",
                       "A print’s contrast is its paper’s grade: firstsheet contact print, or “Contact print” on the bench, says which holds the negative.")  # fmt: skip
    d.close()
    assert box is not None
    assert developer is not None
    scene, sd, words = _scene(reader, said, box, way)
    light = light or (reader.get_setting("phrase") or {}).get("light")
    curve = _curve(reader, box.name, developer.name, way)
    done, flash_why = _flashed(reader, (box.name, developer.name, way), curve, share or preflash.SHARE)
    paper, paper_words = _paper(curve, way, done)
    ways, why = _ways(box, light, done, flash_why, share or preflash.SHARE)

    def weigh(some: list[Way]) -> list[weighing.Weighed]:
        latitude = float(response.way_of(way)["latitude"])
        return weighing.weigh(Range(scene, SCENE_SD), paper, some, exposure_sd=sd, latitude=latitude, sheet_cost=box.body["cost"])

    weighed = weigh(list(ways.values()))
    # Where it fits, more room would only cover up for an exposure not known yet: a test strip does that better.
    fits = paper.stops - scene >= math.hypot(paper.sd, SCENE_SD)
    free = [w for w in weighed if not why[w.key] and (w.key == "as_is" or not fits)]
    take = weighing.best(free, [ways[w.key] for w in free])
    if take == "as_is" and not fits:
        take = _first_of_two(free, ways, weigh)
    taken = next(w for w in weighed if w.key == take)
    pairs = weigh([weighing.together(ways[take], ways[w.key]) for w in free if _apart(take, w.key)])
    also = max(pairs, key=lambda w: w.keeper, default=taken)
    options = tuple(_option(ways[w.key], w, why[w.key], done) for w in weighed)
    told = _told(done, way) if done else None
    notes = _notes(way, done, flash_why, measured=curve is not None)
    return Contrast(
        box.name, developer.name, way, str(response.way_of(way)["words"]), scene, words, paper.stops, paper.stops - Z90 * paper.sd,
        paper.stops + Z90 * paper.sd, paper_words, curve is not None, sd, options, take, *_says(options, take, also, (scene, paper.stops)), told,
        box.body["currency"], notes, _plot(curve, done, scene, box.name) if curve else "",
    )  # fmt: skip


def _first_of_two(free: list[weighing.Weighed], ways: dict[str, Way], weigh: Callable[[list[Way]], list[weighing.Weighed]]) -> str:
    """Where no one way out helps two may: the likelier one of the best two, where they better every single one clearly; else as it is."""
    keeper = {w.key: w.keeper for w in free}
    both = [weighing.together(ways[a], ways[b]) for a, b in combinations(keeper, 2) if _apart(a, b)]
    best = max(weigh(both), key=lambda w: w.keeper, default=None) if both else None
    if best is None or best.keeper < max(keeper.values()) + CLEARLY:
        return "as_is"
    return max(best.key.split("+"), key=lambda k: (keeper[k], -ways[k].minutes))


def range_of(text: str) -> float:
    """“6”, “6 stops” or “1:64” as stops. Refusal outside half a stop to 16."""
    word = text.strip().lower().removesuffix("stops").removesuffix("stop").strip()
    if ":" in word:
        one, many = (q.plain_number(x.strip(), 1e-3, 1e6) for x in word.split(":", 1))
        stops = abs(math.log2(many / one))
    else:
        stops = q.plain_number(word, 0.0, 1e9)
    if not 0.5 <= stops <= 16:
        raise Refusal.one("", text, "From half a stop to 16 stops.", "Sun and shade in one picture are about 6 to 8.")
    return stops


def _scene(reader: Reader, said: float | None, box: Owned, way: str) -> tuple[float, float, str]:
    """The scene's range [stop], the exposure's doubt [stop], and where the range comes from."""
    try:
        p = planning.plan(reader)
    except Refusal:
        p = None
    speed = planning.known_now(reader).predict(prior.speed_effects(way, box.name, box.body))
    sd = p.sd_stops if p else math.sqrt(speed[1])
    if said is not None:
        return said, sd, "as said"
    if p and p.range_of_scene_stops >= 0.5:
        return p.range_of_scene_stops, sd, f"between the readings: {'; '.join(p.readings)}"
    raise Refusal.one("range", "", "The scene's range: stops from the darkest tone that must hold detail to the brightest.",
                      "Try “6”; or read both spots: “EV 14 on face_light; EV 9 on face_mid”.")  # fmt: skip


def _curve(reader: Reader, box: str, developer: str, way: str) -> Curve | None:
    rows = [r for r in calibrate_kept.of(reader, box, developer, way=way) if r["body"].get("steps")]
    return calibrate_kept.curve_from(rows[0]["body"] | {"name": rows[0]["name"]}) if rows else None


def _flashed(reader: Reader, of: tuple[str, str, str], curve: Curve | None, share: float) -> tuple[Flashed | None, str]:
    """What the flash does to the curve, or None and why it cannot be told, "" where only its dose is known, from a count."""
    if curve is not None:
        try:
            return preflash.flashed(curve, share), ""
        except Refusal as refusal:
            why = " ".join(f"{p.allowed} {p.hint}".strip() for p in refusal.problems)
            return None, "" if flash.known(reader, *of) else why
    if flash.known(reader, *of):
        return None, ""
    return None, flash.refuse_unmeasured(of[0], of[2]).problems[0].allowed


def _paper(curve: Curve | None, way: str, done: Flashed | None) -> tuple[Range, str]:
    if done is not None:
        b = done.range_before
        return Range(b.value, (b.high - b.low) / (2 * Z90)), "from this box's own curve"
    entry = tables.load("contrast")["ranges"]
    if curve is not None:
        from firstsheet.paper.curve_points import log_range

        r = log_range(curve)
        if r.value is not None and r.log10_sd is not None:
            return Range(r.value / preflash.STOP, r.log10_sd / preflash.STOP), "from this box's own curve"
    log10, sd = entry[way]
    return Range(log10 / preflash.STOP, sd / preflash.STOP), f"{entry['words']}, unmeasured: {entry['source']}"


def usual_flash(share: float) -> Range:
    """What a flash buys on a paper of middle grade whose curve nobody drew: the toe as H², whose threshold a flash of `share` lowers by asinh(share)."""
    part = math.asinh(share) / math.asinh(preflash.SHARE)
    return Range(USUAL_FLASH.stops * part, USUAL_FLASH.sd * part)


def _ways(box: Owned, light: str | None, done: Flashed | None, flash_why: str, share: float) -> tuple[dict[str, Way], dict[str, str]]:
    """Every way out, and why it cannot be gone, "" where it can."""
    ways, why = {}, {}
    for key, e in tables.load("contrast").items():
        if not isinstance(e, dict) or key == "ranges":
            continue
        buys = Range(float(e.get("buys", 0.0)), float(e.get("buys_sd", 0.0)))
        if key == "preflash":
            b = done.bought if done else None
            buys = Range(b.value, (b.high - b.low) / (2 * Z90)) if b else usual_flash(share)
        less = float(e.get("light", 0.0))
        if key == "preflash":
            less = done.picture_stops if done else flash.usual_less(share)
        ways[key] = Way(key, buys, Range(less, float(e.get("light_sd", 0.0))), float(e.get("minutes", 0)), float(e.get("sheet_minutes", 0)))
        why[key] = ""
        if box.body["paper"] not in e.get("papers", (box.body["paper"],)):
            kinds = ", ".join(tables.load("papers")[k]["words"] for k in e["papers"])
            why[key] = f"Only with {kinds}."
        elif light and light not in e.get("in_light", (light,)):
            why[key] = "The light is flat already."
        elif key == "preflash" and flash_why:
            why[key] = flash_why
    return ways, why


def _option(w: Way, weighed: weighing.Weighed, why: str, done: Flashed | None) -> Option:
    e = tables.load("contrast")[w.key]
    low, high = max(0.0, w.buys.stops - Z90 * w.buys.sd), w.buys.stops + Z90 * w.buys.sd  # none makes it worse
    if w.key == "preflash" and done:
        low, high = done.bought.low, done.bought.high
    source = str(e["source"])
    if w.key == "preflash" and done is None:
        source = "as on a paper of middle grade, by its closed form; this paper's own curve was not drawn"
    return Option(
        w.key, str(e["words"]), str(e["does"]), w.buys.stops, low, high, w.light.stops, w.minutes, w.sheet_minutes, weighed.lost_stops,
        weighed.keeper, weighed.cost_per_keeper, not why, why, str(e.get("caution", "")), source,
    )  # fmt: skip


def _apart(one: str, other: str) -> bool:
    """Whether two ways do not touch the same end of it: one changes the scene, the other the paper."""
    table = tables.load("contrast")
    return "as_is" not in (one, other) and table[one].get("where") != table[other].get("where")


def _says(options: tuple[Option, ...], take: str, pair: weighing.Weighed, ranges: tuple[float, float]) -> tuple[str, str]:
    """What goes with the one to take, "" for nothing, and the recommendation as a sentence."""
    by = {o.key: o for o in options}
    o, plain = by[take], by["as_is"]
    scene, paper = ranges
    also = pair.key.partition("+")[2] if pair.keeper >= o.keeper_chance + CLEARLY else ""
    fits = f"The scene runs over {scene:.1f} stops, the paper holds {paper:.1f}"
    if take == "as_is":
        tail = "it fits" if plain.lost_stops == 0 else "nothing that can be done here makes a keeper clearly likelier"
        return also, f"{fits}: {tail}. As it is, both ends hold {wording.chance(plain.keeper_chance)}."
    left = f" {o.lost_stops:.1f} stop of the scene is still lost: choose which end." if o.lost_stops >= 0.15 else ""
    more = f" With {by[also].words} as well, {wording.chance(pair.keeper)}." if also else left
    chances = f"both ends hold {wording.chance(o.keeper_chance)}, as it is {wording.chance(plain.keeper_chance)}"
    return also, f"Take {o.words}. {fits}: {chances}.{more}"


def _told(done: Flashed, way: str) -> FlashTold:
    border = response.way_of(way)["border"]
    side = "darker" if done.border.value > 0 else "lighter"
    words = (
        f"{done.share:.0%} of the threshold, {done.flash_lx_s:.2g} lx·s. It lifts the scene's shadows by {wording.stops_apart(done.bought.value)} and leaves its lights; "
        f"the {border} border comes {abs(done.border.value):.2f} D {side}; the picture takes {wording.stops_apart(done.picture_stops)} less light."
    ).replace("%", " %", 1)
    return FlashTold(done.share, done.flash_lx_s, done.bought.value, done.border.value, done.picture_stops, words)


def _notes(way: str, done: Flashed | None, flash_why: str, *, measured: bool) -> tuple[str, ...]:
    out = []
    if flash_why:
        out.append(f"No preflash yet. {flash_why} {flash.scrap_words(way)}".strip())
    elif done is None:
        out.append("The threshold was counted, the curve not drawn: what the flash buys here is a guess from papers of middle grade.")
    if not measured:
        out.append("The paper's range is that of its kind. A strip of this box, read into a curve, tells its own.")
    if way == "paper_negative":
        out.append("What is lost in the negative's white is lost in the print's black; a softer print does not bring it back.")
    return (*out, SAID)


def _plot(curve: Curve, done: Flashed | None, scene: float, box: str) -> str:
    from firstsheet.drawing.flash_curve import flash_curve

    return flash_curve(curve, done.flash_lx_s if done else 0.0, scene, box)



def costs_words(o: Option) -> str:
    """What an option costs: light, minutes."""
    out = []
    if o.light_stops >= 0.1:
        out.append(f"{wording.stops_apart(o.light_stops)} of light")
    if o.minutes:
        out.append(f"{o.minutes:g} min once")
    if o.sheet_minutes:
        out.append(f"{o.sheet_minutes:g} min a sheet")
    spared = f", spares {wording.stops_apart(o.light_stops)} of light" if o.light_stops <= -0.1 else ""
    return ("costs " + ", ".join(out) if out else "costs nothing") + spared
