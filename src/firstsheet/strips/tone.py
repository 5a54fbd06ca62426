"""A phone's tone curve from known patches: a smooth departure from straightness, with its doubt."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[Any]]

FEWEST = 5  # known patches; with fewer a curve is not told from a lamp's fall-off or flare
BEND, REACH = 0.20, 0.75  # how far a picture's look departs from straight, and over how many log10 (common practice, no source)
SLOPE_SD = 0.25
OWN_SD = 0.004  # of one patch's reading


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

    def doubt(self, true_log: float) -> float:
        import numpy as np

        return float(np.interp(true_log, self.x, self.sd))


def straight_enough(true_log: Floats, seen_log: Floats, sd: Floats) -> bool:
    """Whether y = x + a explains the patches within their doubts (about 1 in 100 straight ones fails)."""
    w = 1 / (sd**2 + OWN_SD**2)
    rest = seen_log - true_log
    rest = rest - (w * rest).sum() / w.sum()
    allowed = {5: 13.3, 6: 15.1}.get(len(sd), 15.1)  # χ² at 1 % of 4 and 5 degrees of freedom; from memory
    return bool((w * rest**2).sum() < allowed)


def fitted(true_log: Floats, seen_log: Floats, sd: Floats) -> Tone:
    """The curve through the patches: x + offset + slope + a smooth Gaussian process."""
    import numpy as np

    def kernel(a: Floats, b: Floats) -> Floats:
        smooth = BEND**2 * np.exp(-0.5 * ((a[:, None] - b[None]) / REACH) ** 2)
        return np.asarray(smooth + SLOPE_SD**2 * a[:, None] * b[None] + 4.0)

    middle = float(true_log.mean())
    x0 = true_log - middle
    grid = np.linspace(true_log.min() - 1.2, true_log.max() + 0.6, 200)
    k = kernel(x0, x0) + np.diag(sd**2 + OWN_SD**2)
    across = kernel(grid - middle, x0)
    mean = grid + across @ np.linalg.solve(k, seen_log - true_log)
    spread = kernel(grid - middle, grid - middle).diagonal() - np.einsum("ij,ji->i", across, np.linalg.solve(k, across.T))
    y = np.maximum.accumulate(mean + 1e-6 * np.arange(200))
    slope = np.maximum(np.gradient(y, grid), 0.1)
    return Tone(grid, y, np.sqrt(np.maximum(spread, 0)) / slope)
