"""Smooth surfaces fitted robustly: the light on the table, in log10."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[Any]]


def terms(x: Floats, y: Floats, degree: int) -> Floats:
    """All products x^i · y^j with i + j ≤ degree, shape (…, count); x and y about −1…1."""
    import numpy as np

    return np.stack([x**i * y ** (k - i) for k in range(degree + 1) for i in range(k, -1, -1)], axis=-1)


def robust_fit(
    design: Floats, value: Floats, weight: Floats | None = None, floor: float = 0.004, ridge: Floats | None = None
) -> tuple[Floats, Floats, float]:
    """Coefficients by Tukey's biweight from a least-absolute start; final weights 0…1 and the scale.

    floor   the scale is never taken smaller than this (the unit of `value`)
    ridge   added to the normal matrix's diagonal, per column
    """
    import numpy as np

    w0 = np.ones(len(value)) if weight is None else weight
    damp = np.diag(np.full(design.shape[1], 1e-9) if ridge is None else ridge)
    w, scale = w0.copy(), floor
    coefficients = np.zeros(design.shape[1])
    for k in range(25):
        a = design * w[:, None]
        coefficients = np.linalg.solve(design.T @ a + damp, a.T @ value)
        rest = np.abs(value - design @ coefficients)
        live = rest[w0 > 0]
        scale = max(floor, 1.4826 * float(np.median(live)))
        if k < 8:
            w = w0 / np.maximum(rest, 0.3 * scale) * scale
        else:
            w = w0 * np.maximum(0.0, 1 - (rest / (4.7 * scale)) ** 2) ** 2
    return coefficients, w, scale


def blocks(image: Floats, size: int) -> tuple[Floats, Floats, Floats]:
    """Medians of size × size blocks of `image`, with the x and y of their middles [px]. NaN where any is NaN."""
    import numpy as np

    rows, columns = image.shape[0] // size, image.shape[1] // size
    cut = image[: rows * size, : columns * size].reshape(rows, size, columns, size).transpose(0, 2, 1, 3)
    flat = cut.reshape(rows, columns, size * size)
    y, x = np.mgrid[0:rows, 0:columns] * float(size) + (size - 1) / 2
    value = np.median(flat, axis=2)  # NaN where any is
    return x, y, value


def scaled(x: Floats, y: Floats, shape: tuple[int, ...]) -> tuple[Floats, Floats]:
    """Pixel places to about −1…1, the same unit along both edges."""
    half = max(shape) / 2
    return (x - (shape[1] - 1) / 2) / half, (y - (shape[0] - 1) / 2) / half


def table_light(log_light: Floats) -> tuple[Floats, float]:
    """The light on an even table as a quadratic of log10 over the whole picture, and its scatter.

    First from a ring along the picture's edges, where no strip may lie, then from all that agrees with it.
    """
    import numpy as np

    size = max(4, max(log_light.shape) // 80)
    x, y, value = blocks(log_light, size)
    u, v = scaled(x, y, log_light.shape)
    design, flat = terms(u, v, 2).reshape(-1, 6), value.ravel()
    ring = np.zeros(value.shape)
    deep = max(1, round(0.1 * min(value.shape)))
    ring[:deep], ring[-deep:], ring[:, :deep], ring[:, -deep:] = 1, 1, 1, 1
    first, _, _ = robust_fit(design, flat, ring.ravel(), floor=0.008)
    near = (np.abs(flat - design @ first) < 0.12).astype(float)
    near = np.maximum(near, ring.ravel())
    last, _, scale = robust_fit(design, flat, near, floor=0.004)
    yy, xx = np.mgrid[0 : log_light.shape[0], 0 : log_light.shape[1]]
    uu, vv = scaled(xx, yy, log_light.shape)
    return np.asarray(terms(uu, vv, 2) @ last, dtype=np.float32), scale
