"""A notebook typed as a table: its columns, what each may mean, and one row's cells as words the acts understand."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, timezone, tzinfo

from firstsheet import quantities as q
from firstsheet import tables
from firstsheet.refusal import Problems, Refusal

MOST_BYTES, MOST_ROWS, MOST_COLUMNS, LONGEST_CELL = 2_000_000, 5000, 60, 2000
DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab"}

# What a column may hold, in words, and what people head it with. Common practice, no source.
FIELDS: dict[str, tuple[str, tuple[str, ...]]] = {
    "date": ("the day, or the day and the time", ("date", "day", "when", "taken")),
    "time": ("the time of day", ("time of day", "clock", "hour", "at")),
    "box": ("the box of paper", ("box", "paper", "batch")),
    "camera": ("the camera", ("camera", "room")),
    "developer": ("the developer", ("developer", "dev", "soup")),
    "way": ("the way of working", ("way", "process", "way of working")),
    "meter": ("the meter", ("meter",)),
    "light": ("the kind of light", ("light", "kind of light", "sky")),
    "reading": ("the reading of the light", ("reading", "metered", "ev", "lux", "exposure value")),
    "how": ("incident, reflected or board", ("how", "incident", "read how")),
    "tone": ("the tone that was read", ("tone", "read on", "spot")),
    "subject": ("how far the sitter was from the lens", ("distance", "subject", "sitter distance", "chair")),
    "head": ("how tall the head is on the sheet", ("head", "head size")),
    "aperture": ("the aperture", ("aperture", "f", "stop", "f-number", "f number", "fno")),
    "filter": ("the filter's density", ("filter", "filter density")),
    "negative": ("the negative's density, for a contact print", ("negative", "negative density")),
    "sitter": ("who sat", ("sitter", "who", "name", "portrait of")),
    "given": ("the time given", ("given", "seconds", "exposure", "secs", "exposed", "shutter", "exposure time")),
    "border": ("the masked border: white, grey or black", ("border", "edge")),
    "seen": ("what was seen on the sheet", ("seen", "result", "looks", "verdict", "came out")),
    "wet": ("whether it was judged wet", ("wet",)),
    "kept": ("whether it was kept", ("kept", "keeper", "keep")),
    "faults": ("what else was wrong", ("faults", "fault", "wrong")),
    "remark": ("a remark", ("remark", "remarks", "notes", "note", "comment", "comments")),
}  # fmt: skip
MEASURED = {"subject": "a length", "head": "a length", "given": "a time", "reading": "a reading"}
_NUMBER_ONLY = re.compile(r"([+−-]?[0-9][0-9., ]*)( on .+)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Column:
    """A column as headed, the unit its heading declares, some of its cells, and what it is taken for and why."""

    name: str
    unit: str
    samples: tuple[str, ...]
    field: str | None
    why: str


@dataclass(frozen=True, slots=True)
class Table:
    """The notebook as rows of text. `rows` are (row number as a spreadsheet counts, cells by column name)."""

    delimiter: str
    encoding: str
    columns: tuple[str, ...]
    rows: tuple[tuple[int, dict[str, str]], ...]
    wide: tuple[tuple[int, int], ...]


def read_table(data: bytes) -> Table:
    """Text in UTF-8 (with or without its mark), UTF-16 with its mark, or Western Latin, headed by a row of names.

    Raises Refusal for what is no such table; at most 2 MB, 5000 rows, 60 columns.
    """
    if not isinstance(data, bytes) or len(data) > MOST_BYTES:
        raise _no("", "A file of at most 2 MB.", "Bring it in year by year.")
    text, encoding = _decoded(data)
    try:
        delimiter = _delimiter(text)
        records = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True))
    except csv.Error as error:
        raise _no(str(error), "A table of text with quoted cells closed.", "Save it again as CSV.") from error
    full = [(i, [c.strip() for c in r]) for i, r in enumerate(records, 1) if any(c.strip() for c in r)]
    if not full:
        raise _no("nothing", "A row of headings, then a row for each sheet.", "Save the notebook as CSV.")
    heads = _headings(full[0][1])
    if len(full) - 1 > MOST_ROWS:
        raise _no(len(full) - 1, f"At most {MOST_ROWS} rows.", "Bring it in year by year.")
    rows = tuple((i, {h: c for h, c in zip(heads, r, strict=False) if h and c}) for i, r in full[1:])
    wide = tuple((i, len(r)) for i, r in full[1:] if any(r[len(heads) :]))
    return Table(delimiter, encoding, tuple(h for h in heads if h), rows, wide)


def _no(asked: object, allowed: str, hint: str) -> Refusal:
    return Refusal.one("notebook", asked, allowed, hint)


def _decoded(data: bytes) -> tuple[str, str]:
    tries = ("utf-16",) if data[:2] in (b"\xff\xfe", b"\xfe\xff") else ("utf-8-sig", "cp1252", "latin-1")
    for encoding in tries:
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\x00" in text:
            break
        return text, encoding.removesuffix("-sig")
    raise _no("bytes that are no text", "A table saved as CSV text.", "Save the workbook as CSV (UTF-8) first.")


def _delimiter(text: str) -> str:
    """The sign by which most rows have as many cells as the heading; of equals, the one that makes most cells."""
    best, sign = (-1.0, 0), ""
    for d in DELIMITERS:
        some = [r for _, r in zip(range(60), csv.reader(io.StringIO(text, newline=""), delimiter=d), strict=False) if r]
        if not some or len(some[0]) < 2:
            continue
        alike = sum(len(r) == len(some[0]) for r in some) / len(some)
        if (alike, len(some[0])) > best:
            best, sign = (alike, len(some[0])), d
    if not sign:
        raise _no(text[:60], "Columns parted by commas, semicolons or tabs.", "Save it as CSV.")
    return sign


def _headings(cells: Sequence[str]) -> list[str]:
    names = [" ".join(c.split()) for c in cells]
    while names and not names[-1]:
        names.pop()
    twice = {n for n in names if n and names.count(n) > 1}
    problems = Problems()
    if twice:
        problems.add("notebook", ", ".join(sorted(twice)), "Each column a heading of its own.", "Rename one of them.")
    if len(names) > MOST_COLUMNS:
        problems.add("notebook", len(names), f"At most {MOST_COLUMNS} columns.", "Leave out what is not needed.")
    if any(len(n) > 120 for n in names):
        longest = max(names, key=len)
        problems.add("notebook", longest, "Headings of at most 120 characters.", "The first row must be the headings.")
    problems.raise_if_any()
    return names


def unit_in(field: str, heading: str) -> str:
    """The unit that a heading declares for its field: “distance (m)”, “time [s]”, “seconds”; "" where it declares none."""
    found = re.search(r"[(\[]([^)\]]*)[)\]]", heading)
    for said in [found[1]] if found else [heading]:
        if _is_unit(field, said.strip().lower()):
            return said.strip().lower()
    return ""


def _is_unit(field: str, unit: str) -> bool:
    try:
        if field in ("subject", "head"):
            q.length_mm(f"1 {unit}")
        elif field == "given":
            q.duration_s(f"1 {unit}")
        elif field == "reading":
            q.light_reading(f"1 {unit}")
        else:
            return False
    except Refusal:
        return False
    return bool(unit) and not unit[0].isdigit()


def guesses(table: Table) -> tuple[Column, ...]:
    """What each column may be, by its heading first and its cells second; each field is guessed once."""
    taken: set[str] = set()
    out = []
    for name in table.columns:
        samples = tuple(cells[name] for _, cells in table.rows if name in cells)[:5]
        field, why = _guess(name, samples)
        if field in taken:
            field, why = None, f"another column was taken for {FIELDS[str(field)][0]}"
        if field:
            taken.add(field)
        out.append(Column(name, unit_in(field or "", name), samples, field, why))
    return tuple(out)


def _guess(name: str, samples: Sequence[str]) -> tuple[str | None, str]:
    plain = re.sub(r"[(\[].*?[)\]]", " ", name.lower()).replace("_", " ").replace("/", " ").strip(" .:#")
    plain = " ".join(plain.split())
    if plain == "time":
        if samples and all(re.fullmatch(r"[0-9]{1,2}[:.h][0-9]{2}", s) for s in samples) and not unit_in("given", name):
            return (
                "time",
                "headed “time”, and its cells look like a clock; if they are minutes:seconds, it is the time given",
            )
        return "given", "headed “time”, and its cells do not look like a clock"
    for field, (_, names) in FIELDS.items():
        if plain == field or plain in names:
            return field, f"headed “{name}”"
    for field, (_, names) in FIELDS.items():
        if any(re.search(rf"\b{re.escape(n)}\b", plain) for n in names if len(n) > 2):
            return field, f"“{name}” has the word in it"
    for field, pattern in (("date", r"[0-9]{1,4}[./-][0-9]{1,2}[./-][0-9]{1,4}.*"), ("reading", r"ev ?[0-9].*|[0-9.,]+ ?(ev|lx|lux)"),
                           ("aperture", r"f ?/ ?[0-9.,]+")):  # fmt: skip
        if samples and all(re.fullmatch(pattern, s.lower()) for s in samples):
            return field, "by the look of its cells"
    return None, "nothing here goes by that name"


def row_key(cells: Mapping[str, str], nth: int) -> str:
    """A name for this row's content, the same whenever it is brought in again; `nth` parts rows that are alike."""
    content = json.dumps([sorted((k, " ".join(v.split())) for k, v in cells.items()), nth], ensure_ascii=False)
    return "notebook-" + hashlib.sha256(content.encode()).hexdigest()[:32]


# ── one cell ──


def moment(day_said: str, time_said: str | None, order: str | None, zone: tzinfo) -> tuple[datetime, bool]:
    """The moment in UTC, and whether a time of day was said; noon stands where none was.

    order  "dmy", "mdy" or "ymd" where the person declared it; else a day that reads two ways is refused
    """
    text = day_said.strip()
    if re.fullmatch(
        r"[0-9]{4}-[0-9]{2}-[0-9]{2}[T ][0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]+)?)?(Z|[+-][0-9]{2}:?[0-9]{2})?", text
    ):
        try:
            said = datetime.fromisoformat(text)
            return (said if said.tzinfo else said.replace(tzinfo=zone)).astimezone(UTC), True
        except (ValueError, OverflowError):
            raise _bad_day(text) from None
    if time_said is None and (both := re.fullmatch(r"(.*[0-9])[ ,]+([0-9]{1,2}[:h][0-9]{2}.*)", text)):
        text, time_said = both[1].rstrip(" ,"), both[2]
    found = day(text, order)
    at = clock(time_said) if time_said else time(12)
    return datetime.combine(found, at, zone).astimezone(UTC), time_said is not None


def _bad_day(text: str) -> Refusal:
    return Refusal.one("", text, "A day of the calendar.", "Write “2026-05-03” or “3 May 2026”.")


def day(text: str, order: str | None) -> date:
    m = re.fullmatch(r"([0-9]{1,4})([./-])([0-9]{1,2})\2([0-9]{1,4})", text)
    if m is None:
        return q.day(text)
    a, b, c = m[1], m[3], m[4]
    if len(a) == 4 or (order == "ymd" and len(c) <= 2):
        found = _made(a, b, c)
        return found if found else _raise(_bad_day(text))
    if order == "ymd" or len(c) not in (2, 4) or len(a) > 2:
        raise _bad_day(text)
    if len(c) == 2 and not order:
        raise Refusal.one("", text, "A year of four figures, or the order of day, month and year declared.",
                          "Say the order for the whole notebook: dmy, mdy or ymd.")  # fmt: skip
    either = {"dmy": _made(c, b, a), "mdy": _made(c, a, b)}
    if order:
        return either[order] or _raise(_bad_day(text))
    days = {d for d in either.values() if d}
    if len(days) > 1:
        raise Refusal.one(
            "", text, "This day can be read two ways.", "Say the order for the whole notebook: dmy or mdy."
        )
    return days.pop() if days else _raise(_bad_day(text))


def _raise(refusal: Refusal) -> date:
    raise refusal


def _made(year: str, month: str, number: str) -> date | None:
    try:
        found = date(int(year) + (2000 if len(year) <= 2 else 0), int(month), int(number))
    except ValueError:
        return None
    return found if 1800 <= found.year <= 2200 else None


def clock(text: str) -> time:
    m = re.fullmatch(r"([0-9]{1,2})(?:[:.h]([0-9]{2})(?::([0-9]{2}))?)? ?(?:([ap])\.?m\.?)?", text.strip().lower())
    hour = int(m[1]) if m else 99
    if m and m[4]:
        hour = hour % 12 + (12 if m[4] == "p" else 0) if 1 <= hour <= 12 else 99
    if m is None or not (m[2] or m[4]) or hour > 23 or int(m[2] or 0) > 59 or int(m[3] or 0) > 59:
        raise Refusal.one("", text, "A time of day.", "Write “14:05” or “2:05 pm”.")
    return time(hour, int(m[2] or 0), int(m[3] or 0))


def zone_of(text: str) -> tzinfo:
    """A time zone by its name or its offset: “Europe/London”, “+02:00”, “UTC”."""
    if m := re.fullmatch(r"([+−-])([0-9]{2}):?([0-9]{2})", text):
        away = timedelta(hours=int(m[2]), minutes=int(m[3]))
        if away < timedelta(hours=15):
            return timezone(away if m[1] == "+" else -away)
    elif re.fullmatch(r"[A-Za-z][A-Za-z0-9_+/-]{1,60}", text):
        from zoneinfo import ZoneInfo

        try:
            return ZoneInfo(text)
        except (LookupError, ValueError, OSError):
            pass
    raise Refusal.one("", text, "A time zone.", "Write its name, “Europe/London”, or its offset, “+02:00”.")


def measured(field: str, text: str, unit: str) -> str:
    """A cell with its unit: its own, or for a bare number the one declared. The caller's parser has the last word."""
    if field == "reading":
        m = _NUMBER_ONLY.fullmatch(text)
        return f"{m[1].strip()} {unit}{m[2] or ''}" if m and unit else text
    return f"{q.length_mm(text, bare=unit or None)!r} mm"


def key_of(table: str, text: str) -> str:
    """The key of a shipped table by key or by its words; what is neither is handed on as it is, to be refused by name."""
    plain = " ".join(text.lower().replace("_", " ").replace("-", " ").split())
    for key, entry in tables.load(table).items():
        if isinstance(entry, dict) and plain in (key.replace("_", " "), str(entry["words"]).lower().replace("-", " ")):
            return key
    return text


def words_of(table: str) -> str:
    """What a shipped table knows, in its own words; each is understood in a cell as it stands."""
    return ", ".join(str(entry["words"]) for entry in tables.load(table).values() if isinstance(entry, dict))


def row_numbers(text: str, there: frozenset[int]) -> frozenset[int]:
    """Rows named by number, “3 7-9”. Refusal for what is no row of the notebook."""
    out: set[int] = set()
    for part in re.split(r"[\s,;]+", text.strip()):
        m = re.fullmatch(r"([0-9]{1,6})(?:[-–]([0-9]{1,6}))?", part)
        rows = {n for n in there if int(m[1]) <= n <= int(m[2] or m[1])} if m else set()
        if not rows:
            raise Refusal.one(
                "", part, "Rows of this notebook by their numbers.", "Write them like “3 7-9”, as a spreadsheet counts."
            )
        out |= rows
    return frozenset(out)


def word_map(said: object, problems: Problems) -> dict[tuple[str, str], str]:
    """(field, word in small letters) → what it means, from a mapping or from lines “bit dark = a_little_dark”.

    A word stands for what is seen, unless its field is named before it: “border: clean = white”.
    """
    pairs: list[tuple[object, object]] = []
    if isinstance(said, Mapping):
        pairs = list(said.items())
    elif isinstance(said, str):
        pairs = [(a, b) for line in re.split(r"[;\n]", said) if line.strip() for a, _, b in [line.partition("=")]]
    elif said is not None:
        problems.add("words", said, "Lines like “bit dark = a_little_dark”.", "One line a word.")
    out = {}
    for a, b in pairs[:500]:
        field, colon, word = str(a).partition(":")
        field, word = (field.strip().lower(), word) if colon else ("seen", field)
        if field not in FIELDS or not word.strip() or not str(b).strip():
            problems.add(
                "words", f"{a} = {b}", "Lines like “bit dark = a_little_dark”.", "Name the field before a colon."
            )
        else:
            out[field, " ".join(word.lower().split())] = str(b).strip()
    return out
