"""The grain of a negative's base from its photo on a light, and what it prints as."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np

    from firstsheet.acts.contact_photo import Backlit, Seen
    from firstsheet.book.store import Book

LONG_PX = 2000
PX_MM = 0.3  # of a pixel of the framed picture, where the photo has so many [mm]; ours
LEAST_PX = 24  # a side of a piece of bare light, of the frame's pixels; ours
BARE_SHARE = 0.02  # half the side of a piece of bare light, of the photo's shorter edge; ours
TOLD_D = 0.005  # less is told as “at most” [D]
SEEN_D = 0.02  # an even tone that scatters so looks rough beside one that does not [D]; common practice, no source
MORE = "Where nothing in the picture is even, part of that is the picture. A wet or waxed base scatters less: photograph it so, and compare."


def with_grain(book: Book, picture: int, seen: Seen, told: Backlit) -> Backlit:
    """The same with the base's grain, where corners and the sheet's size were said and the photo is fine enough."""
    from firstsheet.printing import mottle as mottles

    lacking = [words for key, words in (("corners", "the picture's four corners"), ("size", "the sheet's size")) if not seen.said[key]]
    if lacking:
        return replace(told, notes=(*told.notes, f"Say {' and '.join(lacking)}, and the base's own grain is measured too."))
    fine, px_mm, bare = _finely(book, picture, seen)
    grain = mottles.mottle(fine, px_mm, bare)
    if grain is None:
        return replace(told, notes=(*told.notes, "The base's own grain cannot be told: the negative fills too few pixels of this photo, or has too little clear picture."))
    how_far = f"{grain.sd:.3f} D, 9 in 10 between {grain.low:.3f} and {grain.high:.3f} D" if grain.low > 0 else f"at most {grain.high:.3f} D, 9 in 10"
    words = f"The base's own grain: even places scatter by {how_far}, by structure from {grain.finest_mm:.1f} to {mottles.WIDEST_MM:.0f} mm."
    return replace(told, grain=grain, notes=(*told.notes, words, MORE))


def prints_as(negative: Mapping[str, Any], range_log: float) -> str:
    """What the base's grain prints as on a paper of this range [log10], in words; without a figure where it was not measured."""
    from firstsheet.printing import mottle as mottles

    if negative.get("grain_d") is None:
        return "The base's own grain prints as mottle; pale even tones show it first. It is not in these figures: a photo of the negative on a light, with its corners and the sheet's size, measures it."
    low, out, high = (mottles.printed(negative[k], range_log) for k in ("grain_low_d", "grain_d", "grain_high_d"))
    said = f"about {out:.2f} D ({low:.2f} to {high:.2f})" if low > TOLD_D else f"at most {high:.2f} D"
    looks = "even tones look rough" if low > SEEN_D or (out > SEEN_D and low > TOLD_D) else "even tones may look rough" if high > SEEN_D else "hardly seen"
    return f"The base's own grain, as photographed, prints as {said} of mottle in the mid-tones: {looks}. A softer paper or a wet or waxed negative lessens it."


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
    step = max(1, int(photo_px))  # as the frame was reduced
    light, off = contact_photo.blocks(y, step).astype(np.float32), np.zeros((high // step, wide // step), dtype=np.bool_)
    pieces = []
    for x, v in seen.said["bare"]:
        half = min(BARE_SHARE * min(high, wide), 0.7 * _off_frame((x * wide, v * high), at))  # nothing of the negative in it
        if 2 * half / photo_px < LEAST_PX:
            continue
        cx, cy = min(max(x * wide, half), wide - half), min(max(v * high, half), high - half)
        left, right, top, low = (cx - half) / wide, (cx + half) / wide, (cy - half) / high, (cy + half) / high
        corners = (left, top), (right, top), (right, low), (left, low)
        piece, _ = pictures.framed(light[:, :, None], off, corners, 1.0, max(16, round(2 * half / photo_px)))
        pieces.append(piece[:, :, 0])
    return fine, px_mm, tuple(pieces)


def _off_frame(place: tuple[float, float], corners: list[tuple[float, float]]) -> float:
    """How far a place lies from the nearest side of the frame [px]; 0 within it."""
    inside, nearest = True, math.inf
    for k in range(4):
        (ax, ay), (bx, by) = corners[k], corners[(k + 1) % 4]
        long = math.hypot(bx - ax, by - ay) or 1.0
        along = min(max(((place[0] - ax) * (bx - ax) + (place[1] - ay) * (by - ay)) / long**2, 0.0), 1.0)
        nearest = min(nearest, math.dist(place, (ax + along * (bx - ax), ay + along * (by - ay))))
        inside = inside and (bx - ax) * (place[1] - ay) - (by - ay) * (place[0] - ax) >= 0
    return 0.0 if inside else nearest
