"""The linear-Gaussian belief: y = Σ coefficient·effect + noise, all in stops, exactly conditioned.

Effects start independent; judged sheets tie them together. What is kept is the mean and covariance of the effects that
later sheets can share; the rest is integrated out by leaving its rows away, which for a Gaussian is exact.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from firstsheet.belief.effects import Effect, group_of
from firstsheet.belief.evidence import Seen

PASSING = ("reading:", "negative:")


@dataclass(frozen=True, slots=True)
class Observation:
    """One judged sheet (or one comparison of two meters).

    stops    what Σ coefficient·effect was seen to be [stop]
    sd       doubt of that, judgement and retry together [stop], > 0
    effects  what it shares with other sheets
    name     for telling which sheets moved a number
    seen     the look behind it, where there was one; stops and sd are then only what it says by itself
    years    when, in years from any one moment; None where it is not known
    """

    stops: float
    sd: float
    effects: tuple[Effect, ...]
    name: str = ""
    seen: Seen | None = None
    years: float | None = None


@dataclass(frozen=True, slots=True)
class Change:
    """Something the sheets speak of that nobody said.

    kind    "swap": a box behaves like another one; "drift": a developer's bath tires
    what    the box's name, or the developer's kind ("" for all of them)
    since   name of the first sheet after it ("" for a drift)
    chance  [0 … 1]; stops, by how much [stop], or stops a sitting for a drift
    """

    kind: str
    what: str
    since: str
    chance: float
    stops: float


@dataclass(frozen=True, slots=True)
class Posterior:
    """Mean [stop] and covariance [stop²] of the learned effects, in the order of `keys`. Empty before the first sheet.

    scales   learned sd over the table's, for "box", "devbox" and "retry"; empty until enough sheets were judged
    changes  what may have changed without a word, likeliest first
    """

    keys: tuple[str, ...] = ()
    mean: tuple[float, ...] = ()
    cov: tuple[tuple[float, ...], ...] = ()
    observations: int = 0
    scales: tuple[tuple[str, float], ...] = ()
    changes: tuple[Change, ...] = ()

    def scale(self, of: str) -> float:
        """The learned sd over what the tables say [1]."""
        return dict(self.scales).get(of, 1.0)

    def moments(self, effects: Sequence[Effect]) -> tuple[list[float], list[list[float]]]:
        """Mean [stop] and covariance [stop²] of the given effects, priors standing in for what was never met."""
        at = {k: i for i, k in enumerate(self.keys)}
        where = [at.get(e.key) for e in effects]
        mean = [e.mean if i is None else self.mean[i] for e, i in zip(effects, where, strict=True)]
        cov = [[0.0] * len(effects) for _ in effects]
        for a, (e, i) in enumerate(zip(effects, where, strict=True)):
            for b, j in enumerate(where):
                if i is not None and j is not None:
                    cov[a][b] = self.cov[i][j]
                elif a == b:
                    cov[a][b] = (e.sd * (self._unmet(e.key, effects) if self.scales else 1.0)) ** 2
        return mean, cov

    def _unmet(self, key: str, among: Sequence[Effect]) -> float:
        """How far the sd of an effect never met is scaled: a box's where it comes from the kind, not from a person's figure."""
        kind = key.partition(":")[0]
        if kind == "box" and not any(e.key.startswith("kind:") for e in among):
            return 1.0
        return self.scale(kind) if kind in ("box", "devbox") else 1.0

    def predict(self, effects: Sequence[Effect]) -> tuple[float, float]:
        """Mean [stop] and variance [stop²] of Σ coefficient·effect. Pure Python: it is on the path of every plan."""
        mean, cov = self.moments(effects)
        c = [e.coefficient for e in effects]
        total = sum(ci * mi for ci, mi in zip(c, mean, strict=True))
        variance = sum(c[a] * cov[a][b] * c[b] for a in range(len(c)) for b in range(len(c)))
        return total, max(variance, 0.0)

    def shares(self, effects: Sequence[Effect]) -> dict[str, float]:
        """Share of the predictive variance by group of effects, largest first; they sum to 1.

        An effect's share is c·(C c): its own variance and half of each covariance it has a part in. A group that others
        cancel counts as 0 and the rest is scaled to 1.
        """
        _, cov = self.moments(effects)
        c = [e.coefficient for e in effects]
        parts: dict[str, float] = {}
        for a, e in enumerate(effects):
            part = c[a] * sum(cov[a][b] * c[b] for b in range(len(c)))
            parts[group_of(e.key)] = parts.get(group_of(e.key), 0.0) + part
        kept = {g: v for g, v in parts.items() if v > 1e-12}
        total = sum(kept.values())
        return {g: v / total for g, v in sorted(kept.items(), key=lambda gv: -gv[1])} if total > 0 else {}

    def variance_after(self, effects: Sequence[Effect], seen: Sequence[Effect], sd: float) -> float:
        """Predictive variance [stop²] of `effects` once `seen` has been observed with doubt `sd` [stop].

        What one more sheet or strip would narrow, before it is made.
        """
        return self.variance_after_all(effects, [(seen, sd)])

    def variance_after_all(self, effects: Sequence[Effect], seen: Sequence[tuple[Sequence[Effect], float]]) -> float:
        """The same once all of `seen` were observed, each with its own doubt [stop]; what they share is told once."""
        every = {e.key: e for row in (effects, *(s for s, _ in seen)) for e in reversed(row)}
        both = [*every.values()]
        _, cov = self.moments(both)
        n = range(len(both))
        for row, sd in seen:
            c = _row(both, row)
            to = [sum(cov[a][b] * c[b] for b in n) for a in n]
            total = sum(c[a] * to[a] for a in n) + sd**2
            cov = [[cov[a][b] - to[a] * to[b] / total for b in n] for a in n]
        cx = _row(both, effects)
        return max(sum(cx[a] * cov[a][b] * cx[b] for a in n for b in n), 0.0)

    def to_json(self) -> dict[str, object]:
        lower = [list(row[: i + 1]) for i, row in enumerate(self.cov)]
        out: dict[str, object] = {
            "keys": list(self.keys), "mean": list(self.mean), "cov": lower, "observations": self.observations,
        }  # fmt: skip
        if self.scales:
            out["scales"] = dict(self.scales)
        if self.changes:
            out["changes"] = [[c.kind, c.what, c.since, c.chance, c.stops] for c in self.changes]
        return out

    @classmethod
    def from_json(cls, body: dict[str, Any] | None) -> Posterior:
        if not body:
            return cls()
        lower: list[list[float]] = body["cov"]
        n = len(lower)
        cov = tuple(tuple(lower[max(i, j)][min(i, j)] for j in range(n)) for i in range(n))
        return cls(
            tuple(body["keys"]), tuple(body["mean"]), cov, int(body["observations"]),
            tuple(body.get("scales", {}).items()), tuple(Change(*c) for c in body.get("changes", ())),
        )  # fmt: skip


def _row(order: Sequence[Effect], effects: Sequence[Effect]) -> list[float]:
    wanted = {e.key: e.coefficient for e in effects}
    return [wanted.get(e.key, 0.0) for e in order]


def condition(observations: Iterable[Observation], passing: Sequence[str] = PASSING) -> Posterior:
    """The posterior of all effects given all observations, in the order given (the book's order, so undo is exact).

    Domain: every observation's sd > 0; an effect's prior is the one told by its latest observation.
    passing  prefixes of effects that no later sheet shares; they are integrated out, all but those of the last observation,
             whose reading the next sheet of the sitting may still use.
    Words, keepings and outliers are weighed by expectation propagation; plain normal evidence is exact at once. Scales stay at
    what the tables say and no change is looked for: see `belief.whole.fit` for those.
    """
    from firstsheet.belief import design, expectation

    rows = list(observations)
    if not rows:
        return Posterior()
    d = design.build(rows, passing)
    return expectation.propagate(d).posterior(d)
