"""A notebook's columns, its unsaid things, its rows and their problems as words for the pages."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from firstsheet import tables, wording
from firstsheet.acts import reading
from firstsheet.acts.notebook import BroughtIn, Checked, Proposal, RowProblem, alike, rows_words
from firstsheet.acts.notebook_kept import Brought
from firstsheet.acts.own import Owned
from firstsheet.refusal import Refusal

SAID = {
    "box": "Box of paper", "camera": "Camera", "developer": "Developer", "meter": "Meter", "way": "Way of working", "light": "Kind of light",
    "border": "Masked border", "seen": "What was seen", "aperture": "Aperture", "subject": "Distance of the sitter", "reading": "Reading of the light",
    "how": "How it was read", "tone": "On which tone", "given": "Time given", "date": "Day",
    "date_order": "Order of day, month and year", "zone": "Time zone", "given_unit": "Unit of the time given", "subject_unit": "Unit of distance",
    "reading_unit": "Unit of the reading", "untaught": "Rows that lack what teaches", "stock": "Paper of these rows",
    "leave_out": "Rows left out",
}  # fmt: skip
FOR_ALL = ("date_order", "zone", "given_unit", "subject_unit", "reading_unit", "untaught", "stock", "leave_out")
FIXED: dict[str, tuple[tuple[str, str], ...]] = {
    "border": (("white", "white"), ("grey", "grey"), ("black", "black")),
    "date_order": (("dmy", "day, month, year: 3/4 is the third of April"), ("mdy", "month, day, year: 3/4 is the fourth of March"), ("ymd", "year, month, day")),
    "given_unit": (("s", "seconds"), ("min", "minutes")), "subject_unit": (("m", "metres"), ("cm", "centimetres"), ("ft", "feet"), ("in", "inches")),
    "reading_unit": (("EV", "EV at ISO 100"), ("lx", "lux"), ("cd/m²", "cd/m²")),
    "untaught": (("yes", "keep them; they teach nothing"), ("no", "refuse them")), "stock": (("yes", "take it out of the boxes’ count"), ("no", "it is out of the count already")),
    "kept": (("yes", "kept"), ("no", "not kept")), "wet": (("yes", "wet"), ("no", "dry")),
}  # fmt: skip
FROM_TABLES = {"light": "lights", "way": "ways", "seen": "seen", "faults": "faults"}
EXAMPLES = {
    "aperture": "f/16",
    "subject": "3 m",
    "reading": "EV 11",
    "zone": "Europe/London",
    "given": "4 s",
    "date": "2026-05-03",
    "tone": "face_light",
    "leave_out": "3 7-9",
}
NONE = "not said"


@dataclass(slots=True)
class Draft:
    """A notebook that was sent: its bytes, what it looks like, what its columns were named, what holds where it does not say."""

    data: bytes
    proposal: Proposal
    mapping: dict[str, str]
    defaults: dict[str, object]


def draft(d: Draft, token: str) -> dict[str, Any]:
    """Each column with what it is taken for; then what holds for rows that do not say."""
    columns = []
    for i, c in enumerate(d.proposal.columns):
        field = d.mapping.get(c.name)
        guessed = field is not None and field == c.field
        columns.append({
            "number": i, "name": c.name, "samples": "; ".join(c.samples[:3]) or "empty", "field": d.proposal.fields[field] if field else "kept, not read",
            "why": c.why if guessed else "", "manner": "chosen" if guessed else "said" if field else "missing",
        })  # fmt: skip
    taken = set(d.mapping.values())
    unsaid = [
        {"key": k, "label": words, "value": _value(d, k)}
        for k, words in SAID.items()
        if k not in taken or k in d.defaults or k in FOR_ALL
    ]
    return {"token": token, "rows": d.proposal.rows, "columns": columns, "unsaid": unsaid, "parted": d.proposal.delimiter,
            "words": [f"{w} = {m}" for w, m in _words(d).items()]}  # fmt: skip


def _value(d: Draft, key: str) -> str:
    said = d.defaults.get(key)
    return NONE if said is None else str(dict(FIXED.get(key, ())).get(str(said), said))


def _words(d: Draft) -> dict[str, str]:
    found = d.defaults.get("words")
    return {str(k): str(v) for k, v in found.items()} if isinstance(found, dict) else {}


def column(d: Draft, token: str, number: int) -> dict[str, Any]:
    """The page of one column: what it may be."""
    c = _column(d, number)
    now = d.mapping.get(c.name)
    taken = {f: n for n, f in d.mapping.items() if n != c.name and f != "remark"}
    options = [("-", "none of these: kept with the row, not read", "", now is None)]
    options += [
        (f, words, f"“{taken[f]}” is taken for it now" if f in taken else "", f == now)
        for f, words in d.proposal.fields.items()
    ]
    return {
        "title": f"What is the column “{c.name}”?", "help": "Its cells: " + ("; ".join(c.samples) or "empty") + ".", "options": options,
        "path": f"/notebook/{token}/column/{number}", "back": f"/notebook/{token}", "example": "", "write": False, "now": "",
    }  # fmt: skip


def _column(d: Draft, number: int) -> Any:
    if number >= len(d.proposal.columns):
        raise Refusal.one("column", number, "A column of this notebook.", "", "missing")
    return d.proposal.columns[number]


def name_column(d: Draft, number: int, field: str) -> None:
    """Take this column for `field`; another that was taken for it is then taken for nothing. "-" or unknown: nothing."""
    name = _column(d, number).name
    d.mapping.pop(name, None)
    if field in d.proposal.fields:
        if field != "remark":
            for other in [n for n, f in d.mapping.items() if f == field]:
                del d.mapping[other]
        d.mapping[name] = field


def saying(d: Draft, token: str, key: str, word: str, things: dict[str, list[Owned]]) -> dict[str, Any]:
    """The page on which one unsaid thing is said, or what a word in a column means."""
    if key not in SAID and not (word and key in d.proposal.fields):
        raise Refusal.one("page", key, "Something a notebook may leave unsaid.", "", "missing")
    options = _options(key, things)
    back = f"/notebook/{token}/check" if word else f"/notebook/{token}"
    if word:
        title, words = f"What does “{word}” mean?", f"In the column for {d.proposal.fields[key]}."
    else:
        title = f"{SAID[key]}, where a row does not say it"
        words = {
            "untaught": "A row without a reading, a light, a distance, an aperture, a time or a border cannot teach."
        }.get(key, "")
    now = str(d.defaults.get(key, "")) if not word else _words(d).get(f"{key}: {word}", "")
    from urllib.parse import urlencode

    return {
        "title": title, "help": words, "options": [(v, w, "", v == now) for v, w in options], "back": back, "now": now,
        "path": f"/notebook/{token}/say/{key}" + (f"?{urlencode({'word': word})}" if word else ""),
        "example": EXAMPLES.get(key, ""), "write": not options, "drop": bool(now) and not word,
    }  # fmt: skip


def _options(key: str, things: dict[str, list[Owned]]) -> list[tuple[str, str]]:
    if key in things:
        return [(t.name, t.name) for t in things[key]]
    if key in FIXED:
        return list(FIXED[key])
    if key == "how":
        return [(h, h.replace("_", " ")) for h in reading.HOW]
    if key in FROM_TABLES:
        return [(k, str(v["words"])) for k, v in tables.load(FROM_TABLES[key]).items() if isinstance(v, dict)]
    return []


def say(d: Draft, key: str, word: str, value: str) -> None:
    """Keep what was said; an empty value takes it back."""
    value = value.strip()
    if word:
        words = _words(d)
        words[f"{key}: {word}"] = value
        d.defaults["words"] = words
    elif not value or value == "-":
        d.defaults.pop(key, None)
    elif key in SAID:
        d.defaults[key] = value


def leave_out(d: Draft, rows: str) -> None:
    """Pass these rows over as well."""
    d.defaults["leave_out"] = " ".join(f"{d.defaults.get('leave_out', '')} {rows}".split())


def checked(c: Checked, token: str) -> dict[str, Any]:
    """Every problem of every row; the same one in many rows is told once, with all their numbers."""
    told = [_problem(p, rows, token) for p, rows in alike(c.problems)]
    teach, there = sum(r.taught for r in c.rows), sum(r.there for r in c.rows)
    return {
        "ready": c.ready, "problems": told, "wrong": len({p.row for p in c.problems}), "notes": c.notes, "rows": len(c.rows), "teach": teach,
        "there": there, "new": len(c.rows) - there, "list": [_row(r) for r in c.rows],
    }  # fmt: skip


def _problem(p: RowProblem, rows: list[int], token: str) -> dict[str, str]:
    from urllib.parse import urlencode

    fix, says = "", ""
    field = p.field.split(".")[0]
    if (
        p.said
        and (field in FIXED or field in FROM_TABLES or field in ("box", "camera", "developer", "meter"))
        and field not in FOR_ALL
    ):
        fix, says = f"/notebook/{token}/say/{field}?{urlencode({'word': p.said})}", f"Say what “{p.said}” means"
    elif not p.said and field in SAID:
        fix, says = f"/notebook/{token}/say/{field}", f"Say it for all: {SAID[field].lower()}"
    return {
        "rows": rows_words(rows),
        "numbers": " ".join(map(str, rows)),
        "column": SAID.get(p.column, p.column).lower() if p.column == field else p.column,
        "keep": f"/notebook/{token}/say/untaught" if p.lacks else "",
        "said": p.said,
        "allowed": p.allowed,
        "hint": p.hint,
        "fix": fix,
        "says": says,
    }


def _row(r: Any) -> dict[str, str]:
    given = "" if r.given_s is None else wording.seconds(r.given_s)
    at = "" if r.aperture is None else f" at {wording.f_number(r.aperture)}"
    state = (
        "there already"
        if r.there
        else "teaches"
        if r.taught
        else "lacks: " + ", ".join(SAID.get(k, k).lower() for k in r.lacks)
        if r.lacks
        else "teaches nothing"
    )
    return {"row": str(r.row), "words": f"{r.when[:10]}, {r.box or 'no box'}, {given or 'no time'}{at}", "state": state}


def done(b: BroughtIn) -> dict[str, Any]:
    sheets = "1 sheet" if b.count == 1 else f"{b.count} sheets"
    there = f" {b.skipped_identical} were there already." if b.skipped_identical else ""
    return {"words": f"{sheets} brought in, {b.taught} of them teach.{there}", "notes": b.notes, "untaught": len(b.untaught), "number": b.number,
            "first": b.codes[0] if b.codes else ""}  # fmt: skip


def brought(b: Brought, now: datetime) -> dict[str, Any]:
    when = wording.age((now - datetime.fromisoformat(b.when)).total_seconds())
    sheets = "1 sheet" if b.count == 1 else f"{b.count} sheets"
    return {"number": b.number, "words": f"{sheets}, {when}", "stands": b.stands}
