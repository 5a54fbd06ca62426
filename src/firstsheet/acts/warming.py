"""How warm the trays are: what that makes of every step, by a look, or for the run of one sheet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet import wording
from firstsheet.acts import at_trays, mixing_own
from firstsheet.acts.door import Door, Form
from firstsheet.refusal import Problems, Refusal
from firstsheet.tables import load
from firstsheet.trays import warmth
from firstsheet.trays.process import Process, process_for, ways
from firstsheet.trays.stretched import Change, stretched

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

NOBODY_KNOWS = "unknown"


@dataclass(frozen=True, slots=True)
class StepWarmed:
    """One step: its time at 20 °C, its time now with window and doubt [s], what was changed, and where the ratio comes from."""

    key: str
    tray: str
    at_20_s: float
    seconds: float
    low_s: float
    high_s: float
    doubt_low_s: float | None
    doubt_high_s: float | None
    changed: str
    source: str


@dataclass(frozen=True, slots=True)
class Warmed:
    """A way's steps at a temperature. `code` is the sheet it was said for, "" for a mere look; `temperature` as it was understood."""

    code: str
    words: str
    temperature: str
    steps: tuple[StepWarmed, ...]
    whole_s: float
    notes: tuple[str, ...]


def look(form: Form | None = None) -> Warmed:
    """What a temperature makes of a way's steps; nothing is kept. Fields: temperature (“16 °C”, or “developer 18 °C, wash 9 °C”), way
    (paper_negative unless said), developer (paper, coffee, ra4), base (rc, fibre)."""
    d = Door(form)
    way = d.pick("way", ways()) or "paper_negative"
    whole = load("processes")["ways"][way]
    kind = d.pick("developer", load("processes")["developers"]) or whole["developers"][0]
    base = d.pick("base", ("rc", "fibre")) or "rc"
    text = d.said("temperature")
    if text is None:
        d.problems.add("temperature", "", "How warm the trays are.", "Try “16 °C”, or “developer 18 °C, wash 9 °C”.")
    d.close()
    plain = process_for(way, kind, whole["papers"][0], base)
    said = _temperatures(text or "", plain)
    problems, changes = Problems(), {}
    for s in plain.steps:
        now = said.get(s.key, said.get(""))
        if s.agent and now is not None:
            with problems.at(""):
                warmth.check(s.agent, now)
                changes[s.key] = Change(warmth.times_longer(s.agent, now), f"at {now:g} °C")
    problems.raise_if_any()
    return _told("", stretched(plain, changes), said)


def of_sheet(reader: Reader, code: str) -> Warmed:
    """The steps of a sheet's run as they will be today, or were."""
    row = reader.get_sheet(code)
    kept = at_trays.of(reader, row["code"])
    made = at_trays.process(reader, row["code"])
    return _told(row["code"], made, kept.get("temperature") or {})


def say(book: Book, code: str, form: Form | None = None) -> Warmed:
    """Say how warm the trays are for this run; it goes before what the baths say. Field: temperature (as for `look`; “unknown”: the times are
    those for 20 °C; “as the baths”: take it back). Refusal once the run has begun, and where no time is known."""
    d = Door(form)
    text = d.must("temperature", str, "How warm the trays are.", "Try “16 °C”, or “developer 18 °C, wash 9 °C”.")
    d.close()
    row = book.get_sheet(code)
    at_trays.say(book, row["code"], temperature=_kept(book, row["code"], text or ""))
    return of_sheet(book, row["code"])


def _kept(reader: Reader, code: str, text: str) -> dict[str, float | None] | None:
    if text.strip().lower() in ("as the baths", "baths"):
        return None
    return _temperatures(text, at_trays.unstretched(reader, code))


def _temperatures(text: str, made: Process) -> dict[str, float | None]:
    """ "16 °C" for all, "developer 18 °C, wash 9 °C" by tray; "unknown" for none [°C]."""
    problems = Problems()
    out: dict[str, float | None] = {}
    names = {n: s.key for s in made.steps if s.agent for n in (s.key.replace("_", " "), s.tray)}
    for part in text.replace(";", ",").split(","):
        said = " ".join(part.split())
        name = next((n for n in sorted(names, key=len, reverse=True) if said.lower().startswith(f"{n} ")), "")
        value = said[len(name) :].strip()
        with problems.at("temperature"):
            if value.lower() == NOBODY_KNOWS:
                out[names.get(name, "")] = None
                continue
            try:
                out[names.get(name, "")] = mixing_own.tray_c(value)
            except Refusal as refusal:
                trays = ", ".join(dict.fromkeys(s.tray for s in made.steps if s.agent))
                p = refusal.problems[0]
                raise Refusal.one("", said, f"{p.allowed} Before it, a tray: {trays}.", p.hint) from refusal
    problems.raise_if_any()
    return out


def _told(code: str, after: Process, said: dict[str, float | None]) -> Warmed:
    agents = warmth.agents()
    steps = tuple(
        StepWarmed(
            s.key, s.tray, s.plain_s if s.plain_s is not None else s.seconds, s.seconds, s.low_s, s.high_s,
            s.doubt_s[0] if s.doubt_s else None, s.doubt_s[1] if s.doubt_s else None, s.changed,
            agents[s.agent].source if s.agent else "",
        )
        for s in after.steps
    )  # fmt: skip
    return Warmed(code, after.words, _words(said, after), steps, after.total_s, tuple(_notes(after)))


def _words(said: dict[str, float | None], made: Process) -> str:
    trays = {s.key: s.tray for s in made.steps}
    parts = []
    for key, c in said.items():
        how = "not known" if c is None else f"{c:g} °C"
        parts.append(f"{trays[key]} {how}" if key else how)
    return ", ".join(parts)


def _notes(made: Process) -> Iterable[str]:
    """What to mind: a doubt wider than the window."""
    for s in made.steps:
        if s.doubt_s and (s.doubt_s[0] < s.low_s or s.doubt_s[1] > s.high_s):
            yield (
                f"{s.tray[:1].upper()}{s.tray[1:]}: the doubt of this time, {wording.seconds(s.doubt_s[0])} to {wording.seconds(s.doubt_s[1])}, "
                "is wider than its window. First appearance, or a strip, tells it better."
            )
