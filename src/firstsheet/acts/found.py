"""What a question about lens and room finds: figures with unit, doubt and source, and the sentences that go with them."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from firstsheet.answer import to_json


@dataclass(frozen=True, slots=True)
class Figure:
    """One number a person is shown.

    key        its name as data, with its unit where two are plausible
    label      what it is, in words
    said       the number in words, rounded to what it is worth
    value      in `unit`; None where it is not known or has no end
    aside      what goes with it
    low, high  ends of the central 90 % range; None where no doubt is carried
    """

    key: str
    label: str
    said: str
    value: float | None
    unit: str = "mm"
    aside: str = ""
    source: str = ""
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under one heading; the first column names the row. `data` is the same as numbers, one mapping a row.

    links  where each cell leads on the page, in the shape of `rows`; "" where nowhere
    """

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    data: tuple[dict[str, Any], ...]
    links: tuple[tuple[str, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Found:
    """The answer to one question.

    what      which question
    first     the answer in one sentence
    keeps     what would be kept with the camera where that is asked; empty where nothing is
    drawing   an SVG to show with it, or ""; not in the JSON, where the numbers are
    """

    what: str
    first: str
    figures: tuple[Figure, ...] = ()
    tables: tuple[Table, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    keeps: dict[str, Any] = field(default_factory=dict)
    kept: bool = False
    drawing: str = ""

    def to_json(self) -> dict[str, object]:
        """Figures by their key: value, unit, low, high, source."""
        return {
            "what": self.what,
            "first": self.first,
            "figures": {
                f.key: {"value": to_json(f.value), "unit": f.unit, "low": to_json(f.low), "high": to_json(f.high), "source": f.source}
                for f in self.figures
            },
            "rows": [to_json(row) for t in self.tables for row in t.data],
            "notes": list(self.notes),
            "cautions": list(self.cautions),
            "keeps": to_json(self.keeps),
            "kept": self.kept,
        }  # fmt: skip
