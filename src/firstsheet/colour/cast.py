"""What is wrong with a print in words or on a grey patch, as layers that received too much; and the change of pack that answers."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from firstsheet.colour.layers import GREY_DENSITY, LUMINANCE, SLOPE, SLOPE_SD, Floats
from firstsheet.refusal import Refusal

# What the colour is made of on the print (red, green, blue). Its opposite is what the pack of a reversal gets.
# Six, and the six between, as far from grey as those.
_L, _S = 2 / math.sqrt(3.0), 1 / math.sqrt(3.0)
COLOURS: dict[str, tuple[float, float, float]] = {
    "red": (1, 0, 0), "red_yellow": (_L, _S, 0), "yellow": (1, 1, 0), "yellow_green": (_S, _L, 0), "green": (0, 1, 0), "green_cyan": (0, _L, _S),
    "cyan": (0, 1, 1), "cyan_blue": (0, _S, _L), "blue": (0, 0, 1), "blue_magenta": (_S, 0, _L), "magenta": (1, 0, 1), "magenta_red": (_L, 0, _S),
}  # fmt: skip
# [CC]: slightly 10, clearly 20 and the full step are common practice of reversal, no source; those between and beyond ours
HOW_MUCH = {"faintly": 5.0, "slightly": 10.0, "noticeably": 15.0, "clearly": 20.0, "strongly": 30.0, "very_strongly": 45.0}
# [stop]; ours
BRIGHT = {
    "far_too_dark": -4 / 3, "much_too_dark": -1.0, "too_dark": -2 / 3, "slightly_too_dark": -1 / 3, "right": 0.0,
    "slightly_too_light": 1 / 3, "too_light": 2 / 3, "much_too_light": 1.0, "far_too_light": 4 / 3,
}  # fmt: skip
WORD_SD = 0.25  # of the size said, and
WORD_SD_CC = 4.0
OPEN_END = 0.25  # “very strongly” has no upper end [D]; ours
DARK_HIDES = 0.08  # doubt a stop of wrong brightness adds to the colour said [D]; ours
LEAST_D, MOST_D = 0.08, 2.0


@dataclass(frozen=True, slots=True)
class Seen:
    """What a print tells. state too much in each layer [D]; light_sd, cast_sd their doubts [D]; said the words, density the grey's, where known."""

    state: tuple[float, float, float]
    light_sd: float
    cast_sd: float
    words: str
    said: tuple[str, str, str] | None = None
    density: tuple[float, float, float] | None = None


def said(colour: str, much: str = "clearly", bright: str = "right") -> Seen:
    """A cast in words on a reversal print. colour of COLOURS or “neutral”; much of HOW_MUCH; bright of BRIGHT."""
    if colour != "neutral" and colour not in COLOURS:
        raise Refusal.one("colour", colour, "One of: neutral, " + ", ".join(COLOURS) + ".", "Say what you see, not what to add.")
    for where, word, allowed in (("much", much, HOW_MUCH), ("bright", bright, BRIGHT)):
        if word not in allowed:
            raise Refusal.one(where, word, "One of: " + ", ".join(allowed) + ".")
    size = 0.0 if colour == "neutral" else HOW_MUCH[much] / 100.0
    stops = BRIGHT[bright]
    shape = size * np.array(COLOURS.get(colour, (0, 0, 0)), float)
    state = shape - LUMINANCE @ shape + stops * math.log10(2.0)
    # a big cast is named less surely than a small one, and what is far too dark or light shows its colour badly
    open_end = OPEN_END if much == "very_strongly" and size else 0.0
    cast_sd = math.hypot(WORD_SD * size, WORD_SD_CC / 100.0, DARK_HIDES * abs(stops), open_end)
    light_sd = math.hypot(0.06, 0.3 * abs(stops) * math.log10(2.0))
    tone = bright.replace("_", " ") + (" brightness" if bright == "right" else "")
    look = "neutral" if colour == "neutral" else f"{much.replace('_', ' ')} {colour.replace('_', '–')}"
    return Seen(_three(state), light_sd, cast_sd, f"{look}, {tone}", (colour, much, bright))


def measured(grey: tuple[float, float, float], white: tuple[float, float, float], slope: float = SLOPE) -> Seen:
    """A grey card in the print beside a white, both linear light from one photo. Refusal where the patch is at the paper's white or black;
    one layer there is believed less."""
    if min(grey) <= 0 or min(white) <= 0:
        raise Refusal.one("grey", "black in the photo", "A grey that is not black.", "Photograph it brighter.")
    density = np.log10(np.array(white) / np.array(grey))
    beyond = (density < LEAST_D) | (density > MOST_D)
    if beyond.all() or density.mean() < LEAST_D or density.mean() > MOST_D:
        raise Refusal.one("grey", f"{density.min():.2f} to {density.max():.2f} D", f"A grey from {LEAST_D} to {MOST_D} D.", "Brightness is too far off for a colour to be read. Say it in words.")
    off = np.clip(density, LEAST_D, MOST_D) - GREY_DENSITY
    state = -off / slope
    cast = float(state.max() - state.min())
    unsure = SLOPE_SD / slope
    return Seen(_three(state), math.hypot(0.03, unsure * abs(float(LUMINANCE @ state))), math.hypot(0.02, unsure * cast, OPEN_END * float(beyond.any())), "grey patch by photo", None, _three(density))


def change(seen: Seen, sense: int = 1, share: float = 1.0) -> tuple[float, float, float]:
    """Change of pack (yellow, magenta, cyan) [CC] for a look alone; what is wanted of cyan is said as less yellow and magenta.

    sense  +1 for a reversal: more of the colour the print lacks; −1 for a negative-working print: of the one it has too much of
    share  1 for the full step; ½ for what a viewing filter shows on a negative-working print [NAVEDTRA-14209]
    """
    if sense not in (1, -1):
        raise Refusal.one("sense", sense, "+1 for a reversal, −1 for a negative-working print.")
    r, g, b = (100.0 * sense * share * float(v) for v in seen.state)
    return b - r, g - r, 0.0


def dark_before_cyan(seen: Seen) -> bool:
    """Cyan and dark: too little light in all layers looks cyan; time goes first, the colour is judged on the next sheet."""
    r, g, b = seen.state
    return float(LUMINANCE @ np.array(seen.state)) < -0.1 and r < min(g, b)


def crossed(shadows: Seen, highlights: Seen) -> bool:
    """Casts that oppose each other in shadows and highlights: unequal slopes, which no pack cures."""
    a, b = (np.array(s.state) - np.mean(s.state) for s in (shadows, highlights))
    return float(a @ b) < -0.25 * float(np.linalg.norm(a) * np.linalg.norm(b)) - 1e-9


def _three(v: Floats) -> tuple[float, float, float]:
    return float(v[0]), float(v[1]), float(v[2])

