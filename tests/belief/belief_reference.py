"""A second way to condition normals, for the tests: the joint covariance of effects and sheets, and its Schur complement.

[BISHOP-PRML] eqs. 2.81, 2.82 (from memory); plain Python, Gauss elimination with row exchange.
"""

from __future__ import annotations

from dataclasses import dataclass

from firstsheet.belief.posterior import Observation


@dataclass(frozen=True)
class Dense:
    mean: dict[str, float]
    cov: dict[tuple[str, str], float]


def dense(rows: list[Observation]) -> Dense:
    prior = {e.key: (e.mean, e.sd) for o in rows for e in o.effects}
    keys = [k for k, (_, sd) in prior.items() if sd > 0]
    cross = [[_coefficient(o, k) * prior[k][1] ** 2 for o in rows] for k in keys]  # effects × sheets
    seen = [
        [
            sum(_coefficient(a, k) * _coefficient(b, k) * prior[k][1] ** 2 for k in prior)
            + (a.sd**2 if i == j else 0.0)
            for j, b in enumerate(rows)
        ]
        for i, a in enumerate(rows)
    ]
    surprise = [o.stops - sum(e.coefficient * prior[e.key][0] for e in o.effects) for o in rows]
    weights = solve(seen, surprise)
    mean = {k: prior[k][0] + sum(c * w for c, w in zip(cross[i], weights, strict=True)) for i, k in enumerate(keys)}
    gains = [solve(seen, row) for row in cross]
    cov = {}
    for i, a in enumerate(keys):
        for j, b in enumerate(keys):
            own = prior[a][1] ** 2 if i == j else 0.0
            cov[a, b] = own - sum(g * c for g, c in zip(gains[i], cross[j], strict=True))
    return Dense(mean, cov)


def _coefficient(o: Observation, key: str) -> float:
    return sum(e.coefficient for e in o.effects if e.key == key)


def solve(matrix: list[list[float]], right: list[float]) -> list[float]:
    n = len(right)
    a = [[*row, r] for row, r in zip(matrix, right, strict=True)]
    for i in range(n):
        pivot = max(range(i, n), key=lambda r: abs(a[r][i]))
        a[i], a[pivot] = a[pivot], a[i]
        for r in range(i + 1, n):
            f = a[r][i] / a[i][i]
            for c in range(i, n + 1):
                a[r][c] -= f * a[i][c]
    out = [0.0] * n
    for i in reversed(range(n)):
        out[i] = (a[i][n] - sum(a[i][c] * out[c] for c in range(i + 1, n))) / a[i][i]
    return out
