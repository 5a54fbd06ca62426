"""Pixels: sRGB there and back, the pixels of a touched place, one flat thing's corners onto another's.

numpy is imported inside the functions: what only needs one code must not wait for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[Any]]


def code(y: float) -> int:
    """The 8-bit sRGB code of relative luminance y, held to 0 … 1. [IEC-61966-2-1]"""
    y = min(max(y, 0.0), 1.0)
    return round(255.0 * (12.92 * y if y <= 0.0031308 else 1.055 * y ** (1 / 2.4) - 0.055))


def light(share: float) -> float:
    """Relative luminance of an sRGB code as a share of the highest, 0 … 1. [IEC-61966-2-1]"""
    return share / 12.92 if share <= 0.04045 else float(((share + 0.055) / 1.055) ** 2.4)


@cache
def decoded(bits: int = 8) -> Floats:
    """Linear light of every sRGB code [2^bits, float32, 0 … 1]. [IEC-61966-2-1]"""
    import numpy as np

    return np.array([light(k / (2.0**bits - 1)) for k in range(2**bits)], np.float32)


def encoded(linear: Floats) -> Any:
    """8-bit sRGB codes of linear light held to 0 … 1, rounded; any shape. [IEC-61966-2-1]"""
    import numpy as np

    y = np.clip(linear, 0.0, 1.0)
    return np.rint(255.0 * np.where(y <= 0.0031308, 12.92 * y, 1.055 * y ** (1 / 2.4) - 0.055)).astype(np.uint8)


def disc(shape: Sequence[int], at: tuple[float, float], share: float) -> Any:
    """The pixels of a touched place [height × width, bool]: `at` as fractions from left and top, the radius a share of the shorter edge;
    always at least the pixel under the point."""
    import numpy as np

    high, wide = shape[0], shape[1]
    col, row = min(at[0] * wide, wide - 0.5), min(at[1] * high, high - 0.5)  # pixel centres lie at n + ½
    rows, cols = np.ogrid[0:high, 0:wide]
    return (rows + 0.5 - row) ** 2 + (cols + 0.5 - col) ** 2 <= max(0.75, share * min(high, wide)) ** 2


def homography(source: Any, target: Any) -> Floats:
    """The 3 × 3 matrix that takes four or more points `source` (k, 2) to `target`; least squares where more than four."""
    import numpy as np

    rows, right = [], []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    h, *_ = np.linalg.lstsq(np.array(rows, dtype=float), np.array(right, dtype=float), rcond=None)
    return np.append(h, 1.0).reshape(3, 3)
