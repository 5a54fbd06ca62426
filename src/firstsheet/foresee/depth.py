"""Blur by distance in a photo of the scene: each place is taken to lie as far off as the touched place it is most alike and nearest to.

A photo holds no distances. What is drawn between the touched places is a guess, and called so; nothing is lighter or darker by it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from firstsheet.camera.sharp import out_of_focus_mm
from firstsheet.foresee import blur
from firstsheet.foresee.picture import Floats, Received
from firstsheet.light.pixels import homography
from firstsheet.refusal import Refusal

Placed = tuple[tuple[float, float, float], ...]
COARSE = 160  # pixels along the long edge on which likeness is weighed
COLOUR = 1.5  # how much likeness of tone counts beside nearness; ours


@dataclass(frozen=True, slots=True)
class Optics:
    """In focus at `subject_mm`, through a lens of `focal_mm` at f/`f_number`."""

    subject_mm: float
    focal_mm: float
    f_number: float


def disc_mm(far_mm: float, o: Optics) -> float:
    """Diameter on the sheet of a point so far off [mm]; 0 in the plane of focus. [WALREE-DOF]"""
    if far_mm <= o.focal_mm or o.subject_mm <= o.focal_mm:
        raise Refusal.one("depths", f"{far_mm:.0f} mm", f"Further off than the focal length, {o.focal_mm:.0f} mm.", "Nearer than that nothing is drawn on the board at all.")
    m = o.focal_mm / (o.subject_mm - o.focal_mm)
    return abs(out_of_focus_mm(far_mm - o.subject_mm, o.focal_mm, o.f_number, m))


def placed(depths: Placed, corners: Any, mirrored: bool) -> Placed:
    """Touched places of the photo as places of the framed picture, by the frame's four corners, None for the whole photo; those outside it are left out."""
    ends = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
    to = homography(corners or ends, ends)
    out = []
    for x, y, far in depths:
        u, v, w = to @ np.array([x, y, 1.0])
        if w > 0 and 0 <= u / w <= 1 and 0 <= v / w <= 1:
            out.append((1.0 - float(u / w) if mirrored else float(u / w), float(v / w), far))
    return tuple(out)


def blurred(got: Received, rgb: Floats, depths: Placed, o: Optics) -> Floats:
    """Exposure with each part blurred by its own distance [height × width]; shares of neighbours sum to 1."""
    if not depths:
        return got.exposure
    share = _shares(rgb, depths)
    if got.exposure.ndim == 3:
        return np.stack([_blurred(np.ascontiguousarray(got.exposure[:, :, i]), got.mm_per_px, share, depths, o) for i in range(3)], axis=2)
    return _blurred(got.exposure, got.mm_per_px, share, depths, o)


def _blurred(light: Floats, mm_per_px: float, share: list[Floats], depths: Placed, o: Optics) -> Floats:
    out = np.zeros_like(light)
    for weight, (_, _, far) in zip(share, depths, strict=True):
        kernel = blur.disc(min(disc_mm(far, o) / mm_per_px, blur.MOST_PX))
        # Light and share are blurred alike and divided: an edge does not draw the light of what lies beyond it.
        thick = blur.blurred(np.ascontiguousarray(weight), kernel)
        out += weight * blur.blurred(np.ascontiguousarray(weight * light), kernel) / np.maximum(thick, np.float32(1e-4))
    return np.asarray(out, dtype=np.float32)


def _shares(rgb: Floats, depths: Placed) -> list[Floats]:
    """How much each touched place claims of every pixel [1]; they sum to 1."""
    from PIL import Image

    high, wide = rgb.shape[:2]
    step = max(1, max(high, wide) // COARSE)
    small = np.sqrt(np.clip(rgb[::step, ::step], 0, 1))
    rows, cols = np.ogrid[0 : small.shape[0], 0 : small.shape[1]]
    claims = []
    for x, y, _ in depths:
        r, c = min(int(y * small.shape[0]), small.shape[0] - 1), min(int(x * small.shape[1]), small.shape[1] - 1)
        tone = small[max(r - 1, 0) : r + 2, max(c - 1, 0) : c + 2].mean(axis=(0, 1))
        away = ((rows - r) / small.shape[0]) ** 2 + ((cols - c) / small.shape[1]) ** 2
        claims.append(away + (COLOUR * (small - tone) ** 2).sum(axis=2))
    least = np.min(claims, axis=0)
    raw = [np.exp(-40.0 * (c - least)).astype(np.float32) for c in claims]
    total = np.sum(raw, axis=0)
    big = [np.asarray(Image.fromarray(w / total).resize((wide, high), Image.Resampling.BILINEAR), dtype=np.float32) for w in raw]
    whole = np.sum(big, axis=0)
    return [np.asarray(b / whole, dtype=np.float32) for b in big]
