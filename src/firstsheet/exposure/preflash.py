"""Preflash: an even exposure too small to show, given before (or after) the picture. What it does to a curve, and how it is given.

Exposures add: with a flash H_f the sheet answers to H as it would to H + H_f, so D_f(log H) = D(log10(H + H_f)). That changes much where H
is small beside H_f and nothing where it is large. Small exposures are the scene's shadows on either kind of paper: on a negative they are
lifted off bare paper, on a positive they are lifted off the black. So the flash always buys in the shadows; what it costs is the plateau that
they are lifted off, and the masked border shows it: a trace grey on a negative, a trace less black on a positive.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet.exposure.chain import Optics, Q, paper_lx_from_scene
from firstsheet.light.meter import K
from firstsheet.refusal import Problems, Refusal

if TYPE_CHECKING:
    from firstsheet.paper.curve import Curve
    from firstsheet.paper.curve_model import Array

SHARE, SHARE_SD = 0.70, 0.15  # of the threshold; common practice, no source: from just under to just over it
LEAST_SHARE, MOST_SHARE = 0.1, 1.5
STOP = math.log10(2.0)
LEAST_S = 1.0  # by hand below this the flash is a gamble; as for the picture, common practice, no source


@dataclass(frozen=True, slots=True)
class Band:
    """A figure with the ends of its 90 % range, in the unit its owner names."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Flashed:
    """What a flash does to a curve.

    share        of the threshold [1]
    flash_lx_s   the flash [lx·s], or in the curve's own relative exposure
    bought       stops that the range of exposures gains, all of it at the small end: the scene's shadows [stop]
    range_before, range_after  the range of exposures that is told apart [stop]
    border       how much darker (+) or lighter (−) the masked border comes [D]
    picture_stops  how much less light the picture takes, as its mid-tone has some already, at most 0 [stop]
    """

    share: float
    flash_lx_s: float
    bought: Band
    range_before: Band
    range_after: Band
    border: Band
    picture_stops: float


def checked_share(share: float) -> float:
    """Refusal for a share of the threshold from which nothing comes, or a grey sheet."""
    if not LEAST_SHARE <= share <= MOST_SHARE:  # NaN fails this too
        raise Refusal.one("share", f"{share:g} of the threshold", f"From {LEAST_SHARE:g} to {MOST_SHARE:g} of the threshold.", "0.7 is usual.")  # fmt: skip
    return share


def with_flash(log_h: Array, flash_h: float) -> Array:
    """log10(H + H_f) [log10]: where on the unflashed curve a flashed sheet stands. Any shape; flash_h ≥ 0, −inf for no picture."""
    import numpy as np

    return np.asarray(np.log10(10.0 ** np.asarray(log_h, dtype=float) + flash_h))


def picture_stops(flash_h: float, mid_h: float) -> float:
    """log2(1 − H_f/H_mid) [stop], at most 0: the mid-tone stands where it did with so much less light from the picture.

    Domain: 0 ≤ flash_h < mid_h, both in one unit.
    """
    if not 0 <= flash_h < mid_h:
        raise Refusal.one("share", f"{flash_h / mid_h:.2g} of the mid-tone's exposure", "A flash well below the mid-tone.", "Flash less: 0.7 of the threshold is usual.")  # fmt: skip
    return math.log2(1.0 - flash_h / mid_h)


def flashed(curve: Curve, share: float = SHARE) -> Flashed:
    """What a flash of this share of the measured threshold does to this curve.

    share  of the threshold [1], 0.1 to 1.5

    The range runs from the first exposure that differs by 0.04 D from the border as it comes out, flashed or not, to 90 % of the net
    Dmax (on a positive to 0.04 above base), each on every draw of the curve. Refusal where the threshold or the far end was not reached:
    a flash guessed too strong greys the whole sheet.
    """
    import numpy as np

    from firstsheet.paper import curve_points as points

    checked_share(share)
    at = points.threshold_place(curve)
    mid = points.mid_place(curve)
    far = points.place(curve, share=points.TOP_SHARE) if curve.sense > 0 else points.place(curve, above_base=points.FOOT_D)
    problems = Problems()
    for name, p in (("threshold", at), ("mid_tone", mid), ("far_end", far)):
        if not p.reached:
            problems.add(name, "not measured", p.missing, "Make a strip with shorter steps, too, and its border masked.")
    problems.raise_if_any()
    weight = curve.draws.weight
    flash = share * 10.0 ** points.summary(at.log_h, weight)[1]
    plain, veiled = _plateau(curve, 0.0), _plateau(curve, flash)
    foot = [_foot(curve, plain, 0.0), _foot(curve, veiled, flash)]
    end = 10.0**far.log_h
    before, after = ((np.log10(np.maximum(end - f, 1e-12)) - h) / STOP for h, f in zip(foot, (0.0, flash), strict=True))
    mid_h = 10.0 ** points.summary(mid.log_h, weight)[1]
    return Flashed(
        share, flash, _band(after - before, weight), _band(before, weight), _band(after, weight), _band(veiled - plain, weight),
        picture_stops(flash, mid_h),
    )  # fmt: skip


def _band(x: Array, weight: Array) -> Band:
    from firstsheet.paper.curve_points import summary

    low, mid, high, _ = summary(x, weight)
    return Band(mid, low, high)


def _plateau(curve: Curve, flash: float) -> Array:
    """Density of the border on each draw with this flash [D]; without one, base, or on a positive Dmax."""
    import numpy as np

    from firstsheet.paper.curve_model import EDGES, sigma

    draws = curve.draws
    if flash <= 0:
        return np.asarray(draws.base if curve.sense > 0 else draws.base + draws.rise)
    u = float(curve.to_u(np.array(math.log10(flash))))
    w = np.array([np.interp(u, row, EDGES) for row in draws.u])
    return np.asarray(draws.base + draws.rise * sigma(w))


def _foot(curve: Curve, level: Array, flash: float) -> Array:
    """log10 of the picture's exposure that shows beside a border of this density, on each draw."""
    import numpy as np

    from firstsheet.paper.curve_points import FOOT_D

    draws = curve.draws
    wanted = (level + curve.sense * FOOT_D - draws.base) / draws.rise
    total = 10.0 ** curve.to_log_h(draws.at_fraction(wanted))
    return np.asarray(np.log10(np.maximum(total - flash, 1e-12)))


# ── giving it ──


@dataclass(frozen=True, slots=True)
class Given:
    """How a flash is given.

    time_s   how long [s]; low_s, high_s its 90 % range where the doubt of flash and light is known
    lx       light on the paper [lx]; None where it goes by a count
    """

    time_s: float
    low_s: float
    high_s: float
    lx: float | None


def board_lx(sheet_ev: float, optics: Optics) -> float:
    """Light on the paper behind a white sheet over the lens [lx].

    sheet_ev  EV at ISO 100 of the lit sheet, metered on its side towards the lens
    optics    f-number, extension and filter as they will stand

    The sheet is an even subject of luminance K·2^EV/100 cd/m² that fills the lens; then E = q·L/N² with the extension once [ISO-2721].
    """
    lx, _ = paper_lx_from_scene(K * 2.0**sheet_ev / 100.0, optics)
    return lx


def ev_for(lx: float, optics: Optics) -> float:
    """EV at ISO 100 of a sheet over the lens that puts this light on the paper; the inverse of `board_lx`. Domain: lx > 0."""
    stops = optics.extension_stops + optics.filter_stops + optics.off_axis_stops
    return math.log2(lx * optics.f_number**2 * 2.0**stops / Q * 100.0 / K)


def by_lux(flash_lx_s: float, flash_sd_stops: float, lx: float, lx_sd_stops: float) -> Given:
    """Seconds of a flash under a light known in lux at the paper: t = H_f/E.

    Domain: flash_lx_s, lx > 0. The doubts add in quadrature [stop].
    """
    if not (math.isfinite(lx) and lx > 0):
        raise Refusal.one("lux", f"{lx:g} lx", "Light above nothing, at the paper.", "Read it where the paper lies.")
    spread = 2.0 ** (1.645 * math.hypot(flash_sd_stops, lx_sd_stops))
    t = flash_lx_s / lx
    return Given(t, t / spread, t * spread, lx)


def by_count(threshold_s: float, threshold_sd_stops: float, share: float = SHARE) -> Given:
    """Seconds of a flash under the very light in which the threshold was counted: share × threshold."""
    checked_share(share)
    spread = 2.0 ** (1.645 * math.hypot(threshold_sd_stops, share_sd_stops()))
    t = share * threshold_s
    return Given(t, t / spread, t * spread, None)


def share_sd_stops() -> float:
    """The doubt of practice about the right share, as stops of exposure: 0.15 of 0.70 [stop]."""
    return math.log2(1.0 + SHARE_SD / SHARE)


def counted_threshold(times_s: list[float], shows: int) -> tuple[float, float]:
    """Threshold [s] and its doubt [stop] from a strip of flashes.

    times_s  what each step got in all, rising [s]
    shows    place of the first step that shows, counted from 1; not the first: then the threshold lies below the strip

    It lies between the last step that does not show and the first that does: their geometric middle, a rectangle's standard deviation.
    """
    found = Problems()
    if len(times_s) < 2 or any(not (math.isfinite(t) and t > 0) for t in times_s) or sorted(set(times_s)) != times_s:
        found.add("times", ", ".join(f"{t:g}" for t in times_s), "Two or more times, each longer than the one before.", "Try “1 2 4 8 s”.")  # fmt: skip
    elif not 1 <= shows <= len(times_s):
        found.add("shows", shows, f"A step from 1 to {len(times_s)}.", "Where none shows, give longer flashes.")
    elif shows == 1:
        found.add("shows", shows, "Not the first: a step that does not show must come before it.", "Dim the lamp or count shorter, and make the strip again.")  # fmt: skip
    found.raise_if_any()
    under, over = times_s[shows - 2], times_s[shows - 1]
    return math.sqrt(under * over), math.log2(over / under) / math.sqrt(12.0)
