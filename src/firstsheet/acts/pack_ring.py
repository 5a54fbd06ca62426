"""Several packs tried on one masked sheet: which patches teach most, the window to print, and all of them read from one photo."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables
from firstsheet.acts import ahead_look, own, pack, pack_known, versions
from firstsheet.acts.door import Door, Form
from firstsheet.acts.found import Found, Table
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book
    from firstsheet.colour.pack import Pack

MIDDLE = 0.5  # of a window, that is read: its rims may be shaded by the card; ours
MOST_UNEVEN = 0.15  # spread of light within that middle, of its mean; ours
LONG_PX = 1000


def ring(reader: Reader, form: Form | None = None) -> Found:
    """The patches of one masked sheet that teach most. Fields: patches (4 or 6), light, box, seconds. Nothing is kept."""
    from firstsheet.drawing.ring_mask import ring_mask

    d = Door(form)
    asked = _asked(d)
    d.close()
    light, box, n, seconds = _known(reader, *asked)
    each, size, windows, short = _patches(reader, light, box, n)
    said = [f"{_words(p)}, {pack.time_words(p.log_time, seconds)}" for p in each]
    rows = tuple((str(i + 1), _words(p), pack.time_words(p.log_time, seconds)) for i, p in enumerate(each))
    data = tuple({"patch": i + 1, "pack_cc": list(p.real), "stops": p.log_time / math.log10(2.0)} for i, p in enumerate(each))
    notes = (
        "A grey card fills the picture. Print the mask and cut its window into black card; lay it over the sheet, move the window, never the sheet; cap the lens between.",
        "When the sheet is dry, photograph it flat in daylight beside something white and touch the white and the sheet’s corners: all patches are read at once, and count as one sheet. "
        "Tell it before any other sheet of this light, for the patches are those planned now.",
    )
    first = f"{short + ' ' if short else ''}{n} patches on one sheet, for {pack.light_words(light)}: the ones expected to leave least doubt."
    return Found("pack_ring", first, (), (Table("Patches", ("", "pack", "time"), rows, data),), notes, (pack.DARK,), drawing=ring_mask(size, windows, said))


def read(book: Book, form: Form | None = None, photo: bytes | None = None) -> Found:
    """All patches of a masked sheet from one photo. Fields: white “x,y”, corners (four places, from patch 1’s along the top), patches, light,
    box, seconds. Each patch is kept as one told pack, all with one mark; the next pack comes back."""
    from firstsheet.colour import cast

    d = Door(form)
    asked = _asked(d)
    white = d.must("white", versions.place, "A place “x,y”, each from 0 to 1.", "Touch the white beside the sheet.")
    corners = d.must("corners", ahead_look.corners_said, "Four places “x,y”.", "Touch the sheet’s corners: the one by patch 1, then on along the top, and round.")
    if not photo:
        d.problems.add("photo", "", "A photo of the sheet beside a white.", "Dry, flat, in daylight.")
    d.close()
    assert white is not None
    assert corners is not None
    assert photo is not None
    speed = None if asked[3] else pack_known.speed_of(book, *pack_known.which(book, *asked[:2])[1:])
    light, box, n, seconds = _known(book, *asked)
    each, size, windows, _ = _patches(book, light, box, n)
    key = pack_known.which(book, light, box)[0]
    kept = pack_known.kept_sheets(book, key)
    mask = 1 + max((s.get("mask", 0) for s in kept), default=0)
    rows, silent = [], []
    for k, (p, rgb) in enumerate(zip(each, _middles(photo, white, corners, size, windows), strict=True), 1):
        try:
            if rgb is None:
                raise Refusal.one("photo", "uneven", "One tone.")
            seen = cast.measured(rgb, (1.0, 1.0, 1.0))
            rows.append(pack.row_of(p.real, p.log_time, seen, speed, mask))
        except Refusal:
            silent.append(str(k))
    if not rows:
        raise Refusal.one("photo", "", "At least one grey patch that is neither white nor black nor uneven.", "Touch the corners again, from patch 1’s along the top; or tell the best patch in words.")
    book.add_thing(pack_known.THING, key, {"sheets": [*kept, *rows]})
    left_out = (f"Not read, too light, too dark or uneven: {', '.join(silent)}.",) if silent else ()
    return pack.answer_for(book, key, light, box, seconds, (f"{len(rows)} of {n} patches read from one sheet.", *left_out))


def of_kept(book: Book, picture: int, form: Form, places: list[str]) -> Found:
    """The same from a photo that is kept, by places “x,y” as touched: the white, then the grey; with `patches` the white, then four corners."""
    jpeg = book.get_picture(picture)["data"]
    if form.get("patches"):
        return read(book, {**form, "white": places[0], "corners": " ".join(places[1:])}, jpeg)
    white, grey = (" ".join(f"{100 * v:.2f}%" for v in versions.place(p)) for p in places)
    return pack.told(book, {**form, "white_at": white, "grey_at": grey}, jpeg)


def _asked(d: Door) -> tuple[str | None, str | None, int, float | None]:
    return d.pick("light", tables.load("lights")), d.name("box"), d.read("patches", q.count) or 4, d.read("seconds", lambda t: q.duration_s(t, bare="s"))


def _known(reader: Reader, light: str | None, box: str | None, n: int, seconds: float | None) -> tuple[str, str, int, float | None]:
    _, light, box = pack_known.which(reader, light, box)
    return light, box, n, seconds or pack_known.planned_s(reader, light, box)


def _patches(reader: Reader, light: str, box: str, n: int) -> tuple[list[Pack], tuple[float, float], list[Any], str]:
    """Each patch's pack as the gels can make it, with its own time; the sheet's size [mm]; its windows [mm]; what the gels cannot make, said."""
    from dataclasses import replace

    import numpy as np

    from firstsheet.colour import layers
    from firstsheet.colour import pack as packs
    from firstsheet.colour import ring as rings

    belief, aim, now = pack_known.solved(reader, light, box, pack_known.kept_sheets(reader, pack_known.which(reader, light, box)[0]))
    matrix, gels = pack_known.matrix_of(light), pack_known.owned_gels(reader)

    def made(change: rings.Change) -> Pack:
        """The nearest the gels can make, as bright as the wished one by its own time."""
        ((wanted, log_time),) = rings.packs(now.real, now.log_time, (change,))
        wish = matrix @ np.array(wanted)
        near = packs.of_gels(wish, matrix, gels)
        return replace(near, log_time=log_time + layers.luminance(matrix @ np.array(near.real)) - layers.luminance(wish))

    by: dict[rings.Change, Pack] = {}
    for change in rings.OFFERED:
        if all(p + d >= 0 for p, d in zip(now.real, change[:3], strict=True)):
            p = made(change)
            y, m, c = (round(a - b, 3) for a, b in zip(p.real, now.real, strict=True))
            by.setdefault((y, m, c, round((p.log_time - now.log_time) / math.log10(2.0), 1)), p)
    by.pop((0.0, 0.0, 0.0, 0.0), None)
    chosen = rings.choose(belief, matrix, (now.real, now.log_time), n, tuple(by))
    out = [now, *(by[c] for c in chosen[1:])]
    body = own.one(reader, "box", box).body
    size = float(body["width_mm"]), float(body["height_mm"])
    return out, size, rings.windows(n, *size), pack.short_of(now, aim, light)


def _middles(photo: bytes, white: Any, corners: Any, size: tuple[float, float], windows: Any) -> list[tuple[float, float, float] | None]:
    """Linear light of each window's middle over the white's; None where it is clipped or of more than one tone."""
    import numpy as np

    from firstsheet.foresee import patches, picture, redraw
    from firstsheet.light.photo import receive

    jpeg = receive(photo).kept_jpeg
    paper = np.array(patches.touched(jpeg, {"white": white}, ("white",))["white"].rgb)
    light, clipped = redraw.linear_rgb(jpeg, 2000)
    flat, off = picture.framed(light, clipped, corners, size[0] / size[1], long_px=LONG_PX)
    high, wide = flat.shape[:2]
    out: list[tuple[float, float, float] | None] = []
    for x, y, w, h in windows:
        rim = (1.0 - MIDDLE) / 2
        rows = slice(int((y + rim * h) / size[1] * high), max(int((y + (1 - rim) * h) / size[1] * high), 1))
        cols = slice(int((x + rim * w) / size[0] * wide), max(int((x + (1 - rim) * w) / size[0] * wide), 1))
        part = flat[rows, cols].reshape(-1, 3)
        y_of = part @ redraw.REC709
        if not len(part) or off[rows, cols].mean() > patches.MOST_CLIPPED or float(y_of.std()) > MOST_UNEVEN * max(float(y_of.mean()), 0.02):
            out.append(None)
            continue
        r, g, b = np.median(part, axis=0) / paper
        out.append((float(r), float(g), float(b)))
    return out


def _words(p: Pack) -> str:
    from firstsheet.colour.pack import in_words

    return in_words(p.written)
