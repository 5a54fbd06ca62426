"""What the person said of a whole notebook (columns, units, order of dates, words), and one row read by it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, tzinfo

from firstsheet import quantities as q
from firstsheet import tables
from firstsheet.acts import notebook_rows as nb
from firstsheet.refusal import Problem, Problems, Refusal

SETTINGS = ("date_order", "zone", "untaught", "stock", "words", "leave_out")
TABLED = {
    "light": "lights",
    "way": "ways",
    "seen": "seen",
    "faults": "faults",
}  # fields whose cells are words of a table
WISHED = ("camera", "box", "developer", "way", "meter", "light", "subject", "head", "aperture", "filter", "negative",
          "sitter", "reading", "how", "tone")  # fmt: skip
BORDERS = ("white", "grey", "black")
JUDGED = ("border", "seen", "wet", "kept", "faults")
# A sheet without one of these cannot teach. Whose things they are must be said all the same.
LACKING = ("reading", "light", "subject", "aperture", "given", "border")
UNDATED = datetime.min.replace(tzinfo=UTC)
YES_NO = {"y": "yes", "n": "no"}


@dataclass(frozen=True, slots=True)
class Asked:
    """The mapping and the defaults, checked against the notebook's columns."""

    columns: dict[str, tuple[str, ...]]
    units: dict[str, str]
    fallback: dict[str, str]
    words: dict[tuple[str, str], str]
    order: str | None
    zone: tzinfo
    zone_said: bool
    untaught: bool
    stock: bool
    left_out: frozenset[int] = frozenset()


@dataclass(slots=True)
class Row:
    """One row as words: its moment, the forms for its plan and its judgement, what was given, and what is wrong with it."""

    number: int
    cells: dict[str, str]
    key: str
    when: datetime = UNDATED
    time_said: bool = False
    plan: dict[str, str] = field(default_factory=dict)
    judgement: dict[str, str] = field(default_factory=dict)
    given_s: float | None = None
    remark: str = ""
    problems: Problems = field(default_factory=Problems)

    @contextmanager
    def told(self) -> Iterator[None]:
        """Keep the problems of a refusal raised inside, each under the field it names."""
        try:
            yield
        except Refusal as refusal:
            # What could not be read of a cell is missing to what comes after it: it is told once.
            known = {p.where.split(".")[0] for p in self.problems.found}
            found = [replace(p, where=p.where.strip(".")) for p in refusal.problems]
            self.problems.found += [p for p in found if p.where.split(".")[0] not in known]

    def lacks_only(self) -> bool:
        """Whether all that is wrong with it is that something a sheet teaches by was never written down."""
        return all(not p.asked and p.where in LACKING for p in self.problems.found)


def asked(
    table: nb.Table, mapping: Mapping[str, str], defaults: Mapping[str, object] | None, problems: Problems
) -> Asked:
    """Mapping and defaults as far as they fit this notebook; all that does not is noted in `problems`."""
    columns: dict[str, list[str]] = {}
    for name, what in mapping.items():
        key = str(what or "").strip().lower()
        if not key or key == "-":
            continue
        if str(name) not in table.columns:
            problems.add(
                "mapping", name, "A column of the notebook.", "Its columns: " + ", ".join(table.columns)[:400] + "."
            )
        elif key not in nb.FIELDS:
            problems.add(
                f"mapping.{name}", what, "One of: " + ", ".join(nb.FIELDS) + ".", "Leave it out to pass it over."
            )
        elif key in columns and key != "remark":
            problems.add(
                f"mapping.{name}", what, "One column for each.", f"“{columns[key][0]}” is taken for it already."
            )
        else:
            columns.setdefault(key, []).append(str(name))
    said = {str(k): v for k, v in (defaults or {}).items() if v not in (None, "")}
    words = nb.word_map(said.pop("words", None), problems)
    plain = {k: str(v).strip() for k, v in said.items() if not isinstance(v, (Mapping, list, tuple, set))}
    units = {f: nb.unit_in(f, names[0]) for f, names in columns.items()}
    for key in said:
        if key not in plain or (
            key not in SETTINGS and key not in nb.FIELDS and not _unit(units, key, plain, problems)
        ):
            problems.add(
                f"defaults.{key}"[:80],
                said[key],
                "A field, field_unit, date_order, zone, untaught, stock, leave_out or words.",
                "",
            )
    order = plain.get("date_order", "").lower() or None
    if order not in (None, "dmy", "mdy", "ymd"):
        problems.add("defaults.date_order", order, "dmy, mdy or ymd.", "3 April is 03/04 by dmy and 04/03 by mdy.")
        order = None
    zone: tzinfo = UTC
    with problems.at("defaults.zone"):
        zone = nb.zone_of(plain.get("zone", "UTC"))
    untaught, stock = (_flag(key, plain, problems) for key in ("untaught", "stock"))
    if "date" not in columns and "date" not in plain:
        problems.add("mapping", "", "A column for the date.", "Say which column holds the day.")
    left_out: frozenset[int] = frozenset()
    with problems.at("defaults.leave_out"):
        numbers = frozenset(n for n, _ in table.rows)
        left_out = nb.row_numbers(plain["leave_out"], numbers) if plain.get("leave_out") else left_out
    fallback = {k: v for k, v in plain.items() if k in nb.FIELDS}
    taken = {k: tuple(v) for k, v in columns.items()}
    return Asked(taken, units, fallback, words, order, zone, "zone" in plain, untaught, stock, left_out)


def _flag(key: str, plain: Mapping[str, str], problems: Problems) -> bool:
    word = plain.get(key, "no").lower()
    if word not in ("yes", "true", "on", "1", "no", "false", "off", "0"):
        problems.add(f"defaults.{key}", word, "yes or no.", "")
    return word in ("yes", "true", "on", "1")


def _unit(units: dict[str, str], key: str, plain: Mapping[str, str], problems: Problems) -> bool:
    """Take “subject_unit” for the unit of a column whose heading declares none."""
    name, underscore, last = key.rpartition("_")
    if not underscore or last != "unit" or name not in nb.MEASURED:
        return False
    if nb.unit_in(name, f"({plain[key]})"):
        units[name] = units.get(name) or plain[key].lower()
    else:
        problems.add(f"defaults.{key}", plain[key], f"A unit of {nb.MEASURED[name]}.", "m, mm, in, s, min, EV, lx …")
    return True


def read_row(table: nb.Table, a: Asked, number: int, cells: dict[str, str], key: str) -> Row:
    """A row's cells as words; every problem of it is kept with it, under the field it is about."""
    row = Row(number, cells, key)
    said: dict[str, str] = {}
    for name in nb.FIELDS:
        text = "; ".join(cells[c] for c in a.columns.get(name, ()) if c in cells) or a.fallback.get(name, "")
        text = a.words.get((name, " ".join(text.lower().split())), text)
        if len(text) > nb.LONGEST_CELL:
            row.problems.add(name, text, f"At most {nb.LONGEST_CELL} characters in a cell.", "Shorten it.")
        elif text:
            said[name] = text
    _when(row, a, said)
    for name in WISHED:
        if name in said:
            with row.problems.at(name):
                row.plan[name] = _wished(name, said[name], a.units.get(name, ""))
    _given(row, said, a.units.get("given", ""))
    for name in JUDGED:
        if name in said:
            with row.problems.at(name):
                row.judgement[name] = _judged(name, said[name])
    row.remark = said.get("remark", "")
    if "seen" not in said:
        row.judgement = {}
    elif "border" not in said:
        row.problems.add(
            "border", "", "white, grey or black.", "If every border was clean, say so once for the notebook."
        )
    return row


def _when(row: Row, a: Asked, said: Mapping[str, str]) -> None:
    if "date" not in said:
        row.problems.add("date", "", "The day of the sheet.", "Write “2026-05-03”.")
        return
    with row.problems.at("date"):
        nb.moment(said["date"], None, a.order, a.zone)
    with row.problems.at("time"):
        if "time" in said:
            nb.clock(said["time"])
    if not any(p.where in ("date", "time") for p in row.problems.found):
        with row.problems.at("date"):
            try:
                row.when, row.time_said = nb.moment(said["date"], said.get("time"), a.order, a.zone)
            except OverflowError:
                raise Refusal.one("", said["date"], "A day of the calendar, 1800 to 2200.", "") from None


def _wished(name: str, text: str, unit: str) -> str:
    if name in ("subject", "head", "reading"):
        return nb.measured(name, text, unit)
    if name == "aperture":
        q.f_number(text)  # what was set, so no “any”
    if name in ("light", "way"):
        return nb.key_of("lights" if name == "light" else "ways", text)
    return text


def _given(row: Row, said: Mapping[str, str], unit: str) -> None:
    if "given" not in said:
        row.problems.add("given", "", "The time given, with its unit.", "Write “4 s”.")
        return
    with row.problems.at("given"):
        row.given_s = q.duration_s(said["given"], bare=unit or None)
        if not row.given_s:
            raise Refusal.one("", said["given"], "A time above nothing.", "Leave it empty if it is not known.")


def _judged(name: str, text: str) -> str:
    if name in ("seen", "border"):
        # Refused here already, so that a row tells all that is wrong with it at once, whether or not it could be planned.
        key = nb.key_of("seen", text) if name == "seen" else text.lower()
        if key not in (tables.load("seen") if name == "seen" else BORDERS):
            allowed = nb.words_of("seen") if name == "seen" else ", ".join(BORDERS)
            raise Refusal.one("", text, f"One of: {allowed}.", "Choose the nearest.")
        return key
    if name == "faults":
        return ",".join(nb.key_of("faults", w) for w in text.replace(";", ",").split(",") if w.strip())
    return YES_NO.get(text.lower(), text) if name in ("wet", "kept") else text


def columns_of(a: Asked, problem: Problem) -> str:
    """The column a problem of a row is about, by name; where no column holds it, the field."""
    where = problem.where.split(".")[0]
    return ", ".join(a.columns.get(where, ())) or where
