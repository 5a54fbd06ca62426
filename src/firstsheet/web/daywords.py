"""What the day's page says."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

from firstsheet import tables, wording
from firstsheet.acts import day_place, day_sun, day_words, own
from firstsheet.acts.day_drawing import drawing
from firstsheet.light import place, sky, words
from firstsheet.light.sun import SET_DEG

if TYPE_CHECKING:
    from firstsheet.acts.day import Day, Row
    from firstsheet.acts.reader import Reader


def day(d: Day) -> dict[str, Any]:
    """The sun in the lens first, then one answer, then the rest."""
    first = d.now if d.now and d.now.time_s is not None else d.windows[0].middle if d.windows else None
    one = timedelta(days=1)
    return {
        "lens": _lens(d), "answer": _answer(d, first), "half": day_words.half_words(d),
        "title": f"{d.date:%d %B %Y}".lstrip("0"), "under": f"{d.place}, {d.zone}. {d.sky_words[:1].upper()}{d.sky_words[1:]}. The face looks to {d.faces}.",
        "sun": day_words.sun_words(d), "face": day_words.face_words(d), "windows": [day_words.window_words(w) for w in d.windows],
        "drawing": drawing(d), "hours": [_hour(r) for r in day_words.hours_of(d)], "sheet": d.sheet,
        "aperture": wording.f_number(d.aperture) if d.aperture else "", "sky": d.sky, "date": d.date.isoformat(),
        "before": (d.date - one).isoformat(), "after": (d.date + one).isoformat(),
        "lacking": [f"{p.allowed} {p.hint}" for p in d.lacking], "assumed": "; ".join(d.assumed), "notes": d.notes,
    }  # fmt: skip


def stand(reader: Reader) -> dict[str, str] | None:
    """What is kept of the place, as it would be typed again; None where none is."""
    if not day_place.known(reader):
        return None
    s = day_place.stand(reader)
    ns, ew = "N" if s.latitude_deg >= 0 else "S", "E" if s.longitude_deg >= 0 else "W"
    return {
        "place": f"{round(abs(s.latitude_deg), 5)} {ns}, {round(abs(s.longitude_deg), 5)} {ew}", "zone": s.zone,
        "above_sea": f"{s.above_sea_m:g} m" if s.above_sea_m else "",
        "faces": "" if s.faces_deg is None else f"{s.faces_deg:g}°", "lens_looks": "" if s.turned_deg is None else f"{s.turned_deg:g}°", "around": s.around, "before_lens": s.before_lens or "",
        "barrel": "" if s.barrel_mm is None else f"{s.barrel_mm:g} mm", "ground": s.ground,
        "words": f"{s.place}, {s.zone}" + ("" if s.faces_deg is None else f", the face to the {place.bearing_words(s.faces_deg)}"),
    }  # fmt: skip


def skies() -> list[tuple[str, str]]:
    return [(k, words.skies()[k].words) for k in sky.sky_keys()]


def grounds() -> list[tuple[str, str]]:
    return [(k, g["words"]) for k, g in tables.load("daylight")["ground"].items()]


def sun_now(reader: Reader, camera: str) -> dict[str, str] | None:
    """What is asked before a sheet in the hours of the sun; None outside them, and where no place was said."""
    lens = own.lens_of(own.one(reader, "camera", camera).body)
    found = day_sun.sun_now(reader, lens)
    if found is None or not found.now:
        return None
    return {"first": day_sun.never(reader, found), "caution": found.caution, "seen": day_sun.HOW_SEEN_WORDS}


def _lens(d: Day) -> dict[str, Any] | None:
    if d.lens is None:
        return None
    if not d.lens.spans:
        return {"caution": None, "words": d.lens.words}
    hours = day_words.spans(d.lens.spans)
    now = " It can now." if d.lens.now else ""
    first = f"Never look into the lens: the sun can enter it {hours}.{now}"
    return {"caution": (first, d.lens.caution), "words": d.lens.words}


def _answer(d: Day, r: Row | None) -> dict[str, str] | None:
    """The large figure: seconds now, or in the middle of the best light; light itself where there are no seconds."""
    if r is None:
        return None
    when = f"now, {day_words.clock(r.at)}" if r is d.now else f"at {day_words.clock(r.at)}, in the best light"
    if r.time_s is None or r.range50_s is None:
        return {"figure": wording.lux(r.face_lx).removesuffix(" lx"), "unit": "lx", "when": when, "range": ""}
    figure, unit = wording.seconds_figure(r.time_s)
    low, high = (wording.seconds(t) for t in r.range50_s)
    stop = f" at {wording.f_number(d.aperture)}" if d.aperture else ""
    return {"figure": figure, "unit": unit + stop, "when": when, "range": f"As likely within {low} to {high} as not."}


def _hour(r: Row) -> dict[str, str]:
    if r.time_s is None or r.range50_s is None:
        return {"at": day_words.clock(r.at), "give": "", "range": "", "light": _light(r), "lux": wording.lux(r.face_lx)}
    low, high = (wording.seconds(t) for t in r.range50_s)
    return {
        "at": day_words.clock(r.at),
        "give": wording.seconds(r.time_s),
        "range": f"{low} to {high}",
        "light": _light(r),
        "lux": wording.lux(r.face_lx),
    }


def _light(r: Row) -> str:
    return "sun" if r.in_sun else "shade" if r.height_deg > SET_DEG else "twilight"
