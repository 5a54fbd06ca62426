"""The tool's part of a practitioner's season without its book: the same plans, advice and evidence in the same order, some times
faster. `python bench/practitioners.py --through-book` plays both and says whether they made the same sheets.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from types import SimpleNamespace
from typing import Any

import players
from practice import Look
from world import DEVELOPERS, LIGHTS, WAY, Sitting

from firstsheet import tables
from firstsheet.acts import advice, judge, learn
from firstsheet.acts.plan import plan
from firstsheet.acts.setting import Setting, _through
from firstsheet.acts.wish import say
from firstsheet.belief import decide
from firstsheet.belief.effects import Effect
from firstsheet.belief.posterior import Observation, Posterior
from firstsheet.belief.whole import fit
from firstsheet.exposure import hand, latitude

YEARS = players.NOON.timestamp() / learn.YEAR_S

BOARD_METER = Effect("meter:board", 1.0, 0.0, 0.25, "", "")


@lru_cache(maxsize=1)
def _template() -> tuple[dict[tuple[str, str, str], tuple[Effect, ...]], float]:
    """What every box, developer and light share, and log2 s + EV of the nominal time: from plans of an empty book."""
    out = {}
    with players.a_book() as book:
        for box in ("A", "B"):
            for developer in DEVELOPERS:
                for light in LIGHTS:
                    say(book, {"box": box, "developer": developer, "light": light, "reading": "EV 11.0", "subject": "3 m",
                               "way": WAY, "sitter": "crew"})  # fmt: skip
                    p = plan(book)
                    out[box, developer, light] = p.shared
    return out, p.nominal_log2_s + 11.0


def nominal(s: Sitting) -> tuple[float, tuple[Effect, ...]]:
    shared, at = _template()
    mine = [Effect(f"reading:{s.number + 1}", e.coefficient, e.mean, e.sd, e.words, e.source) if e.key.startswith("reading:") else e
            for e in shared[s.box, s.developer, s.light]]  # fmt: skip
    return at - float(s.reading.split()[1]), tuple(mine)


class Lean:
    """What is known, and what it plans and advises at one sitting."""

    def __init__(self) -> None:
        self.known = Posterior()
        self.seen: list[Observation] = []
        self.wedges: list[Observation] = []
        self.lat = float(tables.load("ways")[WAY]["latitude"])

    def plan(self, s: Sitting, advised: bool) -> tuple[dict[str, Any], str]:
        """The plan as a sheet keeps it, and the way advised."""
        log2_s, shared = nominal(s)
        bare = tuple(e for e in shared if not e.key.startswith("recip:"))
        wanted, felt, _, whole = _through(WAY, self.known, 2.0**log2_s, bare)
        variance = self.known.predict(felt)[1]
        retry = float(tables.load("ways")["retry_sd"]) * self.known.scale("retry")
        given = hand.giving(wanted, "cap", ())
        sd = math.sqrt(variance)
        chance = latitude.keeper_chance(math.sqrt(variance + retry**2 + given.sd_stops**2), self.lat, given.off_stops)
        body = {"wanted_s": wanted, "time_s": given.time_s, "sd_stops": sd, "nominal_log2_s": log2_s, "aperture": None, "way": WAY,
                "shared": [e.to_json() for e in whole], "keeper_chance": chance, "latitude_stops": self.lat,
                "strip": {"times_s": hand.strip_times_s(wanted, sd)}}  # fmt: skip
        best = "expose"
        if advised:
            at = Setting(None, log2_s, (), whole, wanted, variance, None, felt)
            after_strip = math.sqrt(advice.variance_after_strip(self.known, at, retry))
            after_wedge = math.sqrt(advice.variance_after_wedge(self.known, felt, BOARD_METER))
            stakes = decide.Stakes(self.lat, retry, advice.JUDGE_SD, 1.0)
            best = decide.options(sd, after_strip, after_wedge, stakes)[0].key
        return body, best

    def judged(self, p: dict[str, Any], looks: Sequence[Look]) -> None:
        for given_s, seen, kept in looks:
            self._seen(p, given_s, seen, None, kept)

    def strip(self, p: dict[str, Any], seen: float | str) -> None:
        key, step = (seen, None) if isinstance(seen, str) else (None, seen)
        self._seen(p, p["wanted_s"], key, step, None)

    def _seen(self, p: dict[str, Any], given_s: float, key: str | None, step: float | None, kept: bool | None) -> None:
        now = SimpleNamespace(given_s=given_s, plan=p)
        need, sd, _ = judge._need(now, WAY, key, step, False)  # type: ignore[arg-type]
        look = learn.look(WAY, key, False, kept, self.lat) if key is not None else None
        body = learn.evidence(p, given_s, None, (need, sd), ("cap", ()), look)
        self.seen.append(learn.observation(str(len(self.seen) + 1), body, YEARS))
        self._refit()

    def wedge(self, name: str, body: dict[str, Any]) -> None:
        self.wedges.append(learn.observation(name, body))
        self.wedges.sort(key=lambda o: o.name)
        self._refit()

    def _refit(self) -> None:
        self.known = fit([*self.wedges, *self.seen])
