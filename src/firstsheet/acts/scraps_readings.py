"""The same patches looked at and shone through: this paper's D_T for a D_R, within what was measured, and never the two mixed."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet.acts import calibrate, scraps, scraps_cautions, scraps_in_plans
from firstsheet.acts import calibrate_parts as parts
from firstsheet.acts.door import Door, Form, whole
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.calibrate import StripLooked
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book
    from firstsheet.paper.transmission import Pair

KIND = "two_readings"
TYPED_SD = 0.02
METER_SD_STOPS = 0.10  # a meter held behind the strip, one reading beside the next [stop]; common practice, no source
TABLE_POINTS = 41
LOG10_2 = math.log10(2.0)
Row = tuple[float | None, float]  # a density, None where it was not read, and its doubt [D]


@dataclass(frozen=True, slots=True)
class ReadBothWays:
    """One patch: density by reflection and by transmission, above bare paper, with their doubts [D]."""

    reflection: float
    transmission: float
    reflection_sd: float
    transmission_sd: float


@dataclass(frozen=True, slots=True)
class TwoReadings:
    """This paper's density by transmission as a function of its density by reflection.

    low, high          between which densities by reflection it was measured, above bare paper [D]; outside it is refused
    base_reflection, base_transmission  densities of bare developed paper itself; None where only differences were read
    at                 a few of its points: D_R, D_T with its 90 % range, all above bare paper [D]
    """

    number: int
    box: str
    developer: str
    low: float
    high: float
    base_reflection: float | None
    base_transmission: float | None
    pairs: tuple[ReadBothWays, ...]
    at: tuple[Through, ...]
    sentence: str
    day: str
    stands: bool
    state: str
    notes: tuple[str, ...]
    caution: str
    plot_svg: str


@dataclass(frozen=True, slots=True)
class Through:
    """A density by reflection and what it is by transmission, above bare paper, 90 % between low and high [D].

    with_base  the density by transmission, bare paper's own in it [D]; None where that was not read
    """

    reflection: float
    transmission: float
    low: float
    high: float
    with_base: float | None


def measure(book: Book, form: Form | None = None) -> TwoReadings:
    """The relation of a box in a developer, from the same patches read both ways; kept and drawn.

    Fields: box, developer. By reflection: strip (its number, lit from the front) or reflection (typed). By transmission: backlit
    (number of a strip read lit from behind) or transmission (typed; with bare, what a meter behind reads of the lamp alone, they
    are lux, or EV where bare is EV). reflection_base, transmission_base: of bare developed paper, else the palest patch is it; or
    bare_at and paper_at, places “x,y” of the bare light table and of bare paper on the backlit picture. reflection_sd,
    transmission_sd. Refusal with every problem.
    """
    from firstsheet.drawing.readings_plot import readings_plot
    from firstsheet.paper.transmission import measure as related

    d = Door(form)
    have = scraps.things(book, d)
    looked = _side(book, d, "strip", "front", "reflection")
    shone = _side(book, d, "backlit", "behind", "transmission")
    bases = [d.read(f"{k}_base", lambda t: q.plain_number(t, -0.2, 6.0)) for k in ("reflection", "transmission")]
    bases[1] = _beside_the_lamp(book, d, bases[1])
    rows = None
    if looked and shone:
        rows = _paired(d, looked, shone, bases)
    d.close()
    assert rows is not None
    assert looked is not None
    assert shone is not None
    pairs, subtracted, palest = rows
    relation = related(pairs)
    table = _table(relation)
    box, developer = have["box"].name, have["developer"].name
    # densities counted from a strip's own border are above bare paper already: what that itself is was not read
    absolute = [
        said if counted else less for (_, counted), said, less in zip((looked, shone), bases, subtracted, strict=True)
    ]
    body = {
        "box": box, "developer": developer, "table": table, "base_reflection": absolute[0], "base_transmission": absolute[1],
        "pairs": [[p.reflection, p.transmission, p.reflection_sd, p.transmission_sd] for p in pairs], "evidence": {}, "stands": True,
        "line": f"D_T {table[-1][1]:.2f} at D_R {table[-1][0]:.2f}", "wall": book.now().isoformat(), "notes": _notes(palest),
        "plot_svg": readings_plot(pairs, table, f"box {box} in {developer}"), "form": {k: str(v) for k, v in dict(form or {}).items()},
    }  # fmt: skip
    return of(book, scraps.keep(book, KIND, f"both readings of {box} in {developer}", body))


def of(reader: Reader, number: int) -> TwoReadings:
    """A kept one by its number."""
    t = scraps.row(reader, number, KIND)
    b = t["body"]
    table = b["table"]
    low, high = table[0][0], table[-1][0]
    wanted = [low + (high - low) * k / 4 for k in range(5)]
    at = tuple(_through(b, r) for r in wanted)
    return TwoReadings(
        int(t["id"]), b["box"], b["developer"], low, high, b["base_reflection"], b["base_transmission"],
        tuple(ReadBothWays(*p) for p in b["pairs"]), at, _sentence(at), scraps.day_of(b), b["stands"],
        scraps.state_of(b), (*scraps.beside(reader, t), *b["notes"]), " ".join(scraps_cautions.TABLE),
        b["plot_svg"],
    )  # fmt: skip


def through(reader: Reader, number: int, form: Form) -> list[Through]:
    """Densities by reflection of this paper as densities by transmission. Refusal, all at once, for those beyond what was measured.

    Fields: of (densities above bare paper; with from_white yes, as an instrument shows them, bare paper's own in them)
    """
    b = scraps.row(reader, number, KIND)["body"]
    d = Door(form)
    said = d.must("of", lambda t: parts.numbers(t, -0.2, 6.0), "Densities by reflection.", "Try “0.40 0.90”.")
    from_white = d.flag("from_white")
    less = 0.0
    if from_white:
        if b["base_reflection"] is None:
            d.problems.add(
                "from_white", "yes", "What bare paper itself reads was not told.", "Say densities above bare paper."
            )
        else:
            less = b["base_reflection"]
    out = []
    for v in said or ():
        with d.problems.at("of"):
            out.append(_through(b, v - less))
    d.close()
    return out


def _through(body: dict[str, Any], reflection: float) -> Through:
    mid, low, high = scraps_in_plans.looked_up(body["table"], reflection)
    base = body["base_transmission"]
    return Through(reflection, mid, low, high, None if base is None else mid + base)


def _table(relation: Any) -> list[list[float]]:
    low, high = relation.limits
    xs = [low + (high - low) * k / (TABLE_POINTS - 1) for k in range(TABLE_POINTS)]
    return [[round(x, 4), *(round(v, 4) for v in relation.transmission(x))] for x in xs]


# ── what was read ──

Side = tuple[list[Row], bool]  # the patches in order, and whether they are counted from bare paper already


def _side(book: Book, d: Door, strip_key: str, lit: str, kind: str) -> Side | None:
    """One way of reading: a strip's picture lit so, or typed figures."""
    sd = d.read(f"{kind}_sd", lambda t: q.plain_number(t, 0.001, 0.5)) or TYPED_SD
    bare = d.read("bare", _bare) if kind == "transmission" else None
    text, number = d.said(kind), d.said(strip_key)
    if text is not None and number is not None:
        d.problems.add(kind, text, "Typed figures, or a strip’s picture.", "Leave one out.")
        return None
    if text is None and number is None:
        way = "lit from behind" if lit == "behind" else "lit from the front"
        d.problems.add(
            kind, "", f"The patches by {kind}: figures, or a strip read {way}.", "The same patches in the same order."
        )
        return None
    if number is not None:
        strip = d.read(strip_key, lambda t: calibrate.strip(book, whole(t, 1, 999_999_999)))
        if strip is None:
            return None
        if strip.lit != lit:
            d.problems.add(strip_key, number, f"A strip read lit from {'behind' if lit == 'behind' else 'the front'}.",
                           "The two are never mixed: read a picture of it lit the other way.")  # fmt: skip
            return None
        return _of_strip(strip)
    found = d.read(kind, lambda t: _figures(t, bare, sd))
    return (found, False) if found else None


def _of_strip(strip: StripLooked) -> Side:
    rows: list[Row] = []
    for p in strip.patches:
        rows.append((None if p.censored else p.density, max(p.sd or 0.0, 0.005)))
    return rows, strip.counted_from != "card"


def _bare(text: str) -> tuple[bool, float]:
    """What the meter behind reads of the bare lamp: (whether in EV, its log10 of light)."""
    ev = re.fullmatch(r"ev\s*(-?[\d.,]+)", text.strip().replace("−", "-"), re.IGNORECASE)
    if ev:
        value = q.plain_number(ev[1].lstrip("-"), 0.0, 30.0) * (-1 if ev[1].startswith("-") else 1)
        return True, value * LOG10_2
    return False, math.log10(
        q.plain_number(re.sub(r"\s*l(x|ux)\b.*", "", text.strip(), flags=re.IGNORECASE), 1e-3, 1e7)
    )


def _figures(text: str, bare: tuple[bool, float] | None, sd: float) -> list[Row]:
    """Densities; or, with the bare lamp's reading, readings behind the patches in the same unit."""
    if bare is None:
        return [(v, sd) for v in parts.numbers(text, -0.2, 6.0)]
    in_ev, top = bare
    plain = re.sub(r"\b(ev|lx|lux)\b", " ", text, flags=re.IGNORECASE)
    meter_sd = METER_SD_STOPS * LOG10_2
    out: list[Row] = []
    for v in parts.numbers(plain, 1e-6, 1e7):
        log = v * LOG10_2 if in_ev else math.log10(v)
        if log > top + 0.02:
            raise Refusal.one(
                "", q.written(v), "Readings behind the patches, less than the bare lamp’s.", "Say the bare lamp in “bare”."
            )
        out.append((top - log, meter_sd))
    return out


def _impossible(d: Door, pairs: list[Pair]) -> bool:
    """Light passes a looked-at layer twice and more: shone through it is never denser, and a darker patch never passes more."""

    def clear(over: float, *sds: float) -> bool:
        return over > 0.05 + 2.0 * math.hypot(*sds)

    dense = [p for p in pairs if clear(p.transmission - p.reflection, p.transmission_sd, p.reflection_sd)]
    rising = sorted(pairs, key=lambda p: p.reflection)
    falls = [
        (p, n)
        for p, n in itertools.pairwise(rising)
        if clear(p.transmission - n.transmission, p.transmission_sd, n.transmission_sd)
    ]
    if dense:
        told = f"{dense[0].transmission:.2f} where it looks {dense[0].reflection:.2f}, above bare paper"
        d.problems.add(
            "transmission",
            told,
            "No patch denser shone through than looked at.",
            "Were the two taken one for the other?",
        )
    elif falls:
        p, n = falls[0]
        told = f"{n.transmission:.2f} where it looks {n.reflection:.2f}, and {p.transmission:.2f} where it looks {p.reflection:.2f}"
        d.problems.add("pairs", told, "A darker patch that passes less light.", "Check the order of the patches.")
    return bool(dense or falls)


def _paired(
    d: Door, looked: Side, shone: Side, bases: list[float | None]
) -> tuple[list[Pair], tuple[float, float], bool] | None:
    """Pairs above bare paper; what was taken off each side for that; whether the palest patch stands for bare paper."""
    from firstsheet.paper.transmission import Pair

    (a, a_counted), (b, b_counted) = looked, shone
    if len(a) != len(b):
        d.problems.add(
            "transmission",
            f"{len(b)} patches",
            f"{len(a)}, the same as by reflection.",
            "The same patches in the same order.",
        )
        return None
    rows = [(r, t, r_sd, t_sd) for (r, r_sd), (t, t_sd) in zip(a, b, strict=True) if r is not None and t is not None]
    if not rows:
        d.problems.add("transmission", "none", "Patches that were read both ways.", "Read them again.")
        return None
    palest = min(rows, key=lambda row: row[0])
    base_r = 0.0 if a_counted else bases[0] if bases[0] is not None else palest[0]
    base_t = 0.0 if b_counted else bases[1] if bases[1] is not None else palest[1]
    guessed = (not a_counted and bases[0] is None) or (not b_counted and bases[1] is None)
    pairs = [Pair(r - base_r, t - base_t, r_sd, t_sd) for r, t, r_sd, t_sd in rows]
    low = [p for p in pairs if p.reflection < -0.1 or p.transmission < -0.1]
    if low:
        d.problems.add(
            "reflection_base",
            q.written(base_r),
            "Bare paper, paler than every patch.",
            "Check which reading is of bare paper.",
        )
        return None
    if _impossible(d, pairs):
        return None
    return pairs, (base_r, base_t), guessed


def _beside_the_lamp(book: Book, d: Door, said: float | None) -> float | None:
    """Bare paper's own density by transmission, from two places on the backlit picture where they are said."""
    from firstsheet.acts.versions import place

    at = {key: d.read(key, place) for key in ("bare_at", "paper_at")}
    if not any(d.said(key) for key in at):
        return said
    number = d.said("backlit")
    if said is not None or number is None or None in at.values():
        for key in at:
            if d.said(key) is None or said is not None or number is None:
                d.problems.add(
                    key,
                    d.said(key) or "",
                    "Both places, on the picture of a strip lit from behind.",
                    "Or say transmission_base.",
                )
        return said
    from firstsheet.foresee.patches import touched

    with d.problems.at(""):
        strip = calibrate.strip(book, whole(number, 1, 999_999_999))
        data = bytes(book.get_picture(strip.strip)["data"])
        seen = touched(data, {k: v for k, v in at.items() if v is not None}, ("bare_at",))
        return math.log10(seen["bare_at"].luminance / seen["paper_at"].luminance)
    return None


# ── words ──


def _sentence(at: tuple[Through, ...]) -> str:
    from firstsheet.acts.calibrate_words import density

    t = at[-1]
    return (
        f"What looks {density(t.reflection)} darker than bare paper is {density(t.transmission)} to print through, "
        f"9 in 10 between {density(t.low)} and {density(t.high)}. "
        f"Measured from {density(at[0].reflection)} to {density(at[-1].reflection)}; outside that it is not told."
    )


def _notes(palest: bool) -> list[str]:
    out = [
        "Above bare developed paper, both. A paper negative prints by transmission: its range for a contact print is this one, never the one looked at."
    ]
    if palest:
        out.append("The palest patch was taken for bare paper.")
    return out
