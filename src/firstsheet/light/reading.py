"""Readings as a person takes them: how, on which tone, where, when; and several made into one mid-tone."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal, Protocol

from firstsheet.light import meter, words
from firstsheet.light.meter import How, MidTone, OnBoard, Step
from firstsheet.refusal import Problems, Refusal

Kind = Literal["lux", "luminance", "ev", "triple", "word", "photo", "board"]

OWN_SD_STOPS: dict[str, float] = {
    "lux": 0.15,
    "luminance": 0.15,
    "ev": 0.15,
    "triple": 0.15,
    "photo": 0.20,  # one reading to the next; the phone's lasting offset, ± 1 stop, is belief's to carry
    "board": 0.10,
}
DRIFT_SD_STOPS = 0.25  # of daylight in DRIFT_S: common practice, no source
DRIFT_S = 600.0
CLOCKS_DISAGREE_S = 120.0  # a phone's clock against this one; a reading that far ahead is "now"

FIGURES = ("kind", "lux_lx", "luminance_cdm2", "ev100", "f_number", "time_s", "iso", "iso_assumed", "word")


class Said(Protocol):
    """What the parser of a light reading hands over; only the figures of its kind are set."""

    @property
    def kind(self) -> str: ...
    @property
    def lux_lx(self) -> float | None: ...
    @property
    def luminance_cdm2(self) -> float | None: ...
    @property
    def ev100(self) -> float | None: ...
    @property
    def f_number(self) -> float | None: ...
    @property
    def time_s(self) -> float | None: ...
    @property
    def iso(self) -> float | None: ...
    @property
    def iso_assumed(self) -> bool: ...
    @property
    def word(self) -> str | None: ...


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading of the light.

    kind        lux, luminance, ev, triple, word (of a sky), photo, board (lux inside, on the board)
    how         incident_flat, incident_dome, reflected; None for a word (incident) and a board
    tone        key of the tone table; what a reflected or board reading was placed on
    constant    the meter's own C or K where known
    sd_stops    its own doubt where the instrument knows better than the table [stop]
    meter       key of the meter; readings of one meter share its error
    taken_wall  when, aware and UTC; None where not said
    place       where the meter was: "at the face", "from the camera", …
    """

    kind: Kind
    how: How | None = None
    tone: str = "grey_card"
    lux_lx: float | None = None
    luminance_cdm2: float | None = None
    ev100: float | None = None
    f_number: float | None = None
    time_s: float | None = None
    iso: float | None = None
    iso_assumed: bool = False
    word: str | None = None
    constant: float | None = None
    sd_stops: float | None = None
    meter: str = ""
    taken_wall: datetime | None = None
    place: str = ""

    @classmethod
    def from_said(cls, said: Said, how: How | None, tone: str = "grey_card", **more: object) -> Reading:
        """A reading of what was said; `more` are the fields meter, taken_wall, place, constant."""
        if said.kind not in OWN_SD_STOPS and said.kind != "word":
            raise Refusal.one("reading", said.kind, "lx, cd/m², EV, a setting, a sky.")
        figures = {name: getattr(said, name) for name in FIGURES}
        return cls(**figures, how=how, tone=tone, **more)  # type: ignore[arg-type]


def age_sd_stops(age_s: float) -> float:
    """Doubt a reading gains with age [stop]: 0.25 after 10 min, as √age (common practice, no source).

    age_s  ≥ 0 [s]; clocks may disagree by two minutes. This is the wandering cloud, not the known course of
    the sun: near sunset its own fall (4 stops in the last hour) must be corrected for first, elsewhere.
    """
    if not math.isfinite(age_s) or age_s < -CLOCKS_DISAGREE_S:
        raise Refusal.one("taken", f"in {-age_s:.0f} s", "A time past.", "Check the clock.")
    return DRIFT_SD_STOPS * math.sqrt(max(0.0, age_s) / DRIFT_S)


def midtone_of(reading: Reading, now_wall: datetime | None = None) -> MidTone:
    """The mid-tone one reading implies, with its own, its tone's and its age's doubt.

    now_wall  aware and UTC; None takes the reading as just read. For the board see `midtone_on_board`.
    """
    if reading.kind == "board":
        raise Refusal.one("reading", "board", "A reading outside.", "Give it as a board reading.")
    if reading.kind == "word":
        bare, own_sd = _sky(reading)
    else:
        if reading.how is None:
            hint = "Say incident (meter at the face, turned to the camera) or reflected (pointed at a tone)."
            raise Refusal.one("how", "not said", "Incident or reflected.", hint)
        own_sd = OWN_SD_STOPS[reading.kind]
        bare = meter.midtone_luminance(
            how=reading.how,
            lux_lx=reading.lux_lx if reading.kind == "lux" else None,
            luminance_cdm2=reading.luminance_cdm2 if reading.kind in ("luminance", "photo") else None,
            ev100=reading.ev100 if reading.kind == "ev" else None,
            triple=_triple(reading),
            tone_stops=words.tone(reading.tone).stops if reading.how == "reflected" else 0.0,
            constant=reading.constant,
        )
    placed = reading.kind != "word" and reading.how == "reflected"
    sd, steps = _doubt(reading, own_sd, placed, now_wall)
    return MidTone(bare.luminance_cdm2, sd, (*_named(bare.steps, reading, placed), *steps))


def midtone_on_board(reading: Reading, now_wall: datetime | None = None) -> OnBoard:
    """Mid-tone illuminance on the paper from a lux reading inside, on its tone, with its doubt."""
    if reading.kind != "board" or reading.lux_lx is None:
        hint = "Hold the lux meter where the tone falls."
        raise Refusal.one("reading", reading.kind, "Lux read on the board.", hint)
    bare = meter.on_board(reading.lux_lx, words.tone(reading.tone).stops)
    sd, steps = _doubt(reading, OWN_SD_STOPS["board"], True, now_wall)
    return OnBoard(bare.illuminance_lx, sd, (*_named(bare.steps, reading, True), *steps))


def midtone_of_all(readings: Sequence[Reading], now_wall: datetime | None = None) -> MidTone:
    """Several readings into one: the mean in stops, weighted by 1/sd² (equal readings: the plain mean).

    Doubt: readings of one meter share their error, which does not average away; different meters are
    independent; what the readings disagree by is added. The range is brightest minus darkest as read.
    """
    if not readings:
        raise Refusal.one("readings", "none", "At least one.", "Read a meter, or name the sky.")
    problems, each = Problems(), []
    for i, reading in enumerate(readings):
        with problems.at(f"readings.{i}"):
            each.append(midtone_of(reading, now_wall))
    problems.raise_if_any()
    if len(each) == 1:
        return each[0]
    logs = [math.log2(m.luminance_cdm2) for m in each]
    weights = _weights(each)
    mean = sum(w * x for w, x in zip(weights, logs, strict=True))
    disagreement = _disagreement(logs, weights, mean)
    shared: dict[str, float] = defaultdict(float)
    for reading, m, w in zip(readings, each, weights, strict=True):
        shared[reading.meter or reading.kind] += w * m.sd_stops
    sd = math.sqrt(sum(s * s for s in shared.values()) + disagreement**2)
    spread = math.sqrt(sum(w * (x - mean) ** 2 for w, x in zip(weights, logs, strict=True)))
    as_read = [x + _placed_stops(r) for r, x in zip(readings, logs, strict=True)]
    steps = tuple(s for m in each for s in m.steps)
    mean_step = Step(f"mean of {len(each)} readings", None, "mean in stops", 2.0**mean, "cd/m²")
    doubt = Step("readings disagree", None, "their standard error", disagreement, "stop sd")
    return MidTone(2.0**mean, sd, (*steps, mean_step, doubt), max(as_read) - min(as_read), spread)


def weights(readings: Sequence[Reading], now_wall: datetime | None = None) -> list[float]:
    """What each reading counts for in `midtone_of_all` [1]; they sum to 1. Refuses what that refuses."""
    return _weights([midtone_of(r, now_wall) for r in readings])


# --- pieces ---------------------------------------------------------------------------------------


def _weights(each: Sequence[MidTone]) -> list[float]:
    raw = [1.0 / m.sd_stops**2 for m in each]
    return [w / sum(raw) for w in raw]


def _disagreement(logs: list[float], weights: list[float], mean: float) -> float:
    """Standard error of a weighted mean from its scatter; s/√n for equal weights."""
    n = len(logs)
    return math.sqrt(n / (n - 1) * sum((w * (x - mean)) ** 2 for w, x in zip(weights, logs, strict=True)))


def _placed_stops(reading: Reading) -> float:
    return words.tone(reading.tone).stops if reading.how == "reflected" and reading.kind != "word" else 0.0


def _triple(r: Reading) -> tuple[float, float, float] | None:
    if r.kind != "triple":
        return None
    if r.f_number is None or r.time_s is None or r.iso is None:
        parts = (("f-number", r.f_number), ("time", r.time_s), ("ISO", r.iso))
        lacking = " and ".join(name for name, value in parts if value is None)
        hint = f"Read the {lacking} the meter was set to; it is not guessed."
        raise Refusal.one("reading", f"no {lacking}", "f-number, time and ISO together.", hint)
    return (r.f_number, r.time_s, r.iso)


def _sky(reading: Reading) -> tuple[MidTone, float]:
    known = words.sky(reading.word or "")
    bare = meter.midtone_luminance(how="incident_flat", lux_lx=known.lux_lx)
    word = Step(f"the sky: {known.words}", None, known.source, known.lux_lx, "lx")
    return MidTone(bare.luminance_cdm2, known.sd_stops, (word, *bare.steps[1:])), known.sd_stops


def _named(steps: tuple[Step, ...], reading: Reading, placed: bool) -> tuple[Step, ...]:
    """The steps with the place and the tone in their words, and an ISO nobody said made visible."""
    out = []
    for s in steps:
        if s.source == "placement" and placed:
            t = words.tone(reading.tone)
            name = f"{t.words}, {_signed(t.stops)} stop from mid-tone"
            s = Step(name, s.stops, t.source, s.value, s.unit)
        elif s.source == "reading" and reading.place:
            s = Step(f"{s.name}, {reading.place}", s.stops, s.source, s.value, s.unit)
        out.append(s)
    if reading.iso_assumed:
        out.append(Step("ISO 100 assumed: say what the meter was set to", None, "assumed"))
    return tuple(out)


def _doubt(
    reading: Reading, own: float, placed: bool, now: datetime | None
) -> tuple[float, tuple[Step, ...]]:
    own = own if reading.sd_stops is None else reading.sd_stops
    meter.check_range("sd", own, (1e-6, 10.0), "stops")
    tone_sd = words.tone(reading.tone).sd_stops if placed else 0.0
    steps = [Step("doubt of the reading itself", None, "common practice, no source", own, "stop sd")]
    if placed:
        steps.append(Step("doubt of the tone", None, "common practice, no source", tone_sd, "stop sd"))
    aged = 0.0
    if reading.taken_wall is None or now is None:
        steps.append(Step("time not said: taken as just read", None, "assumed"))
    else:
        if reading.taken_wall.tzinfo is None or now.tzinfo is None:
            raise Refusal.one("taken", reading.taken_wall, "A time with its zone.", "Times are kept in UTC.")
        age_s = (now - reading.taken_wall).total_seconds()
        aged = age_sd_stops(age_s)
        name = f"read {max(0.0, age_s) / 60:.0f} min ago"
        rule = "0.25 stop in 10 min, as √age: common practice, no source"
        steps.append(Step(name, None, rule, aged, "stop sd"))
    return math.sqrt(own * own + tone_sd * tone_sd + aged * aged), tuple(steps)


def _signed(stops: float) -> str:
    return f"{stops:+.1f}".replace("-", "−") if stops else "0"
