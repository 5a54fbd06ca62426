"""The slow part of a look at the sheet ahead: a photo framed, turned and weighed as this paper sees it; remembered while sliders move."""

from __future__ import annotations

import hashlib
import math
import threading
from collections import OrderedDict
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from firstsheet import wording
from firstsheet.acts import own
from firstsheet.acts.answers import Plan
from firstsheet.light import words as light_words
from firstsheet.paper import response
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.book.store import Book
    from firstsheet.foresee.depth import Optics
    from firstsheet.foresee.picture import Floats, Laid

KEPT_PLANES = 3  # of about 12 MB each
SOME_CLIPPED = 0.02  # of the touched place, worth a word
_LOCK = threading.Lock()
_PLANES: OrderedDict[tuple[Any, ...], Plane] = OrderedDict()


@dataclass(frozen=True, slots=True)
class Frame:
    """What is asked of the photo: seen_on the board or the scene, corners of the sheet, the touched place and what lies there, printed
    or the sheet itself, distances, size of another sheet [mm], what lens and sitter add, a filter on the lens, the kind of light."""

    way: str
    seen_on: str
    corners: tuple[tuple[float, float], ...] | None
    face: tuple[float, float] | None
    tone: str
    printed: bool
    depths: tuple[tuple[float, float, float], ...] | None
    size: tuple[float, float] | None
    laid: Laid
    filter: str = ""
    light: str = "sun"
    share: float = 1.0  # of the photo's long side that the sheet sees


@dataclass(frozen=True, slots=True, eq=False)
class Plane:
    """light: exposure over the mid-tone's on the sheet; face_stops: the touched place as this paper sees it, from the mid-tone [stop],
    None where nothing was touched; notes on the photo."""

    light: Floats = field(repr=False)
    face_stops: float | None
    notes: tuple[str, ...]


def plane(book: Book, picture: int, f: Frame, p: Plan | None) -> Plane:
    """Exposure over the mid-tone's, remembered for as long as only the last stage changes."""
    from firstsheet.foresee.depth import Optics

    data: bytes = book.get_picture(picture)["data"]
    size = f.size or size_of(book, p)
    weights = _weights(f.way, f.light, f.filter)
    optics = Optics(p.subject_mm, _focal(p), p.aperture or 8.0) if f.depths and p and p.subject_mm else None
    key = (hashlib.sha256(data).digest(), f, size, weights, optics)
    with _LOCK:
        if key in _PLANES:
            _PLANES.move_to_end(key)
            return _PLANES[key]
    made = _made(data, f, size, weights, optics)
    with _LOCK:
        _PLANES[key] = made
        while len(_PLANES) > KEPT_PLANES:
            _PLANES.popitem(last=False)
    return made


def _made(data: bytes, f: Frame, size: tuple[float, float], weights: tuple[Any, ...], optics: Optics | None) -> Plane:
    import numpy as np

    from firstsheet.foresee import board, depth, picture, redraw

    rgb, clipped = redraw.linear_rgb(data, 2000)
    notes = list(board.cast(rgb, clipped))
    middle, face = _middle(rgb, clipped, f, notes)
    if f.corners:
        frame: Any = f.corners
        rgb, clipped = picture.framed(rgb, clipped, frame, _aspect(frame, rgb.shape, size))
    else:
        frame = picture.middle_of(rgb.shape, size[0] / size[1], f.share)
        rgb, clipped = picture.cropped(rgb, clipped, size[0] / size[1], f.share)
    # On the board the picture hangs upside down and, seen facing it, as the sheet will have it; a scene is as the lens looks at it.
    mirrored = (f.seen_on == "scene") != f.printed
    rgb = np.ascontiguousarray(picture.turned(rgb, f.seen_on == "board", mirrored))
    across = max(size) if rgb.shape[1] > rgb.shape[0] else min(size)
    got = picture.receive(rgb, weights, middle, across)
    if optics and f.depths:
        got = replace(got, exposure=depth.blurred(got, rgb, depth.placed(f.depths, frame, mirrored), optics))
    laid = f.laid
    if (rgb.shape[1] > rgb.shape[0]) != (size[0] > size[1]):  # the sheet hangs the other way than its box says: so do its corners
        laid = replace(laid, falloff=tuple(zip(*laid.falloff, strict=True)))
    return Plane(picture.laid(got, laid), _seen_stops(face, weights, middle), tuple(notes))


def field_share(book: Book, p: Plan | None, size: tuple[float, float] | None, equivalent_mm: float) -> tuple[float | None, str]:
    """Which share of a photo's long side the sheet's field is, and that in words. The sheet sees its long side over the board's distance;
    a photo of focal length f, as on 35 mm film, 36 mm over f."""
    if p is None or p.board_mm is None:
        return None, "Nobody said how far the sitter is: the photo is not cut to the sheet’s field."
    share = max(size or size_of(book, p)) / p.board_mm / (36.0 / equivalent_mm)
    if share > 1.0:
        return 1.0, f"The sheet sees more than this photo: the photo is {wording.share(1.0 / share)} of its long side. Take one with a shorter focal length."
    return share, f"Cut to what the sheet sees: {wording.share(share)} of the photo’s long side."


def _seen_stops(face: Any, weights: tuple[Any, ...], middle: float) -> float | None:
    """The touched place from the mid-tone as the emulsion sees it [stop]: lips and skin are darker to paper that sees blue alone."""
    import numpy as np

    from firstsheet.colour.layers import LUMINANCE

    if face is None:
        return None
    seen = np.asarray(weights) @ face
    one = float(seen @ LUMINANCE) if seen.ndim else float(seen)
    return math.log2(max(one / middle, 1e-4))


def _aspect(corners: Any, shape: tuple[int, ...], size: tuple[float, float]) -> float:
    """Width over height of the sheet as its corners lie in the photo, upright or across."""
    across = math.dist(*[(x * shape[1], y * shape[0]) for x, y in corners[:2]])
    down = math.dist(*[(x * shape[1], y * shape[0]) for x, y in corners[1:3]])
    short, long = min(size), max(size)
    return long / short if across > down else short / long


def _focal(p: Plan) -> float:
    """Focal length that the plan's distances imply [mm]: u = f(1 + 1/m)."""
    assert p.subject_mm is not None
    assert p.magnification is not None
    return p.subject_mm / (1.0 + 1.0 / p.magnification)


def _middle(rgb: Any, clipped: Any, f: Frame, notes: list[str]) -> tuple[float, Any]:
    """The photo's value of a mid-tone, and the touched place's red, green and blue: from its tone as a meter sees it, else the middle
    of the picture."""
    import numpy as np

    from firstsheet.foresee import redraw

    if f.face is None:
        return max(float(np.median(rgb[::4, ::4] @ redraw.REC709)), 1e-4), None
    there = redraw.disc(rgb.shape, f.face)
    lost = float(clipped[there].mean())
    if lost > 0.5:
        raise Refusal.one("face", "clipped in the photo", "A place with tone in it.", "Touch it elsewhere, or photograph it a little darker.")
    if lost > SOME_CLIPPED:
        notes.append(f"Of the touched place {wording.share(lost)} is clipped in the photo: it is brighter than it is taken for, and all is drawn too light.")
    face = rgb[there].mean(axis=0)
    return max(float(face @ redraw.REC709), 1e-4) / math.pow(2.0, light_words.tone(f.tone).stops), face


@lru_cache(maxsize=64)
def _weights(way: str, light_key: str, filter_: str) -> tuple[Any, ...]:
    """Red, green and blue as this paper sees them in this light, through a lens of clear glass and a filter on it; a row for each layer
    of colour paper. A grey keeps its value: the filter's factor is given."""
    from firstsheet.light import filters
    from firstsheet.light import spectrum as sp
    from firstsheet.paper import emulsion, subjects

    kind = str(response.way_of(way)["sensitivity"])
    light = sp.kinds()[light_key if light_key in sp.kinds() else "sun"].spectrum
    through = (sp.lens_glass(), *((filters.read(filter_),) if filter_ else ()))
    if kind == "colour":
        return tuple(subjects.rgb_weights(light, key, through) for key in emulsion.LAYERS)
    return subjects.rgb_weights(light, emulsion.OF_PAPER[kind], through)


def size_of(book: Book, p: Plan | None) -> tuple[float, float]:
    """Width and height of the sheet [mm]: the planned box's, else 16 × 20 inches, near enough."""
    if p is None:
        return (400.0, 500.0)
    box = own.one(book, "box", p.box).body
    return float(box["width_mm"]), float(box["height_mm"])
