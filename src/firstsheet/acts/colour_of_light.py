"""The colour of the light as this paper sees it: stops beside a meter, what a filter costs, how light or dark things come out."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from firstsheet import quantities as q
from firstsheet import tables, wording
from firstsheet.acts import own
from firstsheet.acts.door import Door, Form
from firstsheet.acts.found import Figure, Found, Table
from firstsheet.light import filters
from firstsheet.light import spectrum as sp
from firstsheet.paper import emulsion, subjects
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.light.spectrum import Spectrum

OLD_GLASS_NM = 400.0
EYE_SHOWS = 0.15  # a difference of tone this small is not worth a word [stop]; ours


def colour_of_light(reader: Reader, form: Form | None = None) -> Found:
    """Fields: light (a kind), or kelvin, or sun (its height in degrees); filter (“yellow”, “30Y 20M”, “+112 mired”); emulsion, else that
    of the box (today's); glass (old, for a yellowed lens). Nothing is stored."""
    from firstsheet.drawing.colour_tones import Pair, colour_tones

    d = Door(form)
    key = d.pick("light", sp.kinds())
    kelvin = d.read("kelvin", lambda t: q.plain_number(t.lower().rstrip(" k"), 1500.0, 25_000.0))
    height = d.read("sun", lambda t: q.plain_number(t.rstrip(" °"), 4.0, 90.0))
    filter_ = d.read("filter", filters.read)
    said_filter = d.said("filter")
    name = d.pick("emulsion", emulsion.names())
    box = d.name("box")
    glass = d.pick("glass", ("new", "old")) or "new"
    if sum(v is not None for v in (key, kelvin, height)) > 1:
        d.problems.add("light", d.said("light") or "", "A kind of light, or kelvin, or the sun’s height: one of them.", "Leave the others out.")
    with d.problems.at("box"):
        name = name or _of_box(reader, box)
    d.close()
    assert name is not None
    words, light, mired_sd, source = _light(reader, key, kelvin, height)
    through = (sp.lens_glass(OLD_GLASS_NM if glass == "old" else 365.0),)
    found = emulsion.actinic(light, name, through, mired_sd)
    paper = str(tables.load("emulsions")[name]["words"])
    figures = [_actinic_figure(found, source)]
    notes = [str(tables.load("emulsions")[name]["source"]).capitalize() + ". Your own sheets in this light correct it."]
    lower = ""
    if filter_:
        cost, sd = emulsion.filter_stops(light, name, filter_, through)
        figures.append(Figure("filter_stops", f"Through {said_filter}", wording.stops_apart(cost), cost, "stop", "more light wanted", "shapes in closed form, unverified", cost - 1.645 * sd, cost + 1.645 * sd))
        figures.append(Figure("filter_density", "Say it to the plan as", f"{cost * math.log10(2.0):.2f}", cost * math.log10(2.0), "D", "filter density", "stops × log10 2"))
        lower = f" Through {said_filter} it wants {wording.stops_apart(cost)} more."
    rows, pairs = _things(light, name, (*through, *((filter_,) if filter_ else ())))
    first = f"{words[:1].upper()}{words[1:]}: {paper} sees {_more(found.stops)} than the meter says, {wording.stops_pm(found.sd_stops)}.{lower}"
    held = tables.load("lights").get(key or "")
    if held:
        notes.append(f"A plan starts from {wording.stops(float(held['red' if name == 'layer_red' else 'actinic']))} in this light, reports of practitioners counted in, and learns from your sheets.")
    return Found("colour", first, tuple(figures), (rows,), tuple(notes), drawing=colour_tones([Pair(*p) for p in pairs]))


def filter_density(reader: Reader, text: str) -> float:
    """A filter said in words as the density it is to today's paper in this sheet's light [D]; a bare number is a density already."""
    try:
        return q.plain_number(text, 0.0, 4.0)
    except Refusal:
        curve = filters.read(text)
    name = _of_box(reader, None)
    light = str((reader.get_setting("phrase") or {}).get("light") or "sun")
    cost, _ = emulsion.filter_stops(sp.kinds()[light].spectrum, name, curve, (sp.lens_glass(),))
    density = cost * math.log10(2.0)
    if density > 4.0:
        raise Refusal.one("", text, "A filter that lets this paper see something.", f"It would take {wording.stops_apart(cost)}.")
    return round(density, 3)


def _of_box(reader: Reader, name: str | None) -> str:
    """The emulsion of a box, today's where none is named; blue- and green-sensitive where nothing is owned yet."""
    have = own.owned(reader, "box")
    today = (reader.get_setting("today") or {}).get("box")
    if name is None and not today and len(have) != 1:
        return "blue_green"
    box = own.one(reader, "box", name or today)
    return emulsion.OF_PAPER[str(tables.load("papers")[box.body["paper"]]["sensitivity"])]


def _light(reader: Reader, key: str | None, kelvin: float | None, height: float | None) -> tuple[str, Spectrum, float, str]:
    if kelvin is not None:
        if kelvin >= 4000.0:
            return f"daylight of {kelvin:.0f} K", sp.daylight(kelvin), 0.15 * sp.mired(kelvin) / 2, "CIE daylight [CIE-15]"
        return f"a glow of {kelvin:.0f} K", sp.planck(kelvin), 10.0, "a glowing body [CIE-15]"
    if height is not None:
        return f"clear sun at {height:.0f}°", sp.in_sun(height), 12.0 if height > 15 else 25.0, "sun and half the sky [BIRD-1986]"
    key = key or str((reader.get_setting("phrase") or {}).get("light") or "sun")
    kind = sp.kinds()[key]
    return kind.words, kind.spectrum, kind.mired_sd, kind.source


def _actinic_figure(a: emulsion.Actinic, source: str) -> Figure:
    low, high = a.stops - 1.645 * a.sd_stops, a.stops + 1.645 * a.sd_stops
    return Figure("actinic_stops", "Beside the meter, against sun at 5500 K", wording.stops(a.stops), a.stops, "stop", f"{wording.stops(low)} to {wording.stops(high)}; + is faster", source, low, high)


def _more(stops: float) -> str:
    if abs(stops) < EYE_SHOWS:
        return "no more and no less"
    return f"{wording.stops_apart(stops)} {'more' if stops > 0 else 'less'}"


def _things(light: Spectrum, name: str, through: tuple[Spectrum, ...]) -> tuple[Table, list[tuple[str, float, float]]]:
    """How light or dark each thing comes out beside what the eye sees, the sky with them; a grey comes out as it is."""
    shown, data, pairs = [], [], []
    things = [(s.key, s.words, *emulsion.tone_stops(light, name, s.reflectance, through)) for s in subjects.subjects()]
    sky = emulsion.seen(sp.kinds()["open_shade"].spectrum, name, through) - emulsion.seen(light, name, through)
    things.append(("sky", "blue sky", sky, 0.45))
    for key, words, stops, to_eye in things:
        told = "as the eye sees it" if abs(stops) < EYE_SHOWS else f"{wording.stops_apart(stops)} {'lighter' if stops > 0 else 'darker'}"
        shown.append((words, told))
        data.append({"key": key, "stops": stops, "eye": to_eye})
        pairs.append((words, to_eye, to_eye * 2.0**stops))
    title = "How this layer alone sees things" if name in emulsion.LAYERS else "How things come out on this paper"
    return Table(title, ("thing", "beside a grey of its lightness"), tuple(shown), tuple(data)), pairs
