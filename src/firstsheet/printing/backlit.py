"""A negative photographed against the light, bare light beside it: its density by transmission at every place.

D_T = −log10(Y/Y_bare) [ISO-5-2]. The lamp's unevenness is a smooth surface of log light through the touched bare places, or a photo of the bare
light; the veil of lens and camera, which makes the dense tones look thinner, is what an opaque thing on the light shows, else an assumption.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from firstsheet.light.photo import half_code_of
from firstsheet.light.pixels import disc
from firstsheet.refusal import Problems, Refusal

Floats = NDArray[np.floating]
Place = tuple[float, float]
PATCH = 0.012  # radius of a touched place, of the shorter edge
OWN_SD = 0.006  # of log10 of one place's mean: noise, paper grain [log10]; ours, no source
SLOPE_SD, ROUND_SD, BEND_SD = 0.10, 0.18, 0.03  # log light from the middle to an edge: its tilt, its fall the same all round, and each way for itself [log10]; ours, no source
MISFIT = 0.05  # of the unevenness: no lamp is a quadratic [1]; ours, no source
SHAPE_SD = 0.01  # of the same where the bare light was photographed too [log10]; ours, no source
VEIL_SHARE, VEIL_SHARE_SD = 0.010, 0.008  # light over all as a share of the picture's mean; common practice, no source
SEEN_VEIL_SD = 0.15  # of the veil an opaque thing shows: glare is not the same everywhere [1]; ours, no source
TONE_SD = {True: 0.01, False: 0.04}  # a density read too long or too short by the camera's tones, of itself [1]; raw or not; ours, no source
CLIPPED_MOST = 0.05  # of a touched place
QUANTILE = 0.02  # of the framed picture, left out at either end: dust, pinholes
LN10 = math.log(10.0)


@dataclass(frozen=True, slots=True, eq=False)
class Bare:
    """log10 of bare light over the picture: a quadratic with the spread of what is not known of it.

    mean, cov  of the six coefficients of 1, u, v, u², uv, v², u and v from −1 to 1 [log10]
    misfit     what a quadratic may be off, of the unevenness [1]
    """

    mean: Floats = field(repr=False)
    cov: Floats = field(repr=False)
    misfit: float = 0.0

    def at(self, place: Place) -> tuple[float, float]:
        """log10 of bare light at a place given as fractions from left and top, and its sd [log10]."""
        row = _terms(np.array([place]))[0]
        return float(row @ self.mean), math.hypot(math.sqrt(float(row @ self.cov @ row)), self.misfit * self.uneven)

    def over(self, shape: tuple[int, int]) -> Floats:
        """log10 of bare light at every pixel [height × width]."""
        high, wide = shape
        v, u = ((np.arange(n) + 0.5) / n for n in (high, wide))
        uu, vv = 2 * u[None, :] - 1, 2 * v[:, None] - 1
        m = self.mean
        return np.asarray(m[0] + m[1] * uu + m[2] * vv + m[3] * uu**2 + m[4] * uu * vv + m[5] * vv**2)

    @property
    def uneven(self) -> float:
        """From the brightest to the dimmest place of bare light in the picture [log10]."""
        grid = self.over((21, 21))
        return float(grid.max() - grid.min())


@dataclass(frozen=True, slots=True)
class Density:
    """One place: density by transmission, base included, and its sd [D]."""

    d: float
    sd: float


def veil(y: Floats, opaque: Place | None) -> tuple[float, float]:
    """Light that lies over the whole picture, and its sd, in the picture's own units [1]."""
    if opaque is not None:
        seen = float(np.median(y[disc(y.shape, opaque, PATCH)]))
        return seen, math.hypot(SEEN_VEIL_SD * seen, half_code_of(min(seen, 1.0)) / math.sqrt(3.0))
    mean = float(y.mean())
    return VEIL_SHARE * mean, VEIL_SHARE_SD * mean


def bare_light(y: Floats, clipped: NDArray[np.bool_], places: Sequence[Place], veil_y: float, shape: Floats | None = None) -> Bare:
    """Bare light over the picture from places of it that are bare.

    y        relative luminance [height × width, 1];  places: at least one, as fractions from left and top
    veil_y   to take off [1];  shape: log10 light of a photo of the bare light alone, in coefficients (`shape_of`)

    Refusal for a bare place that is clipped or dark.
    """
    found = Problems()
    seen = []
    for place in places:
        there = disc(y.shape, place, PATCH)
        light = float(np.median(y[there])) - veil_y
        if clipped[there].mean() > CLIPPED_MOST:
            found.add("bare", _said(place), "Bare light that keeps its tone in the photo: here it is clipped.",
                      "Photograph it again, darker: tap the bare light, or set −1.")  # fmt: skip
        elif light <= 0.05:
            found.add("bare", _said(place), "Bare light: here the photo is dark.", "Touch the light beside the negative.")
        seen.append(math.log10(max(light, 1e-6)))
    if not places:
        found.add("bare", "", "At least one place where nothing lies over the light.", "Try “0.05,0.5 0.95,0.5”.")
    found.raise_if_any()
    start = np.zeros(6) if shape is None else np.array([0.0, *shape[1:]])
    slope, bend, fall = (SLOPE_SD, BEND_SD, ROUND_SD) if shape is None else (SHAPE_SD, SHAPE_SD, 0.0)
    spread = np.diag([4.0, slope**2, slope**2, bend**2, bend**2, bend**2])
    spread[np.ix_((3, 5), (3, 5))] += fall**2
    rows = _terms(np.array(places))
    gain = spread @ rows.T @ np.linalg.inv(rows @ spread @ rows.T + OWN_SD**2 * np.eye(len(places)))
    mean = start + gain @ (np.array(seen) - rows @ start)
    return Bare(mean, spread - gain @ rows @ spread, MISFIT if shape is None else 0.0)


def shape_of(y: Floats, clipped: NDArray[np.bool_]) -> Floats:
    """A photo of the bare light alone as a quadratic of log10 light, least squares over cells that are not clipped. Refusal where that is no such photo."""
    high, wide = y.shape
    cells, at = [], []
    for i in range(16):
        for j in range(16):
            part = (slice(i * high // 16, (i + 1) * high // 16), slice(j * wide // 16, (j + 1) * wide // 16))
            if clipped[part].mean() <= CLIPPED_MOST:
                cells.append(math.log10(max(float(np.median(y[part])), 1e-6)))
                at.append(((j + 0.5) / 16, (i + 0.5) / 16))
    hint = "The same light, the phone in the same place, nothing on it, nothing of it clipped."
    if len(cells) < 128:
        raise Refusal.one("bare_photo", "clipped", "A photo of the bare light that keeps its tone.", hint)
    rows, seen = _terms(np.array(at)), np.array(cells)
    found = np.linalg.lstsq(rows, seen, rcond=None)[0]
    if float(np.std(seen - rows @ found)) > 0.05:
        raise Refusal.one("bare_photo", "something on the light", "The bare light alone, filling the photo.", hint)
    return np.asarray(found)


def density_at(y: Floats, clipped: NDArray[np.bool_], place: Place, bare: Bare, veiled: tuple[float, float], raw: bool) -> Density:
    """Density by transmission of a touched place. Refusal (no field named) where it is clipped, or too dark for these pixels to tell."""
    there = disc(y.shape, place, PATCH)
    if clipped[there].mean() > CLIPPED_MOST:
        raise Refusal.one("", _said(place), "A place that keeps its tone: here the photo is clipped.", "Photograph it again, darker.")
    log_bare, bare_sd = bare.at(place)
    return _density(float(np.median(y[there])), log_bare, bare_sd, veiled, raw)


def ends_of(passed: Floats, bare: Bare, corners: Sequence[Place], veiled: tuple[float, float], raw: bool) -> tuple[Density, Density]:
    """Clearest and densest tone of a framed picture, 2 % left out at either end.

    passed  share of bare light that passes, of the frame [height × width, 1];  corners: of the frame in the photo
    """
    edge = tuple(max(1, round(0.03 * n)) for n in passed.shape)
    inner = passed[edge[0] : -edge[0], edge[1] : -edge[1]]
    middle = (sum(x for x, _ in corners) / 4, sum(y for _, y in corners) / 4)
    sd = math.sqrt(sum(bare.at(c)[1] ** 2 for c in (*corners, middle)) / 5)
    log_bare = bare.at(middle)[0]
    thin, dense = (float(np.quantile(inner, q)) * 10.0**log_bare + veiled[0] for q in (1 - QUANTILE, QUANTILE))
    return _density(thin, log_bare, sd, veiled, raw), _density(dense, log_bare, sd, veiled, raw)


def passed(y: Floats, bare: Bare, veil_y: float) -> Floats:
    """Share of the bare light that passes at every pixel [height × width, 1], veil and unevenness out; at least 1e-4."""
    return np.asarray(np.maximum((y - veil_y) / 10.0 ** bare.over((y.shape[0], y.shape[1])), 1e-4))


def _density(seen: float, log_bare: float, bare_sd: float, veiled: tuple[float, float], raw: bool) -> Density:
    light, step = seen - veiled[0], half_code_of(min(max(seen, 0.0), 1.0))
    if light < 2 * step or light < 1.5 * veiled[1]:
        most = log_bare - math.log10(max(2 * step, 1.5 * veiled[1]))
        raise Refusal.one("", "too dark in the photo", f"At most about {most:.1f} D in this photo: below that glare and the camera's steps tell it.",
                          "Mask the bare light with black card but for a small window, lay a coin on it as the opaque place, and give all the light that does not clip.")  # fmt: skip
    d = log_bare - math.log10(light)
    parts = (bare_sd, veiled[1] / light / LN10, step / math.sqrt(3.0) / light / LN10, TONE_SD[raw] * d, OWN_SD)
    return Density(d, math.hypot(*parts))


def _terms(at: Floats) -> Floats:
    u, v = 2 * at[:, 0] - 1, 2 * at[:, 1] - 1
    return np.stack([np.ones_like(u), u, v, u * u, u * v, v * v], axis=1)


def _said(place: Place) -> str:
    return f"{place[0]:g},{place[1]:g}"
