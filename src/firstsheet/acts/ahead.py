"""The sheet before it is spent: drawn from a photo through what is known of this paper, with its doubt; afterwards held against the
sheet that came, and learned from."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Any

from firstsheet import wording
from firstsheet.acts import ahead_look, judge, versions
from firstsheet.acts.ahead_look import AheadLook
from firstsheet.acts.answers import Change, PackOn, Plan, SheetState
from firstsheet.acts.door import Door, Form
from firstsheet.acts.found import Figure, Found
from firstsheet.acts.sheet import mark, sheet
from firstsheet.exposure.chain import Link
from firstsheet.light import pixels
from firstsheet.light import words as light_words
from firstsheet.paper import response
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.book.store import Book

FORETOLD = "foretold"
FIVE_Z = (-1.2816, -0.5244, 0.0, 0.5244, 1.2816)  # middles of five equal chances of a normal doubt
CONTRASTS = (1.0, -1.0, 0.0, 1.0, -1.0)  # of each version, in doubts of the curve's contrast: speed and contrast are not known apart
FIVE_PX = 700


@dataclass(frozen=True, slots=True)
class Compared:
    """The sheet that came against the one foretold: stops as if it had got more light, its doubt, the mean difference of density [D],
    the share of the picture that could be compared [1], in words; what it changed."""

    code: str
    stops: float
    sd_stops: float
    density: float
    used: float
    words: str
    change: Change | None


def look(book: Book, picture: int, form: Form | None = None) -> Found:
    """Dead blacks, blown whites, where the face falls, in numbers. Nothing is stored. Fields as in `ahead_look.at`."""
    from firstsheet.foresee import picture as pictures

    seen = ahead_look.at(book, picture, form)
    made = pictures.drawn(seen.light, seen.chain)
    return _found(seen, made.dead_black, made.blown_white)


def drawn(book: Book, picture: int, form: Form | None = None) -> bytes:
    """The sheet as it will look, as a JPEG; its dead blacks and blown whites outlined where the form says so."""
    from firstsheet.foresee import picture as pictures

    seen = ahead_look.at(book, picture, form)
    made = pictures.drawn(seen.light, seen.chain)
    return pictures.jpeg(pictures.outlined(made) if seen.outline else made.codes)


def five(book: Book, picture: int, form: Form | None = None) -> bytes:
    """Five versions that are equally likely, side by side, darkest first: what is not known yet, drawn."""
    import numpy as np

    from firstsheet.foresee import picture as pictures

    seen = ahead_look.at(book, picture, form)
    step = max(1, -(-max(seen.light.shape) // FIVE_PX))
    light = np.ascontiguousarray(seen.light[::step, ::step])
    made = [pictures.drawn(light, chain).codes for chain in _five(seen)]
    gap = np.full((light.shape[0], 6, 3), 255, dtype=np.uint8)
    return pictures.jpeg(np.concatenate([part for one in made for part in (gap, one)][1:], axis=1))


def curve(book: Book, picture: int, form: Form | None = None) -> str:
    """Where the face falls on this paper's curve, with its doubt, the spread of the scene and the five curves, as one SVG."""
    import numpy as np

    from firstsheet.drawing import ahead_curve
    from firstsheet.foresee import route
    from firstsheet.foresee.tone import HEAD_D
    from firstsheet.paper.curve_points import FOOT_D

    seen = ahead_look.at(book, picture, form)
    more = seen.chain.more_stops
    middle = replace(seen.chain, more_stops=0.0)
    tables = [route.table(chain) for chain in (_softer(middle, c) for c in (1.0, 0.5, 0.0, -0.5, -1.0))]
    step = math.log10(2.0)
    stops, sd = placed(seen)
    at = stops + more
    name = light_words.tone(seen.tone).words
    fallen = ahead_curve.Fallen(name, at, sd, float(np.interp(at * step, tables[2].log_h, tables[2].density)))
    spread = np.log2(np.quantile(_as_one(seen.light[::4, ::4]), (0.05, 0.95))) + more
    tones = seen.chain.print_tones if seen.chain.shows == "print" and seen.chain.print_tones else seen.chain.tones
    ends = (tones.base + FOOT_D, tones.dmax - HEAD_D)
    return ahead_curve.ahead_curve(tables[2].log_h / step, [t.density for t in tables], fallen, (float(spread[0]), float(spread[1])), ends)


def _softer(chain: Any, doubts: float) -> Any:
    """The chain with its sheet's curve wider by so many of the doubts of its contrast, about the mid-tone."""
    from firstsheet.foresee.route import mid_log_h

    mid = mid_log_h(chain.tones)
    return replace(chain, tones=replace(chain.tones, log_h=mid + (chain.tones.log_h - mid) * (1.0 + doubts * chain.tones.contrast_sd)))


def _five(seen: AheadLook) -> list[Any]:
    """Chains of the five, darkest first."""
    out = []
    for z, c in zip(FIVE_Z, CONTRASTS, strict=True):
        out.append(_softer(seen.chain, 0.7 * c).moved(z * seen.sd_stops))
    sheet_sense = response.sense(seen.way) * (-1 if seen.chain.shows == "print" else 1)
    return out[::-1] if sheet_sense > 0 else out


def keep(book: Book, code: str, picture: int, form: Form | None = None) -> Found:
    """Keep what is foretold of this sheet with it, to be held against the sheet that comes."""
    now = sheet(book, code)
    if now.judgement:
        raise Refusal.one("sheet", now.code, "A sheet that was not judged yet.", "What is foretold is said before.")
    found = look(book, picture, form)
    mark(book, book.get_sheet(now.code), FORETOLD, {"picture": picture, "form": {k: str(v) for k, v in dict(form or {}).items()}})
    return found


def foretold(book: Book, code: str) -> dict[str, Any] | None:
    """What was last foretold of this sheet: its picture and form; None where nothing was."""
    row = book.get_sheet(code)
    kept = [m["body"] for m in book.marks(row["id"]) if m["kind"] == FORETOLD]
    return kept[-1] if kept else None


def take_in(book: Book, code: str, data: bytes) -> int:
    """Keep a photo of the sheet that came; its number."""
    return versions.take_in(book, code, data)


def size(book: Book, code: str, picture: int) -> tuple[int, int]:
    """Width and height of a photo kept of this sheet [px]."""
    return versions.size(book, code, picture)


def compare(book: Book, code: str, result: int, form: Form | None = None, *, teach: bool = False) -> Compared:
    """Hold the sheet that came against the one foretold. With `teach` the difference becomes the judgement.

    Fields: white “x,y” beside the sheet, corners of the picture (four places, from its top left as it hangs upright), border (white,
    grey, black; asked for teaching), wet, kept.
    """
    from firstsheet.foresee import against

    now = sheet(book, code)
    told = foretold(book, code)
    if told is None:
        raise Refusal.one("sheet", now.code, "A sheet of which a picture was foretold.", "Look at the sheet ahead before you expose, and keep it.", kind="missing")
    seen, came, rest = _both(book, now, result, told, form)
    given = now.given_s or (seen.p.wanted_s if seen.p else 1.0)
    more = math.log2(given / float(now.plan["wanted_s"]))
    if now.given_aperture and now.plan.get("aperture"):
        more += 2.0 * math.log2(float(now.plan["aperture"]) / now.given_aperture)
    more += seen.chain.more_stops  # what a flash spared the picture
    chain = replace(seen.chain, more_stops=more, wet=False)
    darker, drying = response.dry_down(seen.way, wet=rest["wet"])
    found = against.parted(_as_one(seen.light), chain, came)
    # A wet sheet is lighter than it will be: what it dries down is a tone, and turned where tones are.
    stops = found.stops + response.sense(seen.way) * darker
    sd = math.hypot(found.sd_stops, drying)
    words = _parted_words(seen.way, stops, sd)
    change = None
    if teach:
        need = -stops - more
        looked = rest["border"] or str(response.way_of(seen.way)["border"])
        fields = {"border": looked, "wet": "no", **({"kept": rest["kept"]} if rest["kept"] else {})}
        change = judge.judge(book, now.code, fields, told=judge.Told(need, sd, f"against what was foretold: {words}", result))
    return Compared(now.code, stops, sd, found.density, found.used, words, change)


def beside(book: Book, code: str, result: int, form: Form | None = None) -> bytes:
    """The sheet foretold and the sheet that came, side by side, in one frame."""
    import numpy as np

    from firstsheet.foresee import picture as pictures

    told = foretold(book, code)
    if told is None:
        raise Refusal.one("sheet", code, "A sheet of which a picture was foretold.", "Keep what is foretold before you expose.", kind="missing")
    seen, came, _ = _both(book, sheet(book, code), result, told, form)
    step = max(1, -(-max(seen.light.shape) // FIVE_PX))
    left = pictures.drawn(np.ascontiguousarray(seen.light[::step, ::step]), seen.chain).codes
    high, wide = left.shape[:2]
    rows = np.linspace(0, came.shape[0] - 1, high).astype(int)
    cols = np.linspace(0, came.shape[1] - 1, wide).astype(int)
    reflect = np.clip(10.0 ** -came[rows][:, cols], 0.0, 1.0)
    right = pixels.encoded(reflect)
    gap = np.full((high, 8, 3), 255, dtype=np.uint8)
    return pictures.jpeg(np.concatenate([left, gap, np.repeat(right[:, :, None], 3, axis=2)], axis=1))


def _both(book: Book, now: SheetState, result: int, told: dict[str, Any], form: Form | None) -> tuple[AheadLook, Any, dict[str, Any]]:
    """What was foretold, densities of the sheet in its frame, and the rest of the form."""
    import numpy as np

    from firstsheet.foresee import picture as pictures
    from firstsheet.foresee import redraw

    d = Door(form)
    white = d.must("white", versions.place, "A place “x,y”, each from 0 to 1.", "Touch the white card or paper beside the sheet.")
    corners = d.must("corners", ahead_look.corners_said, "Four places “x,y”.", "Touch the corners of the picture, from its top left as it hangs upright.")
    rest: dict[str, Any] = {"border": d.pick("border", ("white", "grey", "black")), "wet": d.flag("wet") is not False, "kept": d.said("kept")}
    d.close()
    assert white is not None
    assert corners is not None
    asked = {k: v for k, v in told["form"].items() if k not in ("give", "stops", "shows", "printed", "range", "outline")}
    seen = ahead_look.at(book, int(told["picture"]), asked, _planned(now))
    kept = versions.kept_photo(book, now.code, result)
    light, clipped = redraw.linear_rgb(kept, 2000)
    photo = redraw.against_white(light, clipped, white)
    high, wide = seen.light.shape[:2]
    flat, _ = pictures.framed(photo.rgb, clipped, corners, wide / high, long_px=FIVE_PX)  # type: ignore[arg-type]
    y = np.maximum(flat @ redraw.REC709, np.float32(1e-3))
    return seen, np.asarray(np.float32(redraw.WHITE_D) - np.log10(y), dtype=np.float32), rest


def _planned(now: SheetState) -> Plan | None:
    """The plan this sheet was exposed by, not the one that stands today; None where it was kept before all of it was."""
    have = {f.name: now.plan[f.name] for f in fields(Plan) if f.name in now.plan}
    try:
        pack = PackOn(**have["pack"]) if have.get("pack") else None
        return Plan(**have | {"chain": tuple(Link(**link) for link in have["chain"]), "pack": pack})
    except (KeyError, TypeError):
        return None


def _as_one(light: Any) -> Any:
    """Colour paper's three layers as one, by what each adds to lightness; other papers as they are."""
    import numpy as np

    from firstsheet.colour.layers import LUMINANCE

    return light if light.ndim == 2 else np.asarray(light @ LUMINANCE, dtype=np.float32)


def _parted_words(way: str, stops: float, sd: float) -> str:
    if abs(stops) < max(1.0 * sd, 0.1):
        return f"It came as foretold, {wording.stops_pm(sd)}."
    tone = response.sense(way) * stops
    return f"It came {'darker' if tone > 0 else 'lighter'} than foretold, as if by {wording.stops_apart(stops)} {'more' if stops > 0 else 'less'} light, {wording.stops_pm(sd)}."


def placed(seen: AheadLook) -> tuple[float, float]:
    """Where the touched place falls from the mid-tone, as this paper sees it, and its doubt [stop]: of the exposure, of its colour, of
    the curve's own scale. Where nothing was touched, the tone as a meter has it."""
    stops = light_words.tone(seen.tone).stops if seen.face_stops is None else seen.face_stops
    return stops, math.hypot(seen.sd_stops, seen.face_sd, seen.chain.tones.contrast_sd * stops)


def _found(seen: AheadLook, black: float, white: float) -> Found:
    import numpy as np

    from firstsheet.foresee import route

    tone = light_words.tone(seen.tone)
    t = route.table(seen.chain)
    stops, sd = placed(seen)
    spread = np.interp([(stops + z * sd) * math.log10(2.0) for z in (-1.645, 0.0, 1.645)], t.log_h, t.density)
    d, low, high = float(spread[1]), float(spread.min()), float(spread.max())
    where = "the print" if seen.chain.shows == "print" else "the sheet"
    first = f"Of {where} {wording.share(black)} will be dead black, {wording.share(white)} blown white; {tone.words} comes out at density {d:.1f} ({low:.1f} to {high:.1f})."
    exposed = ""
    if seen.p:
        exposed = f"{wording.seconds(seen.p.wanted_s * 2.0**seen.chain.more_stops)} at {wording.f_number(seen.p.aperture)}" if seen.p.aperture else wording.seconds(seen.p.wanted_s)
    figures = (
        Figure("dead_black", "Dead black", wording.share(black), black, "1", "no different from the deepest black"),
        Figure("blown_white", "Blown white", wording.share(white), white, "1", "no different from bare paper"),
        Figure("tone_density", f"Where {tone.words} falls", f"{d:.1f}", d, "D", f"{low:.1f} to {high:.1f}, 9 in 10", seen.curve_words, low, high),
        Figure("more_stops", "Exposure against the plan", wording.stops(seen.chain.more_stops), seen.chain.more_stops, "stop", exposed),
        Figure("preflash", "Preflash", wording.share(seen.chain.preflash) if seen.chain.preflash else "none", seen.chain.preflash, "1", "of the threshold" if seen.chain.preflash else ""),
        Figure("sd_stops", "Doubt of the exposure", wording.stops_pm(seen.sd_stops), seen.sd_stops, "stop", "drawn as five versions"),
    )  # fmt: skip
    notes = [f"Drawn through {seen.curve_words}."]
    if not seen.measured:
        notes.append("Known: the picture and its light. Guessed: this paper’s contrast. A scrap with steps measures it.")
    if seen.p is None:
        notes.append("Nothing can be planned yet: drawn as if the exposure were right.")
    way = response.way_of(seen.way)
    if seen.chain.shows == "sheet":
        notes.append(str(way["mirrored"]))
    else:
        through = "this paper’s own density by transmission" if seen.chain.through and seen.chain.through.measured else "a density by transmission that stands in (from memory, no source)"
        notes.append(f"The print is drawn through {through}; emulsion to emulsion it comes right way round.")
    return Found("ahead", first, figures, notes=(*notes, *seen.notes))
