"""Where words become numbers: a form is read field by field and every problem in it is told at once."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from typing import TypeVar

from firstsheet import quantities as q
from firstsheet.refusal import Problem, Problems, Refusal

T = TypeVar("T")
Form = Mapping[str, object]
LONGEST = 400


class Door:
    """Reads one form. Ask for every field, then `close()`: it raises one Refusal with all the problems, unknown fields too."""

    def __init__(self, form: Form | None) -> None:
        self._form = dict(form or {})
        self._asked: set[str] = set()
        self.problems = Problems()

    def said(self, key: str) -> str | None:
        """The field as text without outer blanks, or None where nothing was said."""
        self._asked.add(key)
        raw = self._form.get(key)
        if raw is None:
            return None
        if isinstance(raw, bool):
            return "yes" if raw else "no"
        if not isinstance(raw, (str, int, float)):
            self.problems.add(key, raw, "One piece of text.", "Say it in words, as you would write it.")
            return None
        text = str(raw).strip()
        if len(text) > LONGEST or "\x00" in text:
            self.problems.add(key, text, f"At most {LONGEST} ordinary characters.", "Say it shorter.")
            return None
        return text or None

    def read(self, key: str, parse: Callable[[str], T]) -> T | None:
        """The field parsed, or None where nothing was said or it was refused (the refusal is kept for `close`)."""
        text = self.said(key)
        if text is None:
            return None
        with self.problems.at(key):
            return parse(text)
        return None

    def must(self, key: str, parse: Callable[[str], T], allowed: str, hint: str) -> T | None:
        """Like `read`, but saying nothing is a problem too."""
        if self.said(key) is None and not any(p.where == key for p in self.problems.found):
            self.problems.add(key, "", allowed, hint)
            return None
        return self.read(key, parse)

    def pick(self, key: str, allowed: Collection[str]) -> str | None:
        """The field as one of the allowed words; spaces and hyphens count as underscores."""
        text = self.said(key)
        if text is None:
            return None
        word = text.lower().replace(" ", "_").replace("-", "_")
        if word not in allowed:
            self.problems.add(key, text, "One of: " + ", ".join(sorted(allowed)) + ".", "Choose the nearest.")
            return None
        return word

    def name(self, key: str) -> str | None:
        """A short name: letters, digits, blanks and simple signs, at most 40 characters."""
        return self.read(key, short_name)

    def flag(self, key: str) -> bool | None:
        text = self.said(key)
        if text is None:
            return None
        if text.lower() in ("yes", "true", "on", "1"):
            return True
        if text.lower() in ("no", "false", "off", "0"):
            return False
        self.problems.add(key, text, "yes or no.", "Leave it out if you do not know.")
        return None

    def close(self) -> None:
        """Refuse unknown fields and whatever else was found, all in one."""
        for key in self._form:
            if key not in self._asked:
                self.problems.add(str(key)[:60], self._form[key], "No such field here.", "It may be misspelled.")
        self.problems.raise_if_any()


def short_name(text: str) -> str:
    if len(text) > 40 or not text.isprintable() or any(c in text for c in "<>|:{}\\"):
        raise Refusal.one(
            "", text, "A name of up to 40 letters, digits and blanks, without < > | : { } \\.", "Shorten it."
        )
    return " ".join(text.split())


def present(where: str, value: T | None, allowed: str, hint: str) -> T:
    """The value, or a refusal that says what is missing."""
    if value is None:
        raise Refusal(Problem(where, "", allowed, hint), kind="missing")
    return value


def whole(text: str, low: int, high: int) -> int:
    """A whole number, low ≤ number ≤ high: steps and rows are counted, and 2.9 is not 2."""
    number = q.plain_number(text, low, high)
    if number != int(number):
        raise Refusal.one("", text, f"A whole number from {low} to {high}.", "Without a part.")
    return int(number)


_TIME = re.compile(r"([0-9][0-9.:/]*|\.[0-9]+|[½⅓⅔¼¾])\s*([^\W\d_]+|[\"'″′])?")


def times_s(text: str) -> list[float]:
    """Times in a row [s]: “1 2 4 8 s”, “1 s, 2 s, 4 s”, “8.9 s · 11 s”, “30 s 1 min 2 min”; without any unit seconds."""
    if re.search(r"[0-9],[0-9]", text):
        raise Refusal.one("", text, "This comma can be read two ways.", "A point for a part: “2.5 6 12 s”; a blank between times: “1, 2, 4, 8 s”.")
    found = _TIME.findall(text)
    units = [u for _, u in found]
    if _TIME.sub("", text).strip(" \t\n,;·|") or not found or (any(units) and not all(units) and any(units[:-1])):
        raise Refusal.one("", text, "Times in a row, each with its unit or one unit after the last.", "Try “1 2 4 8 s”, or “30 s, 1 min, 2 min”.")
    return [q.duration_s(f"{n} {u or units[-1]}".strip(), bare="s") for n, u in found]
