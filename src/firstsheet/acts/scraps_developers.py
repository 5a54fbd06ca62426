"""The same paper in two developers: two kept curves over one another, how much faster and how much harder the second is."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import wording
from firstsheet.acts import calibrate_kept, own, scraps, scraps_cautions
from firstsheet.acts import calibrate_parts as parts
from firstsheet.acts.calibrate_curve import Named
from firstsheet.acts.calibrate_teach import HANDLING_SD, LOG10_2, NextPlan, foreseen
from firstsheet.acts.door import Door, Form
from firstsheet.acts.learn import NO_WEIGHT_SD
from firstsheet.answer import to_json
from firstsheet.belief import prior
from firstsheet.belief.effects import Effect
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader, Row
    from firstsheet.acts.scraps_stain import Stain
    from firstsheet.book.store import Book
    from firstsheet.paper.curve import Curve
    from firstsheet.paper.curve_points import Figure

KIND = "two_developers"


@dataclass(frozen=True, slots=True)
class TwoDevelopers:
    """The second developer against the first, on one paper.

    figures  speed [stop, + the second faster], contrast [ratio of the slopes], R [its change], then slope and R of each
    same_exposures  whether both strips had the same light: what all steps share then falls out
    adds     whether it teaches more than the two curves say by themselves
    stain    colour of base and mid-tone from a picture of both, where there is one
    """

    number: int
    box: str
    first: str
    second: str
    light: str
    curves: tuple[int, int]
    same_exposures: bool
    figures: tuple[Named, ...]
    sentence: str
    stain: Stain | None
    next_plan: NextPlan
    day: str
    stands: bool
    state: str
    adds: bool
    notes: tuple[str, ...]
    caution: str
    plot_svg: str


def compare(book: Book, form: Form | None = None, *, teach: bool = True) -> TwoDevelopers:
    """Two kept curves of one box, light and kind of density, in two developers. With `teach` it counts in plans.

    Fields: first, second (numbers of kept curves, or names of developers: the newest curve of box in each); box; same (yes/no: both strips had the same light; without it, whether what was
    said of their exposures is the same). Refusal with every problem.
    """
    from firstsheet.drawing.curve_pair import curve_pair
    from firstsheet.paper.curve_pair import two

    d = Door(form)
    box = d.said("box") or (book.get_setting("today") or {}).get("box")
    rows = [d.must(key, lambda t: _curve_row(book, t, box), "The number of a kept curve.", "Read a strip of each and draw their curves.")
            for key in ("first", "second")]  # fmt: skip
    said_same = d.flag("same")
    a, b = ((r or {}).get("body") for r in rows)
    if a and b:
        _alike(d, a, b)
    d.close()
    assert a is not None
    assert b is not None
    same = said_same if said_same is not None else a["lxs"] == b["lxs"] and _meter(a) == _meter(b)
    curves = calibrate_kept.curve_from(a), calibrate_kept.curve_from(b)
    found = two(*(curves if same else _by_one_meter(curves, a, b)), same_exposures=same)
    shown = [_named("speed", "Speed, the second beside the first", found.speed_stops), _named("contrast", "Contrast, the second beside the first", found.contrast),
             _named("range", "R, the second less the first", found.range_r), *_each(curves, a, b)]  # fmt: skip
    names = str(a["developer"]), str(b["developer"])
    told = _told(book, a, b, found.speed_stops)
    name = f"{names[0]} and {names[1]} with {a['box']}, {a['light']}"
    body: dict[str, Any] = {
        "box": a["box"], "first": names[0], "second": names[1], "light": a["light"], "curves": [rows[0]["id"], rows[1]["id"]],  # type: ignore[index]
        "own": {x["name"]: _own(x) for x in (a, b)}, "same": same, "figures": [to_json(f) for f in shown], "stain": None,
        "told": told, "stands": teach, "wall": book.now().isoformat(),
        "line": _line(found.speed_stops, names[1]), "notes": _notes(found.speed_stops, same, a),
        "plot_svg": curve_pair(*curves, names, _apart_words(found.speed_stops)),
    }  # fmt: skip
    body["evidence"] = {name: _weighed(book, body)} if told else {}
    body["next_plan"] = to_json(foreseen(book, body["evidence"]))
    return of(book, scraps.keep(book, KIND, name, body))


def of(reader: Reader, number: int) -> TwoDevelopers:
    """A kept one by its number."""
    from firstsheet.acts.scraps_stain import stain_of

    t = scraps.row(reader, number, KIND)
    b = t["body"]
    figures = tuple(Named(**f) for f in b["figures"])
    coffee = any(
        o.name in (b["first"], b["second"]) and o.body["kind"] == "coffee" for o in own.owned(reader, "developer")
    )
    adds = any(e["sd"] < NO_WEIGHT_SD for e in b["evidence"].values())
    notes = [*scraps.beside(reader, t), *b["notes"]]
    if b["told"] and not adds:
        notes.append("Both curves count in plans already, and this says no more than they do.")
    return TwoDevelopers(
        int(t["id"]), b["box"], b["first"], b["second"], b["light"], (b["curves"][0], b["curves"][1]), b["same"], figures,
        _sentence(figures, b["first"], b["second"]), stain_of(b["stain"]), NextPlan(**b["next_plan"]), scraps.day_of(b), b["stands"],
        scraps.state_of(b), adds, tuple(notes),
        " ".join(scraps_cautions.COFFEE if coffee else scraps_cautions.TRAYS), b["plot_svg"],
    )  # fmt: skip


def offered(reader: Reader) -> list[tuple[int, str]]:
    """Kept curves by reflection that can be compared: number and words, newest first."""
    found = [
        t
        for t in reader.things("curve")
        if t["body"]["kind"] == "reflection" and t["body"].get("steps") and not t["body"].get("dropped")
    ]
    return [(int(t["id"]), calibrate_kept.words_of(t["body"])) for t in sorted(found, key=lambda t: -int(t["id"]))]


def reweigh(book: Book, curve_name: str) -> None:
    """A curve now counts, or counts no longer: comparisons with it say what more they know, and no more. Its caller refits."""
    for t in book.things(KIND):
        b = t["body"]
        if curve_name in b["own"] and b["told"] and b["stands"]:
            evidence = {name: _weighed(book, b) for name in b["evidence"]}
            if evidence != b["evidence"]:
                book.add_thing(KIND, t["name"], b | {"evidence": evidence, "was": [*b["was"], t["id"]]})
                for name, told in evidence.items():
                    book.add_thing("comparison", name, told)


# ── what may be compared ──


def _curve_row(reader: Reader, text: str, box: str | None) -> Row:
    """A kept curve by its number, or the newest one looked at in a developer of this name."""
    if text.isascii() and text.isdigit() and len(text) <= 9:
        row = calibrate_kept.row(reader, int(text))
        if row["body"].get("dropped"):
            raise Refusal.one(
                "", text, "A curve that was not taken back.", f"To have it again: firstsheet strip count {text}"
            )
    else:
        found = [
            t for t in reader.things("curve")
            if t["body"]["developer"] == text and t["body"]["kind"] == "reflection" and box in (None, t["body"]["box"])
            and not t["body"].get("dropped")
        ]  # fmt: skip
        if not found:
            raise Refusal.one(
                "",
                text,
                "The number of a kept curve, or a developer of which one is kept.",
                "It was told when the curve was drawn.",
            )
        row = max(found, key=lambda t: int(t["id"]))
    if not row["body"].get("steps"):
        raise Refusal.one(
            "", text, "A curve kept with its steps.", "Draw it again from its strip, or from its densities."
        )
    return row


def _alike(d: Door, a: dict[str, Any], b: dict[str, Any]) -> None:
    """Every way in which two curves are not to be compared."""
    for key, words in (
        ("box", "Two strips of one box"),
        ("light", "Two strips exposed in one kind of light"),
        ("kind", "Both by reflection, or both by transmission"),
    ):
        if a[key] != b[key]:
            d.problems.add("second", f"{a[key]} and {b[key]}", f"{words}.", "Choose another curve.")
    if a["sense"] != b["sense"]:
        d.problems.add(
            "second", f"{a['way']} and {b['way']}", "Two curves that run the same way.", "Choose another curve."
        )
    if a["developer"] == b["developer"]:
        d.problems.add("second", b["developer"], "Two developers.", "Choose a curve of another developer.")
    if a["absolute"] != b["absolute"]:
        d.problems.add(
            "second",
            "one relative, one in lx·s",
            "Two strips whose exposures are on one scale.",
            "Say the lux of both.",
        )


def _meter(body: dict[str, Any]) -> str:
    return str(body["form"].get("meter", ""))


def _by_one_meter(curves: tuple[Curve, Curve], a: dict[str, Any], b: dict[str, Any]) -> tuple[Curve, Curve]:
    """Where one lux meter read both, its own error falls out and only each reading's stays."""
    if _meter(a) != _meter(b):
        return curves
    first, second = (
        dataclasses.replace(c, common_log_h_sd=min(c.common_log_h_sd, parts.LUX_SD_STOPS * LOG10_2)) for c in curves
    )
    return first, second


# ── what it teaches ──


def _own(body: dict[str, Any]) -> list[float] | None:
    """What a curve's own evidence says [stop] and its doubt [stop]; None where it sets no speed."""
    e = body["evidence"]
    return [e["stops"], e["sd"]] if e else None


def _told(book: Book, a: dict[str, Any], b: dict[str, Any], speed: Figure) -> dict[str, Any] | None:
    """What the comparison says by itself of what two developers do to this box.

    All that both share falls out of the difference: box, light, meter; what long steps lost is in it as each curve holds it.
    """
    apart = _sd(speed)
    if speed.value is None or apart is None:
        return None
    sd = math.sqrt(apart**2 + 2 * HANDLING_SD**2)
    if a["evidence"] and b["evidence"]:
        stops = float(b["evidence"]["stops"]) - float(a["evidence"]["stops"])
        return {"stops": stops, "sd": sd, "effects": _difference(b["evidence"]["effects"], a["evidence"]["effects"])}
    kinds = {o.name: o.body["kind"] for o in own.owned(book, "developer")}
    mine, theirs = (
        [e.to_json() for e in prior.developer_effects(x["developer"], kinds[x["developer"]], x["box"])] for x in (b, a)
    )
    return {"stops": -speed.value, "sd": sd, "effects": _difference(mine, theirs)}


def _sd(speed: Figure) -> float | None:
    """Doubt of a difference of log H [stop]."""
    return None if speed.log10_sd is None else speed.log10_sd / LOG10_2


def _difference(second: list[Any], first: list[Any]) -> list[Any]:
    """Effects of the second less those of the first; those felt alike are gone."""
    out: dict[str, Effect] = {}
    for rows, sign in ((second, 1.0), (first, -1.0)):
        for e in (Effect.from_json(row) for row in rows):
            so_far = out[e.key].coefficient if e.key in out else 0.0
            out[e.key] = dataclasses.replace(e, coefficient=so_far + sign * e.coefficient)
    return [e.to_json() for e in out.values() if abs(e.coefficient) > 1e-9]


def _weighed(book: Book, body: dict[str, Any]) -> dict[str, Any]:
    """The comparison's evidence, less what the two curves say of the same strips where both count in plans.

    They imply the difference with the sum of their variances; what is left is 1/σ² − 1/(σ₁² + σ₂²), or nothing. A curve drawn
    again through another strip is another measurement, and takes nothing away.
    """
    told: dict[str, Any] = body["told"]
    counts = {str(t["name"]): [t["body"]["stops"], t["body"]["sd"]] for t in book.things("comparison")}
    if not all(mine and counts.get(name) == mine for name, mine in body["own"].items()):
        return told
    left = told["sd"] ** -2 - 1 / sum(sd**2 for _, sd in body["own"].values())
    return told | {"sd": left**-0.5 if left > NO_WEIGHT_SD**-2 else NO_WEIGHT_SD}


# ── words ──


def _named(key: str, words: str, f: Figure) -> Named:
    return Named(key, words, f.unit, f.value, f.low, f.high, None, f.missing, f.source)


def _each(curves: tuple[Curve, Curve], a: dict[str, Any], b: dict[str, Any]) -> list[Named]:
    from firstsheet.paper import curve_iso as iso
    from firstsheet.paper import curve_points as points

    out = []
    for c, body in zip(curves, (a, b), strict=True):
        out.append(_named("slope", f"Slope at the mid-tone, {body['developer']}", points.gamma(c)))
        r = iso.iso_range(c)
        f = r.exact
        out.append(
            Named(
                "iso_r", f"ISO R, {body['developer']}", f.unit, f.value, f.low, f.high, r.rounded, f.missing, f.source
            )
        )
    return out


def _apart_words(speed: Figure) -> str:
    sd = _sd(speed)
    return "" if speed.value is None or sd is None else f"{wording.stops_apart(speed.value)}, {wording.stops_pm(sd)}"


def _line(speed: Figure, second: str) -> str:
    sd = _sd(speed)
    if speed.value is None or sd is None:
        return f"{second}: speed not reached"
    told = wording.stops_apart(speed.value)
    side = "equally fast" if told.startswith("0.0") else f"{told} {'faster' if speed.value > 0 else 'slower'}"
    return f"{second} {side}, {wording.stops_pm(sd)}"


def _sentence(figures: tuple[Named, ...], first: str, second: str) -> str:
    from firstsheet.acts.scraps_words import signed

    speed, contrast, change = figures[:3]
    if speed.value is None or speed.low is None or speed.high is None:
        return f"How fast {second} is beside {first} was not reached. {speed.missing}"
    told = wording.stops_apart(speed.value)
    clear = speed.low > 0 or speed.high < 0
    side = "as fast as" if told.startswith("0.0") else f"{told} {'faster' if speed.value > 0 else 'slower'} than"
    out = f"{second} is {side} {first}, 9 in 10 between {wording.stops(speed.low)} and {wording.stops(speed.high)}"
    out += "." if clear else ": no difference that stands clear of its doubt."
    if contrast.value is not None and contrast.low is not None and contrast.high is not None:
        which = (
            "harder"
            if contrast.low > 1
            else "softer"
            if contrast.high < 1
            else "neither harder nor softer that these strips can tell"
        )
        out += f" It is {which}: the slope at the mid-tone is {contrast.value:.2f} times as steep ({contrast.low:.2f} to {contrast.high:.2f})"
        out += f", R {signed(change.value, 0)}." if change.value is not None else "."
    return out


def _notes(speed: Figure, same: bool, a: dict[str, Any]) -> list[str]:
    out = [
        "Speed is compared at the mid-tone, contrast is the ratio of the slopes there, R is 100 times the log range [ISO-6846]."
    ]
    if same:
        out.append("Both strips had the same light, so what the lux meter is off falls out.")
    else:
        out.append("The strips were exposed apart: each lux reading’s own doubt is in the speed.")
    if speed.value is not None:
        out.append(
            f"Each developer once: ±{HANDLING_SD:g} stop more for another tray, another minute, is counted when it teaches."
        )
    if a["kind"] == "transmission":
        out.append("By transmission: for printing through. It is not mixed with what is looked at.")
    return out
