"""The picture on the board as a reading: illuminance on the paper at every place, from a photo of the white board.

A white board throws light back alike to all sides, so a photo of it, taken from wherever, holds at each pixel the light that falls
there: E = π·L/ρ, and L by the photo's own exposure data (10/0.65·N²/(t·S)·Y/0.18) [ISO-12232]. With one lux figure at a touched place
the photo only carries it about, and neither camera nor board has to be known.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from firstsheet.light.exif import Exposure
from firstsheet.light.photo import half_code_of
from firstsheet.light.pixels import disc
from firstsheet.light.spot import K_PHOTO, MID_Y
from firstsheet.refusal import Problems, Refusal

Floats = NDArray[np.float32]
Place = tuple[float, float]

WHITE_BOARD = (0.85, 0.10)  # reflectance of white paint, card or the back of a sheet, and its doubt of itself [1]; common practice, no source
GREY_CARD = (0.18, 0.03)  # of a grey card, and its doubt of itself; common practice, no source
TONE_SD = 0.04  # how a photo bends tones between two places, for each stop between them, at most TONE_MOST [stop]; ours
TONE_MOST = 0.30
CORNER_SD = 0.05  # what a phone's own lens takes from its corners, not mended [stop]; ours
GLARE = 0.004  # stray light in the phone, of the photo's mean [1]; ours
READ_SD = 0.03  # a place is never read better [stop]; ours
PATCH = 0.02  # radius of a touched place, of the shorter edge
DARK_PLACE = 0.02  # of the photo's brightest tenth: a quarter of the picture below it is no picture but a shadow; ours
SHADOW_SHARE = 0.25
LONG_S = 1.0  # beyond it phones work longer than they say; a word is said
CAST = 0.12  # of the strongest of red, green, blue: a weaker one is nearly empty; ours
SCENE_LX = 500.0  # a lens of a room throws no more on its board: sun through f/2.8 with nothing drawn out; by E = π·L/(4·N²) on 5000 cd/m²
MOIRE = 0.20  # ripple from pixel to pixel within a touched place, of its mean; ours


@dataclass(frozen=True, slots=True)
class Reference:
    """What ties the photo to light: `lux_lx` read at a place `at` on the board, with its doubt [stop]."""

    lux_lx: float
    at: Place
    sd_stops: float = 0.10


@dataclass(frozen=True, slots=True)
class Card:
    """A card of known reflectance lying on the board at a place: its light against the board's just beside it gives the board's own."""

    at: Place
    beside: Place
    reflectance: float = GREY_CARD[0]
    sd_share: float = GREY_CARD[1]


@dataclass(frozen=True, slots=True, eq=False)
class BoardLight:
    """Light on the paper over the board.

    lux         [height × width, lx]
    sd_stops    doubt all places share [stop]; what a place adds is told with it
    how         "reference" or "exposure"
    words       sentences: what it rests on, what to mind
    """

    lux: Floats = field(repr=False)
    clipped: NDArray[np.bool_] = field(repr=False)
    sd_stops: float
    how: str
    reflectance: float
    words: tuple[str, ...]
    tied_at: Place | None = None
    tied_lux: float = 0.0


@dataclass(frozen=True, slots=True)
class PlaceLight:
    """Illuminance at one place [lx], its doubt [stop], its share of clipped pixels, whether it is only a lower bound."""

    lux_lx: float
    sd_stops: float
    clipped: float
    at_least: bool
    words: tuple[str, ...]


def read(y: Floats, clipped: NDArray[np.bool_], exposure: Exposure, reference: Reference | None = None,
         card: Card | None = None, offset_sd: float = 1.0) -> BoardLight:
    """Illuminance at every place of the board.

    y         relative luminance of the photo [height × width, 0…1]
    exposure  f-number, time, ISO of the photo; needed unless there is a reference
    offset_sd how far this camera's exposure data may be off for good [stop]; 0 where that is carried elsewhere
    Refusal for a photo without its settings and no reference, and for a reference that fell on black or on clipped white.
    """
    words: list[str] = []
    lit = np.maximum(y - np.float32(GLARE * float(y.mean())), np.float32(half_code_of(0.0)))
    if reference is not None:
        here = _mean(lit, clipped, reference.at, "reference")
        lux = lit * np.float32(reference.lux_lx / here)
        words.append(f"Tied to {reference.lux_lx:.3g} lx read on the board: neither the camera nor the board’s white has to be known.")
        sd = math.hypot(reference.sd_stops, READ_SD)
        found = BoardLight(lux, clipped, sd, "reference", WHITE_BOARD[0], (*words, *_minded(y, exposure)), reference.at, reference.lux_lx)
        return found
    f_number, time_s, iso = exposure.settings()
    rho, rho_share = _reflectance(lit, clipped, card)
    luminance = K_PHOTO * f_number * f_number / (time_s * iso) / MID_Y
    lux = lit * np.float32(math.pi * luminance / rho)
    sd = math.hypot(offset_sd, math.log2(1.0 + rho_share))
    words.append(f"From the photo’s own exposure data and a board that throws back {100 * rho:.0f} %: good to about ±{sd:.1f} stop. One lux figure on the board makes it ±0.15.")
    return BoardLight(lux, clipped, sd, "exposure", rho, (*words, *_minded(y, exposure)))


def at(light: BoardLight, place: Place) -> PlaceLight:
    """The light at a touched place, with what that place adds to the doubt. Refusal outside, on black, on clipped white."""
    _inside(place, "place")
    there = disc(light.lux.shape, place, PATCH)
    share = float(light.clipped[there].mean())
    values = light.lux[there].astype(float)
    mean = float(values.mean())
    if share > 0.5:
        raise Refusal.one("place", f"{share:.0%} clipped", "A place with tone in it.", "Photograph the board again a little darker.")
    corner = math.dist(place, (0.5, 0.5)) / math.hypot(0.5, 0.5)
    apart = abs(math.log2(mean / light.tied_lux)) if light.tied_lux else 0.0
    ripple = float(values.std()) / mean / math.sqrt(max(values.size / 9.0, 1.0))
    bent = min(TONE_SD * apart, TONE_MOST)
    sd = math.hypot(light.sd_stops, READ_SD, CORNER_SD * corner**2, bent, ripple / math.log(2.0))
    notes = []
    if share > 0.02:
        notes.append(f"{share:.0%} of this place is clipped: there is more light than it says.")
    if _rippled(light.lux, place):
        notes.append("The photo ripples here from pixel to pixel, as a woven screen and a camera do together: step back or turn a little.")
    return PlaceLight(mean, sd, share, share > 0.02, tuple(notes))


def cast(rgb: Floats, clipped: NDArray[np.bool_]) -> tuple[str, ...]:
    """A word where one of red, green and blue is nearly empty over the whole photo: white balance far from the light, or one colour.

    rgb  linear light [height × width × 3, 0…1]
    """
    part, off = rgb[::4, ::4], clipped[::4, ::4]
    if off.all():
        return ()
    mean = part[~off].mean(axis=0)
    most, least = int(np.argmax(mean)), int(np.argmin(mean))
    if mean[most] <= 0 or mean[least] >= CAST * mean[most]:
        return ()
    names = ("red", "green", "blue")
    share = float(mean[least] / mean[most])
    return (f"Its {names[least]} is nearly empty, {100 * share:.0f} % of its {names[most]}: the phone’s white balance is far from this light, and what paper sees in {names[least]} is guessed. "
            "Set the balance to this light, or hold a grey in the photo; the board’s lux figure stays good.",)  # fmt: skip


def disagreement(board_lx: float, board_sd: float, optics_lx: float, optics_sd: float) -> tuple[float, bool, tuple[str, ...]]:
    """How many stops the board reads above what the optics promise; whether that is beyond both doubts, 19 in 20; what explains it.

    All > 0. Positive: more light than promised.
    """
    stops = math.log2(board_lx / optics_lx)
    beyond = abs(stops) > 1.96 * math.hypot(board_sd, optics_sd)
    if not beyond:
        return stops, False, ()
    why: tuple[str, ...]
    if stops < 0:
        why = ("the board stands further back than was said (extension)", "the lens is smaller than its f-number says, or its blades stick",
               "haze or dust on the glass, or a cap, hood or filter in the way", "the face fell away from the lens’s axis", "the reading outside was taken in other light")  # fmt: skip
    else:
        why = ("light reaches the board that is not the picture: a leak, the room’s own walls, haze (flare)", "the lens is wider open than was said",
               "the reading outside was taken in other light, or on a darker place")  # fmt: skip
    return stops, True, why


def _reflectance(lit: Floats, clipped: NDArray[np.bool_], card: Card | None) -> tuple[float, float]:
    if card is None:
        return WHITE_BOARD
    if not 0.02 <= card.reflectance <= 0.95:
        raise Refusal.one("card", f"{card.reflectance:g}", "A reflectance from 0.02 to 0.95.", "A grey card has 0.18.")
    ratio = _mean(lit, clipped, card.beside, "beside") / _mean(lit, clipped, card.at, "card")
    rho = card.reflectance * ratio
    if not 0.3 <= rho <= 1.05:
        raise Refusal.one("card", f"a board of {100 * rho:.0f} %", "A white board beside the card, in the same light.",
                          "Touch the card, then the bare board right beside it, where the picture is alike.")  # fmt: skip
    return min(rho, 0.95), math.hypot(card.sd_share, 0.05)


def _minded(y: Floats, exposure: Exposure) -> list[str]:
    """What can mislead in this photo, in sentences."""
    out = []
    if exposure.time_s is not None and exposure.time_s > LONG_S:
        out.append(f"{exposure.time_s:.1f} s is long for a phone: lean it on something; a blurred photo still reads where the tone is even.")
    bright = float(np.quantile(y[::4, ::4], 0.9))
    dark = float((y[::4, ::4] < DARK_PLACE * bright).mean())
    if dark > SHADOW_SHARE:
        out.append(f"{dark:.0%} of the photo is black beside the rest: is it your own shadow, or the phone’s, on the board? Stand beside the light.")
    if None not in (exposure.f_number, exposure.time_s, exposure.iso):
        f_number, time_s, iso = exposure.settings()
        lux = math.pi * K_PHOTO * f_number * f_number / (time_s * iso) / MID_Y / WHITE_BOARD[0] * float(np.median(y[::4, ::4]))
        if lux > SCENE_LX:
            out.append(f"By its exposure data it shows {lux:.0f} lx, more than a lens throws on a board: is it a photo of the scene, or of a board lit from beside? Then this is no reading.")
    if bright < 0.05:
        out.append("The photo is very dark: give it more exposure, or tie it to a lux figure.")
    return out


def _mean(lit: Floats, clipped: NDArray[np.bool_], place: Place, where: str) -> float:
    _inside(place, where)
    there = disc(lit.shape, place, PATCH)
    if clipped[there].mean() > 0.05:
        raise Refusal.one(where, "clipped in the photo", "A place with tone in it.", "Photograph the board again a little darker.")
    mean = float(lit[there].mean())
    if mean < 4 * half_code_of(0.0):
        raise Refusal.one(where, "black in the photo", "A place with tone in it.", "Photograph the board again with more exposure.")
    return mean


def _rippled(lux: Floats, place: Place) -> bool:
    high, wide = lux.shape
    row, col = int(min(place[1] * high, high - 1)), int(min(place[0] * wide, wide - 1))
    part = lux[max(row - 8, 0) : row + 9, max(col - 8, 0) : col + 9].astype(float)
    if min(part.shape) < 5:
        return False
    steps: Any = np.abs(part[:, 2:] - 2 * part[:, 1:-1] + part[:, :-2]).mean() + np.abs(part[2:] - 2 * part[1:-1] + part[:-2]).mean()
    return bool(steps / 2.0 > MOIRE * part.mean())


def _inside(place: Place, where: str) -> None:
    found = Problems()
    for axis, value in zip("xy", place, strict=True):
        if not (math.isfinite(value) and 0.0 <= value <= 1.0):
            found.add(f"{where}.{axis}", value, "From 0 to 1.", "Touch inside the photo.")
    found.raise_if_any()
