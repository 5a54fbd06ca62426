"""The shapes of answers. JSON keys are these names; every name carries its unit (docs/json.md lists them)."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from firstsheet.acts.advice import Advice
from firstsheet.belief.effects import Effect
from firstsheet.exposure.chain import Link


@dataclass(frozen=True, slots=True)
class Doubt:
    """One source of doubt: its share of the variance [1] and its own standard deviation [stop]."""

    words: str
    share: float
    sd_stops: float


@dataclass(frozen=True, slots=True)
class Strip:
    """A test strip first: the whole exposure of each step [s], what it costs [sheet], the chance after it [1]."""

    times_s: tuple[float, ...]
    sheets: float
    keeper_chance_after: float


@dataclass(frozen=True, slots=True)
class PackOn:
    """The filter pack a plan is made for. words as it is put on; written and real (yellow, magenta, cyan) [CC]; log_time log10 of seconds over those
    without a pack, at what is known now; left_cc the cast these gels leave."""

    words: str
    written: tuple[float, float, float]
    real: tuple[float, float, float]
    log_time: float
    left_cc: float


@dataclass(frozen=True, slots=True)
class Plan:
    """One answer: seconds at an aperture, how sure, what is least sure, and every link that led there.

    wanted_s            what the chain asks for [s]
    time_s              the nearest that this shutter or hand can give [s]
    aperture            f-number [1]; None for a contact print, which has no lens
    range50_s, range90_s  where the right time lies, 1 in 2 and 9 in 10 [s]
    keeper_chance       P(|error| ≤ latitude) [1]
    sd_stops            doubt of the right exposure [stop], without retry and hand
    nominal_log2_s      log2 of the time before anything shared was added [log2 s]; judged sheets are measured from it
    board_mm …          None when the reading was taken on the board
    strip_stops         of that, how far above 1 s the strip stood that told it, its own long exposure taken out [stop]; 0 without one
    loss                Schwarzschild's 1/p − 1 it was reckoned with [1]
    flash_share         even flash it is to get besides the picture, as a share of the threshold [1]; 0 for none
    pack                the filter pack of colour paper, its time in the chain; None for other papers
    """

    way: str
    way_words: str
    box: str
    camera: str
    developer: str
    light: str
    light_words: str
    sitter: str
    aperture: float | None
    wanted_s: float
    time_s: float
    how_given: str
    range50_s: tuple[float, float]
    range90_s: tuple[float, float]
    keeper_chance: float
    latitude_stops: float
    sd_stops: float
    ei_now: float
    ei_low: float
    ei_high: float
    chain: tuple[Link, ...]
    doubts: tuple[Doubt, ...]
    strip: Strip
    changed: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    assumed: tuple[str, ...]
    readings: tuple[str, ...]
    reading_age_s: float | None
    range_of_scene_stops: float
    sheets_left: float
    advice: Advice
    cost: float | None
    cost_per_keeper: float | None
    currency: str
    subject_mm: float | None
    board_mm: float | None
    magnification: float | None
    nominal_log2_s: float
    shared: tuple[Effect, ...] = field(repr=False, default=())
    strip_stops: float = 0.0
    loss: float = 0.0
    flash_share: float = 0.0
    pack: PackOn | None = None

    def headline(self) -> str:
        from firstsheet import wording

        where = "under the lamp" if self.aperture is None else f"at {wording.f_number(self.aperture)}"
        through = f" through {self.pack.words}" if self.pack else ""
        return f"{wording.seconds(self.time_s)} {where}{through}"


@dataclass(frozen=True, slots=True)
class SheetState:
    """A sheet and where it stands: planned, flashed, exposed, in the trays, processed, judged (or set aside).

    flashed  the even flash it got: share of the threshold [1], seconds [s] or None, how in words; None where it got none
    patches  pack and time of each, in words, of a masked sheet; empty for a sheet of one picture
    """

    code: str
    number: int
    state: str
    plan: dict[str, Any]
    strip: bool
    given_s: float | None
    given_aperture: float | None
    remark: str
    judgement: dict[str, Any] | None
    pictures: tuple[int, ...]
    wall: str
    marks: tuple[dict[str, Any], ...] = ()
    flashed: dict[str, Any] | None = None
    patches: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Change:
    """What one judgement taught: words for people and the moved speed of the box [stop] before and after."""

    words: tuple[str, ...]
    taught: bool
    before_stops: float
    before_sd: float
    after_stops: float
    after_sd: float
    next_time: tuple[str, ...] = ()
