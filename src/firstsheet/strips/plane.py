"""Plane geometry of a flat thing in a picture: hull, quadrilateral, components, sampling.

Points are arrays of shape (k, 2), x to the right and y down [px].
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[Any]]


def mapped(matrix: Floats, points: Floats) -> Floats:
    """`points` through a homography, shape kept."""
    import numpy as np

    p = np.asarray(points, dtype=float)
    flat = p.reshape(-1, 2)
    w = flat @ matrix[2, :2] + matrix[2, 2]
    out: Floats = (flat @ matrix[:2, :2].T + matrix[:2, 2]) / w[:, None]
    return out.reshape(p.shape)


def sampled(image: Floats, points: Floats) -> Floats:
    """Bilinear values of `image` at `points` (…, 2), pixel centres at whole numbers; NaN outside."""
    import numpy as np

    p = np.asarray(points, dtype=np.float64)
    x, y = p[..., 0], p[..., 1]
    high, wide = image.shape
    out = ~((x >= 0) & (y >= 0) & (x <= wide - 1) & (y <= high - 1))
    x, y = np.where(out, 0.0, x), np.where(out, 0.0, y)
    i, j = np.minimum(x.astype(np.int64), wide - 2), np.minimum(y.astype(np.int64), high - 2)
    a, b = (x - i).astype(np.float32), (y - j).astype(np.float32)
    upper = image[j, i] * (1 - a) + image[j, i + 1] * a
    lower = image[j + 1, i] * (1 - a) + image[j + 1, i + 1] * a
    value = np.asarray(upper * (1 - b) + lower * b, dtype=np.float32)
    value[out] = np.nan
    return value


def hull(points: Floats) -> Floats:
    """Convex hull, counter-clockwise in x right, y down; by a sweep from left to right."""
    import numpy as np

    p = np.unique(np.asarray(points, dtype=float), axis=0)
    if len(p) < 3:
        return p

    def half(ordered: Any) -> list[tuple[float, float]]:
        chain: list[tuple[float, float]] = []
        for x, y in ordered:
            while len(chain) > 1:
                (ax, ay), (bx, by) = chain[-2], chain[-1]
                if (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0:
                    break
                chain.pop()
            chain.append((x, y))
        return chain[:-1]

    listed = [(float(x), float(y)) for x, y in p]
    return np.array(half(listed) + half(listed[::-1]))


def area(polygon: Floats) -> float:
    import numpy as np

    x, y = polygon[:, 0], polygon[:, 1]
    return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2


def crossing(p: Floats, d: Floats, q: Floats, e: Floats) -> Floats | None:
    """Where the lines p + t·d and q + s·e cross; None where they are parallel."""
    bar = d[0] * e[1] - d[1] * e[0]
    if abs(bar) < 1e-9:
        return None
    t = ((q[0] - p[0]) * e[1] - (q[1] - p[1]) * e[0]) / bar
    return p + t * d  # type: ignore[no-any-return]


def quad_of(outline: Floats) -> Floats | None:
    """Four corners around a convex outline: the edge whose loss adds the least area goes first.

    None where it cannot be done (a triangle, a disc that runs away).
    """
    import numpy as np

    corners = [np.asarray(c, dtype=float) for c in outline]
    whole = area(np.asarray(outline))
    while len(corners) > 4:
        best: tuple[float, int, Any] | None = None
        n = len(corners)
        for i in range(n):
            a, b, c, d = (corners[(i + k) % n] for k in (-1, 0, 1, 2))
            meet = crossing(a, b - a, d, c - d)
            if meet is None or np.dot(meet - b, b - a) < 0 or np.dot(meet - c, c - d) < 0:
                continue
            added = area(np.array([b, meet, c]))
            if best is None or added < best[0]:
                best = (added, i, meet)
        if best is None or best[0] > 0.5 * whole:
            return None
        i = best[1]
        corners[i] = best[2]
        corners.pop((i + 1) % len(corners))
    return np.array(corners) if len(corners) == 4 else None


def components(mask: Floats, least: int) -> list[Floats]:
    """Connected parts (8 neighbours) of a bool array with at least `least` pixels, largest first.

    Each is an array of its rows' runs: (row, first, last + 1).
    """
    import numpy as np

    edge = np.diff(np.pad(mask.astype(np.int8), ((0, 0), (1, 1))), axis=1)
    rows, starts = np.nonzero(edge == 1)
    _, ends = np.nonzero(edge == -1)
    parent = list(range(len(rows)))

    def root(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    r, s, e = rows.tolist(), starts.tolist(), ends.tolist()
    first = np.searchsorted(rows, np.arange(mask.shape[0] + 1)).tolist()
    for row in range(1, mask.shape[0]):
        j, stop = first[row - 1], first[row]
        for i in range(first[row], first[row + 1]):
            while j < stop and e[j] < s[i]:
                j += 1
            k = j
            while k < stop and s[k] <= e[i]:
                parent[root(k)] = root(i)
                k += 1
    groups: dict[int, list[tuple[int, int, int]]] = {}
    for i in range(len(r)):
        groups.setdefault(root(i), []).append((r[i], s[i], e[i]))
    sized = [(sum(b - a for _, a, b in runs), runs) for runs in groups.values()]
    return [np.array(runs) for size, runs in sorted(sized, key=lambda g: -g[0]) if size >= least]


def rim(runs: Floats) -> Floats:
    """The end points of a component's runs, for its hull."""
    import numpy as np

    left = np.stack([runs[:, 1], runs[:, 0]], axis=1)
    right = np.stack([runs[:, 2] - 1, runs[:, 0]], axis=1)
    return np.concatenate([left, right]).astype(float)


def opened(mask: Floats) -> Floats:
    """Without what is thinner than about five pixels: hairs and dust that touch the strip."""
    return widened(~widened(~mask, 2), 2)


def widened(mask: Floats, by: int) -> Floats:
    """A bool mask grown by `by` pixels all round (a square)."""
    import numpy as np

    out = mask.copy()
    for axis in (0, 1):
        sums = np.cumsum(
            np.pad(out.astype(np.int32), [(by + 1, by) if a == axis else (0, 0) for a in (0, 1)]), axis=axis
        )
        many = mask.shape[axis]
        upper = np.take(sums, np.minimum(np.arange(many) + 2 * by + 1, sums.shape[axis] - 1), axis=axis)
        out = (upper - np.take(sums, np.arange(many), axis=axis)) > 0
    return out


def shrunk(image: Floats, factor: int) -> Floats:
    """Means of factor × factor boxes."""
    rows, columns = image.shape[0] // factor, image.shape[1] // factor
    out: Floats = image[: rows * factor, : columns * factor].reshape(rows, factor, columns, factor).mean(axis=(1, 3))
    return out


def grown(image: Floats, factor: int, shape: tuple[int, ...]) -> Floats:
    """Each value repeated factor × factor times, the last ones to the edge."""
    import numpy as np

    big = np.repeat(np.repeat(image, factor, axis=0), factor, axis=1)
    return np.pad(big, ((0, shape[0] - big.shape[0]), (0, shape[1] - big.shape[1])), mode="edge")
