"""The linear-Gaussian belief: y = Σ coefficient·effect + noise, all in stops, exactly conditioned.

Effects start independent; judged sheets tie them together. What is kept is the mean and covariance of the effects that
later sheets can share; the rest is integrated out by leaving its rows away, which for a Gaussian is exact.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from firstsheet.belief.effects import Effect, group_of


@dataclass(frozen=True, slots=True)
class Observation:
    """One judged sheet (or one comparison of two meters).

    stops    what Σ coefficient·effect was seen to be [stop]
    sd       doubt of that, judgement and retry together [stop], > 0
    effects  what it shares with other sheets
    name     for telling which sheets moved a number
    """

    stops: float
    sd: float
    effects: tuple[Effect, ...]
    name: str = ""


@dataclass(frozen=True, slots=True)
class Posterior:
    """Mean [stop] and covariance [stop²] of the learned effects, in the order of `keys`. Empty before the first sheet."""

    keys: tuple[str, ...] = ()
    mean: tuple[float, ...] = ()
    cov: tuple[tuple[float, ...], ...] = ()
    observations: int = 0

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
                    cov[a][b] = e.sd**2
        return mean, cov

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
        both = list(effects) + [e for e in seen if e.key not in {f.key for f in effects}]
        _, cov = self.moments(both)
        cx = _row(both, effects)
        cs = _row(both, seen)
        n = range(len(both))
        vx = sum(cx[a] * cov[a][b] * cx[b] for a in n for b in n)
        vs = sum(cs[a] * cov[a][b] * cs[b] for a in n for b in n)
        vxs = sum(cx[a] * cov[a][b] * cs[b] for a in n for b in n)
        return max(vx - vxs**2 / (vs + sd**2), 0.0)

    def to_json(self) -> dict[str, object]:
        lower = [list(row[: i + 1]) for i, row in enumerate(self.cov)]
        return {"keys": list(self.keys), "mean": list(self.mean), "cov": lower, "observations": self.observations}

    @classmethod
    def from_json(cls, body: dict[str, object] | None) -> Posterior:
        if not body:
            return cls()
        lower: list[list[float]] = body["cov"]  # type: ignore[assignment]
        n = len(lower)
        cov = tuple(tuple(lower[max(i, j)][min(i, j)] for j in range(n)) for i in range(n))
        return cls(tuple(body["keys"]), tuple(body["mean"]), cov, int(body["observations"]))  # type: ignore[arg-type,call-overload]


def _row(order: Sequence[Effect], effects: Sequence[Effect]) -> list[float]:
    wanted = {e.key: e.coefficient for e in effects}
    return [wanted.get(e.key, 0.0) for e in order]


def condition(observations: Iterable[Observation], passing: Sequence[str] = ("reading:", "negative:")) -> Posterior:
    """The posterior of all effects given all observations, in the order given (the book's order, so undo is exact).

    Domain: every observation's sd > 0; an effect's prior is the one told by its latest observation.
    passing  prefixes of effects that no later sheet shares; they are integrated out, all but those of the last observation,
             whose reading the next sheet of the sitting may still use.
    Solved in information form by Cholesky: A = P⁻¹ + Xᵀ W X, with fixed (sd 0) effects folded into the observation.
    """
    import numpy as np

    rows = list(observations)
    if not rows:
        return Posterior()
    prior: dict[str, Effect] = {}
    for o in rows:
        for e in o.effects:
            prior[e.key] = e
    keys = tuple(k for k, e in prior.items() if e.sd > 0)
    at = {k: i for i, k in enumerate(keys)}
    n = len(keys)
    mean0 = np.array([prior[k].mean for k in keys])
    information = np.diag([prior[k].sd ** -2.0 for k in keys])
    pull = np.zeros(n)
    for o in rows:
        live = [e for e in o.effects if e.key in at and e.coefficient != 0.0]
        if not live:
            continue
        fixed = sum(e.coefficient * e.mean for e in o.effects if e.key not in at)
        i = np.array([at[e.key] for e in live])
        c = np.array([e.coefficient for e in live])
        weight = o.sd**-2.0
        information[np.ix_(i, i)] += weight * np.outer(c, c)
        pull[i] += weight * c * (o.stops - fixed - float(c @ mean0[i]))
    factor = np.linalg.cholesky(information)
    inverse = np.linalg.inv(factor)
    cov = inverse.T @ inverse
    mean = mean0 + cov @ pull
    last = {e.key for e in rows[-1].effects}
    keep = [i for i, k in enumerate(keys) if k in last or not k.startswith(tuple(passing))]
    return Posterior(
        tuple(keys[i] for i in keep),
        tuple(float(mean[i]) for i in keep),
        tuple(tuple(float(v) for v in cov[i, keep]) for i in keep),
        len(rows),
    )
