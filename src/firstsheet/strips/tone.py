"""A phone's tone curve from known patches: a smooth departure from straightness, with its doubt."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[Any]]

FEWEST = 5  # known patches; with fewer a curve is not told from a lamp's fall-off or flare
BEND, REACH = (
    0.20,
    0.75,
)  # how far a picture's look departs from straight, and over how many log10 (common practice, no source)
SLOPE_SD = 0.25
OWN_SD = 0.004  # of one patch's reading
BENT, SPOILED, SPOILED_SD = 0.3, 0.1, 0.25  # chances beforehand, and how far a spoiled patch may lie off [log10]


@dataclass(frozen=True, slots=True)
class Tone:
    """log10 picture light y against log10 true light x, as a table; y rises with x. sd of x at each place."""

    x: Floats
    y: Floats
    sd: Floats

    def undone(self, light: Floats) -> Floats:
        """True light from picture light, to a constant; beyond the table with slope 1."""
        import numpy as np

        y = np.log10(np.maximum(light, 1e-5))
        x = np.interp(y, self.y, self.x)
        x = x + np.minimum(y - self.y[0], 0) + np.maximum(y - self.y[-1], 0)
        return np.asarray(10.0**x, dtype=np.float32)

    def moves(self, white_log: float, seen_log: float) -> float:
        """How much darker than `seen_log` says a thing is, against a white [log10]."""
        import numpy as np

        at = np.interp([white_log, seen_log], self.y, self.x)
        return float((at[0] - white_log) - (at[1] - seen_log))

    def doubt(self, true_log: float) -> float:
        import numpy as np

        return float(np.interp(true_log, self.x, self.sd))


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the patches say of the picture's tones: chance that they are bent, whether that is the likeliest, and the place
    in the list of a patch that agrees with none (a reflection or a shadow lies on it), or None."""

    chance: float
    bent: bool
    spoiled: int | None


def verdict(true_log: Floats, seen_log: Floats, sd: Floats) -> Verdict:
    """Straight (y = x + a), bent smoothly, and either with one patch spoiled, by their evidence [Rasmussen-2006]."""
    import numpy as np

    own = np.diag(sd**2 + OWN_SD**2)
    rest, bend = seen_log - true_log, _kernel(true_log - true_log.mean(), true_log - true_log.mean())
    found: dict[tuple[bool, int | None], float] = {}
    for bent in (False, True):
        for spoiled in (None, *range(len(sd))):
            spread = own + (bend if bent else 4.0)
            chance = BENT if bent else 1 - BENT
            if spoiled is not None:
                spread[spoiled, spoiled] += SPOILED_SD**2
                chance *= SPOILED / len(sd)
            _, size = np.linalg.slogdet(spread)
            found[bent, spoiled] = float(-0.5 * (rest @ np.linalg.solve(spread, rest) + size)) + math.log(chance)
    most = max(found, key=lambda k: found[k])
    share = {k: math.exp(v - found[most]) for k, v in found.items()}
    return Verdict(sum(v for (bent, _), v in share.items() if bent) / sum(share.values()), *most)


def _kernel(a: Floats, b: Floats) -> Floats:
    """Covariance of y − x between places: smooth, a slope, and a constant that is hardly known."""
    import numpy as np

    smooth = BEND**2 * np.exp(-0.5 * ((a[:, None] - b[None]) / REACH) ** 2)
    return np.asarray(smooth + SLOPE_SD**2 * a[:, None] * b[None] + 4.0)


def fitted(true_log: Floats, seen_log: Floats, sd: Floats) -> Tone:
    """The curve through the patches: x + offset + slope + a smooth Gaussian process."""
    import numpy as np

    middle = float(true_log.mean())
    x0 = true_log - middle
    grid = np.linspace(true_log.min() - 1.2, true_log.max() + 0.6, 200)
    k = _kernel(x0, x0) + np.diag(sd**2 + OWN_SD**2)
    across = _kernel(grid - middle, x0)
    mean = grid + across @ np.linalg.solve(k, seen_log - true_log)
    spread = _kernel(grid - middle, grid - middle).diagonal() - np.einsum(
        "ij,ji->i", across, np.linalg.solve(k, across.T)
    )
    y = np.maximum.accumulate(mean + 1e-6 * np.arange(200))
    slope = np.maximum(np.gradient(y, grid), 0.1)
    return Tone(grid, y, np.sqrt(np.maximum(spread, 0)) / slope)
