"""The grain of a negative's base from its photo on a light, and what it prints as."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np

    from firstsheet.acts.contact_photo import Backlit, Seen
    from firstsheet.book.store import Book

LONG_PX = 2000
PX_MM = 0.3  # of a pixel of the framed picture, where the photo has so many [mm]; ours
BARE_SHARE = 0.02  # half the side of a piece of bare light, of the photo's shorter edge; ours
SEEN_D = 0.02  # an even tone that scatters so looks rough beside one that does not [D]; common practice, no source
MORE = "Where nothing in the picture is even, part of that is the picture. A wet or waxed base scatters less: photograph it so, and compare."


def with_grain(book: Book, picture: int, seen: Seen, told: Backlit) -> Backlit:
    """The same with the base's grain, where corners and the sheet's size were said and the photo is fine enough."""
    from firstsheet.printing import mottle as mottles

    if not seen.said["corners"] or not seen.said["size"]:
        missing = "" if not seen.said["corners"] else "Say the sheet's size, and the base's own grain is measured too."
        return replace(told, notes=(*told.notes, missing)) if missing else told
    fine, px_mm, bare = _finely(book, picture, seen)
    grain = mottles.mottle(fine, px_mm, bare)
    if grain is None:
        return replace(told, notes=(*told.notes, "The base's own grain cannot be told: the negative fills too few pixels of this photo, or has too little clear picture."))
    how_far = f"{grain.sd:.3f} D, 9 in 10 between {grain.low:.3f} and {grain.high:.3f} D" if grain.low > 0 else f"at most {grain.high:.3f} D, 9 in 10"
    words = f"The base's own grain: even places scatter by {how_far}, by structure from {grain.finest_mm:.1f} to {mottles.WIDEST_MM:.0f} mm."
    return replace(told, grain=grain, notes=(*told.notes, words, MORE))


def prints_as(grain_d: float | None, range_log: float) -> str:
    """What the base's grain prints as on a paper of this range [log10], in words; without a figure where it was not measured."""
    from firstsheet.printing import mottle as mottles

    if grain_d is None:
        return "The base's own grain prints as mottle; pale even tones show it first. It is not in these figures: a photo of the negative on a light, with its size, measures it."
    out = mottles.printed(grain_d, range_log)
    looks = "even tones look rough" if out > SEEN_D else "hardly seen"
    return f"The base's own grain, {grain_d:.3f} D as photographed, prints as about {out:.2f} D of mottle in the mid-tones: {looks}. A softer paper or a wet or waxed negative lessens it."


def _finely(book: Book, picture: int, seen: Seen) -> tuple[Any, float, tuple[np.ndarray[Any, Any], ...]]:
    """The framed picture as share of bare light [1], finely; a pixel of it [mm]; pieces of bare light at the same scale."""
    import numpy as np

    from firstsheet.acts import contact_photo
    from firstsheet.foresee import picture as pictures

    y, clipped, raw = contact_photo.light_of(book, picture, LONG_PX)
    long_mm = max(seen.said["size"])
    fine = contact_photo.framed(replace(seen, y=y, clipped=clipped, raw=raw), min(LONG_PX, round(long_mm / PX_MM)))
    px_mm = long_mm / max(fine.shape)
    high, wide = y.shape
    at = [(x * wide, v * high) for x, v in seen.said["corners"]]
    photo_px = max(math.dist(at[k], at[(k + 1) % 4]) for k in range(4)) / max(fine.shape)  # of the photo for one of the frame
    half = BARE_SHARE * min(high, wide)
    pieces = []
    for x, v in seen.said["bare"]:
        cx, cy = min(max(x * wide, half), wide - half), min(max(v * high, half), high - half)
        left, right, top, low = (cx - half) / wide, (cx + half) / wide, (cy - half) / high, (cy + half) / high
        corners = (left, top), (right, top), (right, low), (left, low)
        piece, _ = pictures.framed(y[:, :, None].astype(np.float32), clipped, corners, 1.0, max(16, round(2 * half / photo_px)))
        pieces.append(piece[:, :, 0])
    return fine, px_mm, tuple(pieces)
