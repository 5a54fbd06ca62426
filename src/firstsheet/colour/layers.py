"""Three layers of colour paper, each a log exposure: what a pack takes from each, and what a grey then shows.

A state is (red, green, blue): how much too much each layer received, log10 [D]; 0, 0, 0 is a neutral grey of the right brightness. On a
reversal more light in a layer is more of that layer's colour in the print; a negative-working print is the opposite.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
LUMINANCE: Floats = np.array([0.3, 0.6, 0.1])  # of red, green and blue in a colour print [1]; common practice, no source
# brightness, green beside the others, blue beside the others: what an eye can say apart
SEEN: Floats = np.array([[0.3, 0.6, 0.1], [-0.5, 1.0, -0.5], [-0.5, -0.5, 1.0]])
# Density each layer loses to one CC of yellow, magenta, cyan [D]; rows red, green, blue. Unwanted parts from memory, no source.
NOMINAL: Floats = 0.01 * np.array([[0.0, 0.0, 1.0], [0.0, 1.0, 0.10], [1.0, 0.12, 0.08]])
GREY_DENSITY = 0.745  # of an 18 % grey over the paper's white [D]: -log10 0.18
SLOPE, SLOPE_SD = 1.6, 0.3  # density over log exposure of a reversal at its mid-tone: from memory, unverified


def through(state: Any, matrix: Floats, pack: Any, log_time: float = 0.0) -> Floats:
    """The state behind a pack. pack (yellow, magenta, cyan) [CC]; log_time log10 of seconds over those planned without a pack."""
    out: Floats = np.asarray(state, float) - matrix @ np.asarray(pack, float) + log_time
    return out


def luminance(state: Any) -> float:
    """Brightness too much, log10 [D]."""
    return float(LUMINANCE @ np.asarray(state, float))


def chroma(state: Any) -> float:
    """Size of the cast [CC]: the largest layer over the smallest, a hundred to a density of 1."""
    s = np.asarray(state, float)
    return float(100.0 * (s.max() - s.min()))
