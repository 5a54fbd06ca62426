"""A phone as a spot meter: the luminance of one place in a kept photo, from its settings and its pixels."""

from __future__ import annotations

import math
from dataclasses import dataclass

from firstsheet.light.exif import Exposure
from firstsheet.light.meter import LUMINANCE_CDM2, K, Q, Step
from firstsheet.light.photo import half_code_of, linear_luminance
from firstsheet.light.pixels import disc
from firstsheet.refusal import Problems, Refusal

MID_Y = 0.18  # relative luminance a camera gives the mean exposure 10/S; code 118 of sRGB [ISO-12232]
RAW_MID_Y = 10.0 / 78.0  # the sensor is full at 78/S lx·s, so 10/S is at this share of it; makers differ by half a stop [ISO-12232]
H_A = 10.0  # lx·s at ISO 1 [ISO-12232]
K_PHOTO = H_A / Q  # 15.38 cd/m² where a reflected meter has K = 12.5: 0.30 stop between photo and meter
PHOTO_SD_STOPS = 0.20  # from one reading to the next
GLARE_Y = 0.002  # veiling glare and the camera's own black, doubt in Y: common practice, no source
DARK_Y = 0.005  # below this the pixels say little
BOUND_SHARE = 0.05  # clipped share above which the reading is only "at least"
HOPELESS_SHARE = 0.50


@dataclass(frozen=True, slots=True)
class SpotReading:
    """Luminance of a spot in a photo.

    luminance_cdm2    [cd/m²]; at least this where `at_least`
    sd_stops          one reading to the next, the dark's share included [stop]; a phone's lasting offset,
                      up to ± 1 stop, is not in it
    relative_y        mean linear luminance of the disc, 1 = white
    clipped_fraction  share of the disc with a channel at its end
    """

    luminance_cdm2: float
    sd_stops: float
    relative_y: float
    clipped_fraction: float
    at_least: bool
    steps: tuple[Step, ...]
    warnings: tuple[str, ...]


def spot_luminance(
    kept_jpeg: bytes, exposure: Exposure, x: float, y: float, radius_fraction: float = 0.02, mid_y: float = MID_Y
) -> SpotReading:
    """L = (10/0.65)·N²/(t·S)·(Y/mid_y), Y the mean linear luminance of a disc. [ISO-12232] [IEC-61966-2-1]

    x, y             centre, as fractions of the upright picture from its left and upper edge [0 … 1]
    radius_fraction  of the shorter edge [0.001 … 0.5]; the part of the disc outside the picture is left out
    mid_y            Y that 10/S lx·s leaves [1]: 0.18 in a finished picture, `RAW_MID_Y` in a raw one

    Assumes plain sRGB with mid-tone at code 118. Phones bend tones, most in lights and darks: read things
    near the middle. A meter's K 12.5 would give 0.30 stop less for the same pixels; the step says so.
    Refuses a place outside, a photo without its settings, a disc clipped for more than half, a disc of black.
    """
    _check(x, y, radius_fraction)
    f_number, time_s, iso = exposure.settings()
    mean_y, clipped = _disc(kept_jpeg, x, y, radius_fraction)
    if clipped > HOPELESS_SHARE:
        hint = "Take the photo again with less exposure, so that this place keeps its tone."
        raise Refusal.one("spot", f"{clipped:.0%} clipped", "A place with tone in it.", hint)
    if mean_y < half_code_of(0.0):
        hint = "Take the photo again with more exposure, or go closer; black is not zero light."
        raise Refusal.one("spot", "black in the photo", "A place with tone in it.", hint)
    setting = f_number * f_number / (time_s * iso)
    at_mid = K_PHOTO * setting
    luminance = at_mid * mean_y / mid_y
    low, high = LUMINANCE_CDM2
    if not low <= luminance <= high:
        hint = "The exposure data of this photo cannot be right, or it shows a lamp or the sun."
        raise Refusal.one("spot", f"{luminance:.3g} cd/m²", "What a scene can have.", hint)
    dark = dark_sd_stops(mean_y)
    steps = (
        Step("a meter at the photo's settings, K 12.5", None, "[ISO-2720]", K * setting, "cd/m²"),
        Step(
            "a camera's mid-tone: 10/S, not 8.125/S", math.log2(K_PHOTO / K), "[ISO-12232]", at_mid, "cd/m²"
        ),
        Step("spot against the photo's mid-tone", math.log2(mean_y / mid_y), "pixels", luminance, "cd/m²"),
        Step("doubt of dark pixels", None, "8-bit steps; glare: common practice, no source", dark, "stop sd"),
    )
    warned = _warnings(mean_y, clipped, dark)
    sd = math.hypot(PHOTO_SD_STOPS, dark)
    return SpotReading(luminance, sd, mean_y, clipped, clipped > BOUND_SHARE, steps, warned)


def dark_sd_stops(relative_y: float) -> float:
    """Doubt that darkness adds [stop]: half an 8-bit step and glare of 0.2 % of white; relative_y > 0.

    0.02 stop at mid-tone, 0.6 at Y 0.005, 2.9 at 0.001: a dark spot is a guess.
    """
    return math.hypot(half_code_of(relative_y), GLARE_Y) / (relative_y * math.log(2.0))


def _check(x: float, y: float, radius: float) -> None:
    problems = Problems()
    for where, value in (("x", x), ("y", y)):
        if not (math.isfinite(value) and 0.0 <= value <= 1.0):
            problems.add(f"spot.{where}", value, "From 0 to 1.", "Choose a place inside the picture.")
    if not (math.isfinite(radius) and 0.001 <= radius <= 0.5):
        problems.add("spot.radius", radius, "From 0.001 to 0.5 of the shorter edge.", "Try 0.02.")
    problems.raise_if_any()


def _disc(kept_jpeg: bytes, x: float, y: float, radius_fraction: float) -> tuple[float, float]:
    """Mean linear Y and clipped share over the disc."""
    luminance, clipped = linear_luminance(kept_jpeg)
    inside = disc(luminance.shape, (x, y), radius_fraction)
    return float(luminance[inside].mean(dtype="float64")), float(clipped[inside].mean())


def _warnings(mean_y: float, clipped: float, dark: float) -> tuple[str, ...]:
    found = []
    if clipped > BOUND_SHARE:
        found.append(
            f"{clipped:.0%} of this spot is clipped: the true reading is higher by an unknown amount."
        )
    elif clipped > 0.0:
        found.append("A few pixels of this spot are clipped.")
    if mean_y < DARK_Y:
        found.append(f"Very dark in the photo, {dark:.1f} stop of doubt. Take one with more exposure.")
    return tuple(found)
