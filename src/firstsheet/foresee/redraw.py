"""A sheet's own photo redrawn as it would look with more or less exposure, and its border measured.

Luminance against a white beside the sheet becomes density, density log H by the paper's curve, log H moves, and the way
back is a factor on the light of each pixel. With no change of exposure the picture is its own.
"""

from __future__ import annotations

import io
import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from firstsheet.answer import Z90
from firstsheet.foresee.tone import Tones
from firstsheet.light import pixels
from firstsheet.light.photo import CLIPPED, half_code_of
from firstsheet.refusal import Refusal

Floats = NDArray[np.float32]
LONG_EDGE_PX = 800
WHITE_D = 0.05  # of the white laid beside the sheet: card or paper [D]; common practice, no source
WHITE_SD = 0.03
UNEVEN_SD = 0.05  # a place against the white, by uneven light [D]: a tenth of the light; common practice, no source
VEIL = 0.015  # glare of lens and wet sheet, at most, as a share of the white; common practice, no source
BLACKEST_D = 2.3  # papers go no deeper by reflection; above it a bound says nothing [D]; common practice, no source
SHOWN_WHITE = 0.90  # the white is shown at this luminance, so that nothing whiter clips
LEAST_WHITE_Y = 0.10
PATCH = 0.012  # radius of a touched place, of the shorter edge
REC709 = np.array([0.2126, 0.7152, 0.0722], dtype=np.float32)  # [IEC-61966-2-1]
GRID_D = np.arange(-0.6, 3.6, 0.005)


@dataclass(frozen=True, slots=True, eq=False)
class SheetPhoto:
    """A photo of a sheet against its white.

    rgb      linear light [height × width × 3], the white being 1 in each channel
    density  [height × width, D]
    veil     light that lies over the whole picture, of the white [1]; what is known of it
    """

    rgb: Floats
    density: Floats
    veil: float


@dataclass(frozen=True, slots=True)
class Border:
    """The masked border: its density and between which bounds the true one lies, 9 in 10 [D]; whether it is as it should be."""

    density: float
    low: float
    high: float
    says: Literal["clean", "fogged"]
    should_be: str
    words: str


def linear_rgb(kept_jpeg: bytes, long_edge_px: int = LONG_EDGE_PX) -> tuple[Floats, NDArray[np.bool_]]:
    """A kept picture in linear light, its long edge at most `long_edge_px`, and where a channel is clipped."""
    from PIL import Image

    with Image.open(io.BytesIO(kept_jpeg), formats=["JPEG"]) as picture:
        codes = np.asarray(picture.convert("RGB"))
    factor = -(-max(codes.shape[:2]) // long_edge_px)
    light = pixels.decoded()[codes]
    clipped = np.asarray((codes >= CLIPPED).any(axis=2), dtype=np.bool_)
    if factor > 1:
        high, wide = (n - n % factor for n in codes.shape[:2])
        light = (
            light[:high, :wide]
            .reshape(high // factor, factor, wide // factor, factor, 3)
            .mean(axis=(1, 3), dtype=np.float32)
        )
        blocks = clipped[:high, :wide].reshape(high // factor, factor, wide // factor, factor)
        clipped = np.asarray(blocks.any(axis=(1, 3)), dtype=np.bool_)
    return light, clipped


def against_white(light: Floats, clipped: NDArray[np.bool_], white: tuple[float, float]) -> SheetPhoto:
    """Density of each pixel against the white at `white` (fractions from left and top). Refusal where that is no white."""
    there = disc(light.shape, white)
    if clipped[there].mean() > 0.05:
        raise Refusal.one("white", "too bright in the photo", "A white that is not clipped.",
                          "Photograph it again a little darker, or touch a duller part of the white.")  # fmt: skip
    patch = light[there].mean(axis=0)
    if float(patch @ REC709) < LEAST_WHITE_Y or float(patch.min()) <= 0.0:
        raise Refusal.one("white", "dark in the photo", "The white card or paper beside the sheet.",
                          "Touch the white; if it is that dark, photograph the sheet in more light.")  # fmt: skip
    return _photo(np.asarray(light / patch, dtype=np.float32), 0.0)


def border(photo: SheetPhoto, at: tuple[float, float], tones: Tones) -> Border:
    """The border against what it should be: bare paper on a negative, full black on a positive.

    Its doubt holds the white's own density, uneven light, eight bits and glare, which only ever lightens a black. Fogged is
    said where nine chances in ten lie beyond what base or Dmax may be; smaller fog passes unseen.
    """
    y = float(np.median(photo.rgb[disc(photo.rgb.shape, at)] @ REC709))
    y = max(y, half_code_of(0.0))
    sd = math.hypot(WHITE_SD, UNEVEN_SD, half_code_of(min(y, 1.0)) / y / math.log(10.0))
    density = WHITE_D - math.log10(y)
    low = density - Z90 * sd
    high = WHITE_D - math.log10(max(y - VEIL, 0.0005)) + Z90 * sd
    if tones.sense > 0:
        high = density + Z90 * sd
        fogged = low > tones.base + Z90 * tones.end_sd
        return _border(density, low, high, fogged, "paper white")
    return _border(density, low, high, high < tones.dmax - Z90 * tones.end_sd, "full black")


def _border(density: float, low: float, high: float, fogged: bool, should: str) -> Border:
    places = 2 if density < 0.5 else 1
    span = f"{max(low, 0.0):.{places}f} " + ("or more" if high > BLACKEST_D else f"to {high:.{places}f}")
    figure = f"The border measures density {density:.{places}f} ({span})"
    words = (
        f"{figure} where it should be {should}: fog, not exposure."
        if fogged
        else f"{figure}: {should}, as it should be, within what a photo can tell."
    )
    return Border(density, low, high, "fogged" if fogged else "clean", should, words)


def anchored(photo: SheetPhoto, found: Border, tones: Tones) -> SheetPhoto:
    """The photo with a clean black border taken for the paper's Dmax: what is lighter there is glare, and lies over all.

    Nothing changes for a white border, or for a border as black as the curve says or blacker.
    """
    if tones.sense > 0 or found.says != "clean":
        return photo
    veil = 10.0 ** (WHITE_D - found.density) - 10.0 ** (WHITE_D - tones.dmax)
    return _photo(photo.rgb, min(max(veil, 0.0), VEIL))


def redrawn(photo: SheetPhoto, tones: Tones, stops: float) -> Floats:
    """Linear light of the sheet with `stops` more exposure [stop], the white at 1; with 0 it is the photo."""
    factor = (10.0 ** -tones.change(GRID_D, stops)).astype(np.float32)
    each = _looked_up(factor, photo.density)
    return np.asarray((photo.rgb - photo.veil) * each[:, :, None] + photo.veil, dtype=np.float32)


def jpeg(light: Floats, quality: int = 90) -> bytes:
    """A picture in sRGB; its white is shown at SHOWN_WHITE."""
    from PIL import Image

    place = np.clip(light * (SHOWN_WHITE * (len(_ENCODE) - 1)), 0, len(_ENCODE) - 1).astype(np.uint16)
    out = io.BytesIO()
    Image.fromarray(_ENCODE[place]).save(out, "JPEG", quality=quality, subsampling=0)
    return out.getvalue()


def side_by_side(pictures: list[Floats], gap_px: int = 6) -> Floats:
    """Pictures of one size beside each other, with a white gap."""
    gap = np.ones((pictures[0].shape[0], gap_px, 3), dtype=np.float32)
    parts = [p for one in pictures for p in (gap, one)][1:]
    return np.concatenate(parts, axis=1)


def _photo(rgb: Floats, veil: float) -> SheetPhoto:
    y = np.maximum(rgb @ REC709 - np.float32(veil), np.float32(1e-3))
    return SheetPhoto(rgb, np.asarray(np.float32(WHITE_D) - np.log10(y), dtype=np.float32), veil)


def _looked_up(table: Floats, density: Floats) -> Floats:
    """The table over GRID_D at each density, straight between its points."""
    step = GRID_D[1] - GRID_D[0]
    place = np.clip((density - np.float32(GRID_D[0])) / np.float32(step), 0.0, len(table) - 1.001)
    below = place.astype(np.int32)
    part = place - below
    return np.asarray(table[below] * (1.0 - part) + table[below + 1] * part, dtype=np.float32)


def disc(shape: tuple[int, ...], at: tuple[float, float]) -> NDArray[np.bool_]:
    """The pixels of a touched place."""
    return np.asarray(pixels.disc(shape, at, PATCH))


# codes of sRGB at 65,536 even steps of linear light: one look-up for a whole picture
_ENCODE: NDArray[np.uint8] = pixels.encoded(np.linspace(0.0, 1.0, 65536))
