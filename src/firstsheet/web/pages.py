"""Outside as words: answers in, strings out. All rounding and arithmetic of the pages is in modules like this."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from firstsheet import quantities as q
from firstsheet import tables, wording
from firstsheet.acts.answers import Plan
from firstsheet.acts.notes import OLD_READING_S
from firstsheet.acts.own import Owned
from firstsheet.acts.reading import Kept
from firstsheet.drawing.chain_bars import bar, reach_stops, share_bar
from firstsheet.drawing.stop_scale import stop_scale
from firstsheet.refusal import Problem, Problems

CONTACT = "contact_print"
SHOWN_PX = 350  # the width at which a photo is shown to be touched; small telephones are 360 wide
PLACES = (("Outside", "/"), ("Board", "/board"), ("Trays", "/trays"), ("Bench", "/bench"), ("Book", "/book"))
HOW_WORDS = {
    "incident_flat": "incident", "incident_dome": "incident, dome", "reflected": "reflected", "board": "on the board",
}  # fmt: skip
SHARES = {0.25: "a quarter of a sheet", 0.5: "half a sheet", 1.0: "a whole sheet"}


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the phrase: words before, the underlined word, words after, what stands at its end.

    manner  "said" for this sheet, "carried" over from before, "chosen" by the tool, or "missing"
    """

    key: str
    before: str
    words: str
    after: str
    aside: str
    manner: str


def today_words(today: dict[str, Any], things: dict[str, Owned | None]) -> str:
    """“direct positive 12 × 16 in, box D, 600 mm, coffee”."""
    box, camera, developer = things.get("box"), things.get("camera"), things.get("developer")
    parts = []
    if box:
        ways = tables.load("papers")[box.body["paper"]]["ways"]
        way = str(today["way"] if today.get("way") in ways else ways[0])
        parts.append(
            f"{tables.load('ways')[way]['words']} {wording.sheet_size(box.body['width_mm'], box.body['height_mm'])}"
        )
        parts.append(_named("box", box.name))
    if camera:
        parts.append(f"{camera.body['focal_mm']:g} mm lens")
    if developer:
        parts.append(developer.name)
    return "Today: " + (", ".join(parts) or "nothing chosen yet")


def _named(kind: str, name: str) -> str:
    return name if kind in name.lower() else f"{kind} {name}"


def today_rows(
    today: dict[str, Any], things: dict[str, Owned | None], phrase: dict[str, Any], way: str | None
) -> list[tuple[str, str, str]]:
    """What the folded line holds: key, label, value."""
    entry = tables.load("ways").get(way or "")
    out = [
        ("camera", "Camera", _name(things.get("camera"))),
        ("box", "Box of paper", _name(things.get("box"))),
        ("developer", "Developer", _name(things.get("developer"))),
        ("way", "Way of working", entry["words"] if entry else "choose"),
        ("meter", "Meter", today.get("meter") or _name(things.get("meter"), "none")),
        ("sitter", "Sitter", phrase.get("sitter") or "not named"),
        ("filter", "Filter on the lens", f"density {phrase['filter']:g}" if phrase.get("filter") else "none"),
    ]
    return out


def _name(thing: Owned | None, otherwise: str = "choose") -> str:
    return thing.name if thing else otherwise


def phrase_rows(
    phrase: dict[str, Any], kept: list[Kept], way: str | None, plan: Plan | None, now: datetime
) -> list[Row]:
    """The phrase, at most four lines."""
    fresh = set(phrase.get("fresh", ()))
    contact = way == CONTACT
    if contact and phrase.get("lit"):
        return _lit_rows(phrase["lit"])
    rows = [_reading_row(kept, contact, fresh, now)]
    if contact:
        density = phrase.get("negative")
        manner = _manner("negative", fresh) if density else "chosen"
        rows.append(
            Row(
                "negative",
                "through a negative of ",
                f"density {density:g}" if density else "no density said",
                ",",
                _aside(manner, ""),
                manner,
            )
        )
    on_board = bool(kept) and kept[0].reading.kind == "board"
    lights = tables.load("lights")
    light = phrase.get("light") or (plan.light if plan else None)
    if light in lights:
        manner = _manner("light", fresh) if phrase.get("light") else "chosen"
        words = str(lights[light]["phrase"])
        lead, _, rest = words.partition(" ")
        first = Row("light", f"{lead} ", rest, ",", _aside(manner, "from the sky"), manner)
    else:
        first = Row("light", "In ", "which light", "?", "", "missing")
    rows.insert(0, first)
    if not contact:
        rows.insert(1, _subject_row(phrase, fresh, on_board))
        rows.append(_aperture_row(phrase, fresh, plan, on_board))
    return rows


def _lit_rows(lit: dict[str, Any]) -> list[Row]:
    """A contact print by what is kept: saying either line otherwise is done at the bench, where both are."""
    at = f" at {said_words(lit['height'])}," if lit.get("height") else ", as its strip was made,"
    return [
        Row("reading", "Under ", str(lit["lamp"]), at, "", "said"),
        Row("negative", "through ", str(lit["negative"]), f", {lit.get('first') or 'shadows'} first,", "", "said"),
    ]


def _manner(key: str, fresh: set[str]) -> str:
    return "said" if key in fresh else "carried"


def _aside(manner: str, chosen: str) -> str:
    return {"carried": "as before", "chosen": chosen}.get(manner, "")


def _subject_row(phrase: dict[str, Any], fresh: set[str], on_board: bool) -> Row:
    who = str(phrase.get("sitter") or "the sitter")
    if phrase.get("head"):
        manner = _manner("head", fresh)
        return Row(
            "subject",
            f"{who}’s head ",
            f"{wording.length(phrase['head'])} tall",
            " on the sheet,",
            _aside(manner, ""),
            manner,
        )
    if phrase.get("subject"):
        manner = _manner("subject", fresh)
        return Row(
            "subject", f"{who} ", wording.length(phrase["subject"]), " from the lens,", _aside(manner, ""), manner
        )
    if on_board:
        return Row("subject", f"{who} ", "at any distance", ",", "not needed", "chosen")
    return Row("subject", f"{who} ", "how far", " from the lens?", "", "missing")


def _reading_row(kept: list[Kept], contact: bool, fresh: set[str], now: datetime) -> Row:
    if not kept:
        return Row("reading", "", "what does the meter say", "?", "lux under the lamp" if contact else "", "missing")
    first = kept[0].reading
    manner = _manner("readings", fresh)
    said = said_words("; ".join(k.said for k in kept))
    if first.kind == "word" and first.word:
        from firstsheet.light.words import sky

        return Row("reading", "", str(sky(first.word).words), ",", _when(kept, manner, now), manner)
    if first.kind == "photo" and first.luminance_cdm2:
        said = wording.luminance(first.luminance_cdm2)
        return Row("reading", "", said, " in the photo,", _when(kept, manner, now), manner)
    said = said.replace(" on the board", "")
    after = "," if " on " in said else f" {first.place},"
    if contact:
        after = " under the lamp,"
    how = HOW_WORDS.get(str(first.how), "") if first.kind not in ("board",) else ""
    return Row("reading", "", said, after, ", ".join(p for p in (how, _when(kept, manner, now)) if p), manner)


def _when(kept: list[Kept], manner: str, now: datetime) -> str:
    taken = [k.reading.taken_wall for k in kept if k.reading.taken_wall]
    if not taken:
        return ""
    age_s = (now - min(taken)).total_seconds()
    words = wording.age(age_s)
    if age_s > OLD_READING_S:
        return f"read {words}"
    return "as before" if manner == "carried" else words.replace("less than a minute ago", "just now")


def _aperture_row(phrase: dict[str, Any], fresh: set[str], plan: Plan | None, on_board: bool) -> Row:
    said = phrase.get("aperture")
    if said:
        manner = _manner("aperture", fresh)
        return Row("aperture", "at ", wording.f_number(said), ":", _aside(manner, ""), manner)
    if plan and plan.aperture:
        return Row("aperture", "at ", wording.f_number(plan.aperture), ":", "chosen for you", "chosen")
    if on_board:
        return Row("aperture", "at ", "which stop", "?", "as it was set", "missing")
    return Row("aperture", "at ", "whichever stop suits", ":", "", "chosen")


def answer(p: Plan) -> dict[str, Any]:
    """The one answer, its range, chance, least sure, the strip; and what lies behind a touch."""
    figure, unit = wording.seconds_figure(p.time_s)
    sheets = SHARES.get(p.strip.sheets, f"{p.strip.sheets:g} of a sheet")
    least = p.doubts[0].words if p.doubts else ""
    return {
        "figure": figure, "unit": unit, "how": p.how_given, "headline": p.headline(), "pack": p.pack.words if p.pack else "",
        "scale": stop_scale(p.range90_s, p.range50_s, p.time_s),
        "chance": sentence(wording.chance(p.keeper_chance)), "strip_sheets": sheets,
        "advice": p.advice.words, "narrows": p.advice.narrows, "counted": p.advice.counted,
        "best": p.advice.options[0].key, "strip_why": p.advice.words.partition(": ")[2],
        "strip_chance": wording.chance(p.strip.keeper_chance_after), "least": least,
        "pm": wording.stops_pm(p.sd_stops), "changed": p.changed, "notes": p.notes, "cautions": p.cautions,
        "range90": f"{wording.seconds(p.range90_s[0])} to {wording.seconds(p.range90_s[1])}",
        "links": links(p), "doubts": doubts(p), "facts": facts(p), "time": wording.seconds(p.time_s),
    }  # fmt: skip


def links(p: Plan) -> list[dict[str, str]]:
    """Every link of the chain: words, its stops, what the quantity is after it, its source, its bar."""
    reach = reach_stops([(link.stops, link.sd) for link in p.chain])
    out = []
    for link in p.chain:
        moved = "" if link.learned is None else f"your sheets moved it {wording.stops(link.learned)}"
        out.append(
            {
                "words": sentence(said_words(link.words)),
                "stops": "" if link.stops is None else wording.stops(link.stops),
                "pm": wording.stops_pm(link.sd) if link.sd else "",
                "after": quantity(link.value, link.unit),
                "source": "; ".join(s for s in (link.source, moved) if s),
                "bar": bar(link.stops, link.sd, reach) if link.stops is not None else "",
            }
        )
    return out


def sentence(words: str) -> str:
    """With a capital, but for an f-number."""
    return words if words.startswith("f/") else words[:1].upper() + words[1:]


def said_words(said: str) -> str:
    """A reading as said, the tones in it by their words: “EV 11 on a face, light skin”."""
    from firstsheet.light.words import tones

    for key, tone in tones().items():
        said = re.sub(rf"\bon {key}\b", f"on {tone.words}", said)
    return said


def quantity(value: float, unit: str) -> str:
    if unit == "s":
        return wording.seconds(value)
    if unit == "lx":
        return wording.lux(value)
    if unit == "cd/m²":
        return wording.luminance(value)
    return f"{value:.3g} {unit}"


def doubts(p: Plan) -> list[dict[str, str]]:
    """Shares of the doubt, largest first, those under one in a hundred left out."""
    return [
        {"words": d.words[:1].upper() + d.words[1:], "share": f"{100 * d.share:.0f} %", "pm": wording.stops_pm(d.sd_stops),
         "bar": share_bar(d.share)}
        for d in p.doubts if d.share >= 0.01
    ]  # fmt: skip


def facts(p: Plan) -> list[str]:
    """Small true things about the box and the money."""
    left = f"{p.sheets_left:g} {'sheet' if p.sheets_left == 1 else 'sheets'} left in {_named('box', p.box)}."
    out = [f"The box is taken as EI {p.ei_now:.2g}, 9 in 10 between {p.ei_low:.2g} and {p.ei_high:.2g}.", left]
    if p.cost is not None and p.cost_per_keeper is not None:
        out.append(
            f"A sheet costs {wording.money(p.cost, p.currency)}; as sure as this is, a keeper about {wording.about(p.cost_per_keeper, p.currency)}."
        )
    if p.board_mm is not None:
        out.append(f"Board {wording.millimetres(p.board_mm)} from the lens.")
    return out


def problems(found: tuple[Problem, ...]) -> list[dict[str, str]]:
    """Problems as the pages show them: where, what was said, what is allowed, what to try."""
    return [{"where": p.where.split(".")[0], "asked": p.asked, "allowed": p.allowed, "hint": p.hint} for p in found]


def spot_fractions(x_px: float, y_px: float, shown_width_px: float, width: int, height: int) -> tuple[str, str]:
    """A touch on the picture as shown [px] as fractions of it, in words a form can carry.

    The pixel that was touched counts at its middle; a touch on the very edge stays inside.
    """
    shown_height = shown_width_px * height / width
    across = min(max((x_px + 0.5) / shown_width_px, 0.0), 1.0)
    down = min(max((y_px + 0.5) / shown_height, 0.0), 1.0)
    return f"{across:.4f}", f"{down:.4f}"


def place_said(form: dict[str, str], width: int, height: int) -> dict[str, str]:
    """Where a form says the spot is: a touch in pixels as shown, or hundredths written in; nothing if neither."""
    if "spot.x" in form and "spot.y" in form and form.get("by") != "place":
        try:
            x, y = spot_fractions(float(form["spot.x"]), float(form["spot.y"]), SHOWN_PX, width, height)
        except (ValueError, OverflowError):
            return {}
        return {"x": x, "y": y}
    found = Problems()
    out = {}
    for key, field in (("across", "x"), ("down", "y")):
        with found.at(key):
            out[field] = f"{q.plain_number(form.get(key, ''), 0.0, 100.0) / 100:.4f}"
    found.raise_if_any()
    return out


def reading_words(kept: Kept, picture: int | None, spot: Any, light: str) -> dict[str, Any]:
    """A kept reading for its page."""
    from firstsheet.light.words import tones

    r = kept.reading
    value = wording.luminance(r.luminance_cdm2) if r.luminance_cdm2 else kept.said
    tone = tones().get(str(r.tone))
    place = f"{100 * spot[0]:.0f} % from the left, {100 * spot[1]:.0f} % from the top" if spot else ""
    return {
        "id": kept.id, "value": value, "pm": wording.stops_pm(r.sd_stops) if r.sd_stops else "", "tone": tone.words if tone else "",
        "placed": wording.stops(tone.stops) if tone else "", "picture": picture, "place": place,
    }  # fmt: skip
