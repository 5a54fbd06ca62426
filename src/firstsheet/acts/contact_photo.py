"""A negative photographed on a light, bare light beside it: its range by transmission, kept as a negative."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import wording
from firstsheet.acts import contact_grain, contact_kept, versions
from firstsheet.acts.ahead_look import corners_said
from firstsheet.acts.contact_kept import NEGATIVE, NegativeKnown
from firstsheet.acts.door import Door, Form, short_name, whole
from firstsheet.answer import Z90
from firstsheet.printing import contact as core
from firstsheet.printing import negative as negatives
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    import numpy as np

    from firstsheet.book.store import Book
    from firstsheet.printing.backlit import Bare
    from firstsheet.printing.mottle import Mottle

PHOTO = "negative_photo"  # what was touched in a negative's photo, kept beside the negative
SAID = "a negative on a light"
OWN = ("name", "side", "state")
LONG_PX = 1000
ENDS_PX = 240  # at which the framed picture's ends are sought: a tone is wider than paper grain
UNEVEN_SD = 0.06  # of the bare light behind the negative, worth a word [log10]
SIDES = ("emulsion", "back")


@dataclass(frozen=True, slots=True)
class Backlit:
    """What the photo tells. By transmission, base included [D]: clear_d, dense_d with their sds, range_d with range_sd; uneven_stops: the bare light
    from its brightest to its dimmest place in the picture [stop]; veil: light over all as a share of bare light [1]; grade that holds the range;
    grain: how the base scatters by itself [D], None where the sheet's size or corners were not said or the photo is too coarse."""

    picture: int
    clear_d: float
    clear_sd: float
    dense_d: float
    dense_sd: float
    range_d: float
    range_sd: float
    uneven_stops: float
    veil: float
    grade: int | None
    words: str
    notes: tuple[str, ...]
    grain: Mottle | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """A photo with its bare light known. y [height × width, 1]; veil and its sd [1]."""

    y: np.ndarray[Any, Any] = field(repr=False)
    clipped: np.ndarray[Any, Any] = field(repr=False)
    bare: Bare
    veil: tuple[float, float]
    raw: bool
    said: dict[str, Any]


def take_in(book: Book, data: bytes) -> int:
    """Keep a photo of a negative on a light, or of the bare light; upright and without position. Its number."""
    from firstsheet.light.photo import receive

    got = receive(data)
    return book.add_picture("image/jpeg", got.kept_jpeg, {"width": got.width, "height": got.height, "said": SAID, "raw": got.raw, "warnings": list(got.warnings)})


def size(book: Book, picture: int) -> tuple[int, int]:
    """Width and height of such a photo [px]."""
    body = _row(book, picture)["body"]
    return int(body["width"]), int(body["height"])


def look(book: Book, picture: int, form: Form | None = None) -> Backlit:
    """The negative's range. Nothing is stored. Fields, places “x,y” as fractions from left and top: bare (one or more, best on opposite sides),
    opaque (a coin or card on the light), thin and dense, or corners of the picture (four, from top left clockwise) for both; size (of the sheet);
    bare_photo (number of a photo of the bare light alone)."""
    seen = seen_of(book, picture, form)
    return contact_grain.with_grain(book, picture, seen, _told(picture, seen))


def keep(book: Book, picture: int, form: Form | None = None) -> NegativeKnown:
    """Keep the negative so measured. Fields as in `look`, and name, state (dry, wet), side (emulsion, back: what lay toward the camera)."""
    every = dict(form or {})
    d = Door({k: v for k, v in every.items() if k in OWN})
    rest = touched(every)
    name = d.must("name", short_name, "A name, or its sheet's code.", "Try “boat”.")
    side = d.pick("side", SIDES) or SIDES[0]
    state = d.pick("state", ("dry", "wet")) or "dry"
    told = None
    with d.problems.at(""):
        told = look(book, picture, rest)
    d.close()
    assert name is not None
    assert told is not None
    each_sd = math.hypot(told.clear_sd, told.dense_sd) / math.sqrt(2.0)
    with book.begin():
        grain = {"grain_d": told.grain.sd, "grain_low_d": told.grain.low, "grain_high_d": told.grain.high} if told.grain else {}
        book.add_thing(NEGATIVE, name, {"clear_d": told.clear_d, "dense_d": told.dense_d, "sd_d": each_sd, "state": state} | grain)
        places = {k: str(v) for k, v in rest.items() if str(v).strip()}
        book.add_thing(PHOTO, name, {"picture": picture, "form": places, "side": side})
    return next(k for k in contact_kept.negatives_kept(book) if k.name == name)


def touched(form: Form) -> dict[str, Any]:
    """Of what `keep` was told, what `look` goes by."""
    return {k: v for k, v in form.items() if k not in OWN}


def photographed(book: Book) -> tuple[str, ...]:
    """Names of negatives whose photo shows the whole picture, so that a positive can be drawn."""
    return tuple(str(t["name"]) for t in book.things(PHOTO) if t["body"]["form"].get("corners"))


def _row(book: Book, picture: int) -> dict[str, Any]:
    row: dict[str, Any] = book.get_picture(picture)
    if row["body"].get("said") != SAID:
        raise Refusal.one("photo", picture, "A photo of a negative on a light.", "Send it first.", kind="missing")
    return row


def light_of(book: Book, picture: int, long_px: int = LONG_PX) -> tuple[Any, Any, bool]:
    """Relative luminance, where it is clipped, and whether it came from a raw file."""
    from firstsheet.foresee import redraw

    row = _row(book, picture)
    light, clipped = redraw.linear_rgb(row["data"], long_px)
    return light @ redraw.REC709, clipped, bool(row["body"].get("raw"))


def seen_of(book: Book, picture: int, form: Form | None) -> Seen:
    from firstsheet.printing import backlit

    d = Door(form)
    said: dict[str, Any] = {
        "bare": d.must("bare", _places, "Places where nothing lies over the light, “x,y” each.", "Best one on either side: “0.05,0.5 0.95,0.5”."),
        **{k: d.read(k, versions.place) for k in ("opaque", "thin", "dense")},
        "corners": d.read("corners", corners_said),
        "size": d.read("size", _size_mm),
    }
    for k in ("thin", "dense"):
        if said[k] is None and said["corners"] is None and k not in {p.where for p in d.problems.found}:
            d.problems.add(k, "", "The clearest and the densest place that must hold; or the picture's four corners.", "Try “0.4,0.7”.")
    other = d.read("bare_photo", lambda t: whole(t, 1, 999_999_999))
    d.close()
    y, clipped, raw = light_of(book, picture)
    shape = backlit.shape_of(*light_of(book, other)[:2]) if other is not None else None
    veiled = backlit.veil(y, said["opaque"])
    return Seen(y, clipped, backlit.bare_light(y, clipped, said["bare"], veiled[0], shape), veiled, raw, said)


def _size_mm(text: str) -> tuple[float, float]:
    size = q.sheet_size_mm(text)
    if max(size) > 20 * min(size):
        raise Refusal.one("", text, "At most twenty times as long as wide.", "Try “8x10 in”.")
    return size


def _places(text: str) -> tuple[tuple[float, float], ...]:
    return tuple(versions.place(part) for part in text.split())


def _told(picture: int, seen: Seen) -> Backlit:
    from firstsheet.printing import backlit

    d = Door(None)
    found: dict[str, backlit.Density] = {}
    for k in ("thin", "dense"):
        if seen.said[k] is not None:
            with d.problems.at(k):
                found[k] = backlit.density_at(seen.y, seen.clipped, seen.said[k], seen.bare, seen.veil, seen.raw)
    if len(found) < 2 and seen.said["corners"] and not d.problems.found:
        frame = framed(seen, ENDS_PX)
        with d.problems.at("corners"):
            ends = backlit.ends_of(frame, seen.bare, seen.said["corners"], seen.veil, seen.raw)
            found = dict(zip(("thin", "dense"), ends, strict=True)) | found
    d.close()
    thin, dense = found["thin"], found["dense"]
    n = negatives.checked(thin.d, dense.d, dense.sd, "dry")
    range_sd = math.hypot(thin.sd, dense.sd)
    g = core.grade_for(n.range_d)
    share = seen.veil[0] / 10.0 ** seen.bare.at((0.5, 0.5))[0]
    fits = f"grade {g} holds it" if g is not None else "no grade from 0 to 5 holds it"
    words = f"From {thin.d:.2f} to {dense.d:.2f} D by transmission, a range of {n.range_d:.2f} D give or take {Z90 * range_sd:.2f}; {fits}."
    uneven = seen.bare.uneven / math.log10(2.0)
    return Backlit(picture, thin.d, thin.sd, dense.d, dense.sd, n.range_d, range_sd, uneven, share, g, words, _notes(seen, uneven, share, thin.d))


def _notes(seen: Seen, uneven: float, share: float, thin_d: float) -> tuple[str, ...]:
    from firstsheet.printing import mottle

    bare_inside = thin_d < mottle.LEAST_BASE_D
    out = ["The clearest place passes nearly all the light: is bare light inside the corners, a gap or a torn edge? Touch them again."] if bare_inside else []
    out.append(f"Taken out: the bare light's unevenness over the photo, {wording.stops_apart(uneven)}; the veil of lens and camera, {100 * share:.1f} % of the bare light.")
    if seen.said["opaque"] is None:
        out.append("The veil is assumed. A coin on the light, touched as the opaque place, measures it; black card over the bare light but for a small window lessens it.")
    if seen.bare.at((0.5, 0.5))[1] > UNEVEN_SD:
        out.append("How bright the light is behind the negative is hardly told: touch bare light both beside the middle of its sides and in a corner of the photo; or photograph the bare light with nothing on it.")
    if not seen.raw:
        out.append("A phone bends tones; a raw file does not.")
    out.append("Paper sees blue: a stained or yellowed negative prints denser than this photo shows it.")
    return tuple(out)


def framed(seen: Seen, long_px: int) -> Any:
    """Share of bare light that passes, of the framed picture [height × width, 1]."""
    import numpy as np

    from firstsheet.foresee import picture as pictures
    from firstsheet.printing import backlit

    corners = seen.said["corners"]
    y = seen.y
    high, wide = y.shape
    at = [(x * wide, v * high) for x, v in corners]
    across, down = (math.dist(at[0], at[1]) + math.dist(at[3], at[2])) / 2, (math.dist(at[0], at[3]) + math.dist(at[1], at[2])) / 2
    if seen.said["size"]:
        short, long = sorted(seen.said["size"])
        aspect = long / short if across >= down else short / long
    else:
        aspect = min(max(across / max(down, 1.0), 0.05), 20.0)  # corners on one another are refused below
    through = backlit.passed(y, seen.bare, seen.veil[0]).astype(np.float32)
    through = blocks(through, max(1, int(max(across, down) / long_px)))
    flat, _ = pictures.framed(through[:, :, None], np.zeros(through.shape, dtype=np.bool_), corners, aspect, long_px)
    return np.maximum(flat[:, :, 0], 1e-4)


def blocks(light: Any, step: int) -> Any:
    """Means of blocks of `step` pixels: a place's tone, not one pixel's noise."""
    high, wide = (n - n % step for n in light.shape)
    return light[:high, :wide].reshape(high // step, step, wide // step, step).mean(axis=(1, 3))
