"""The filter pack for a colour reversal: what to put on in this light, and what a finished sheet teaches about it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables, wording
from firstsheet.acts import pack_known
from firstsheet.acts.door import Door, Form
from firstsheet.acts.found import Figure, Found, Table
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book
    from firstsheet.colour.cast import Seen
    from firstsheet.colour.pack import Gel, Pack

NO_TIME = 0.05  # a sixth of a stop [log10]
DENSE_CC = 30.0  # a pack of which one would think that it costs time [CC]; ours
RED = "yellow and magenta let through the red that the seconds go by"
DARK = "Colour paper: total darkness from the opened box until the first stop and rinse, no lamp of any colour. After that rinse the light may be on."
BATHS = "Temperatures and times of the baths are your supplier’s and yours to set; those shipped are not verified. Gloves and air: the supplier’s safety data sheets and local rules come first."
HARD = "Too contrasty, as reversal mostly is: a softer first developer, a small flash through this same pack so that it does not tint, or a flatter light."
CROSSED = "Shadows and highlights lean opposite ways: the layers’ slopes differ. No pack cures that; set it for the mid-tones, and look to the first developer, its time, fog, and the age of the paper."
TWICE = "A sheet’s brightness counts once: told here, leave it out of the judging of the sheet; judged there, say “right” here."
QUARREL = "This sheet and what was believed before hardly agree, and the pack lies between: one of them may have been seen or typed wrong, or the light had changed."
CLASH = "This sheet lies far from what was believed, even with its doubt. Were pack, seconds and colour typed right, and the light the same? If not, take it back; if so, it counts."
DARK_FIRST = "Cyan and dark is first of all too little light: the seconds move now; judge the colour again on the next sheet."


def plan(reader: Reader, form: Form | None = None) -> Found:
    """Fields: light, box, seconds (the plan's, without a pack). The pack to put on, seconds, and the doubt of both. Nothing is kept."""
    d = Door(form)
    light, box = d.pick("light", tables.load("lights")), d.name("box")
    seconds = d.read("seconds", _some_s)
    d.close()
    key, light, box = pack_known.which(reader, light, box)
    return answer_for(reader, key, light, box, seconds)


def told(book: Book, form: Form | None = None, photo: bytes | None = None) -> Found:
    """What a finished sheet looks like. Fields: colour, much, bright; or grey and white as numbers, or grey_at and white_at in the photo; shadows, highlights;
    sheet (its code: pack, light, box and seconds are its own), or pack, given and seconds, else as planned; light, box. Kept, the photo not; the next pack comes back."""
    from firstsheet.acts import pack_sheet
    from firstsheet.colour import cast
    from firstsheet.colour import pack as packs

    d = Door(form)
    light, box = d.pick("light", tables.load("lights")), d.name("box")
    code = d.said("sheet")
    colour = d.pick("colour", ("neutral", *cast.COLOURS))
    much, bright = d.pick("much", cast.HOW_MUCH) or "clearly", d.pick("bright", cast.BRIGHT) or "right"
    grey, white = d.read("grey", _rgb), d.read("white", _rgb)
    at = {k: d.read(k, _place) for k in ("grey_at", "white_at")}
    for k, v in at.items():
        if (photo is None) != (v is None):
            d.problems.add(k if v is None else "photo", "", "A photo, and where its grey and its white are.", "Try “40% 50%”, from left and top.")
    ends = [d.pick(k, ("neutral", *cast.COLOURS)) for k in ("shadows", "highlights")]
    put_on = d.read("pack", _pack)
    given, seconds = (d.read(k, _some_s) for k in ("given", "seconds"))
    if (grey is None) != (white is None):
        d.problems.add("white" if white is None else "grey", "", "Grey and white of one photo.", "Say both as “120 118 131”.")
    if colour is None and grey is None and photo is None and d.said("colour") is None and d.said("grey") is None:
        d.problems.add("colour", "", "What you see: neutral, " + ", ".join(cast.COLOURS) + ".", "Or a grey card and a white beside it.")
    d.close()
    if photo is not None:
        grey, white = _of_photo(photo, at)
    seen = cast.measured(grey, white) if grey and white else cast.said(str(colour), much, bright)
    if code:
        made = pack_sheet.of_sheet(book, code, light, box, put_on, given)
    else:
        made = pack_sheet.of_words(book, *pack_known.which(book, light, box)[1:], put_on, given, seconds)
    key, light, box = pack_known.which(book, made.light, made.box)
    kept = pack_known.kept_sheets(book, key)
    if made.code and any(s.get("sheet") == made.code for s in kept):
        raise Refusal.one("sheet", made.code, "A sheet whose colour was not told yet.", "Take it back first, if it is the last: firstsheet pack back.")
    before = answer_for(book, key, light, box, seconds).first
    belief = pack_known.solved(book, light, box, kept)[0]
    row = row_of(made.real, made.log_time, seen, made.plan) | ({"sheet": made.code} if made.code else {})
    row["bright"] = grey is not None or d.said("bright") is not None  # a brightness nobody said tells the plan nothing
    book.add_thing(pack_known.THING, key, {"sheets": [*kept, row]})
    minded = [DARK_FIRST] if cast.dark_before_cyan(seen) else []
    if all(ends) and cast.crossed(*(cast.said(str(e)) for e in ends)):
        minded.append(CROSSED)
    off = pack_sheet.far_off(belief, pack_known.matrix_of(light), made.real, made.log_time, seen)
    if off > pack_sheet.QUARREL_CHI2:
        minded.append(CLASH if off > pack_sheet.CLASH_CHI2 else QUARREL)
    step = cast.change(seen)
    minded.append(f"Seen: {seen.words}, through {packs.in_words(made.real)}. {_direction(step)} Before: {before}")
    return answer_for(book, key, light, box, seconds, tuple(minded))


def take_back(book: Book, form: Form | None = None) -> Found:
    """The last told sheet of this light and box no longer counts. Fields: light, box."""
    d = Door(form)
    light, box = d.pick("light", tables.load("lights")), d.name("box")
    d.close()
    key, light, box = pack_known.which(book, light, box)
    kept = pack_known.kept_sheets(book, key)
    if not kept:
        raise Refusal.one("sheet", "", "A sheet told in this light from this box.", "There is none to take back.", kind="missing")
    mask = kept[-1].get("mask")
    stay = [s for s in kept if s.get("mask") != mask] if mask else kept[:-1]
    with book.begin():
        book.add_thing(pack_known.THING, key, {"sheets": stay})
        ring = next((t["body"] for t in book.things(pack_known.RING) if t["name"] == key), None)
        if mask and ring and ring["read"]:
            book.add_thing(pack_known.RING, key, ring | {"read": False})  # its sheet may be read again
    gone = f"the {len(kept) - len(stay)} patches of one sheet" if mask else kept[-1]["words"]
    return answer_for(book, key, light, box, None, (f"Taken back: {gone}.",))


def gels(book: Book, form: Form | None = None) -> Found:
    """The gels you own, each with what it measured where it was. Fields: gels (“10Y 20Y 40Y=36 20M”); nothing said tells those kept."""
    from firstsheet.colour import pack as packs

    d = Door(form)
    have = pack_known.owned_gels(book)
    if d.said("gels") is None and have:
        d.close()
        return Found("pack_gels", f"Owned: {_owned(have)}.")
    said = d.must("gels", packs.read_gels, "The gels you own.", "Try “10Y 20Y 40Y 80Y 10M 20M 40M 10C”.")
    d.close()
    assert said is not None
    book.add_thing(pack_known.GELS, "own", {"gels": [[g.dye, g.written, g.real] for g in said]})
    return Found("pack_gels", f"{len(said)} gels kept. Packs are made of them from now on.")


def owned_words(reader: Reader) -> str:
    """The gels kept, as they are typed; nothing where there are none."""
    return _owned(pack_known.owned_gels(reader) or [])


def _owned(have: list[Gel]) -> str:
    return " ".join(f"{g.written:g}{g.dye}" + (f"={g.real:g}" if g.real != g.written else "") for g in have)


def row_of(put_on: tuple[float, float, float], log_time: float, seen: Seen, plan: dict[str, Any] | None = None, mask: int = 0) -> dict[str, Any]:
    """A told sheet as it is kept; `plan` what its seconds went by, None where they were typed; `mask` numbers the masked sheet it is a patch of."""
    return {"pack": list(put_on), "log_time": log_time, "state": list(seen.state), "light_sd": seen.light_sd, "cast_sd": seen.cast_sd, "words": seen.words,
            "said": seen.said, "density": seen.density, "plan": plan} | ({"mask": mask} if mask else {})  # fmt: skip


def answer_for(reader: Reader, key: str, light: str, box: str, seconds: float | None, minded: tuple[str, ...] = ()) -> Found:
    from firstsheet.colour import pack as packs
    from firstsheet.drawing.pack_doubt import pack_doubt

    kept = pack_known.kept_sheets(reader, key)
    seconds = seconds or pack_known.unfiltered_s(pack_known.plan_of(reader, light, box))
    belief, aim, now = pack_known.solved(reader, light, box, kept)
    sds = packs.doubts(belief.cov, pack_known.matrix_of(light), now.real)
    said = packs.in_words(now.written)
    short, misses = short_of(now, aim, light)
    give = f"give {time_words(now.log_time, seconds)}."
    first = f"put on {said}{', the nearest,' if short else ','} and {give}" if said != "no filter" else f"no filter; {give}"
    if short:
        first = f"{short[0].lower()}{short[1:]} {first[0].upper()}{first[1:]}"
    first = f"For {light_words(light)}, box {box}: {first}"
    stops = now.log_time / math.log10(2.0)
    light_sd = float(belief.cov[0, 0]) ** 0.5 / math.log10(2.0)
    told_of = pack_known.count_of(kept)
    begun = _begun(pack_known.others(reader, light, box), box)
    source = f"{told_of} of your sheets in {light_words(light)}" if kept else "spectra and practitioners’ reports, unverified"
    source = f"{source}; begun from {begun}" if begun and kept else f"spectra, begun from {begun}" if begun else source
    figures = [
        *(_gel_figure(name, v, None if short else sd, source) for name, v, sd in zip(("yellow", "magenta", "cyan"), now.real, sds, strict=True) if v >= 0.5),
        Figure("time_stops", "Time beside the plan without a pack", wording.stops(stops), stops, "stop", f"{wording.stops_pm(light_sd)}{_red(now)}", source, stops - 1.645 * light_sd, stops + 1.645 * light_sd),
    ]  # fmt: skip
    if now.gels and now.left_cc >= 1.0:
        figures.append(Figure("left_cc", "Cast these gels leave", f"{now.left_cc:.0f}", now.left_cc, "CC", misses or "the nearest they can make", source))
    rows = tuple((str(i + 1), packs.in_words(s["pack"]), s["words"]) for i, s in enumerate(kept))
    data = tuple({"sheet": i + 1, "pack_cc": s["pack"], "state_d": s["state"]} for i, s in enumerate(kept))
    made = ((f"The gels: {', '.join(f'{g.written:.0f}{g.dye}' for g in now.gels)}.",) if now.gels else ())
    from_others = (f"No sheet of {light_words(light)} told from this box yet. Begun from {begun}, and by spectra from there.",) if begun and not kept else ()
    notes = (*minded, *from_others, *made, *((TWICE,) if any(not (s.get("plan") or s.get("ei")) for s in kept) else ()), "Add the colour the print lacks, the full step: a reversal takes the colour of its filter.", HARD, BATHS)
    drawing = pack_doubt((now.real[0], now.real[1]), belief.pack_cov()) if now.real[2] < 0.5 and not short else ""
    return Found("pack", first, tuple(figures), (Table("Sheets told", ("", "pack", "seen"), rows, data),) if kept else (), notes, (DARK,), drawing=drawing)


def _gel_figure(name: str, cc: float, sd: float | None, source: str) -> Figure:
    """One colour of the pack; without its doubt where the gels cannot make what is wanted, whose doubt it would be."""
    said = f"{cc:.0f}" if sd is None else f"{cc:.0f} ± {sd:.0f}"
    low, high = (None, None) if sd is None else (max(cc - 1.645 * sd, 0.0), cc + 1.645 * sd)
    return Figure(f"{name}_cc", name.capitalize(), said, cc, "CC", "", source, low, high)


def _red(now: Pack) -> str:
    """Why a dense pack may cost no time, where it does not."""
    return f"; {RED}" if max(now.real[:2]) >= DENSE_CC and abs(now.log_time) < NO_TIME else ""


def short_of(now: Pack, aim: Any, light: str) -> tuple[str, str]:
    """That the gels owned cannot make what is wanted, and how they miss it; nothing where they can."""
    from firstsheet.colour import pack as packs

    if now.left_cc <= pack_known.SHORT_CC:
        return "", ""
    matrix = pack_known.matrix_of(light)
    leans = f"prints {_leans(aim, matrix, now)}"
    whole = packs.of_gels(aim, matrix)
    if whole.left_cc > pack_known.SHORT_CC:
        return f"No pack up to {packs.MOST_CC:.0f} of one colour makes this light neutral. Spend no sheet on it.", leans
    lack = [f"{a - b:.0f}{dye}" for a, b, dye in zip(whole.real, now.real, packs.DYES, strict=True) if a - b >= 5]
    owned = f"; you lack {' + '.join(lack)}" if lack else ""
    far = " Borrow gels before a sheet is spent." if now.left_cc > pack_known.HOPELESS_CC else ""
    return f"Your gels cannot make {packs.in_words(whole.real)}.{far}", f"{leans}{owned}"


def _leans(aim: Any, matrix: Any, now: Pack) -> str:
    """“too blue”: the colour of six that what is left is nearest to."""
    import numpy as np

    from firstsheet.colour import cast
    from firstsheet.colour import pack as packs

    rest = packs.left(aim, matrix, now)
    rest = rest - rest.mean()
    best = max((k for k in cast.COLOURS if "_" not in k), key=lambda k: float((np.array(cast.COLOURS[k]) - np.mean(cast.COLOURS[k])) @ rest / np.std(cast.COLOURS[k])))
    return f"too {best}"


def time_words(log_time: float, seconds: float | None) -> str:
    if seconds is not None:
        return wording.seconds(seconds * 10.0**log_time)
    stops = log_time / math.log10(2.0)
    if abs(stops) < 0.05:
        return "the plan’s seconds"
    return f"{wording.stops_apart(abs(stops))} {'more' if stops > 0 else 'less'} than the plan’s seconds"


def _direction(step: tuple[float, float, float]) -> str:
    parts = [f"{v:+.0f}{d}".replace("-", "−") for v, d in zip(step, "YMC", strict=True) if abs(v) >= 0.5]
    return f"By this sheet alone the pack would change by {', '.join(parts)}." if parts else "The pack stays."


def _begun(others: list[pack_known.Other], box: str) -> str:
    """“direct sun (4 sheets) and overcast from box B (1 sheet)”; nothing where there is no neighbour."""
    each = [f"{light_words(n.light)}{'' if n.box == box else ' from box ' + n.box} ({n.count} {'sheet' if n.count == 1 else 'sheets'})" for n in others]
    each = [*each[:3], *(["more"] if len(each) > 3 else [])]
    return ", ".join(each[:-1]) + (" and " if each[1:] else "") + each[-1] if each else ""


def light_words(light: str) -> str:
    return str(tables.load("lights")[light]["words"])


def _some_s(text: str) -> float:
    seconds = q.duration_s(text, bare="s")
    if not 0.001 <= seconds <= 86_400.0:
        raise Refusal.one("", text, "From 1/1000 s to a day.", "Try “20 s”.")
    return seconds


def _place(text: str) -> tuple[float, float]:
    """“40% 50%” from left and top, as fractions."""
    parts = [q.plain_number(x, 0.0, 100.0) / 100.0 for x in text.replace("%", " ").replace(",", " ").split()]
    if len(parts) != 2:
        raise Refusal.one("", text, "Two shares, from left and from top.", "Try “40% 50%”.")
    return parts[0], parts[1]


def _of_photo(photo: bytes, at: dict[str, tuple[float, float] | None]) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    from firstsheet.foresee.patches import touched
    from firstsheet.light.photo import receive

    seen = touched(receive(photo).kept_jpeg, {k: v for k, v in at.items() if v}, ("white_at",))
    return seen["grey_at"].rgb, seen["white_at"].rgb


def _rgb(text: str) -> tuple[float, float, float]:
    """“120 118 131”: what a photo shows there, 0 to 255, as linear light."""
    from firstsheet.light.pixels import light

    parts = [q.plain_number(x, 0.0, 255.0) / 255.0 for x in text.replace(",", " ").split()]
    if len(parts) != 3:
        raise Refusal.one("", text, "Three numbers, red green blue, 0 to 255.", "Read them with any picture viewer: “120 118 131”.")
    if max(parts) >= 254 / 255:
        raise Refusal.one("", text, "Below 254.", "It is clipped: photograph it a little darker.")
    r, g, b = parts
    return light(r), light(g), light(b)


def _pack(text: str) -> tuple[float, float, float]:
    """“150Y 75M” as yellow, magenta, cyan [CC]; red, green, blue gels count as their two; “none” for no filter."""
    from firstsheet.colour.pack import MOST_CC

    out = dict.fromkeys("YMC", 0.0)
    for word in [] if text.lower() in ("none", "no filter") else text.upper().replace("+", " ").replace("CC", "").split():
        dyes = {"R": "YM", "G": "YC", "B": "MC"}.get(word[-1], word[-1])
        if not set(dyes) <= set("YMC"):
            raise Refusal.one("", text, "A pack as “150Y 75M”, or none.", "A number and Y, M or C for each.")
        for dye in dyes:
            out[dye] += q.plain_number(word[:-1], 0.0, MOST_CC)
    if max(out.values()) > MOST_CC:
        raise Refusal.one("", text, f"At most {MOST_CC:.0f} of one colour in all.", "A number and Y, M or C for each.")
    return out["Y"], out["M"], out["C"]
