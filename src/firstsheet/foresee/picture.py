"""A photo of the scene, or of the picture on the board, as the sheet will be: what the paper receives, then the look-up.

Three stages, so that a slider moves only the last: `receive` (colour to exposure, frame, turn), `laid` (blur, fall-off, flare), and
`drawn` (the table of the way of working). All light is linear and relative to the mid-tone's.
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from firstsheet.foresee import blur, route
from firstsheet.light.pixels import encoded, homography
from firstsheet.refusal import Problems, Refusal

Floats = NDArray[np.float32]
Corners = tuple[tuple[float, float], tuple[float, float], tuple[float, float], tuple[float, float]]
EYE = (0.2126, 0.7152, 0.0722)  # Rec. 709 luminance [IEC-61966-2-1]
LEAST = 1e-5  # of the mid-tone: below it nothing is told apart [1]
LOW_CODE, CODES = -4.0, 8192  # of the look-up: log2 of exposure over the mid-tone's, from −13.3 stops up
SPAN_LOG10 = 8.0
FLARE_MOST = 0.3


@dataclass(frozen=True, slots=True, eq=False)
class Received:
    """What the paper receives: exposure over the mid-tone's [height × width, or × 3 layers, 1], upright as the picture will hang.

    clipped   where the photo's own light ran out of scale
    mm_per_px size of a pixel on the sheet [mm]
    """

    exposure: Floats
    clipped: NDArray[np.bool_]
    mm_per_px: float


@dataclass(frozen=True, slots=True)
class Laid:
    """What lens, sitter and room do to it on the way, on the sheet.

    disc_mm      diameter of the disc a point out of focus is [mm]
    across_mm    spread of a swaying sitter from side to side [mm, one sd]
    falloff      rows of stops against the axis, from the top left [stop]; empty for even
    flare        veil over all, as a share of the mean [1]
    """

    disc_mm: float = 0.0
    across_mm: float = 0.0
    falloff: tuple[tuple[float, ...], ...] = ()
    flare: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """The finished picture: codes of sRGB [height × width × 3], shares that are dead black and blown white [1], their outlines."""

    codes: NDArray[np.uint8]
    dead_black: float
    blown_white: float
    black: NDArray[np.bool_] = field(repr=False)
    white: NDArray[np.bool_] = field(repr=False)


def receive(rgb: Floats, weights: Sequence[float] | Sequence[Sequence[float]], middle: float, sheet_mm: float, clipped: NDArray[np.bool_] | None = None) -> Received:
    """What the emulsion receives of a photo.

    rgb       linear light [height × width × 3, 0…1], balanced so that a grey is grey
    weights   of red, green and blue for this emulsion in this light; a grey keeps its value where they sum to 1. For colour
              paper a row for each layer, the red-sensitive first [3 × 3]
    middle    the photo's value of the mid-tone [1], > 0
    sheet_mm  width of the sheet's picture [mm]
    """
    found = Problems()
    w = np.asarray(weights, dtype=np.float32)
    if w.shape not in ((3,), (3, 3)) or not np.all(np.isfinite(w)) or np.any(w.sum(axis=-1) <= 0):
        found.add("weights", str(weights), "Three weights of red, green and blue with a sum above 0, or three rows of them.")
    if not (math.isfinite(middle) and middle > 0):
        found.add("middle", middle, "The mid-tone's value in the photo, above 0.", "Touch the face, or a grey.")
    if not (math.isfinite(sheet_mm) and 1 <= sheet_mm <= 20_000):
        found.add("sheet", sheet_mm, "A width from 1 mm to 20 m.")
    found.raise_if_any()
    seen = np.asarray(rgb @ w.T)
    np.maximum(seen, np.float32(LEAST * middle), out=seen)
    seen /= np.float32(middle)
    off = np.zeros(seen.shape[:2], dtype=np.bool_) if clipped is None else clipped
    return Received(seen, off, sheet_mm / seen.shape[1])


def laid(got: Received, on: Laid) -> Floats:
    """Exposure over the mid-tone's after blur, fall-off and flare [height × width, 1]; light is neither made nor lost but by fall-off."""
    if not 0.0 <= on.flare <= FLARE_MOST:
        raise Refusal.one("flare", on.flare, f"From 0 to {FLARE_MOST:g} of the mean light.", "A black room has about 0.01.")
    if got.exposure.ndim == 3:
        layers = [laid(Received(np.ascontiguousarray(got.exposure[:, :, i]), got.clipped, got.mm_per_px), on) for i in range(3)]
        return np.stack(layers, axis=2)
    light = got.exposure
    for kernel in (blur.disc(on.disc_mm / got.mm_per_px), blur.smear(on.across_mm / got.mm_per_px)):
        light = blur.blurred(light, kernel)
    if on.falloff:
        light = light * _even_out(on.falloff, light.shape)
    if on.flare:
        light = light + np.float32(on.flare) * np.float32(light.mean())
    return np.asarray(np.maximum(light, np.float32(LEAST)), dtype=np.float32)


def drawn(light: Floats, chain: route.Chain) -> Drawn:
    """The picture of this exposure by this way of working. Colour paper: each layer through the curve, moved by the pack, makes its own
    dye; dead black and blown white are where all three are."""
    t = route.table(chain)
    at = LOW_CODE + (np.arange(CODES) + 0.5) * (SPAN_LOG10 / CODES)
    if light.ndim == 2:
        place = _place(light)
        codes = np.stack([encoded(np.interp(at, t.log_h, t.rgb[:, i])) for i in range(3)], axis=1)
        black, white = (np.rint(np.interp(at, t.log_h, end)).astype(bool)[place] for end in (t.black, t.white))
        return Drawn(codes[place], float(black.mean()), float(white.mean()), black, white)
    out = np.empty(light.shape, dtype=np.uint8)
    blacks, whites = [], []
    for i in range(3):
        place = _place(np.ascontiguousarray(light[:, :, i]))
        moved = at - chain.pack[i]
        out[:, :, i] = encoded(np.interp(moved, t.log_h, t.rgb[:, i]))[place]
        blacks.append(np.rint(np.interp(moved, t.log_h, t.black)).astype(bool)[place])
        whites.append(np.rint(np.interp(moved, t.log_h, t.white)).astype(bool)[place])
    black, white = blacks[0] & blacks[1] & blacks[2], whites[0] & whites[1] & whites[2]
    return Drawn(out, float(black.mean()), float(white.mean()), black, white)


def outlined(picture: Drawn, black: bool = True, white: bool = True) -> NDArray[np.uint8]:
    """The picture with the edges of what is dead black drawn in white dashes' stead: light on black, dark on white; grey only."""
    codes = picture.codes.copy()
    for mask, on, code in ((picture.black, black, 255), (picture.white, white, 0)):
        if on:
            codes[_edge(mask)] = code
    return codes


def framed(light: Floats, clipped: NDArray[np.bool_], corners: Corners, aspect: float, long_px: int = 2000) -> tuple[Floats, NDArray[np.bool_]]:
    """A touched quadrilateral of a photo as an upright rectangle of width over height `aspect`; tilt is taken out.

    light    [height × width × 3]; corners as fractions from left and top: top left, top right, bottom right, bottom left
    Refusal for corners that cross or lie outside.
    """
    from PIL import Image

    _check_corners(corners, aspect)
    high, wide = light.shape[:2]
    quad = [(x * wide, y * high) for x, y in corners]
    side = max(math.dist(quad[0], quad[1]), math.dist(quad[3], quad[2]), aspect * math.dist(quad[0], quad[3]), aspect * math.dist(quad[1], quad[2]))
    width = int(max(16, min(round(side), long_px if aspect >= 1 else long_px * aspect)))
    size = (width, max(16, round(width / aspect)))
    how = _projective(size, quad)
    planes = [_moved(np.ascontiguousarray(light[:, :, i]), size, how, Image.Resampling.BILINEAR) for i in range(light.shape[2])]
    off = _moved(clipped.astype(np.float32), size, how, Image.Resampling.NEAREST) > 0.5
    return np.stack(planes, axis=2), off


def cropped(light: Floats, clipped: NDArray[np.bool_], aspect: float, share: float = 1.0) -> tuple[Floats, NDArray[np.bool_]]:
    """The middle of a photo with the sheet's width over height; a sheet hangs as the photo lies, upright or across. With `share` no more
    of the photo's long side than that."""
    left, top, wide, high = _kept_box(light.shape, aspect, share)
    part = (slice(top, top + high), slice(left, left + wide))
    return light[part], clipped[part]


def middle_of(shape: tuple[int, ...], aspect: float, share: float = 1.0) -> Corners:
    """Corners of what `cropped` keeps of a photo of this shape, as fractions from left and top."""
    left, top, wide, high = _kept_box(shape, aspect, share)
    x = (left / shape[1], (left + wide) / shape[1])
    y = (top / shape[0], (top + high) / shape[0])
    return (x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1])


def _kept_box(shape: tuple[int, ...], aspect: float, share: float) -> tuple[int, int, int, int]:
    high, wide = shape[:2]
    if (wide > high) != (aspect > 1) and wide != high:
        aspect = 1.0 / aspect
    keep_wide, keep_high = min(wide, max(1, round(high * aspect))), min(high, max(1, round(wide / aspect)))
    less = min(1.0, share * max(wide, high) / max(keep_wide, keep_high))
    keep_wide, keep_high = max(1, round(keep_wide * less)), max(1, round(keep_high * less))
    return (wide - keep_wide) // 2, (high - keep_high) // 2, keep_wide, keep_high


def turned(light: NDArray[Any], upside_down: bool, mirrored: bool) -> NDArray[Any]:
    """Upright, and left for right where the picture will hang so."""
    out = light[::-1, ::-1] if upside_down else light
    return np.ascontiguousarray(out[:, ::-1] if mirrored else out)


def jpeg(codes: NDArray[np.uint8], quality: int = 88) -> bytes:
    """The picture as a file, without anything of the photo but its pixels."""
    from PIL import Image

    out = io.BytesIO()
    grey = bool((codes[::16, ::16, 0] == codes[::16, ::16, 2]).all())
    picture = Image.fromarray(codes[:, :, 0] if grey and (codes[:, :, 0] == codes[:, :, 2]).all() else codes)
    picture.save(out, "JPEG", quality=quality)
    return out.getvalue()


def _place(light: Floats) -> NDArray[np.uint16]:
    """Where each exposure lies in the look-up."""
    at = np.log10(light)
    at -= np.float32(LOW_CODE)
    at *= np.float32(CODES / SPAN_LOG10)
    np.clip(at, 0, CODES - 1, out=at)
    return at.astype(np.uint16)


def _even_out(stops: tuple[tuple[float, ...], ...], shape: tuple[int, ...]) -> Floats:
    """Factor at every pixel from a coarse grid of stops, edge to edge, straight between."""
    grid = np.asarray(stops, dtype=float)
    rows, cols = np.linspace(0, grid.shape[0] - 1, shape[0]), np.linspace(0, grid.shape[1] - 1, shape[1])
    across = np.stack([np.interp(cols, np.arange(grid.shape[1]), row) for row in grid])
    low = np.minimum(rows.astype(int), grid.shape[0] - 2)
    part = (rows - low)[:, None]
    return np.asarray(np.exp2(across[low] * (1 - part) + across[low + 1] * part), dtype=np.float32)


def _edge(mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
    inner = mask.copy()
    inner[1:] &= mask[:-1]
    inner[:-1] &= mask[1:]
    inner[:, 1:] &= mask[:, :-1]
    inner[:, :-1] &= mask[:, 1:]
    return mask & ~inner


def _moved(plane: Floats, size: tuple[int, int], how: tuple[float, ...], by: Any) -> Floats:
    from PIL import Image

    moved = Image.fromarray(plane).transform(size, Image.Transform.PERSPECTIVE, how, by)
    return np.asarray(moved, dtype=np.float32)


def _projective(size: tuple[int, int], quad: list[tuple[float, float]]) -> tuple[float, ...]:
    """The eight numbers that take a pixel of the rectangle to its place in the photo."""
    ends = [(0, 0), (size[0], 0), size, (0, size[1])]
    return tuple(float(a) for a in homography(ends, quad).ravel()[:8])


def _check_corners(corners: Corners, aspect: float) -> None:
    found = Problems()
    for i, (x, y) in enumerate(corners):
        if not (math.isfinite(x) and math.isfinite(y) and 0 <= x <= 1 and 0 <= y <= 1):
            found.add(f"corners.{i}", f"{x:g}, {y:g}", "Each from 0 to 1.", "Touch inside the photo.")
    if not (math.isfinite(aspect) and 0.05 <= aspect <= 20):
        found.add("aspect", aspect, "Width over height from 0.05 to 20.")
    found.raise_if_any()
    turns = []
    for i in range(4):
        (ax, ay), (bx, by), (cx, cy) = (corners[(i + k) % 4] for k in range(3))
        turns.append((bx - ax) * (cy - by) - (by - ay) * (cx - bx))
    if min(turns) <= 1e-6:
        raise Refusal.one("corners", "corners that cross or lie in a line", "Top left, top right, bottom right, bottom left.",
                          "Touch the corners in that order, as they lie in the photo.")  # fmt: skip
