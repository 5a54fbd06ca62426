"""Several packs tried on one masked sheet: which patches teach most, the window to print, and all of them read from one photo."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables
from firstsheet.acts import ahead_look, expose, own, pack, pack_known, versions
from firstsheet.acts.door import Door, Form
from firstsheet.acts.found import Found, Table
from firstsheet.acts.sheet import sheet
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.answers import SheetState
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book
    from firstsheet.colour.pack import Pack

MIDDLE = 0.5  # of a window, that is read: its rims may be shaded by the card; ours
MOST_UNEVEN = 0.15  # spread of light within that middle, of its mean; ours
APART_STOPS = 0.5  # of two patches through one pack; nearer, the second tells hardly more; ours
LONG_PX = 1000
FEW = 4  # patches, unless said


def ring(reader: Reader, form: Form | None = None) -> Found:
    """The patches of one masked sheet that teach most; those kept, where a masked sheet of this light and box waits to be read. Fields: patches (4 or
    6; those kept, else 4), light, box, seconds. Nothing is kept."""
    d = Door(form)
    light, box, n, seconds = _asked(d)
    d.close()
    key, light, box = pack_known.which(reader, light, box)
    return _told(reader, light, box, _waiting(reader, key, n) or _reckoned(reader, light, box, n or FEW), seconds)


def keep(book: Book, form: Form | None = None) -> Found:
    """The same, and the patches are kept until their sheet is read. Fields: as above; again (yes: reckon anew, the sheet asked for before was not made)."""
    d = Door(form)
    light, box, n, seconds = _asked(d)
    again = d.flag("again")
    d.close()
    key, light, box = pack_known.which(book, light, box)
    kept = None if again else _waiting(book, key, n)
    if kept is None:
        _not_a_sheet(book, _waiting(book, key, None))
        kept = _reckoned(book, light, box, n or FEW)
        book.add_thing(pack_known.RING, key, kept)
    return _told(book, light, box, kept, seconds)


def make(book: Book, form: Form | None = None) -> SheetState:
    """The patches that wait become a sheet of the book: a code for its back, its place in the box's count, its run at the trays. Fields: light, box, sun (as of `expose.keep`)."""
    d = Door(form)
    light, box, sun = d.pick("light", tables.load("lights")), d.name("box"), d.said("sun")
    d.close()
    key, light, box = pack_known.which(book, light, box)
    ring = _waiting(book, key, None)
    if ring is None:
        raise _not_asked()
    _not_a_sheet(book, ring)
    plan = pack_known.plan_of(book, light, box)
    if plan is None:
        raise Refusal.one("light", light, "The light and box of the plan: the patches' seconds go by it.", "Say the light, the box and a reading first.")
    seconds = pack_known.unfiltered_s(plan)
    with book.begin():
        made = expose.keep(book, {"sun": sun} if sun else None, patches=[", ".join(w) for w in _words(ring, seconds)])
        # its seconds go by the plan of now, whatever the patches were asked for by
        book.add_thing(pack_known.RING, key, ring | {"sheet": made.code, "unfiltered_s": seconds, "plan": pack_known.told_by(made.plan)})
    return made


def _not_asked() -> Refusal:
    return Refusal.one("patches", "", "A masked sheet that was asked for in this light from this box.", "Its patches come first: firstsheet pack ring, or “Six patches on one sheet”.", kind="missing")


def _not_a_sheet(reader: Reader, ring: dict[str, Any] | None) -> None:
    """Patches that lie in a sheet are not reckoned anew or kept twice, unless that sheet was given up."""
    if ring and ring.get("sheet") and sheet(reader, ring["sheet"]).state != "given up":
        raise Refusal.one("patches", ring["sheet"], f"Sheet {ring['sheet']} has the patches that were asked for.", "Read it from its photo, or give it up at the trays; then others are asked for.")


def _words(ring: dict[str, Any], seconds: float | None) -> list[tuple[str, str]]:
    from firstsheet.colour.pack import in_words

    return [(in_words(p["written"]), pack.time_words(p["log_time"], seconds)) for p in ring["patches"]]


def read(book: Book, form: Form | None = None, photo: bytes | None = None) -> Found:
    """All patches of the masked sheet that waits, from one photo. Fields: white “x,y”, corners (four places, from patch 1’s along the top), patches, light,
    box, seconds. Each patch is kept as one told pack, all with one mark; the next pack comes back."""
    from firstsheet.colour import cast

    d = Door(form)
    light, box, n, seconds = _asked(d)
    white = d.must("white", versions.place, "A place “x,y”, each from 0 to 1.", "Touch the white beside the sheet.")
    corners = d.must("corners", ahead_look.corners_said, "Four places “x,y”.", "Touch the sheet’s corners: the one by patch 1, then on along the top, and round.")
    if not photo:
        d.problems.add("photo", "", "A photo of the sheet beside a white.", "Dry, flat, in daylight.")
    d.close()
    assert white is not None
    assert corners is not None
    assert photo is not None
    key, light, box = pack_known.which(book, light, box)
    ring = _waiting(book, key, None)
    if ring is None:
        raise _not_asked()
    if n and n != len(ring["patches"]):
        raise Refusal.one("patches", n, f"{len(ring['patches'])}: so many were asked for.", "Leave it out.")
    kept = pack_known.kept_sheets(book, key)
    mask = 1 + max((s.get("mask", 0) for s in kept), default=0)
    rows, silent = [], []
    size = (ring["size_mm"][0], ring["size_mm"][1])
    for k, (p, rgb) in enumerate(zip(ring["patches"], _middles(photo, white, corners, size, _windows(ring)), strict=True), 1):
        try:
            if rgb is None:
                raise Refusal.one("photo", "uneven", "One tone.")
            seen = cast.measured(rgb, (1.0, 1.0, 1.0))
            rows.append(pack.row_of(tuple(p["real"]), p["log_time"], seen, ring["plan"], mask) | ({"sheet": ring["sheet"], "bright": True} if ring.get("sheet") else {}))
        except Refusal:
            silent.append(str(k))
    if not rows:
        raise Refusal.one("photo", "", f"At least one of the {len(ring['patches'])} grey patches that is neither white nor black nor uneven.",
                          "Touch the white and the corners again, from patch 1’s along the top; or tell the best patch in words.")  # fmt: skip
    with book.begin():
        book.add_thing(pack_known.THING, key, {"sheets": [*kept, *rows]})
        book.add_thing(pack_known.RING, key, ring | {"read": True})
    left_out = (f"Not read, too light, too dark or uneven: {', '.join(silent)}.",) if silent else ()
    return pack.answer_for(book, key, light, box, seconds, (f"{len(rows)} of {len(ring['patches'])} patches read from one sheet.", *left_out))


def waits(reader: Reader, light: str | None = None, box: str | None = None) -> int:
    """How many patches the masked sheet has that waits to be read; 0 where none does."""
    try:
        ring = _waiting(reader, pack_known.which(reader, light, box)[0], None)
    except Refusal:
        return 0
    return len(ring["patches"]) if ring else 0


def kept_as(reader: Reader, light: str | None = None, box: str | None = None) -> str:
    """The code of the sheet that has the patches that wait; "" where they are not kept as one, or it was given up."""
    ring = _waiting(reader, pack_known.which(reader, light, box)[0], None)
    code = str(ring.get("sheet") or "") if ring else ""
    return "" if code and sheet(reader, code).state == "given up" else code


def _waiting(reader: Reader, key: str, n: int | None) -> dict[str, Any] | None:
    body = next((t["body"] for t in reader.things(pack_known.RING) if t["name"] == key), None)
    return body if body and not body["read"] and n in (None, len(body["patches"])) else None


def _told(reader: Reader, light: str, box: str, ring: dict[str, Any], seconds: float | None) -> Found:
    from firstsheet.drawing.ring_mask import ring_mask

    seconds = seconds or pack_known.unfiltered_s(pack_known.plan_of(reader, light, box)) or ring["unfiltered_s"]
    each = _words(ring, seconds)
    rows = tuple((str(i + 1), *words) for i, words in enumerate(each))
    data = tuple({"patch": i + 1, "pack_cc": p["real"], "stops": p["log_time"] / math.log10(2.0)} for i, p in enumerate(ring["patches"]))
    notes = (
        f"It is sheet {ring['sheet']}." if ring.get("sheet") else "Keep it as a sheet: a code for its back, its place in the box’s count, its run at the trays.",
        "A grey card fills the picture. Print the mask and cut its window into black card, with the nick by patch 1; lay it over the sheet, move the window, never the sheet; cap the lens between.",
        "When the sheet is dry, photograph it flat in daylight beside something white and touch the white and the sheet’s corners: all patches are read at once, and count as one sheet.",
    )
    n = len(rows)
    short = ring["short"]
    made_for = f"{pack.light_words(light)}, box {box}"
    first = f"{short + ' ' if short else ''}{n} patches on one sheet, for {made_for}: the ones expected to leave least doubt."
    size = (ring["size_mm"][0], ring["size_mm"][1])
    return Found("pack_ring", first, (), (Table("Patches", ("", "pack", "time"), rows, data),), notes, (pack.DARK,), drawing=ring_mask(size, _windows(ring), [", ".join(w) for w in each], made_for))


def _windows(ring: dict[str, Any]) -> list[tuple[float, float, float, float]]:
    """Each patch's window on the sheet [mm]."""
    from firstsheet.colour import ring as rings

    return rings.windows(len(ring["patches"]), *ring["size_mm"])


def of_kept(book: Book, picture: int, form: Form, places: list[str]) -> Found:
    """The same from a photo that is kept, by places “x,y” as touched: the white, then the grey; with `patches` the white, then four corners."""
    jpeg = book.get_picture(picture)["data"]
    if form.get("patches"):
        return read(book, {**{k: v for k, v in form.items() if k != "sheet"}, "white": places[0], "corners": " ".join(places[1:])}, jpeg)
    white, grey = (" ".join(f"{100 * v:.2f}%" for v in versions.place(p)) for p in places)
    return pack.told(book, {**form, "white_at": white, "grey_at": grey}, jpeg)


def _asked(d: Door) -> tuple[str | None, str | None, int | None, float | None]:
    return d.pick("light", tables.load("lights")), d.name("box"), d.read("patches", q.count), d.read("seconds", lambda t: q.duration_s(t, bare="s"))


def _reckoned(reader: Reader, light: str, box: str, n: int) -> dict[str, Any]:
    """A masked sheet as it is kept: each patch's pack as the gels can make it, with its own time; the sheet's size [mm]; what the gels cannot make, said."""
    from dataclasses import replace

    import numpy as np

    from firstsheet.acts.plan import as_body
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

    near_by: dict[rings.Change, Pack] = {}
    for change in rings.OFFERED:
        if all(p + d >= 0 for p, d in zip(now.real, change[:3], strict=True)):
            p = made(change)
            y, m, c = (round(a - b, 3) for a, b in zip(p.real, now.real, strict=True))
            stops = (p.log_time - now.log_time) / math.log10(2.0)
            like = [k[3] for k in near_by if k[:3] == (y, m, c)] + ([0.0] if not (y or m or c) else [])
            if all(abs(stops - s) >= APART_STOPS for s in like):
                near_by[y, m, c, stops] = p
    chosen = rings.choose(belief, matrix, (now.real, now.log_time), n, tuple(near_by))
    out = [now, *(near_by[c] for c in chosen[1:])]
    body = own.one(reader, "box", box).body
    size = float(body["width_mm"]), float(body["height_mm"])
    rings.windows(n, *size)  # refuses what does not fit
    by = pack_known.plan_of(reader, light, box)
    return {
        "patches": [{"written": list(p.written), "real": list(p.real), "log_time": p.log_time} for p in out], "size_mm": list(size), "read": False,
        "short": pack.short_of(now, aim, light)[0], "unfiltered_s": pack_known.unfiltered_s(by), "plan": pack_known.told_by(as_body(by)) if by else None,
    }  # fmt: skip


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
