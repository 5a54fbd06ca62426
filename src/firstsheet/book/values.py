"""What may be written in the book: words, moments and bodies, checked before the database sees them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from typing import Any

from firstsheet.refusal import Problem, Refusal

DEEPEST = 64


def word(where: str, text: object, longest: int = 200) -> str:
    """A short text that both databases can keep: not empty, no NUL, no half of a surrogate pair."""
    if (
        not isinstance(text, str)
        or not text.strip()
        or len(text) > longest
        or "\x00" in text
        or any("\ud800" <= c <= "\udfff" for c in text)
    ):
        shown = repr(text) if not isinstance(text, str) or not text.isprintable() else text
        raise Refusal.one(where, shown, f"Words, 1 to {longest} characters.", "Write it plainly.")
    return text


def moment(where: str, at: object) -> datetime:
    """A moment in UTC from an aware datetime or from ISO 8601 text with its offset."""
    try:
        value = datetime.fromisoformat(at) if isinstance(at, str) else at
    except ValueError:
        value = None
    if not isinstance(value, datetime) or value.tzinfo is None:
        raise Refusal.one(
            where, at, "A date and time with its offset from UTC.", "For example “2026-11-25T09:30:00+00:00”."
        )
    try:
        return value.astimezone(UTC)
    except OverflowError:
        raise Refusal.one(where, at, "A date in the years 1 to 9999 in UTC.", "Check the year.") from None


def seconds(where: str, elapsed: object) -> float | None:
    """Elapsed time [s], finite, or None when it was not taken."""
    if elapsed is None:
        return None
    if isinstance(elapsed, bool) or not isinstance(elapsed, int | float) or not math.isfinite(elapsed):
        hint = "Leave it out if it was not taken."
        raise Refusal.one(where, elapsed, "A finite number of seconds, or nothing.", hint)
    return float(elapsed)


def body(where: str, value: Any) -> Any:
    """The value as JSON will give it back; Refusal naming every place that JSON cannot keep exactly."""
    if isinstance(value, float) and math.isfinite(value):
        # SQLite's numeric affinity would hand a bare 1.0 back as 1
        raise Refusal.one(where, value, "A mapping or a list.", "Give the number a name.")
    found = list(_unkeepable(where, value, 0))
    if found:
        raise Refusal(*found)
    return _plain(value)


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    return [_plain(item) for item in value] if isinstance(value, list | tuple) else value


def _unkeepable(where: str, value: Any, depth: int) -> Iterator[Problem]:
    if value is None or isinstance(value, str | bool):
        return
    if isinstance(value, float):
        if not math.isfinite(value):
            hint = "Leave out what is not known; missing is not zero."
            yield Problem(where, str(value), "A finite number.", hint)
    elif isinstance(value, int):
        if value.bit_length() > 64:
            yield Problem(where, hex(value)[:120], "A whole number of 64 bits at most.", "Write it as text.")
    elif depth == DEEPEST:
        yield Problem(where, "…", f"Values nested {DEEPEST} deep at most.", "Flatten it.")
    elif isinstance(value, list | tuple):
        for i, item in enumerate(value):
            yield from _unkeepable(f"{where}.{i}", item, depth + 1)
    elif isinstance(value, Mapping):
        for key, item in value.items():
            if not isinstance(key, str):
                yield Problem(where, repr(key)[:120], "Names that are text.", "Write the name as text.")
            yield from _unkeepable(f"{where}.{key}", item, depth + 1)
    else:
        kinds = "Text, numbers, true, false, nothing, lists and named values."
        yield Problem(where, repr(value)[:120], kinds, "Turn it into one of these first.")
