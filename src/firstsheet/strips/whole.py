"""What makes a whole picture unreadable, by name; and how soft a picture is."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[Any]]

LEAST_PITCH_PX = 7.0
BLURRED = 0.016  # width of the picture's sharpest edges over its long edge

_REFUSALS = {
    "none": (
        "no strip with steps",
        "A strip or wedge lying flat on an even surface that is neither as light nor as dark as its edges.",
        "Lay it on mid-grey board, card beside it, nothing else; or drag the four corners yourself.",
    ),
    "cut": (
        "a strip that runs out of the picture",
        "The whole strip, with some table all round.",
        "Step back a little.",
    ),
    "blurred": (
        "a blurred picture",
        "Edges much sharper than a step is wide.",
        "Hold the phone still, or wait until it has focused.",
    ),
    "overexposed": (
        "an overexposed picture",
        "Less than a tenth of the card at the end of the scale.",
        "Give less exposure: tap the white of the card, or set −1.",
    ),
    "small": (
        "a strip too small in the picture",
        f"Steps at least {LEAST_PITCH_PX:.0f} pixels wide.",
        "Go closer, or scan finer.",
    ),
    "border": (
        "a strip whose border is burnt out",
        "A border darker than the end of the scale: densities start there.",
        "Give less exposure, or lay the card beside the strip.",
    ),
}


def refused(name: str) -> Refusal:
    asked, allowed, hint = _REFUSALS[name]
    return Refusal.one("picture", asked, allowed, hint)


def softness(light: Floats) -> float:
    """Width of the picture's sharpest strong edges [px]: its contrast over its steepest slopes; about 2.5 σ of a blur,
    up to twice that where no edge has the whole contrast."""
    import numpy as np

    seen = light[::3]
    contrast = float(np.quantile(seen, 0.995) - np.quantile(seen, 0.005))
    smooth = (light[:, :-2] + light[:, 1:-1] + light[:, 2:]) / 3
    across = np.quantile(np.abs(smooth[1::2, 3:] - smooth[1::2, :-3]), 0.9995) / 3
    down = light[:-2] + light[1:-1] + light[2:]
    along = np.quantile(np.abs(down[3:, 1::2] - down[:-3, 1::2]), 0.9995) / 9
    return contrast / max(float(across), float(along), 1e-6)
