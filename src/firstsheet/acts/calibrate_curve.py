"""From a strip's densities and what its steps got to the paper's curve, its figures, and what the next plan will say."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables
from firstsheet.acts import calibrate, own
from firstsheet.acts import calibrate_kept as keeping
from firstsheet.acts import calibrate_parts as parts
from firstsheet.acts.calibrate_teach import LOG10_2, NextPlan, Said, faster_stops, foreseen
from firstsheet.acts.calibrate_teach import evidence as evidence_of
from firstsheet.acts.door import Door, Form
from firstsheet.acts.learn import NO_WEIGHT_SD
from firstsheet.acts.wish import own_meter
from firstsheet.answer import to_json
from firstsheet.paper import response
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.own import Owned
    from firstsheet.book.store import Book
    from firstsheet.paper.curve import Curve
    from firstsheet.paper.curve_points import Figure

BORDER_SD = 0.01  # of a border that densities are counted from [density]


@dataclass(frozen=True, slots=True)
class Named:
    """One figure of a curve for people: value None where it was not reached, and `missing` says why; low and high are the
    90 % range, or one of them a bound. `rounded` as its standard states it, where it does."""

    key: str
    words: str
    unit: str
    value: float | None
    low: float | None
    high: float | None
    rounded: float | None
    missing: str
    source: str


@dataclass(frozen=True, slots=True)
class CurveAnswer:
    """A paper's curve as measured.

    curve       its number in the book
    faster_stops  how much faster (+) than the box was taken to be before any sheet, developer and light counted in [stop]
    taught      whether it counts in plans; `teaches` whether it can, else `why_not`
    dropped     whether it was taken back: nothing goes by it, its shape neither
    """

    curve: int
    strip: int | None
    name: str
    box: str
    developer: str
    way: str
    light: str
    kind: str
    figures: tuple[Named, ...]
    faster_stops: float | None
    sd_stops: float | None
    next_plan: NextPlan
    teaches: bool
    taught: bool
    dropped: bool
    why_not: str
    notes: tuple[str, ...]
    plot_svg: str


def curve(book: Book, number: int | None, form: Form | None = None, *, teach: bool = True) -> CurveAnswer:
    """Fit the curve of a strip, keep it and, with `teach`, let it count in plans.

    number  of the strip; None where densities are typed in
    form    box, developer, way, light, exposures; tablet (its densities), timing (hand, timer), meter, kind (reflection,
            transmission), densities and density_sd in place of a picture

    Refusal with every problem at once, or for steps that show no curve.
    """
    from firstsheet.drawing.curve_plot import curve_plot
    from firstsheet.paper.curve import fit

    said = _said(book, number, form)
    table = tables.load("meters")[said.meter[1]]
    common = math.hypot(float(table["offset_sd"]), parts.LUX_SD_STOPS) * LOG10_2
    found = fit(said.steps, response.sense(said.way), kind=said.kind, absolute=said.exposures.absolute,  # type: ignore[arg-type]
                common_log_h_sd=common if said.exposures.absolute else 0.0)  # fmt: skip
    evidence, why_not = evidence_of(found, said, common)
    name = keeping.name_for(book, said, teach)
    body: dict[str, Any] = {
        "strip": number, "name": name, "box": said.box.name, "developer": said.developer.name, "way": said.way,
        "light": said.light, "kind": said.kind, "evidence": evidence, "why_not": why_not,
        "figures": [to_json(f) for f in _figures(found)], "notes": _notes(found, said),
        "plot_svg": curve_plot(found, name=f"{said.box.name} in {said.developer.name}"),
        "faster_stops": faster_stops(evidence), "form": {k: str(v) for k, v in dict(form or {}).items()},
        **keeping.body_of(found, said),
    }  # fmt: skip
    body["next_plan"] = to_json(foreseen(book, {name: evidence}))
    with book.begin():
        made = keeping.again(book, name, body | {"taught": teach and evidence is not None})
        if teach and evidence is not None:
            keeping.teach(book, name, evidence)
    return kept(book, made)


def count_it(book: Book, number: int) -> CurveAnswer:
    """Let a curve that was only looked at, or taken back, count from now on; one that never can count gives its shape again.

    Refusal for one that cannot count and was not taken back.
    """
    row = keeping.row(book, number)
    body = row["body"]
    if body["evidence"] is None and not body.get("dropped"):
        raise Refusal.one("curve", keeping.of_what(body), body["why_not"], "Its shape is gone by all the same.")
    with book.begin():
        made = number
        if body["evidence"] is None:
            made = keeping.again(book, row["name"], body | {"dropped": False})
        elif not body["taught"]:
            body = body | {"dropped": False}
            moved = to_json(foreseen(book, {body["name"]: body["evidence"]}))
            made = keeping.again(book, row["name"], body | {"taught": True, "next_plan": moved})
            keeping.teach(book, body["name"], body["evidence"])
    return kept(book, made)


def withdraw(book: Book, number: int) -> CurveAnswer:
    """Take a curve back, whether it counted or was only looked at; it stays in the book, and all is as if it had never been."""
    row = keeping.row(book, number)
    body = row["body"]
    if body.get("dropped"):
        return kept(book, number)
    with book.begin():
        made = keeping.again(book, row["name"], body | {"taught": False, "dropped": True})
        if body["taught"]:
            keeping.teach(book, body["name"], body["evidence"] | {"sd": NO_WEIGHT_SD})
    return kept(book, made)


def kept(book: Book, number: int) -> CurveAnswer:
    """A curve by its number, or a number that it had before; the newest of its name."""
    row = keeping.row(book, number)
    number, b = int(row["id"]), row["body"]
    figures = tuple(Named(**f) for f in b["figures"])
    return CurveAnswer(
        number, b["strip"], b["name"], b["box"], b["developer"], b["way"], b["light"], b["kind"], figures, b["faster_stops"],
        b["evidence"]["sd"] if b["evidence"] else None, NextPlan(**b["next_plan"]), b["evidence"] is not None, b["taught"], bool(b.get("dropped")),
        b["why_not"], tuple(b["notes"]), b["plot_svg"],
    )  # fmt: skip


def of_strip(book: Book, number: int) -> int | None:
    """The number of the curve drawn from this strip last, if there is one."""
    found = [int(t["id"]) for t in book.things("curve") if t["body"]["strip"] == number]
    return max(found, default=None)


# ── what was said ──


def _said(book: Book, number: int | None, form: Form | None) -> Said:
    """All of the form, or all that is wrong with it."""
    strip = calibrate.strip(book, number) if number is not None else None
    today = book.get_setting("today") or {}
    d = Door(form)
    things: dict[str, Owned] = {}
    for kind in ("box", "developer"):
        with d.problems.at(kind):
            things[kind] = own.one(book, kind, d.said(kind) or today.get(kind))
    way = _way(d, things.get("box"), today.get("way"), strip.sense if strip else None)
    light = d.pick("light", tables.load("lights"))
    if light is None and d.said("light") is None:
        d.problems.add(
            "light",
            "",
            "The light the strip was exposed in: " + ", ".join(tables.load("lights")) + ".",
            "Paper sees each differently.",
        )
    meter = ("lux meter", "lux")
    with d.problems.at("meter"):
        meter = own_meter(book, d.said("meter")) or meter
    lit = calibrate.LIT[strip.lit] if strip else None
    kind = d.pick("kind", ("reflection", "transmission")) or lit or "reflection"
    if lit is not None and kind != lit:
        d.problems.add("kind", kind, f"This strip was read lit from {'the front' if strip and strip.lit == 'front' else 'behind'}: by {lit}.",
                       "The two are never mixed: read a picture of it lit the other way.")  # fmt: skip
    densities, places, count = _densities(book, d, strip, number)
    by_hand = (d.pick("timing", ("hand", "timer")) or "hand") == "hand"
    tablet = d.said("tablet")
    given = d.must("exposures", lambda t: parts.exposures(t, count, tablet, by_hand), "What each step got.",
                   "Try “1 2 4 8 s at 12 lx on the board” or “first 0.5 lx·s, steps of √2”.")  # fmt: skip
    d.close()
    assert given is not None
    steps = parts.steps_of(densities, given, places)
    if strip is not None and strip.counted_from == "border":
        from firstsheet.paper.curve import StepSeen

        steps.append(StepSeen(-math.inf, 0.0, BORDER_SD))
    return Said(things["box"], things["developer"], str(way), str(light), meter, kind, given, steps,
                strip.counted_from if strip else "typed")  # fmt: skip


def _way(d: Door, box: Owned | None, today: str | None, sense: str | None) -> str | None:
    ways: list[str] = list(tables.load("papers")[box.body["paper"]]["ways"]) if box else []
    said = d.pick("way", [k for k, v in tables.load("ways").items() if isinstance(v, dict)])
    way = said or (today if today in ways else None) or (ways[0] if ways else None)
    if way and ways and way not in ways:
        d.problems.add(
            "way", way, f"Box {box.name if box else ''} goes: {', '.join(ways)}.", "Choose another box or way."
        )
    elif way and sense and sense != tables.load("ways")[way]["sense"]:
        d.problems.add(
            "way",
            way,
            f"The strip was read as {sense}-working.",
            "Read it again the other way, or choose another way of working.",
        )
    return way


def _densities(
    book: Book, d: Door, strip: calibrate.StripLooked | None, number: int | None
) -> tuple[list[Any], list[int], int]:
    """Densities, the step each belongs to, and how many steps there are."""
    sd = d.read("density_sd", lambda t: q.plain_number(t, 0.001, 0.5)) or parts.TYPED_SD
    text = d.said("densities")
    if strip is None:
        if text is None:
            d.problems.add(
                "densities", "", "A density for each step, least exposed first.", "Or read a picture of the strip."
            )
            return [], [], 0
        before = len(d.problems.found)
        out = parts.typed(text, sd, d.problems)
        # Where some are no densities, how many steps there are is not known: exposures are then read and not counted.
        return out, list(range(len(out))), len(out) if len(d.problems.found) == before else 0
    if text is not None:
        d.problems.add("densities", text, "Typed densities, or a strip’s picture.", "Leave one out.")
    rows = [
        (parts.read_off(p.density, p.sd, p.censored, p.shared), k)
        for k, p in enumerate(strip.patches)
        if p.density is not None
    ]
    return [r for r, _ in rows], [k for _, k in rows], len(strip.patches)


# ── figures ──


def _figures(c: Curve) -> list[Named]:
    from firstsheet.paper import curve_iso as iso
    from firstsheet.paper import curve_points as points

    out = []
    if c.absolute:
        if c.sense > 0:
            p = iso.iso_speed(c)
            out.append(_named("iso_p", "ISO P", p.exact, p.rounded))
        for anchor in ("mid", "shadow") if c.sense > 0 else ("falling",):
            out.append(_named(f"ei_{anchor}", f"EI, {iso.ANCHORS[anchor]}", iso.exposure_index(c, anchor)))
        out.append(_named("threshold", "Threshold", points.threshold(c)))
        flash = points.threshold(c)
        if flash.reached:
            out.append(_named("preflash", "Preflash, even, before or after the picture", iso.preflash(c)))
    r = iso.iso_range(c)
    out.append(_named("iso_r", "ISO R", r.exact, r.rounded))
    out.append(_named("slope", "Slope at the mid-tone", points.gamma(c)))
    out += [
        _named(end, words, points.level(c, end)) for end, words in (("base", "Base and fog"), ("dmax", "Deepest black"))
    ]
    return out


def _named(key: str, words: str, f: Figure, rounded: float | None = None) -> Named:
    return Named(key, words, f.unit, f.value, f.low, f.high, rounded, f.missing, f.source)


def _notes(c: Curve, said: Said) -> list[str]:
    out = []
    if c.stand_off:
        where = ", ".join(str(i + 1) for i in c.stand_off)
        out.append(f"Step {where} stands off the curve: dust, a slip of the cover, or a misreading.")
    if c.scatter > 1.5:
        out.append(f"The steps scatter {c.scatter:.1f} times more than their readings allow; every doubt was widened.")
    if said.exposures.absolute and c.sense > 0 and said.light != "tungsten":
        out.append("ISO P is stated for light like a tungsten lamp’s; this one holds for the light of the strip.")
    if c.kind == "transmission":
        out.append("By transmission: for printing through. It is not mixed with what is looked at, and sets no speed.")
    if said.exposures.absolute and said.exposures.times_s is None:
        out.append("Seconds were not said: no loss of long exposures is counted in the strip.")
    return out
