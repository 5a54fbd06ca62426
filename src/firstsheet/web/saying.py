"""The page for one value: its question, the options that suit it, the last values, a box to write in."""

from __future__ import annotations

import dataclasses
import re
from dataclasses import dataclass
from typing import Any

from firstsheet import tables, wording
from firstsheet.acts.own import Owned
from firstsheet.acts.reading import Kept
from firstsheet.web.pages import said_words

THIRD = 1.0 / 3.0
FIRST_DISTANCES_M = (2.0, 2.5, 3.0, 4.0, 5.0)  # offered while nothing was said; common practice, no source


@dataclass(frozen=True, slots=True)
class Option:
    """A big choice: the value it says, its words, what stands under them; chosen if it is what holds now."""

    value: str
    words: str
    aside: str = ""
    chosen: bool = False


@dataclass(frozen=True, slots=True)
class SayPage:
    """field    the form's field; steps and options are its values; `last` what sheets had before."""

    key: str
    question: str
    field: str
    placeholder: str
    mode: str
    help: str = ""
    now: str = ""
    steps: tuple[Option, ...] = ()
    options: tuple[Option, ...] = ()
    last: tuple[Option, ...] = ()
    more: dict[str, Any] = dataclasses.field(default_factory=dict)


KEYS = (
    "light", "subject", "head", "reading", "aperture", "sitter", "box", "camera", "developer", "way", "meter", "filter", "negative",
)  # fmt: skip


def say_page(
    key: str,
    phrase: dict[str, Any],
    today: dict[str, Any],
    things: dict[str, list[Owned]],
    sheets: list[dict[str, Any]],
    kept: list[Kept],
) -> SayPage:
    """The page for `key`. `sheets` are the plans of the last sheets, newest first."""
    if key in ("camera", "box", "developer", "meter"):
        return _thing(key, today, things[key])
    if key == "way":
        return _way(today, things["box"])
    if key == "light":
        return _light(phrase, sheets)
    if key == "subject":
        return _subject(phrase, sheets)
    if key == "head":
        now = phrase.get("head")
        return SayPage("head", "How tall is the head on the sheet?", "head", "58 mm", "text", "From the crown to the chin. The distance follows from it.",
                       wording.length(now) if now else "", _lengths(now, (-5.0, 5.0)))  # fmt: skip
    if key == "reading":
        return _reading(kept, sheets)
    if key == "aperture":
        return _aperture(phrase, today, things["camera"], sheets)
    if key == "sitter":
        names = _last([p.get("sitter") for p in sheets], str)
        return SayPage(
            "sitter",
            "Who sits?",
            "sitter",
            "the cox",
            "text",
            "A first name or a word you will know again.",
            str(phrase.get("sitter") or ""),
            last=names,
        )
    if key == "filter":
        return _density("filter", "Which filter is on the lens?", phrase, "Its density; 0.3 is a stop. 0 for none.")
    return _density(
        "negative",
        "How dense is the negative?",
        phrase,
        "The density of the part that is to be mid-tone; 0 if the lux was read under it.",
    )


def _density(key: str, question: str, phrase: dict[str, Any], words: str) -> SayPage:
    values = ("0", "0.3", "0.6", "0.9") if key == "filter" else ("0", "0.6", "0.9", "1.2")
    now = phrase.get(key)
    options = tuple(Option(v, "none" if v == "0" else v, chosen=now is not None and float(v) == now) for v in values)
    return SayPage(key, question, key, "0.6", "decimal", words, f"{now:g}" if now else "", options=options)


def _light(phrase: dict[str, Any], sheets: list[dict[str, Any]]) -> SayPage:
    lights = tables.load("lights")
    last = sheets[0]["light"] if sheets else None
    options = tuple(
        Option(k, str(v["words"]), "as last sheet" if k == last else "", k == phrase.get("light"))
        for k, v in lights.items()
    )
    words = "Paper sees mostly blue; a meter sees as the eye does. They part by the kind of light."
    return SayPage("light", "Which light falls on the sitter?", "light", "", "", words, options=options)


def _subject(phrase: dict[str, Any], sheets: list[dict[str, Any]]) -> SayPage:
    now = phrase.get("subject") or (sheets[0].get("subject_mm") if sheets else None)
    steps = _lengths(now, (-500.0, -100.0, 100.0, 500.0))
    options = () if now else tuple(Option(f"{m:g} m", f"{m:g} m") for m in FIRST_DISTANCES_M)
    last = _last([p.get("subject_mm") for p in sheets], lambda mm: f"{mm / 1000:.4g} m")
    words = "From the lens to the eyes."
    return SayPage(
        "subject",
        "How far is the sitter from the lens?",
        "subject",
        "3 m",
        "text",
        words,
        wording.length(now) if now else "",
        steps,
        options,
        last,
    )


def _lengths(now_mm: float | None, steps_mm: tuple[float, ...]) -> tuple[Option, ...]:
    if not now_mm:
        return ()
    out = []
    for step in steps_mm:
        mm = now_mm + step
        if mm >= 5.0:
            sign = "−" if step < 0 else "+"
            size = f"{abs(step) / 10:g} cm" if abs(step) >= 10 else f"{abs(step):g} mm"
            out.append(Option(f"{mm:.0f} mm", f"{sign} {size}", _length_words(mm)))
    return tuple(out)


def _length_words(mm: float) -> str:
    return f"{mm / 1000:.2f} m" if mm >= 1000 else f"{mm:.0f} mm"


def _reading(kept: list[Kept], sheets: list[dict[str, Any]]) -> SayPage:
    from firstsheet.light.words import skies, tones

    now = "; ".join(k.said for k in kept)
    options = tuple(
        Option(s.key.replace("_", " "), s.words, f"about EV\u00a0{s.ev100:.0f}, ±{s.sd_stops:g}\u00a0stop")
        for s in skies().values()
    )
    before: list[str] = []
    for p in sheets:
        said = "; ".join(p.get("readings", ()))
        if said and "photo" not in said and said not in before:
            before.append(said)
    last = tuple(
        Option(s, said_words(s), "as last sheet, read again" if i == 0 else "read again")
        for i, s in enumerate(before[:3])
    )
    how = [
        ("", "at the face, flat disc towards the lens", "incident"),
        ("dome", "at the face, with the dome", "incident"),
        ("reflected", "from the camera, on one tone", "reflected"),
        ("board", "lux on the board, where the face falls", "needs the aperture that was set"),
    ]
    tone_rows = [(t.key, t.words) for t in tones().values()]
    words = "EV (at ISO 100 unless you say another), lux, cd/m², or f-number, time and ISO. Several: part them by “;”."
    return SayPage("reading", "What does the meter say?", "reading", "EV 11", "text", words, said_words(now), _ev_steps(now), options, last,
                   {"how": how, "tones": tone_rows})  # fmt: skip


def _ev_steps(now: str) -> tuple[Option, ...]:
    """A third of a stop and a whole one either way of an EV, keeping the rest of what was said."""
    found = re.fullmatch(r"(.*?\bEV\s*)(-?\d+(?:\.\d+)?)(.*)", now, flags=re.IGNORECASE)
    if not found or ";" in now:
        return ()
    before, number, after = found.groups()
    out = []
    for step, words in ((-1.0, "− 1 stop"), (-THIRD, "− ⅓ stop"), (THIRD, "+ ⅓ stop"), (1.0, "+ 1 stop")):
        said = f"{before}{float(number) + step:.1f}{after}"
        out.append(Option(said, words, said_words(said)))
    return tuple(out)


def _aperture(
    phrase: dict[str, Any], today: dict[str, Any], cameras: list[Owned], sheets: list[dict[str, Any]]
) -> SayPage:
    chosen = [c for c in cameras if c.name == today.get("camera")] or (cameras if len(cameras) == 1 else [])
    now = phrase.get("aperture") or None
    options = [Option("any", "choose for me", "the widest that the hand can time", now is None)]
    if chosen:
        body = chosen[0].body
        for n in sorted({*body["stops"], body["f_number"]}):
            words = wording.f_number(n)
            options.append(Option(words, words, "", now is not None and abs(n - now) < 0.01))
    base = now or (sheets[0].get("aperture") if sheets else None)
    steps = []
    for step, sign in ((-THIRD, "⅓ stop wider"), (THIRD, "⅓ stop smaller")) if base else ():
        n = base * 2.0 ** (step / 2.0)
        if not chosen or n > 0.99 * chosen[0].body["f_number"]:  # none wider than the lens is
            steps.append(Option(wording.f_number(n), sign, wording.f_number(n)))
    last = _last([p.get("aperture") for p in sheets], wording.f_number)
    return SayPage(
        "aperture",
        "Which stop?",
        "aperture",
        "f/8",
        "text",
        "",
        wording.f_number(now) if now else "",
        tuple(steps),
        tuple(options),
        last,
    )


def _thing(key: str, today: dict[str, Any], things: list[Owned]) -> SayPage:
    questions = {
        "camera": "Which camera?",
        "box": "Which box of paper?",
        "developer": "Which developer?",
        "meter": "Which meter?",
    }
    now = today.get(key) or (things[0].name if len(things) == 1 else "")
    options = tuple(Option(t.name, t.name, thing_words(t), t.name == now) for t in things)
    return SayPage(
        key,
        questions[key],
        key,
        "",
        "",
        "" if things else "None in the book yet.",
        now,
        options=options,
        more={"own": f"/own/{key}"},
    )


def thing_words(t: Owned) -> str:
    """One line on a thing that is owned."""
    b = t.body
    if t.kind == "camera":
        return f"{b['focal_mm']:g} mm, {wording.f_number(b['f_number'])}, board {b['board_min_mm']:.0f} to {b['board_max_mm']:.0f} mm"
    if t.kind == "box":
        paper = tables.load("papers")[b["paper"]]["words"]
        speed = f", EI {b['ei']:g}" if b["ei"] else f", ISO P {b['iso_p']:g}" if b["iso_p"] else ""
        return f"{paper}, {wording.sheet_size(b['width_mm'], b['height_mm'])}, {b['sheets']:g} sheets{speed}"
    return str(tables.load({"developer": "developers", "meter": "meters"}[t.kind])[b["kind"]]["words"])


def _way(today: dict[str, Any], boxes: list[Owned]) -> SayPage:
    box = next((b for b in boxes if b.name == today.get("box")), boxes[0] if len(boxes) == 1 else None)
    ways = {k: v for k, v in tables.load("ways").items() if isinstance(v, dict)}
    fit = tables.load("papers")[box.body["paper"]]["ways"] if box else list(ways)
    options = tuple(
        Option(k, str(ways[k]["words"]), str(ways[k]["plain"]), k == today.get("way")) for k in ways if k in fit
    )
    words = f"What {box.name if 'box' in box.name.lower() else 'box ' + box.name} can become." if box else ""
    return SayPage("way", "Which way of working?", "way", "", "", words, options=options)


def _last(values: list[Any], words: Any) -> tuple[Option, ...]:
    """The last three different values that sheets had; the newest is “as last sheet”."""
    seen: list[str] = []
    newest = values[0] if values else None
    for v in values:
        if v and words(v) not in seen:
            seen.append(words(v))
    first = words(newest) if newest else None
    return tuple(Option(s, s, "as last sheet" if s == first else "before") for s in seen[:3])
