"""From light on the face to seconds for this sheet, many times over: the chain of a plan, its parts worked out once for each kind of light."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from firstsheet.acts import reading
from firstsheet.acts.plan import chosen, known_now
from firstsheet.acts.setting import settings
from firstsheet.acts.wish import Wish
from firstsheet.belief import prior
from firstsheet.belief.effects import Effect
from firstsheet.light import words
from firstsheet.light.day import KINDS
from firstsheet.light.reading import Reading
from firstsheet.paper import reciprocity

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader

REFERENCE_LX = 1000.0
PART = 0.5  # of a stop between the knots at which the doubt is worked out; it moves by a few hundredths between them


def of_light(w: Wish, lux_lx: float, kind: str, sky: str) -> Wish:
    """The same sheet in such light: lux in the face's light, believed as far as the look of the sky is."""
    have = words.skies()
    sd = have["low_sun" if kind == "low_sun" else sky].sd_stops
    name, meter = reading.PLAIN_METER["word"]
    r = Reading(
        kind="lux", how="incident_flat", lux_lx=lux_lx, sd_stops=sd, meter=name, place="worked out for the face"
    )
    said = f"{have[sky].words}: worked out"
    return replace(w, readings=(reading.Kept(r, said, meter),), light=kind)


@dataclass(slots=True)
class _Kind:
    """One kind of light: stops it takes off the reference's time (log2), and the doubt by lever arm, as asked for."""

    metered_log2: float
    shared: tuple[Effect, ...]
    sd: dict[int, float]


class Seconds:
    """Seconds for one sheet at one aperture in any light of a day. `aperture` is the f-number, the one said or the one chosen."""

    def __init__(
        self, reader: Reader, w: Wish, sky: str, kinds_in_use: Sequence[str], bright: tuple[float, str]
    ) -> None:
        """bright  light and kind of light for which the aperture is chosen where none was said"""
        self.known = known_now(reader)
        self.way = w.way
        if not w.aperture:
            w = replace(w, aperture=chosen(reader, of_light(w, *bright, sky), self.known).aperture)
        self.aperture = w.aperture
        self.kinds: dict[str, _Kind] = {}
        for kind in kinds_in_use:
            s = settings(reader, of_light(w, REFERENCE_LX, kind, sky), self.known)[0]
            *shared, recip = s.shared
            metered = s.nominal_log2_s + self.known.predict(shared)[0]
            self.kinds[kind] = _Kind(metered, tuple(shared), {})
            self.r = self.known.predict([Effect(recip.key, 1.0, recip.mean, recip.sd)])[0]

    def at(self, lux_lx: float, shares: Sequence[float]) -> tuple[float, float]:
        """Time to give [s] and its doubt [stop] in so much light on the face, mixed of KINDS in these shares.

        What the paper receives adds up: each kind's light counts by how fast it is for this paper.
        """
        received = [
            (share * 2.0 ** -self.kinds[k].metered_log2, k)
            for k, share in zip(KINDS, shares, strict=True)
            if share > 1e-6
        ]
        whole = sum(x for x, _ in received)
        metered = REFERENCE_LX / lux_lx / whole
        sd = sum(x / whole * self._sd(k, metered) for x, k in received)
        return reciprocity.corrected_s(metered, self.r), sd

    def _sd(self, kind: str, metered_s: float) -> float:
        k = self.kinds[kind]
        knot = math.ceil(reciprocity.stops_above_reference(metered_s) / PART)
        if knot not in k.sd:
            felt = prior.through_reciprocity(self.way, k.shared, knot * PART, self.r)
            k.sd[knot] = math.sqrt(self.known.predict(felt)[1])
        return k.sd[knot]
