"""The bench's chemistry as words for its pages; no number is made here that an act did not give."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from urllib.parse import quote, urlencode

from firstsheet import wording
from firstsheet.acts import mixing_words
from firstsheet.acts.mixing import Mix
from firstsheet.acts.mixing_baths import Bath, facts
from firstsheet.acts.mixing_check import Checked
from firstsheet.acts.mixing_kept import Bottle
from firstsheet.acts.mixing_known import RecipeTold, Thinned, Told, kinds
from firstsheet.answer import Z90, to_json
from firstsheet.chemistry.bath import APPEARANCE_NOISE, TIRED
from firstsheet.drawing.first_appearance import first_appearance
from firstsheet.refusal import Problem, Refusal

OUTLOOK = {"works": "Alkaline enough to work", "slow": "Weakly alkaline: slow", "edge": "Near its edge", "dead": "Will not develop", "danger": "Do not make it", "": ""}  # fmt: skip


def in_address(key: str) -> str:
    return quote(key, safe="")


def again(said: dict[str, str]) -> str:
    """The query that shows a form with what was said in it."""
    return urlencode(said | {"again": "1"})


def by_field(refusal: Refusal) -> Refusal:
    """The refusal with each problem at the field that it is in (“have.“washing soda”” is in have)."""
    return Refusal(
        *(Problem(p.where.partition(".")[0], p.asked, p.allowed, p.hint) for p in refusal.problems), kind=refusal.kind
    )


def by_kind(recipes: list[RecipeTold]) -> list[dict[str, Any]]:
    """Recipes under their kinds, your own first."""
    out = []
    for kind, title in kinds().items():
        rows = [{"href": f"/mix/recipe/{in_address(r.key)}", "words": _capital(r.words), "aside": "your own" if r.own else _short(r)} for r in recipes if r.kind == kind]  # fmt: skip
        if rows:
            out.append({"title": title, "rows": rows})
    return out


def _short(r: RecipeTold) -> str:
    return f"stock, {r.dilution}" if r.stock and r.dilution else ""


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def recipe(r: RecipeTold) -> dict[str, Any]:
    return {
        "key": r.key, "address": in_address(r.key), "words": _capital(r.words), "lines": r.lines, "use": r.use, "keeps": r.keeps,
        "notes": r.notes, "source": r.source, "stock": r.stock, "dilution": r.dilution, "per": "For a litre of stock" if r.stock else "For a litre",
    }  # fmt: skip


def substance_line(s: Told) -> dict[str, str]:
    return {"href": f"/mix/substances/{s.key}", "words": _capital(s.words), "aside": s.formula or ""}


def substance(s: Told, mine: float | None = None) -> dict[str, Any]:
    facts = []
    if s.molar_g:
        facts.append(("A mole of it", f"{s.molar_g:.2f} g", f"{s.formula}; {s.molar_source}"))
    if s.spoon_g:
        facts.append(
            (
                "A level 5 ml teaspoon",
                f"{s.spoon_g:g} g",
                f"{s.spoon_low_g:g} to {s.spoon_high_g:g} g; {s.spoon_source}",
            )
        )
    if mine:
        facts.append(("A spoon of yours", f"{mine:.2g} g", "as you weighed it: it counts from then on"))
    if s.density_g_ml:
        facts.append(("Strength", f"{100 * s.part:g} % by weight", f"{s.density_g_ml:g} g/ml; from memory"))
    facts += [(f"10 g stand for {x.words}", f"{x.for_ten_g:.2f} g", "mole for mole") for x in s.stands]
    sentences = [s.acid_words, s.tablets, f"Keep it: {s.store[:1].lower()}{s.store[1:]}"]
    return {"key": s.key, "spooned": s.spoon_g is not None, "words": _capital(s.words), "facts": facts, "sentences": [x for x in sentences if x], "hazards": s.hazards,
            "never": s.never, "names": ", ".join(s.names), "caution": (s.wear, s.defers)}  # fmt: skip


def mix(m: Mix) -> dict[str, Any]:
    found = to_json(m)
    assert isinstance(found, dict)
    return kept(found)


def kept(m: dict[str, Any]) -> dict[str, Any]:
    """A mix for its page, from its answer as data."""
    ph = m["ph"]
    return m | {
        "title": _capital(m["words"]), "ph_figure": f"{ph:.1f}" if ph is not None else "", "outlook_words": OUTLOOK[m["outlook"]],
        "of_what": f"in the tray, {m['dilution']}" if m["dilution"] else "in the tray", "caution": (m["cautions"][0], " ".join([*m["cautions"][1:], m["wear"]])),
    }  # fmt: skip


def bottle_line(b: Bottle, now: datetime) -> dict[str, Any]:
    age = wording.age((now - datetime.fromisoformat(b.made)).total_seconds())
    over = b.use_by is not None and datetime.fromisoformat(b.use_by) < now
    state = (
        "thrown away"
        if b.spent
        else "past its time"
        if over
        else f"use by {b.use_by[:16].replace('T', ' ')} UTC"
        if b.use_by
        else b.mix["keeps"]
    )
    return {"number": b.number, "name": b.name, "words": f"{b.mix['words']}, {b.mix['volume_words']}", "aside": state, "age": f"mixed {age}", "spent": b.spent}  # fmt: skip


def checked(c: Checked) -> dict[str, Any]:
    return {
        "headline": OUTLOOK[c.outlook] or "No developer", "figure": f"{c.ph:.1f}" if c.ph is not None else "", "ph": c.ph_words, "dangers": c.dangers,
        "verdict": c.verdict, "warnings": c.warnings, "notes": c.notes, "lines": c.lines, "caution": (c.cautions[0], " ".join(c.cautions[1:])),
    }  # fmt: skip


def thinned(t: Thinned) -> dict[str, Any]:
    rows = [
        {
            "words": r.dilution,
            "stock": mixing_words.millilitres(r.stock_ml),
            "water": mixing_words.millilitres(r.water_ml),
        }
        for r in t.readings
    ]
    return {"rows": rows, "sentence": t.sentence}


def card(b: Bottle, said: str) -> dict[str, Any]:
    """One step of the card; before the first stands what can hurt. A step that is not there is the first."""
    steps = b.mix["steps"]
    at = int(said) if said.isascii() and said.isdigit() and 1 <= int(said[:4]) <= len(steps) else 0
    words = {"number": b.number, "name": b.name, "count": len(steps), "at": at, "cautions": b.mix["cautions"], "wear": b.mix["wear"], "warnings": b.mix["warnings"]}  # fmt: skip
    here = f"/mix/{b.number}/card?step="
    back = f"{here}{at - 1}" if at > 1 else f"/mix/{b.number}/card" if at == 1 else f"/mix/{b.number}"
    onward = f"{here}{at + 1}" if at < len(steps) else f"/mix/{b.number}"
    return words | {"step": steps[at - 1] if at else None, "back": back, "onward": onward, "last": at == len(steps)}


def bath_line(b: Bath) -> dict[str, str]:
    return {"href": f"/mix/bath/{in_address(b.name)}", "name": b.name, "words": f"{b.kind_words}, {mixing_words.litres(b.volume_ml)}", "aside": b.headline}  # fmt: skip


def bath(b: Bath) -> dict[str, Any]:
    """One bath for its page: how many more, why, what to do."""
    live = b.state not in ("spent", "ended") and b.left_likely is not None
    return {
        "name": b.name, "address": in_address(b.name), "words": f"{_capital(b.kind_words)}, {mixing_words.litres(b.volume_ml)}",
        "figure": str(b.left_likely) if live else "", "unit": f"more of {b.size_words}, {b.left_least} to {b.left_most}" if live else b.headline,
        "reasons": b.reasons, "advice": b.advice, "facts": facts(b), "waste": b.waste, "state": b.state, "over": b.state in ("spent", "ended"),
        "second": b.kind == "fixer_second" and b.state != "ended", "developer": b.kind.startswith("developer"), "silver": b.limit_g_l is not None,
        "size": b.size_words or "12x16 in", "of": b.developer or "",
        "drift": first_appearance([(a.hours_open, a.later) for a in b.appearances], TIRED, Z90 * APPEARANCE_NOISE, b.name) if len(b.appearances) > 1 else "",
    }  # fmt: skip
