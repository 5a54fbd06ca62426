"""A simulated season: a hidden truth drawn from the very priors the tool begins with, and the noise of every sheet.

All players of one seed meet the same truth, the same readings and the same noise, sheet by sheet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from random import Random

from firstsheet import tables
from firstsheet.belief.effects import Effect
from firstsheet.exposure.hand import giving
from firstsheet.paper import reciprocity
from firstsheet.paper.response import sense

WAY = "paper_negative"
BOXES = ("A", "B", "C", "D")
DEVELOPERS = ("ordinary", "coffee")
LIGHTS = ("overcast", "open_shade", "low_sun")
SITTINGS = 20
MOST_SHEETS = 8
EYE_SD = 0.25  # of the person who looks at the sheet [stop]
# What the truth of a season is drawn from. "own": what one person's boxes, developers, lights, meter and lens differ by is SPREAD of
# what the tables say, which is how far the reports of many people differ, and the retry noise is all that two sheets do not share,
# the hand on the cap and the reading included. "tables": the tables as they stand; on top of the retry noise every reading is off
# by what the tool allows for it, and a hand is on the cap.
WORLDS = ("own", "tables")
SPREAD = 0.6


@dataclass(frozen=True, slots=True)
class Setting:
    """retry_sd: the same settings twice [stop]; latitude: ± what still makes a keeper [stop]; told_retry_sd: what the tool is told."""

    name: str
    retry_sd: float
    latitude: float
    told_retry_sd: float

    def tell(self) -> None:
        """Put what the tool is told into its tables, in this process only."""
        ways = tables.load("ways")
        ways["retry_sd"] = self.told_retry_sd
        ways[WAY]["latitude"] = self.latitude


@dataclass(frozen=True, slots=True)
class Sitting:
    number: int
    box: str
    developer: str
    light: str
    reading: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """error: light received beyond the right one [stop]; kept; seen: the word a person says."""

    error: float
    kept: bool
    seen: str


class World:
    """The hidden truth of one season."""

    def __init__(
        self,
        seed: int,
        setting: Setting,
        order: str = "shuffled",
        count: int = SITTINGS,
        drawn: str = "own",
    ) -> None:
        self.own = drawn == "own"
        self.seed = seed
        self.order = order
        self.count = count
        self.setting = setting

    def _normal(self, what: str) -> float:
        return Random(f"{self.seed}/{what}").gauss(0.0, 1.0)

    def sittings(self) -> list[Sitting]:
        """What is used when. "shuffled": box, developer and light drawn anew for every sitting. "in turn": five sittings to
        a box, then the next is opened (and round again); a day of two or three sittings keeps its developer and its light."""
        rng = Random(f"{self.seed}/sittings")
        out = []
        developer, light = rng.choice(DEVELOPERS), rng.choice(LIGHTS)
        for i in range(self.count):
            box = BOXES[i // 5 % len(BOXES)]
            if self.order == "shuffled" or rng.random() < 0.4:
                developer, light = rng.choice(DEVELOPERS), rng.choice(LIGHTS)
            if self.order == "shuffled":
                box = rng.choice(BOXES)
            out.append(Sitting(i, box, developer, light, f"EV {rng.uniform(10.0, 12.5):.1f}"))
        return out

    def right_log2_s(self, sitting: Sitting, nominal_log2_s: float, shared: list[Effect]) -> float:
        """log2 of the right exposure time [log2 s]: the chain, every hidden effect, and Schwarzschild's law last."""
        metered = nominal_log2_s
        r = 0.0
        for e in shared:
            kind = e.key.partition(":")[0]
            if kind == "recip":
                r = max(0.0, e.mean + e.sd * self._normal(e.key))
                continue
            if self.own and kind == "reading":
                continue
            spread = SPREAD if self.own and kind not in ("kind", "recip") else 1.0
            key = f"reading:{sitting.number}" if kind == "reading" else e.key
            metered += e.coefficient * (e.mean + spread * e.sd * self._normal(key))
        return math.log2(reciprocity.corrected_s(2.0**metered, r))

    def outcome(self, sitting: Sitting, sheet: int, given_s: float, right_log2_s: float) -> Outcome:
        at = f"{sitting.number}/{sheet}"
        noise = self.setting.retry_sd * self._normal(f"retry/{at}")
        if not self.own:
            noise += giving(given_s, "cap", ()).sd_stops * self._normal(f"hand/{at}")
        error = math.log2(given_s) - right_log2_s + noise
        perceived = sense(WAY) * error + EYE_SD * self._normal(f"eye/{at}")
        return Outcome(error, abs(error) <= self.setting.latitude, nearest_word(perceived))


def nearest_word(tone_stops: float) -> str:
    """The word of the table whose tone is nearest to what was perceived: a person's judgement is quantised."""
    words = tables.load("seen")
    return min(words, key=lambda k: abs(float(words[k]["tone"]) - tone_stops))


def begun_log2_s(nominal_log2_s: float, shared: list[Effect]) -> float:
    """Where everybody begins: the chain with what the tables say of developer, light and long exposures [log2 s]."""
    metered = nominal_log2_s + sum(e.coefficient * e.mean for e in shared if not e.key.startswith("recip:"))
    r = next(e.mean for e in shared if e.key.startswith("recip:"))
    return math.log2(reciprocity.corrected_s(2.0**metered, r))


SETTINGS = {
    "calm": Setting("calm", 0.15, 1.0 / 3.0, 0.15),
    "rough": Setting("rough", 0.25, 0.5, 0.25),
}


def told(setting: Setting, retry_sd: float | None) -> Setting:
    """The same world, the tool told another retry noise [stop] than the true one."""
    return setting if retry_sd is None else replace(setting, told_retry_sd=retry_sd)
