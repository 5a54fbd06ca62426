"""What may be off, each as one signed effect in stops that sheets share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Effect:
    """One thing that may make a sheet need more (+) or less (−) light than the nominal chain says.

    key          what it belongs to: "box:D", "light:open_shade", "meter:hand", "reading:17" …
    coefficient  how strongly this sheet feels it [1]; the lever arm [stop] for reciprocity
    mean, sd     where belief about it starts [stop]; sd ≥ 0
    words        for people
    source       where mean and sd come from
    """

    key: str
    coefficient: float
    mean: float
    sd: float
    words: str = ""
    source: str = ""

    def to_json(self) -> list[object]:
        return [self.key, self.coefficient, self.mean, self.sd, self.words, self.source]

    @classmethod
    def from_json(cls, row: Sequence[object]) -> Effect:
        key, coefficient, mean, sd, words, source = row
        return cls(str(key), float(coefficient), float(mean), float(sd), str(words), str(source))  # type: ignore[arg-type]


GROUPS = {
    "kind": "how fast this box is",
    "box": "how fast this box is",
    "dev": "what this developer does to it",
    "devbox": "what this developer does to it",
    "light": "the kind of light",
    "meter": "the meter",
    "camera": "the lens",
    "reading": "this reading",
    "recip": "long exposures",
    "negative": "the negative",
    "lamp": "the lamp",
    "ends": "how fast this box is",
    "filter": "the filter",
    "drift": "a bath that tires",
    "age": "how fast this box is",
}


def group_of(key: str) -> str:
    """The words under which a person is told of this effect's share of the doubt."""
    return GROUPS.get(key.partition(":")[0], "something else")


def nominal_stops(effects: Iterable[Effect]) -> float:
    """Sum of prior means times coefficients [stop]: what the chain adds before anything was learned."""
    return sum(e.coefficient * e.mean for e in effects)
