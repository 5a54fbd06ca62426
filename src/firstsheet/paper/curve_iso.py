"""ISO speed and ISO range of a paper, its exposure index in a camera, and its preflash.

P = 1000/H at 0.60 above base+fog, H in lx·s, stated to the standard series; R = 100·(log H_T − log H_S), stated to
the nearest ten [ISO-6846]. Both are defined for negative-working paper and tungsten-like light. A camera's exposure
index says which density stands on the mid-tone: three anchors of one sheet differ by three stops, so the anchor is
part of the answer. A reflected-light meter puts the mid-tone at H = q·K/EI = 0.65·12.5/EI = 8.125/EI [PH3.49].
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from firstsheet.answer import Z90
from firstsheet.paper.curve import Curve
from firstsheet.paper.curve_points import (
    SHADOW_D,
    SPEED_D,
    Figure,
    exposure,
    log_range,
    mid_place,
    need_absolute,
    place,
    threshold,
)
from firstsheet.refusal import Refusal

METER_LXS = 8.125  # q·K = 0.65 · 12.5 cd·s/m²
SHADOW_LXS = 0.8  # [ISO-6]
FLASH_SHARE = 0.70  # common practice, no source; reports run from just under to just over the threshold
FLASH_SD_STOPS = 0.3
# Third-stop steps as speeds are printed [ISO-6]; the tens of each are the same with a nought more.
_SERIES = (1.0, 1.25, 1.6, 2.0, 2.5, 3.2, 4.0, 5.0, 6.4, 8.0)


@dataclass(frozen=True, slots=True)
class Stated:
    """A figure of a standard: exact, and as the standard rounds it (None where it was not reached).

    sure   whether the whole 90 % range rounds to the same figure
    """

    exact: Figure
    rounded: float | None
    sure: bool = False

    @property
    def words(self) -> str:
        return "not reached" if self.rounded is None else f"{self.rounded:g}"


def standard_speed(speed: float) -> float:
    """The nearest speed of the standard series (… 400, 500, 640 …), by ratio. Domain: > 0."""
    if not (math.isfinite(speed) and speed > 0):
        raise Refusal.one("speed", speed, "A speed above nothing.")
    decade = math.floor(math.log10(speed))
    near = [float(f"{m}e{d}") for d in (decade - 1, decade, decade + 1) for m in _SERIES]
    return min(near, key=lambda s: abs(math.log(s / speed)))


def iso_speed(curve: Curve) -> Stated:
    """ISO speed P of negative-working paper. Refusal for positive-working paper and for relative exposures."""
    if curve.sense < 0:
        raise Refusal.one("sense", "positive-working", "ISO speed P is defined for negative-working paper.",
                          "Ask for the exposure index midway between base and Dmax.")  # fmt: skip
    figure = exposure(curve, place(curve, above_base=SPEED_D), "ISO speed P: 1000/H at 0.60 above base+fog [ISO-6846]",
                      lambda h: 1000 / h, "")  # fmt: skip
    return _stated(figure, standard_speed)


def iso_range(curve: Curve) -> Stated:
    """ISO range R; on positive-working paper the same end points of the falling curve."""
    span = log_range(curve)
    hundred = [None if x is None else 100 * x for x in (span.value, span.low, span.high)]
    figure = replace(span, value=hundred[0], low=hundred[1], high=hundred[2], unit="", log10_sd=None,
                     source="ISO range R: 100·(log H at 90 % of Dmax − log H at 0.04 above base+fog) [ISO-6846]")  # fmt: skip
    return _stated(figure, lambda r: 10.0 * math.floor(r / 10 + 0.5))


def _stated(figure: Figure, rounding: object) -> Stated:
    assert callable(rounding)
    if figure.value is None or figure.low is None or figure.high is None:
        return Stated(figure, None)
    return Stated(figure, float(rounding(figure.value)), bool(rounding(figure.low) == rounding(figure.high)))


ANCHORS = {
    "mid": "mid-tone at 0.60 above base+fog",
    "shadow": "shadow at 0.10 above base+fog",
    "falling": "mid-tone midway between base and Dmax, on the falling curve",
}


def exposure_index(curve: Curve, anchor: str) -> Figure:
    """The exposure index in a camera, for the light the strip was made in.

    anchor  "mid": 8.125/H at 0.60 above base+fog (= 8.125·P/1000); "shadow": 0.8/H at 0.10 above base+fog, as film is
            rated; both negative-working. "falling": 8.125/H midway between base and Dmax, positive-working.
    """
    if anchor not in ANCHORS or (anchor == "falling") != (curve.sense < 0):
        allowed = [a for a in ANCHORS if (a == "falling") == (curve.sense < 0)]
        raise Refusal.one("anchor", anchor, "For this paper: " + ", ".join(f"“{a}” ({ANCHORS[a]})" for a in allowed) + ".",
                          "An exposure index means nothing without the density it puts on the mid-tone.")  # fmt: skip
    at = place(curve, above_base=SHADOW_D) if anchor == "shadow" else mid_place(curve)
    over = SHADOW_LXS if anchor == "shadow" else METER_LXS
    return exposure(curve, at, f"EI, {ANCHORS[anchor]}", lambda h: over / h, "")


def ei_from_speed(speed_p: float) -> float:
    """EI with the mid-tone at 0.60 above base+fog, from ISO P: 8.125·P/1000. Domain: P > 0."""
    if not (math.isfinite(speed_p) and speed_p > 0):
        raise Refusal.one("speed", speed_p, "A speed above nothing.")
    return METER_LXS * speed_p / 1000


def preflash(curve: Curve) -> Figure:
    """The even exposure to give before or after the picture [lx·s]: 70 % of the threshold, give or take 0.3 stop.

    Refusal where the threshold was not measured: a flash guessed too strong greys the whole sheet.
    """
    need_absolute(curve, "Preflash")
    at = threshold(curve)
    if at.value is None or at.log10_sd is None or at.low is None or at.high is None:
        raise Refusal.one("preflash", "threshold not measured", at.missing,
                          "Make a strip of short flashes: the first that just shows is the threshold.")  # fmt: skip
    practice = FLASH_SD_STOPS * math.log10(2.0)
    mid = math.log10(at.value)
    low = math.hypot(mid - math.log10(at.low), Z90 * practice)
    high = math.hypot(math.log10(at.high) - mid, Z90 * practice)
    value = FLASH_SHARE * at.value
    return Figure(value, value / 10**low, value * 10**high, "lx·s",
                  "70 % of the threshold ± 0.3 stop; common practice, no source", math.hypot(at.log10_sd, practice))  # fmt: skip
