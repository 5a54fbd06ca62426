"""What is read off a characteristic curve, each figure with its 90 % range, or "not reached" with a bound.

Points of ISO 6846 [ISO-6846] as [Focal-4], p. 679, gives them: S at 0.04 above base+fog, T at 90 % of Dmax, taken net
(gross shifts it by a tenth of base+fog, under 1 unit of R on a steep paper). A point counts as reached where at least
95 % of what is known puts it within the steps, and base+fog and Dmax, where it hangs on them, are known well enough.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from firstsheet.answer import Z90
from firstsheet.paper.curve import Curve
from firstsheet.paper.curve_model import Array, quantile
from firstsheet.refusal import Refusal

SPEED_D = 0.60
FOOT_D = 0.04  # point S
SHADOW_D = 0.10  # the speed point of film, [ISO-6]
TOP_SHARE = 0.90  # point T
BASE_KNOWN_D = 0.08  # half the 90 % range of base+fog above which it was not measured: an eighth of a stop at slope 2
DMAX_KNOWN_D = 0.20  # the same for Dmax
OUTSIDE = 0.05


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure with its doubt, or why there is none.

    value       None where the strip did not reach it
    low, high   ends of the 90 % range; where value is None at most one of them stands, as a bound
    unit        "lx·s", "D", "log10", "" …
    source      from what, in words
    log10_sd    standard deviation of log10(value) for factors (P, H, EI), else None
    missing     "" or why it was not reached, a sentence
    """

    value: float | None
    low: float | None
    high: float | None
    unit: str
    source: str
    log10_sd: float | None = None
    missing: str = ""

    @property
    def reached(self) -> bool:
        return self.value is not None


@dataclass(frozen=True, slots=True)
class Place:
    """A point of the curve on the axis of log H: draws, whether reached, and if not between which bounds it lies."""

    log_h: Array
    reached: bool
    least: float | None = None
    most: float | None = None
    missing: str = ""


def place(
    curve: Curve, above_base: float | None = None, share: float | None = None, below_dmax: float | None = None
) -> Place:
    """Where the density is `above_base` [D] over base+fog, or `share` of the net range, or `below_dmax` [D].

    Exactly one of the three is given.
    """
    draws = curve.draws
    end = "Dmax" if below_dmax is not None else "base+fog"
    if above_base is not None:
        fraction = above_base / draws.rise
    elif below_dmax is not None:
        fraction = 1 - below_dmax / draws.rise
    else:
        fraction = np.full_like(draws.rise, share)
    needs_base, needs_dmax = below_dmax is None, above_base is None
    u = draws.at_fraction(fraction)
    u_lo, u_hi = sorted(float(curve.sense * (x - curve.centre)) for x in curve.span)
    if needs_base and curve.known_level("base")[1] > BASE_KNOWN_D:
        # base+fog lies somewhere below the palest step: counted from that step the point is not nearer
        bound = _counted_from(curve, u_lo, above_base, share) if not needs_dmax else None
        return _not_reached(curve, u, None, bound, "The strip does not show base+fog.")
    if needs_dmax and curve.known_level("dmax")[1] > DMAX_KNOWN_D:
        return _not_reached(
            curve, u, _counted_to(curve, u_hi, share, below_dmax), None, "The strip does not show Dmax."
        )
    under = float(np.sum(draws.weight[np.isfinite(u) & (u < u_lo)]))
    over = float(np.sum(draws.weight[~np.isfinite(u) | (u > u_hi)]))
    if under > OUTSIDE:
        high = max(u_lo, quantile(u, draws.weight, 0.95))
        return _not_reached(curve, u, None, high, f"The point near {end} lies beyond the palest step.")
    if over > OUTSIDE:
        low = min(u_hi, _low(u, draws.weight))
        return _not_reached(curve, u, low, None, "The darkest step does not reach this density.")
    return Place(curve.to_log_h(u), True)


def _low(u: Array, weight: Array) -> float:
    """5 % quantile, what is never reached counting as far away."""
    return quantile(np.where(np.isfinite(u), u, 1e3), weight, 0.05)


def _counted_from(curve: Curve, u_lo: float, above: float | None, share: float | None) -> float | None:
    if above is None:
        return None
    start = (curve.draws.density(np.array([u_lo]))[:, 0] - curve.draws.base) / curve.draws.rise
    bound = quantile(np.where(start + above / curve.draws.rise < 1, curve.draws.at_fraction(start + above / curve.draws.rise), 1e3),
                     curve.draws.weight, 0.95)  # fmt: skip
    u_hi = max(float(curve.sense * (x - curve.centre)) for x in curve.span)
    return bound if bound <= u_hi else None


def _counted_to(curve: Curve, u_hi: float, share: float | None, below: float | None) -> float:
    """The point if the darkest step were Dmax: the true one lies further."""
    top = (curve.draws.density(np.array([u_hi]))[:, 0] - curve.draws.base) / curve.draws.rise
    fraction = top * share if share is not None else top - (below or 0.0) / curve.draws.rise
    return quantile(curve.draws.at_fraction(fraction), curve.draws.weight, 0.05)


def _not_reached(curve: Curve, u: Array, low: float | None, high: float | None, why: str) -> Place:
    ends = [None if e is None or not math.isfinite(e) else float(curve.to_log_h(np.array(e))) for e in (low, high)]
    least, most = ends if curve.sense > 0 else (ends[1], ends[0])
    return Place(curve.to_log_h(u), False, least, most, why)


def exposure(
    curve: Curve, at: Place, source: str, factor: Callable[[float], float] | None = None, unit: str = "lx·s"
) -> Figure:
    """H [lx·s] at a point, or `factor(H)`, a falling or rising function of H, with the doubt shared by all log H."""
    need_absolute(curve, source)
    turn = factor or (lambda h: h)
    if not at.reached:
        ends = [None if e is None else turn(10.0 ** (e + sign * Z90 * curve.common_log_h_sd))
                for e, sign in ((at.least, -1), (at.most, 1))]  # fmt: skip
        low, high = ends if turn(2.0) > turn(1.0) else (ends[1], ends[0])
        return Figure(None, low, high, unit, source, None, at.missing)
    low_log, mid, high_log, sd = summary(at.log_h, curve.draws.weight, curve.common_log_h_sd)
    two = sorted((turn(10.0**low_log), turn(10.0**high_log)))
    return Figure(turn(10.0**mid), two[0], two[1], unit, source, sd)


def summary(x: Array, weight: Array, common_sd: float = 0.0) -> tuple[float, float, float, float]:
    """5 %, 50 %, 95 % quantiles and standard deviation of draws, an independent normal doubt added in quadrature."""
    low, mid, high = (quantile(x, weight, q) for q in (0.05, 0.5, 0.95))
    there = np.isfinite(x)
    mean = np.average(x[there], weights=weight[there])
    sd = math.sqrt(float(np.average((x[there] - mean) ** 2, weights=weight[there])) + common_sd**2)
    more = Z90 * common_sd
    return mid - math.hypot(mid - low, more), mid, mid + math.hypot(high - mid, more), sd


def need_absolute(curve: Curve, what: str) -> None:
    if not curve.absolute:
        raise Refusal.one("absolute", "relative exposures", f"{what}: only from exposures known in lx·s.",
                          "Measure the lux at the strip, or on the board, and give the seconds.")  # fmt: skip


def level(curve: Curve, end: str) -> Figure:
    """base+fog ("base") or Dmax ("dmax") [D]; not reached where no step and no border shows it, then only bounded."""
    which, limit = ("base", BASE_KNOWN_D) if end == "base" else ("dmax", DMAX_KNOWN_D)
    name = "base+fog" if which == "base" else "Dmax"
    draws = curve.draws
    x = draws.base if which == "base" else draws.base + draws.rise
    low, mid, high, _ = summary(x, draws.weight)
    if 0.5 * (high - low) <= limit:
        return Figure(mid, low, high, "D", f"{name} of the strip")
    lowest, highest = sorted(float(curve.sense * (h - curve.centre)) for h in curve.span)
    shown = draws.density(np.array([lowest if which == "base" else highest]))[:, 0]
    why = f"The strip does not show {name}."
    if which == "base":
        return Figure(None, None, quantile(shown, draws.weight, 0.95), "D", name, None, why)
    return Figure(None, quantile(shown, draws.weight, 0.05), None, "D", name, None, why)


def mid_place(curve: Curve) -> Place:
    """The mid-tone: 0.60 above base+fog on negative-working paper, midway between base and Dmax on positive-working."""
    return place(curve, above_base=SPEED_D) if curve.sense > 0 else place(curve, share=0.5)


def threshold_place(curve: Curve) -> Place:
    """The least exposure that shows: 0.04 above base+fog, or on positive-working paper 0.04 below Dmax."""
    return place(curve, above_base=FOOT_D) if curve.sense > 0 else place(curve, below_dmax=FOOT_D)


def threshold(curve: Curve) -> Figure:
    """The least exposure that shows [lx·s]."""
    return exposure(
        curve,
        threshold_place(curve),
        "threshold: 0.04 above base+fog" if curve.sense > 0 else "threshold: 0.04 below Dmax",
    )


def gamma(curve: Curve) -> Figure:
    """|dD/dlog H| at the mid-tone."""
    at = mid_place(curve)
    source = "slope at the mid-tone, " + ("0.60 above base+fog" if curve.sense > 0 else "midway between base and Dmax")
    if not at.reached:
        return Figure(None, None, None, "", source, None, at.missing)
    slope = curve.draws.slope(curve.to_u(at.log_h))
    low, mid, high, _ = summary(slope, curve.draws.weight)
    return Figure(mid, low, high, "", source)


def log_range(curve: Curve) -> Figure:
    """The printing range: log H between points S and T [log10]."""
    foot, top = place(curve, above_base=FOOT_D), place(curve, share=TOP_SHARE)
    source = "printing range: 0.04 above base+fog to 90 % of Dmax, net"
    if foot.reached and top.reached:
        low, mid, high, sd = summary(np.abs(top.log_h - foot.log_h), curve.draws.weight)
        return Figure(mid, low, high, "log10", source, sd)
    foot_end, top_end = (foot.most, top.least) if curve.sense > 0 else (foot.least, top.most)
    if foot.reached:
        foot_end = quantile(foot.log_h, curve.draws.weight, 0.95 if curve.sense > 0 else 0.05)
    if top.reached:
        top_end = quantile(top.log_h, curve.draws.weight, 0.05 if curve.sense > 0 else 0.95)
    bound = None if foot_end is None or top_end is None else max(curve.sense * (top_end - foot_end), 0.0)
    why = " ".join(dict.fromkeys(p.missing for p in (foot, top) if p.missing))
    return Figure(None, bound, None, "log10", source, None, why)
