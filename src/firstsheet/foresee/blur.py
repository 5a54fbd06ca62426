"""Blur on the sheet as kernels: a disc for what is out of focus, a smear for sway. Energy is kept; widths are the analytic ones.

A kernel is a small array that sums to 1. Its spread is checked against the closed form: a disc of diameter d has a variance of
d²/16 along each axis, a normal smear of spread s has s².
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from firstsheet.refusal import Refusal

Floats = NDArray[np.float32]
FINE = 15  # sub-pixels to a side where the edge of a disc crosses a pixel
LEAST_PX = 0.05  # a blur narrower than this is none
MOST_PX = 600.0
SMALL_DISC_PX, SMALL_SMEAR_PX = 2.6, 0.75  # below it, three pixels a side of the right spread
REACH = 4.0  # a smear is cut off at so many spreads; beyond lies 0.006 %


def disc(diameter_px: float) -> Floats:
    """Kernel of an out-of-focus point: an even disc of this diameter [px]. Domain: 0 to 600. Refusal beyond."""
    _check(diameter_px)
    if diameter_px < LEAST_PX:
        return np.ones((1, 1), dtype=np.float32)
    variance = diameter_px**2 / 16.0
    if diameter_px < SMALL_DISC_PX:
        line = np.array([variance / 2.0, 1.0 - variance, variance / 2.0])
        return np.asarray(line[:, None] * line[None, :], dtype=np.float32)
    # Sharing an edge among whole pixels widens a small disc: the disc laid down is so much smaller that the spread is right.
    return _matched(_coverage, diameter_px / 2.0, variance)


def smear(across_px: float, along_px: float = 0.0) -> Floats:
    """Kernel of a swaying point: normal, with this spread from left to right and from top to bottom [px, one sd]. Refusal beyond 600."""
    _check(max(across_px, along_px))
    return np.asarray(_line(along_px)[:, None] * _line(across_px)[None, :], dtype=np.float32)


def spread(kernel: NDArray[Any]) -> tuple[float, float]:
    """Standard deviation of a kernel across and down [px]."""
    k = kernel.astype(float)
    rows, cols = (np.arange(n) - (n - 1) / 2.0 for n in k.shape)
    total = k.sum()
    across = float((k.sum(axis=0) * cols**2).sum() / total)
    down = float((k.sum(axis=1) * rows**2).sum() / total)
    return math.sqrt(across), math.sqrt(down)


def blurred(plane: Floats, kernel: Floats) -> Floats:
    """The plane [height × width] with every point spread by the kernel; what lies beyond its edges is taken as the edge.

    By Fourier transform: the time depends little on the width of the kernel.
    """
    high, wide = kernel.shape
    if high == 1 and wide == 1:
        return plane
    if high == 1:
        return _along(plane, kernel[0])
    up, left = high // 2, wide // 2
    padded = np.pad(plane, ((up, up), (left, left)), mode="edge")
    shape = (_even(padded.shape[0]), _even(padded.shape[1]))
    spectrum = np.fft.rfft2(padded, shape)
    spectrum *= np.fft.rfft2(kernel, shape)
    back = np.fft.irfft2(spectrum, shape)
    # A kernel's middle lies at (up, left): the result is moved by as much.
    return np.asarray(back[2 * up : 2 * up + plane.shape[0], 2 * left : 2 * left + plane.shape[1]], dtype=np.float32)


def _along(plane: Floats, line: Floats) -> Floats:
    """Every row spread by the line: one transform of one axis, for a sitter sways from side to side."""
    half = len(line) // 2
    padded = np.pad(plane, ((0, 0), (half, half)), mode="edge")
    n = _even(padded.shape[1])
    spectrum = np.fft.rfft(padded, n, axis=1)
    spectrum *= np.fft.rfft(line, n)
    return np.asarray(np.fft.irfft(spectrum, n, axis=1)[:, 2 * half : 2 * half + plane.shape[1]], dtype=np.float32)


def _line(sd: float) -> NDArray[np.float64]:
    if sd < LEAST_PX:
        return np.ones(1)
    if sd < SMALL_SMEAR_PX:
        v = sd * sd / 2.0
        return np.array([v, 1.0 - 2.0 * v, v])
    half = math.ceil(REACH * sd)
    line = np.exp(-0.5 * (np.arange(-half, half + 1) / sd) ** 2)
    return np.asarray(line / line.sum())


def _coverage(radius: float) -> NDArray[np.float64]:
    """The share of each pixel that a disc about the middle one covers."""
    half = math.ceil(max(radius - 0.5, 0.0))
    fine = (np.arange((2 * half + 1) * FINE) + 0.5) / FINE - (half + 0.5)
    inside = (fine[:, None] ** 2 + fine[None, :] ** 2 <= radius**2).astype(np.float64)
    share = inside.reshape(2 * half + 1, FINE, 2 * half + 1, FINE).mean(axis=(1, 3))
    return np.asarray(share / share.sum())


def _matched(shape: Callable[[float], NDArray[np.float64]], start: float, variance: float) -> Floats:
    """The kernel of the size, at most `start`, whose variance is this [px²]; by halving."""
    low, high = 0.5 * start, start
    for _ in range(16):
        middle = 0.5 * (low + high)
        if spread(shape(middle))[0] ** 2 < variance:
            low = middle
        else:
            high = middle
    return np.asarray(shape(0.5 * (low + high)), dtype=np.float32)


def _even(n: int) -> int:
    """The next length that a Fourier transform is quick with: only 2, 3 and 5 in it."""
    while True:
        rest = n
        for p in (2, 3, 5):
            while rest % p == 0:
                rest //= p
        if rest == 1:
            return n
        n += 1


def _check(px: Any) -> None:
    if not (isinstance(px, int | float) and math.isfinite(px) and 0.0 <= px <= MOST_PX):
        raise Refusal.one("blur", px, f"From 0 to {MOST_PX:g} px.", "Look at it smaller.")
