"""The one kind of error a person meets: what was asked, what is allowed, what to try."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that cannot be done as asked.

    where    the field it is about, as a path ("subject", "spots.2.luminance")
    asked    what was said, as the person said it
    allowed  what is allowed there
    hint     what to try; a full sentence
    """

    where: str
    asked: str
    allowed: str
    hint: str

    def sentence(self) -> str:
        asked = f" “{self.asked}”." if self.asked else ""
        return f"{self.where}:{asked} {self.allowed} {self.hint}".strip()

    def to_json(self) -> dict[str, str]:
        return {"where": self.where, "asked": self.asked, "allowed": self.allowed, "try": self.hint}


class Refusal(Exception):
    """Raised instead of guessing. Carries every problem of the request, not only the first.

    `kind` is "asked" (the request cannot be done), "missing" (the thing named is not in the book), "busy" or "book"
    (the book itself cannot be read or written); faces turn it into an exit code or a status.
    """

    def __init__(self, *problems: Problem, kind: str = "asked") -> None:
        self.problems = problems
        self.kind = kind
        super().__init__("\n".join(p.sentence() for p in problems))

    @classmethod
    def one(cls, where: str, asked: object, allowed: str, hint: str = "", kind: str = "asked") -> Refusal:
        return cls(Problem(where, _shown(asked), allowed, hint), kind=kind)

    def to_json(self) -> dict[str, object]:
        return {"refused": [p.to_json() for p in self.problems], "kind": self.kind}


class Problems:
    """Collects refusals of a form so that all are told at once.

    >>> p = Problems()
    >>> with p.at("subject"):
    ...     raise Refusal.one("", "3", "A length with its unit.", "Try “3 m”.")
    >>> len(p.found)
    1
    """

    def __init__(self) -> None:
        self.found: list[Problem] = []
        self.kind = "asked"

    @contextmanager
    def at(self, where: str) -> Iterator[None]:
        """Note a Refusal raised inside under the path `where` instead of letting it out."""
        try:
            yield
        except Refusal as refusal:
            self.kind = refusal.kind
            for p in refusal.problems:
                inside = not where or p.where == where or p.where.startswith(f"{where}.")
                path = where if not p.where else p.where if inside else f"{where}.{p.where}"
                self.found.append(Problem(path, p.asked, p.allowed, p.hint))

    def add(self, where: str, asked: object, allowed: str, hint: str = "") -> None:
        self.found.append(Problem(where, _shown(asked), allowed, hint))

    def raise_if_any(self) -> None:
        if self.found:
            raise Refusal(*self.found, kind=self.kind)


def _shown(asked: object) -> str:
    text = str(asked)
    return text if len(text) <= 120 else text[:117] + "…"
