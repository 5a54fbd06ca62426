"""A sitting with a hidden truth, for the demonstration: what paper, light, meters and lens really do is drawn by a seeded
generator from where belief begins; plans never see it. The photograph of the invented scene is drawn here too.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

from firstsheet import tables
from firstsheet.belief.effects import Effect
from firstsheet.exposure.hand import giving
from firstsheet.light import pixels
from firstsheet.light.spot import K_PHOTO, MID_Y, PHOTO_SD_STOPS
from firstsheet.paper import reciprocity
from firstsheet.paper.response import sense, way_of

EYE_SD = 0.25  # a judgement by eye [stop]; common practice, no source
PHOTO_F, PHOTO_ISO = 1.8, 100.0
CARD_AT = (0.5, 0.62)  # where the grey card is held, as fractions of the picture


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a sheet.

    error_stops  light received beyond the right amount [stop]
    seen         the word of the table nearest to what the eye made of it
    border       as the way of working leaves it where no stray light came
    kept         whether |error| is within the way's latitude
    """

    error_stops: float
    seen: str
    border: str
    kept: bool


class Hidden:
    """The truth of one demonstration. Every draw depends on the seed and its own name alone, not on the order asked."""

    def __init__(self, seed: int) -> None:
        self.seed = seed

    def normal(self, name: str) -> float:
        """A standard normal belonging to `name` [1]."""
        return Random(f"{self.seed}/{name}").gauss(0.0, 1.0)

    def effect(self, effect: Effect, turn: int) -> float:
        """What this effect really is [stop]; a reading's own error belongs to its turn."""
        kind = effect.key.partition(":")[0]
        return effect.mean + effect.sd * self.normal(f"reading/{turn}" if kind == "reading" else effect.key)

    def right_log2_s(self, nominal_log2_s: float, shared: Sequence[Effect], turn: int) -> float:
        """log2 of the exposure time that would have been right [log2 s], Schwarzschild's law last."""
        metered, r = nominal_log2_s, 0.0
        for e in shared:
            if e.key.startswith("recip:"):
                r = max(0.0, e.mean + e.sd * self.normal(e.key))
            else:
                metered += e.coefficient * self.effect(e, turn)
        return math.log2(reciprocity.corrected_s(2.0**metered, r))

    def seen_by(self, read_cdm2: float, meter: Effect, phone: Effect, turn: int) -> float:
        """What `phone` reads [cd/m²] where `meter` reads `read_cdm2`: true light is what was read less what reads high."""
        off = self.effect(phone, turn) + PHOTO_SD_STOPS * self.normal(f"reading/{turn}") - self.effect(meter, turn)
        return float(read_cdm2 * 2.0**off)

    def outcome(self, plan: Mapping[str, Any], given_s: float, shutter: str, turn: int) -> Outcome:
        """What the sheet of this plan looks like, given so many seconds: hidden effects, retry and hand, then an eye."""
        way = str(plan["way"])
        shared = [Effect.from_json(row) for row in plan["shared"]]
        right = self.right_log2_s(plan["nominal_log2_s"], shared, turn)
        noise = float(tables.load("ways")["retry_sd"]) * self.normal(f"retry/{turn}")
        noise += giving(given_s, shutter, ()).sd_stops * self.normal(f"hand/{turn}")
        error = math.log2(given_s) - right + noise
        looks = sense(way) * error + EYE_SD * self.normal(f"eye/{turn}")
        entry = way_of(way)
        return Outcome(error, nearest_word(looks), str(entry["border"]), abs(error) <= float(entry["latitude"]))


def nearest_word(tone_stops: float) -> str:
    """The word of the table whose tone is nearest [stop]: people say words, not numbers."""
    seen = tables.load("seen")
    return min(seen, key=lambda key: abs(float(seen[key]["tone"]) - tone_stops))


def photographed(card_cdm2: float) -> bytes:
    """A JPEG of the invented scene, with EXIF, in which the grey card has this luminance [cd/m²].

    The exposure is the phone's own guess: 1/n s with n a round number, so that the card lies near the middle of its tones.
    """
    import io

    from PIL import Image

    ideal_s = K_PHOTO * PHOTO_F**2 / (card_cdm2 * PHOTO_ISO)
    denominator = max(1, round(1.0 / ideal_s / 10.0) * 10)
    card_y = MID_Y * card_cdm2 * PHOTO_ISO / (denominator * K_PHOTO * PHOTO_F**2)
    picture = _scene(card_y)
    exif = Image.Exif()
    ifd = exif.get_ifd(0x8769)
    ifd[0x829D], ifd[0x829A], ifd[0x8827] = PHOTO_F, 1.0 / denominator, int(PHOTO_ISO)
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=95, subsampling=0, exif=exif.tobytes())
    return out.getvalue()


def _scene(card_y: float) -> Any:
    """Sky, boathouse with doors, a rower in a chair, a grey card at CARD_AT; luminances as multiples of the card's."""
    from PIL import Image, ImageDraw

    wide, high = 960, 720
    picture = Image.new("RGB", (wide, high), _grey(card_y * 3.2))
    draw = ImageDraw.Draw(picture)
    draw.rectangle((0, high * 0.72, wide, high), fill=_grey(card_y * 0.5))
    draw.polygon([(120, 190), (480, 70), (840, 190)], fill=_grey(card_y * 0.35))
    draw.rectangle((150, 190, 810, 530), fill=_grey(card_y * 0.7))
    draw.rectangle((300, 250, 660, 530), fill=_grey(card_y * 0.12))
    draw.ellipse((440, 250, 520, 350), fill=_grey(card_y * 1.9))
    draw.rounded_rectangle((400, 350, 560, 540), 40, fill=_grey(card_y * 0.4))
    x, y = CARD_AT[0] * wide, CARD_AT[1] * high
    draw.rectangle((x - 60, y - 45, x + 60, y + 45), fill=_grey(card_y))
    return picture


def _grey(y: float) -> tuple[int, int, int]:
    """The sRGB code of relative luminance y [0 … 1]. [IEC-61966-2-1]"""
    code = pixels.code(y)
    return code, code, code
