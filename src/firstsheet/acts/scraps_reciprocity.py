"""What long exposures lose on this paper: scraps given equal light in unlike times, and what that does to the next plan."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables, wording
from firstsheet.acts import calibrate_kept, scraps
from firstsheet.acts import calibrate_parts as parts
from firstsheet.acts.calibrate_teach import LOG10_2, NextPlan, foreseen
from firstsheet.acts.door import Door, Form
from firstsheet.answer import Z90, to_json
from firstsheet.belief import prior
from firstsheet.exposure.hand import HAND_SD_S
from firstsheet.paper import reciprocity
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book
    from firstsheet.paper.curve_scraps import EqualExposure, Reciprocity

KIND = "reciprocity"
SAY = "Try “1 s at f/8, 64 s at f/64”, “1 s at 64 lx, 64 s at 1 lx”, “1 s at 0.5 m, 16 s at 2 m” or “1 4 16 64 s”."
STOP_SD = 0.10  # one engraved f-number beside the next [stop]; common practice, no source
HEIGHT_SD = 0.10  # a lamp moved: no lamp is a point [stop]; common practice, no source
SAID_SD = 0.15  # equal light of which only the times are said [stop]; ours
MOST_APART = 1.0  # scraps whose light differs by more than this are not of equal exposure [stop]
MATCH_SD = 0.35  # of a match by eye with the steps of a strip [step]; common practice, no source
BOX_SD = 0.02  # r of one box, one emulsion number, against the next of its kind; no source
TYPED_SD = 0.02
SHOWN_S = (4.0, 16.0, 64.0, 256.0)


@dataclass(frozen=True, slots=True)
class Give:
    """A metered time and what this paper needs for it, with the 9-in-10 range [s]."""

    metered_s: float
    give_s: float
    low_s: float
    high_s: float


@dataclass(frozen=True, slots=True)
class LongExposures:
    """What scraps of equal exposure told.

    r, sd        1/p − 1 of Schwarzschild's law and its doubt [1]; exponent = 1/p with its 90 % range
    reference_s  up to this time nothing is lost [s]
    shown        whether the loss stands clear of its doubt
    day          on which it was told, ISO 8601; state as in `scraps.Told`
    by           "densities on the curve", "densities and a slope", or "steps matched by eye"
    """

    number: int
    box: str
    developer: str
    r: float
    sd: float
    exponent: float
    exponent_low: float
    exponent_high: float
    reference_s: float
    shown: bool
    by: str
    curve: str
    times_s: tuple[float, ...]
    sentence: str
    give: tuple[Give, ...]
    next_plan: NextPlan
    day: str
    stands: bool
    state: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Given:
    """Times [s], log10 of each I·t against the first, and the doubt of it [log10]."""

    times_s: tuple[float, ...]
    log: tuple[float, ...]
    sd: tuple[float, ...]


def measure(book: Book, form: Form | None = None, *, teach: bool = True) -> LongExposures:
    """From scraps of equal exposure to Schwarzschild's exponent, kept with the box; with `teach` it counts in plans.

    Fields: given (time and what was done to the light, scrap by scrap), timing (hand, timer), and either densities (typed, or
    “12:3” for step 3 of strip 12; density_sd) with the box's kept curve or slope (slope_sd), or matched (the step of one
    strip that each scrap looks like; pace, its factor from step to step; timed, whether its steps were timed beyond a second).
    box, developer. Refusal with every problem.
    """
    d = Door(form)
    have = scraps.things(book, d)
    by_hand = (d.pick("timing", ("hand", "timer")) or "hand") == "hand"
    given = d.must("given", lambda t: said_given(t, by_hand), "Each scrap’s time and its light.", SAY)
    matching = d.said("matched") is not None
    if matching and d.said("densities") is not None:
        d.problems.add("matched", d.said("matched"), "Densities, or steps matched by eye.", "Leave one out.")
    body = _matched(d, given) if matching else _read(book, d, given, have)
    d.close()
    assert given is not None
    assert body is not None
    found, by, curve = body
    box, developer = have["box"].name, have["developer"].name
    name = f"long exposures of {box} in {developer}"
    evidence = _evidence(name, have["box"], found)
    gain = found.r + Z90 * found.sd < 0
    waits = ["A gain is not what paper does: it counts only when you let it."] if gain else []
    kept = {
        "box": box, "developer": developer, "r": found.r, "sd": found.sd, "shown": found.shown, "by": by, "curve": curve,
        "times_s": list(given.times_s), "notes": [*_notes(found, given), *waits], "evidence": evidence, "stands": teach and not gain,
        "line": f"1/p {1 + found.r:.2f} ±{max(found.sd, 0.01):.2f}", "wall": book.now().isoformat(),
        "next_plan": to_json(foreseen(book, evidence)), "form": {k: str(v) for k, v in dict(form or {}).items()},
    }  # fmt: skip
    return of(book, scraps.keep(book, KIND, name, kept))


def of(reader: Reader, number: int) -> LongExposures:
    """A kept one by its number."""
    t = scraps.row(reader, number, KIND)
    b = t["body"]
    r, sd = float(b["r"]), float(b["sd"])
    reach = Z90 * sd
    return LongExposures(
        number, b["box"], b["developer"], r, sd, 1 + r, 1 + r - reach, 1 + r + reach, reciprocity.T_REF_S, b["shown"], b["by"],
        b["curve"], tuple(b["times_s"]), _sentence(r, sd, b["shown"]), tuple(_give(t, r, reach) for t in SHOWN_S),
        NextPlan(**b["next_plan"]), scraps.day_of(b), b["stands"], scraps.state_of(b), (*scraps.beside(reader, t), *b["notes"]),
    )  # fmt: skip


# ── what was given ──


def said_given(text: str, by_hand: bool) -> _Given:
    """ "1 s at f/8, 64 s at f/64": times from a second up, and what was done to the light so that each got as much."""
    pieces = [p.strip() for p in re.split(r"[;\n]|,(?=\s)|\band\b", text) if p.strip()]
    if len(pieces) == 1 and " at " not in pieces[0]:
        pieces = _times_only(pieces[0])
    rows = [_piece(p) for p in pieces]
    if len(rows) < 2:
        raise Refusal.one("", text, "Two scraps or more.", SAY)
    if len({how for _, how, _ in rows}) > 1:
        raise Refusal.one("", text, "All by f-stop, all by lux, all by the lamp’s height, or times alone.", SAY)
    how = rows[0][1]
    log = [light + math.log10(t) for t, _, light in rows]
    log = [v - log[0] for v in log]
    if max(log) - min(log) > MOST_APART * LOG10_2 + 1e-9:
        apart = wording.stops_apart((max(log) - min(log)) / LOG10_2)
        raise Refusal.one("", text, f"Equal exposures, within a stop; these are {apart} apart.",
                          "Two stops closed is four times as long.")  # fmt: skip
    light_sd = {"f": STOP_SD, "lx": parts.LUX_SD_STOPS, "m": HEIGHT_SD, "": SAID_SD}[how] * LOG10_2
    sd = [math.hypot(light_sd, math.log10(1 + HAND_SD_S / t) if by_hand else 0.0) for t, _, _ in rows]
    return _Given(tuple(t for t, _, _ in rows), tuple(log), tuple(sd))


def _times_only(text: str) -> list[str]:
    """ "1 4 16 64 s" as one piece each; a time that bears its own unit stays whole."""
    unit = re.search(r"(s|secs?|seconds?|min|minutes?)\.?$", text.strip(), re.IGNORECASE)
    words = text.split()
    plain = [w for w in words if re.fullmatch(r"[\d.,/]+", w)]
    if unit and len(plain) >= 2 and len(words) - len(plain) <= 1:
        tail = words[-1] if len(words) > len(plain) else ""
        return [f"{w} {tail}".strip() for w in (plain if tail not in plain else words)]
    return re.findall(r"[\d.,/]+\s*(?:s|secs?|seconds?|min|minutes?)\b", text) or [text]


def _piece(text: str) -> tuple[float, str, float]:
    """Time [s], by what the light was set ("f", "lx", "m", ""), and log10 of the light."""
    time, at, light = re.sub(r"\s+", " ", text).partition(" at ")
    t = q.duration_s(time.strip())
    if not 1.0 <= t <= 100_000:
        raise Refusal.one(
            "", text, "Times from 1 s up: below a second nothing is counted as lost.", "Close the lens further."
        )
    light = light.strip().lower()
    if not at:
        return t, "", -math.log10(t)  # said to be equal
    if re.match(r"f\s*/?\s*\d|1\s*:", light):
        return t, "f", -2 * math.log10(_true_stop(q.f_number(light)))
    if re.search(r"l(x|ux)\b", light):
        return t, "lx", math.log10(q.plain_number(re.sub(r"\s*l(x|ux)\b.*", "", light), 1e-4, 1e6))
    mm = q.length_mm(light)
    if not 10 <= mm <= 100_000:
        raise Refusal.one("", text, "The lamp from 1 cm to 100 m above the scrap.", SAY)
    return t, "m", -2 * math.log10(mm)


def _true_stop(engraved: float) -> float:
    """f/11 stands for 11.3 and f/22 for 22.6: the full stop of the standard series that is engraved so."""
    full = 2.0 ** (round(2 * math.log2(engraved)) / 2)
    return full if abs(full / engraved - 1) < 0.03 else engraved


# ── what was seen ──

_Found = tuple["Reciprocity", str, str]


def _matched(d: Door, given: _Given | None) -> _Found | None:
    from firstsheet.paper.curve_scraps import EqualExposure, reciprocity_by_match

    steps = d.read("matched", lambda t: parts.numbers(t, 0.5, 40.0))
    pace = d.must("pace", parts.factor, "From one step of the strip to the next.", "“√2” is half a stop.")
    timed = d.flag("timed")
    for key in ("density_sd", "slope", "slope_sd"):
        if d.said(key) is not None:
            d.problems.add(key, d.said(key), "This goes with densities.", "Leave it out.")
    if steps is None or pace is None or given is None or not _as_many(d, "matched", len(steps), given):
        return None
    series = [EqualExposure(t, s, MATCH_SD) for t, s in zip(given.times_s, steps, strict=True)]
    with _told(d, "given"):
        found = reciprocity_by_match(series, pace, given.log, given.sd, 1.0 if timed else 0.0)
        return found, "steps matched by eye", ""
    return None


def _read(book: Book, d: Door, given: _Given | None, have: dict[str, Any]) -> _Found | None:
    from firstsheet.paper.curve_scraps import EqualExposure
    from firstsheet.paper.curve_scraps import reciprocity as with_slope

    sd = d.read("density_sd", lambda t: q.plain_number(t, 0.001, 0.5)) or TYPED_SD
    rows = d.must("densities", lambda t: [scraps.density_said(book, w) for w in t.replace(";", " ").split()],
                  "A density for each scrap, in the order given.", "Or the step of a strip that each one matches.")  # fmt: skip
    slope = d.read("slope", lambda t: q.plain_number(t, 0.2, 10.0))
    slope_sd = d.read("slope_sd", lambda t: q.plain_number(t, 0.0, 3.0))
    for key in ("pace", "timed"):
        if d.said(key) is not None:
            d.problems.add(key, d.said(key), "This goes with steps matched by eye.", "Leave it out.")
    curve = _curve(book, d, have) if slope is None else None
    if rows is None or given is None or len(have) < 2 or not _as_many(d, "densities", len(rows), given):
        return None
    series = [EqualExposure(t, value, own or sd) for t, (value, own) in zip(given.times_s, rows, strict=True)]
    with _told(d, "densities"):
        if slope is not None:
            sense = 1 if tables.load("ways")[scraps.ways_of(have["box"])[0]]["sense"] == "negative" else -1
            corrected = [
                EqualExposure(s.time_s, s.density - sense * slope * g, s.density_sd)
                for s, g in zip(series, given.log, strict=True)
            ]
            doubt = slope_sd if slope_sd is not None else 0.15 * slope
            return with_slope(corrected, sense * slope, doubt, max(given.sd)), "densities and a slope", ""
        if curve is not None:
            return _on_curve(curve, series, given)
    return None


def _curve(book: Book, d: Door, have: dict[str, Any]) -> dict[str, Any] | None:
    """The newest kept curve by reflection of this box in this developer that can be drawn again; its absence is a problem."""
    if len(have) < 2:
        return None
    found = [t for t in calibrate_kept.of(book, have["box"].name, have["developer"].name) if t["body"].get("steps")]
    if not found:
        d.problems.add("slope", "", f"No curve of {scraps.named(have['box'].name)} in {have['developer'].name} is kept to lay densities on.",
                       "Read a strip and draw its curve, say the slope, or match the scraps with a strip by eye.")  # fmt: skip
        return None
    body: dict[str, Any] = found[0]["body"]
    return body


def _on_curve(body: dict[str, Any], series: Sequence[EqualExposure], given: _Given) -> _Found:
    from firstsheet.paper.curve_scraps import reciprocity_on_curve

    c = calibrate_kept.curve_from(body)
    at = sorted(float(c.to_log_h(c.draws.at_fraction((s.density - c.draws.base) / c.draws.rise))[0]) for s in series)
    found = reciprocity_on_curve(c, series, given.log, given.sd, _timed_share(body, at[0], at[-1]))
    return found, "densities on the curve", calibrate_kept.words_of(body)


def _timed_share(body: dict[str, Any], low: float, high: float) -> float:
    """How much of the curve between these log H was given as time beyond a second: that part lost as well [0 … 1]."""
    if not body.get("times_s") or not math.isfinite(low + high):
        return 0.0
    pairs = sorted(zip(body["lxs"], body["times_s"], strict=True))
    if len(set(body["times_s"])) == 1:  # through a tablet: one time for all
        return 0.0
    times = [t for h, t in pairs if low - 0.2 <= math.log10(h) <= high + 0.2] or [t for _, t in pairs]
    long = sum(1 for a, b in itertools.pairwise(times) if math.sqrt(a * b) > reciprocity.T_REF_S)
    if len(times) < 2:
        return float(times[0] > reciprocity.T_REF_S)
    return long / (len(times) - 1)


def _as_many(d: Door, key: str, count: int, given: _Given) -> bool:
    if count != len(given.times_s):
        d.problems.add(
            key, f"{count}", f"{len(given.times_s)}, one for each scrap.", "In the order in which they were given."
        )
        return False
    return True


def _told(d: Door, where: str) -> Any:
    """Problems of the fit belong to a field of the form, not to its own series."""
    return _Renamed(d, where)


class _Renamed:
    def __init__(self, d: Door, where: str) -> None:
        self._d, self._where = d, where

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: object, error: object, trace: object) -> bool:
        if not isinstance(error, Refusal):
            return False
        for p in error.problems:
            where = (
                "slope"
                if p.where == "slope"
                else "given"
                if p.where.endswith("time_s") or p.where == "series"
                else self._where
            )
            self._d.problems.add(where, p.asked, p.allowed, p.hint)
        return True


# ── what it says ──


def _evidence(name: str, box: Any, found: Reciprocity) -> dict[str, dict[str, Any]]:
    """On r of each way this paper goes: the paper is one, the ways are learned apart."""
    out = {}
    for way in scraps.ways_of(box):
        effect = prior.reciprocity_effect(way, 1.0)
        out[f"{name}, {way}"] = {
            "stops": found.r,
            "sd": math.hypot(found.sd, BOX_SD),
            "effects": [effect.to_json()],
            "way": way,
        }
    return out


def _give(metered_s: float, r: float, reach: float) -> Give:
    low, mid, high = (reciprocity.corrected_s(metered_s, x) for x in (r - reach, r, r + reach))
    return Give(metered_s, mid, low, high)


def _sentence(r: float, sd: float, shown: bool) -> str:
    reach = Z90 * sd
    span = f"1/p = {1 + r:.2f}, 9 in 10 between {1 + r - reach:.2f} and {1 + r + reach:.2f}"
    if not shown:
        return f"{span}: no loss that stands clear of its doubt. Times are never shortened for it."
    lost = wording.stops_apart(r * math.log2(SHOWN_S[2]))
    return f"{span}. Beyond {reciprocity.T_REF_S:g} s the time goes as t^(1/p): {lost} more for a metered {SHOWN_S[2]:g} s."


def _notes(found: Reciprocity, given: _Given) -> list[str]:
    out = [f"Counted from {reciprocity.T_REF_S:g} s: no time up to that is lengthened, and none is ever shortened."]
    longest = max(given.times_s)
    if longest < SHOWN_S[2]:
        out.append(
            f"Measured to {wording.seconds(longest)}; beyond that the law is carried on, and no scrap has seen it."
        )
    if found.r < 0:
        out.append(
            "As measured the long scrap got more than the short one: look for stray light, or a lamp that warmed up."
        )
    return out
