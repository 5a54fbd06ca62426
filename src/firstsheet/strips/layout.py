"""Where the steps lie on a straightened strip: equal pitch, one margin, least scatter within a step."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[Any]]

FEWEST, MOST = 3, 40
ONE_TONE = 0.4  # a border varies along the strip by less than this share of what the steps do
GREY_FLOOR = 0.004  # added before the log: below it a step is noise


@dataclass(frozen=True, slots=True)
class Layout:
    """In fractions of the straightened strip's width (left, right) and height (top, bottom).

    scatter    mean square within steps along the strip [density²]
    between    mean square of the jumps between neighbours
    slope      the middle slope inside a step over the jumps: 0 for steps, near 1 for an even ramp
    """

    steps: int
    left: float
    right: float
    top: float
    bottom: float
    scatter: float
    between: float
    slope: float

    def step(self, k: int) -> tuple[float, float, float, float]:
        """Left, top, right, bottom of step k from the left."""
        pitch = (self.right - self.left) / self.steps
        return self.left + k * pitch, self.top, self.left + (k + 1) * pitch, self.bottom


def grey(straight: Floats) -> Floats:
    """log10 with a floor, NaN kept out."""
    import numpy as np

    return np.log10(np.nan_to_num(np.maximum(straight, 0), nan=0.0) + GREY_FLOOR)


def margins_across(log_strip: Floats) -> tuple[float, float]:
    """Top and bottom of the steps as fractions of the height; (0, 1) where there is no border to see."""
    import numpy as np

    high = log_strip.shape[0]
    smooth = np.median(log_strip[:, : log_strip.shape[1] // 4 * 4].reshape(high, -1, 4), axis=2)
    middle = np.median(smooth[int(0.4 * high) : int(0.6 * high) + 1], axis=0)
    out = []
    for rows in (np.arange(high // 2), high - 1 - np.arange(high // 2)):
        skip = max(1, round(0.012 * high))
        edge = np.median(smooth[rows[skip : skip + max(2, high // 50)]], axis=0)
        if _spread(edge) > ONE_TONE * _spread(middle):
            out.append(0.0)
            continue
        gap = middle - edge
        told = np.abs(gap) > 0.12
        if told.mean() < 0.06:
            out.append(0.0)
            continue
        share = ((smooth[rows][:, told] - edge[told]) / gap[told]).clip(-0.5, 1.5)
        profile = np.median(share, axis=1)
        over = np.nonzero(profile[skip:] > 0.5)[0]
        first = skip + int(over[0]) if len(over) else 0
        rise = profile[first] - profile[first - 1] if first else 0.0
        out.append((first + 0.5 - ((profile[first] - 0.5) / rise if rise > 0.05 else 0.0)) / high)
    if min(out) < 0.01 or max(out) > 0.42:
        return 0.0, 1.0
    return out[0], 1 - out[1]


def _spread(line: Floats) -> float:
    import numpy as np

    low, high = np.quantile(line, [0.1, 0.9])
    return float(high - low)


def along(log_strip: Floats, top: float, bottom: float) -> Floats:
    """The strip's profile along its length: the median of its middle."""
    import numpy as np

    high = log_strip.shape[0]
    mid, half = (top + bottom) / 2, (bottom - top) * 0.25
    rows = log_strip[int((mid - half) * high) : max(int((mid + half) * high), int((mid - half) * high) + 1)]
    return np.asarray(np.median(rows, axis=0))


def fitted(profile: Floats, steps: int, low: float, high: float, fine: bool = True) -> tuple[float, float, float]:
    """Left, right and the mean square within steps for `steps` steps, the margin from `low` to `high` (fractions)."""
    import numpy as np

    sums = _Sums(profile)
    wide = len(profile)
    tried = np.unique(np.linspace(low, high, max(2, int((high - low) * wide * (1.0 if fine else 0.5)) + 1)))
    costs = [sums.cost(m * wide, (1 - m) * wide, steps) for m in tried]
    k = int(np.argmin(costs))
    best = (costs[k], float(tried[k]), 1 - float(tried[k]))
    if not fine:
        return best[1], best[2], best[0]
    pitch = (best[2] - best[1]) / steps
    reach = min(0.16 * pitch, 0.02)
    middle = best
    for a in np.linspace(-reach, reach, 9):
        for b in np.linspace(-reach, reach, 9):
            left, right = max(middle[1] + a, 0.0), min(middle[2] + b, 1.0)
            cost = sums.cost(left * wide, right * wide, steps) * (1 + 0.15 * ((a + b) / (reach + 1e-9)) ** 2 / 4)
            if cost < 0.97 * best[0]:
                best = (cost, left, right)
    return best[1], best[2], best[0]


class _Sums:
    """Running sums, so that a layout costs a few additions a step."""

    def __init__(self, profile: Floats) -> None:
        import numpy as np

        self.one = np.concatenate([[0.0], np.cumsum(profile)])
        self.two = np.concatenate([[0.0], np.cumsum(profile**2)])
        self.wide = len(profile)

    def cost(self, left: float, right: float, steps: int) -> float:
        """Mean square within the inner nine tenths of the steps, and of the two ends about their common level."""
        import numpy as np

        edges = np.linspace(left, right, steps + 1)
        pitch = (right - left) / steps
        a, b = edges[:-1] + 0.06 * pitch, edges[1:] - 0.06 * pitch
        square, count = self._within(a, b)
        ends = np.array([[0.02 * pitch, left - 0.1 * pitch], [right + 0.1 * pitch, self.wide - 0.02 * pitch]])
        ends = ends[ends[:, 1] - ends[:, 0] > 2]
        more, counted = self._within(ends[:, 0], ends[:, 1])
        return float((square.sum() + more.sum()) / max(count.sum() + counted.sum(), 1.0))

    def _within(self, a: Floats, b: Floats) -> tuple[Floats, Floats]:
        import numpy as np

        i = np.clip(np.rint(a).astype(int), 0, self.wide)
        j = np.clip(np.maximum(np.rint(b).astype(int), i + 1), 0, self.wide)
        n = np.maximum(j - i, 1).astype(float)
        one, two = self.one[j] - self.one[i], self.two[j] - self.two[i]
        return np.maximum(two - one**2 / n, 0.0), n


def proposed(profile: Floats, low: float, high: float) -> int:
    """The number of steps that explains the profile with the fewest edges; only a proposal.

    Steps that equal their neighbours or the border are not in the picture; then several counts fit alike.
    """
    import numpy as np

    most = min(MOST, len(profile) // 6)
    costs = {n: fitted(profile, n, low, high, fine=False)[2] for n in range(FEWEST, most + 1)}
    if not costs:
        return FEWEST
    least = min(costs.values())
    noise = float(np.median(np.abs(np.diff(profile))) ** 2) + 4e-6
    good = [n for n, c in costs.items() if c <= 1.5 * least + noise]
    return min(good)


def proposal(log_strip: Floats) -> int:
    """The count the picture itself proposes."""
    return proposed(*_profile(log_strip)[:3])


def _profile(log_strip: Floats) -> tuple[Floats, float, float, float, float]:
    """Profile along the strip; least and greatest margin along it; top and bottom of the steps."""
    top, bottom = margins_across(log_strip)
    high, wide = log_strip.shape
    margin = (top + 1 - bottom) / 2 * high / wide
    low, far = (0.0, 0.006) if margin == 0 else (0.65 * margin, 1.45 * margin)
    return along(log_strip, top, bottom), low, far, top, bottom


def laid_out(log_strip: Floats, steps: int | None) -> Layout:
    """The layout for the given count, or for the proposed one."""
    import numpy as np

    profile, low, far, top, bottom = _profile(log_strip)
    wide = len(profile)
    n = steps or proposed(profile, low, far)
    left, right, scatter = fitted(profile, n, low, far)
    pitch = (right - left) * wide / n
    levels, slopes = [], []
    for k in range(n):
        a, b = int(left * wide + (k + 0.15) * pitch), int(np.ceil(left * wide + (k + 0.85) * pitch))
        part = profile[a : max(b, a + 2)]
        levels.append(float(np.median(part)))
        third = max(1, len(part) // 3)
        slopes.append(float(part[-third:].mean() - part[:third].mean()) / 0.467)
    jumps = np.diff(levels)
    between = float((jumps**2).mean())
    slope = float(np.median(np.abs(slopes)) / max(between, 1e-9) ** 0.5)
    return Layout(n, left, right, top, bottom, scatter, between, slope)
