"""A value with its unit, its doubt and where it came from; and the one way an answer becomes JSON."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, is_dataclass
from datetime import date, datetime
from enum import Enum


@dataclass(frozen=True, slots=True)
class Value:
    """A number a person is shown.

    value      in `unit`
    unit       "s", "mm", "stop", "lx", "cd/m²", "lx·s", "" for a pure number
    source     where it came from, in words, with a bibliography key in square brackets where there is one
    low, high  the ends of the central 90 % range in `unit`; None where no doubt is carried
    """

    value: float
    unit: str
    source: str
    low: float | None = None
    high: float | None = None

    @classmethod
    def stops(cls, value: float, sd: float, source: str) -> Value:
        """A value in stops with a normal doubt of standard deviation `sd` [stop]."""
        return cls(value, "stop", source, value - Z90 * sd, value + Z90 * sd)


Z50 = 0.6744897501960817  # half-width of the central 50 % of a normal, in standard deviations
Z90 = 1.6448536269514722  # the same for 90 %


def to_json(thing: object) -> object:
    """Dataclasses, tuples, mappings, times and enums to what `json.dumps` takes. Non-finite numbers become None.

    An answer that needs another shape gives it with a `to_json()` method of its own.
    """
    own = getattr(thing, "to_json", None)
    if callable(own):
        return own()
    if is_dataclass(thing) and not isinstance(thing, type):
        return {f.name: to_json(getattr(thing, f.name)) for f in fields(thing)}
    if isinstance(thing, dict):
        return {str(k): to_json(v) for k, v in thing.items()}
    if isinstance(thing, (list, tuple, set, frozenset)):
        return [to_json(v) for v in thing]
    if isinstance(thing, (datetime, date)):
        return thing.isoformat()
    if isinstance(thing, Enum):
        return thing.value
    if isinstance(thing, float):
        return thing if math.isfinite(thing) else None
    if isinstance(thing, bytes):
        return None
    return thing
