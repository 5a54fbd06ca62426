"""The shape of a characteristic curve, and what is known of it after a strip: monotone by construction, family-free.

The curve runs upward in u = ±log H (the sign is the caller's): D(u) = b + A·σ(w), σ the logistic function and w(u)
any rising function. Its inverse is modelled, because its scale is the same for soft and hard papers:

    du/dw = exp(q(w)),   q(w) = q₀ − β·w² + TILT·a·w + τ·Σ φ_j(w)·c_j

β 0 starts from a logistic, whose tails are long; 0.03 is nearly an error function, as grains whose sensitivities
are log-normally spread would give. a makes toe and shoulder unlike, c lets the curve be what it likes,
smoothly: φ_j are the Karhunen–Loève functions of a Gaussian process of length ELL in w [Rasmussen-2006]. β and τ, how far it may
wander, are weighed by the marginal likelihood over MANNERS, not chosen. The posterior is drawn by importance sampling about the
modes, from a Student proposal [Gelman-2013]; the draws are fixed in advance, so that one strip gives one answer.

What steps are unsure of together, such as a picture's flare, is one number z ~ N(0, 1) for each cause, found with the shape:
D + Σ s·z. Taken for each step's own it made the ranges of R and threshold too wide.

Left out: a curve whose end is never flat, creeping to base or Dmax as a power of exposure, and one with a shelf in its
middle, as two emulsions far apart in speed would make. There the ranges are too narrow: of those that say nine in ten,
about half hold R and the threshold on the first, seven in ten the speed on the second (bench/curve_coverage.py, odd).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import erfc, pi, sqrt

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

REACH = 7.0  # w from −7 to 7: from 0.001 to 0.999 of the density range; beyond, straight in w
GRID = np.linspace(-REACH, REACH, 141)
STEP = float(GRID[1] - GRID[0])
MIDDLE = len(GRID) // 2
FAR = 40.0  # where σ is 0 or 1
ELL = 2.0
TILT = 0.15
# How far it may wander (τ), how short its tails are (β), and what that is worth beforehand.
MANNERS = (
    (0.12, 0.0, 0.05),
    (0.12, 0.03, 0.18),
    (0.28, 0.0, 0.04),
    (0.28, 0.035, 0.29),
    (0.55, 0.035, 0.28),
    (0.95, 0.03, 0.16),
)
PLAIN = 3  # the manner in which scatter is looked for
DRAWS = 600
STUDENT_DF = 8.0
LEAD = 5  # b, log A, u₀, q₀, a come before c

# Weak priors, from what photographic papers are: mean and standard deviation of b [D], log A, u₀ [log10], q₀, a.
# Wide enough to hold reflection and transmission, old paper and new; none decides a figure that a strip spans.
PRIOR = np.array([[0.1, 0.5], [np.log(1.7), 0.5], [0.0, 3.0], [np.log(0.22), 0.7], [0.0, 1.0]])


@dataclass(frozen=True, slots=True)
class Data:
    """Steps as arrays; u is centred. side: 0 measured, +1 the density is at least d, −1 at most.

    shared  doubt of each step that it has in common with the others, by cause [n × causes, D]; not in d_sd
    """

    u: Array
    u_sd: Array
    d: Array
    d_sd: Array
    side: NDArray[np.int64]
    shared: Array


@dataclass(frozen=True, slots=True)
class Draws:
    """Weighted draws of the curve: b, a (= A) [D] of shape (n,); u of shape (n, grid) at w = EDGES."""

    base: Array
    rise: Array
    u: Array
    weight: Array

    def density(self, u: Array) -> Array:
        """D of each draw at each u [n × len(u)]; u may be ±inf."""
        w = np.stack([np.interp(u, row, EDGES) for row in self.u])
        return self.base[:, None] + self.rise[:, None] * sigma(w)

    def slope(self, u: Array) -> Array:
        """dD/du of each draw at its own u [n]: the derivative of the drawn curve, exact between grid points."""
        ahead, behind = self._own(u + 0.005), self._own(u - 0.005)
        return self.rise * (ahead - behind) / 0.01

    def _own(self, u: Array) -> Array:
        w = np.array([np.interp(x, row, EDGES) for x, row in zip(u, self.u, strict=True)])
        return sigma(w)

    def at_fraction(self, f: Array) -> Array:
        """u of each draw where D = b + f·A [n]; nan where f is outside 0 … 1."""
        inside = (f > 0) & (f < 1)
        g = np.where(inside, f, 0.5)
        w = np.log(g / (1 - g))
        u = np.array([np.interp(x, EDGES, row) for x, row in zip(w, self.u, strict=True)])
        return np.where(inside, u, np.nan)


EDGES = np.concatenate([[-FAR], GRID, [FAR]])


def sigma(w: Array) -> Array:
    """The logistic function."""
    return np.asarray(0.5 * (1 + np.tanh(0.5 * w)))


@cache
def _basis() -> Array:
    """φ_j on GRID [grid × K], each scaled by the root of its eigenvalue; those worth under 1 part in 500 left out."""
    kernel = np.exp(-0.5 * ((GRID[:, None] - GRID[None, :]) / ELL) ** 2)
    values, vectors = np.linalg.eigh(kernel)
    keep = values > values[-1] / 500
    return np.asarray(vectors[:, keep][:, ::-1] * np.sqrt(values[keep][::-1]))


def _q_rows(tau: float) -> Array:
    """∂q/∂(q₀, a, c) on GRID [(2 + K) × grid]."""
    return np.vstack([np.ones_like(GRID), TILT * GRID, tau * _basis().T])


def _integral(f: Array) -> Array:
    """∫ from w = 0 over the last axis, by trapezes on GRID."""
    parts = np.zeros_like(f)
    parts[..., 1:] = np.cumsum(0.5 * (f[..., 1:] + f[..., :-1]) * STEP, axis=-1)
    return parts - parts[..., MIDDLE : MIDDLE + 1]


def _u_rows(theta: Array, tau: float, bend: float) -> Array:
    """u at EDGES for parameters [n × P] → [n × grid + 2], straight beyond GRID."""
    rows = _q_rows(tau)
    rate = np.exp(np.clip(theta[:, 3 : 3 + len(rows)] @ rows - bend * GRID**2, -9, 5))
    u = theta[:, 2:3] + _integral(rate)
    left = u[:, :1] - rate[:, :1] * (FAR - REACH)
    right = u[:, -1:] + rate[:, -1:] * (FAR - REACH)
    return np.concatenate([left, u, right], axis=1)


def _model(theta: Array, tau: float, bend: float, data: Data) -> tuple[Array, Array, Array]:
    """D as read, its Jacobian [N × P] and dD/du at the steps, for one set of parameters."""
    u, rows = data.u, _q_rows(tau)
    shape = 3 + len(rows)
    rate = np.exp(np.clip(theta[3:shape] @ rows - bend * GRID**2, -9, 5))
    edges = _u_rows(theta[None, :], tau, bend)[0]
    w = np.interp(u, edges, EDGES)
    s = sigma(w)
    rise = float(np.exp(np.clip(theta[1], -7, 3)))
    local = np.interp(w, GRID, rate)
    slope = rise * s * (1 - s) / local
    deep = _integral(rate * rows)  # ∂u/∂(q₀, a, c)
    jac = np.empty((len(u), len(theta)))
    jac[:, 0], jac[:, 1], jac[:, 2] = 1.0, rise * s, -slope
    for j in range(len(rows)):
        jac[:, 3 + j] = -slope * np.interp(w, GRID, deep[j])
    jac[:, shape:] = data.shared
    return theta[0] + rise * s + data.shared @ theta[shape:], jac, slope


def _tail(z: Array) -> tuple[Array, Array]:
    """log Φ(z) and φ(z)/Φ(z)."""
    low = z < -6  # asymptotic there
    safe = np.where(low, -6.0, z)
    mass = np.array([0.5 * erfc(-x / sqrt(2)) for x in safe.ravel()]).reshape(z.shape)
    log = np.where(low, -0.5 * z**2 - np.log(np.sqrt(2 * pi) * np.maximum(-z, 1.0)), np.log(mass))
    ratio = np.where(low, -z, np.exp(-0.5 * safe**2) / sqrt(2 * pi) / mass)
    return log, ratio


def _log_likelihood(d: Array, data: Data, sd: Array) -> Array:
    """Sum over steps (last axis) of log p, without constants."""
    z = (d - data.d) / sd
    free = data.side == 0
    total = -0.5 * np.sum(np.where(free, z, 0.0) ** 2, axis=-1)
    if not free.all():
        log, _ = _tail((data.side * z)[..., ~free])
        total = total + log.sum(axis=-1)
    return np.asarray(total)


def _prior(count: int) -> tuple[Array, Array]:
    mean, sd = np.zeros(count), np.ones(count)
    mean[:LEAD], sd[:LEAD] = PRIOR[:, 0], PRIOR[:, 1]
    return mean, sd


def _start(data: Data) -> Array:
    """A first guess: ends from the steps, the middle where they cross half-way, the slope from the half-width."""
    theta = np.zeros(LEAD + _basis().shape[1] + data.shared.shape[1])
    order = np.argsort(data.u)
    u, d = data.u[order], np.maximum.accumulate(data.d[order])
    low, high = float(d[0]), float(d[-1])
    rise = max(high - low, 0.05)
    finite = np.isfinite(u)
    quarter, half, most = (float(np.interp(low + f * rise, d[finite], u[finite])) for f in (0.25, 0.5, 0.75))
    theta[:4] = low, np.log(rise * 1.03), half, np.log(np.clip((most - quarter) / 2.2, 0.04, 1.0))
    return theta


def _mode(data: Data, tau: float, bend: float, theta: Array) -> tuple[Array, Array, Array, float]:
    """Mode, triangular factor of its covariance, the standard deviations used for the steps, log evidence (Laplace)."""
    mean, prior_sd = _prior(len(theta))
    free = data.side == 0
    damp, best, step_sd = 1e-2, -np.inf, data.d_sd
    here = theta
    hessian = np.eye(len(theta))
    for _ in range(40):
        d, jac, slope = _model(here, tau, bend, data)
        step_sd = np.sqrt(data.d_sd**2 + (slope * data.u_sd) ** 2)
        z = (d - data.d) / step_sd
        pull, weight = -z / step_sd, 1 / step_sd**2
        if not free.all():
            _, ratio = _tail(data.side * z)
            pull = np.where(free, pull, data.side * ratio / step_sd)
            weight = np.where(free, weight, ratio * (ratio + data.side * z) / step_sd**2)
        gradient = jac.T @ pull - (here - mean) / prior_sd**2
        hessian = (jac.T * np.maximum(weight, 0)) @ jac + np.diag(1 / prior_sd**2)
        best = float(_log_likelihood(d, data, step_sd)) - 0.5 * float(np.sum(((here - mean) / prior_sd) ** 2))
        moved = False
        while damp < 1e6:
            move = np.linalg.solve(hessian + damp * np.diag(np.diag(hessian)), gradient)
            there = here + move
            d_new, _, _ = _model(there, tau, bend, data)
            value = float(_log_likelihood(d_new, data, step_sd)) - 0.5 * float(np.sum(((there - mean) / prior_sd) ** 2))
            if value >= best - 1e-12:
                moved, here, damp = True, there, max(damp / 5, 1e-9)
                break
            damp *= 6
        if not moved or (value - best < 1e-6 and float(np.max(np.abs(move) / prior_sd)) < 1e-4):
            break
    factor = np.linalg.inv(np.linalg.cholesky(hessian)).T  # factor·factorᵀ is the covariance
    return here, factor, step_sd, best + float(np.sum(np.log(np.diag(factor))))


@cache
def _chance(count: int) -> tuple[Array, Array]:
    """Fixed standard normals [DRAWS × count], in opposite pairs, and the Student divisors [DRAWS]."""
    source = np.random.default_rng(6846)
    half = source.standard_normal((DRAWS // 2, count))
    divisor = np.sqrt(source.chisquare(STUDENT_DF, DRAWS // 2) / STUDENT_DF)
    return np.vstack([half, -half]), np.concatenate([divisor, divisor])


def posterior(data: Data) -> Draws:
    """What is known of the curve after these steps. data.u must be centred near 0 [log10]."""
    theta = _start(data)
    modes = []
    for manner in MANNERS:
        theta, factor, step_sd, evidence = _mode(data, manner[0], manner[1], theta)
        modes.append((manner, theta, factor, step_sd, evidence + np.log(manner[2])))
    evidences = np.array([m[4] for m in modes])
    share = np.exp(evidences - evidences.max())
    share = np.maximum(share / share.sum(), 0.02)
    counts = np.maximum(2 * np.round(share / share.sum() * DRAWS / 2).astype(int), 4)
    parts = [_component(data, *m[:4], int(n)) for m, n in zip(modes, counts, strict=True)]
    log_weight = np.concatenate([p[3] for p in parts])
    weight = np.exp(log_weight - log_weight.max())
    weight = np.minimum(weight, weight.mean() * sqrt(len(weight)))  # truncated importance sampling [Ionides-2008]
    base, rise, u = (np.concatenate([p[i] for p in parts]) for i in range(3))
    return Draws(base, rise, u, weight / weight.sum())


def _component(
    data: Data, manner: tuple[float, float, float], mode: Array, factor: Array, step_sd: Array, n: int
) -> tuple[Array, Array, Array, Array]:
    """n draws about one mode: base, rise, u rows, log weight."""
    tau, bend, chance = manner
    normal, divisor = _chance(len(mode))
    pick = np.concatenate([np.arange(n // 2), DRAWS // 2 + np.arange(n - n // 2)])
    scaled = normal[pick] / divisor[pick][:, None]
    theta = mode + scaled @ factor.T
    count = len(mode)
    proposal = -0.5 * (STUDENT_DF + count) * np.log1p(np.sum(scaled**2, axis=1) / STUDENT_DF)
    proposal -= np.sum(np.log(np.diag(factor)))
    mean, prior_sd = _prior(count)
    draws = Draws(theta[:, 0], np.exp(np.clip(theta[:, 1], -7, 3)), _u_rows(theta, tau, bend), np.empty(0))
    together = theta[:, count - data.shared.shape[1] :] @ data.shared.T
    fit = _log_likelihood(draws.density(data.u) + together, data, step_sd)
    fit -= 0.5 * np.sum(((theta - mean) / prior_sd) ** 2, axis=1)
    return draws.base, draws.rise, draws.u, fit - proposal + np.log(chance / n)


def quantile(x: Array, weight: Array, q: float) -> float:
    """Weighted quantile of x, nan left out; nan when nothing is left."""
    there = np.isfinite(x)
    if not there.any():
        return float("nan")
    order = np.argsort(x[there])
    values, mass = x[there][order], weight[there][order]
    place = (np.cumsum(mass) - 0.5 * mass) / mass.sum()
    return float(np.interp(q, place, values))


def band(columns: Array, weight: Array, q: float) -> Array:
    """Weighted quantile of each column, as one of its own values: ordered wherever every row is, so curves stay monotone."""
    order = np.argsort(columns, axis=0, kind="stable")
    mass = np.cumsum(weight[order], axis=0)
    first = np.argmax(mass >= q * mass[-1], axis=0)
    return np.asarray(np.take_along_axis(columns, np.take_along_axis(order, first[None, :], 0), 0)[0])


def scatter(data: Data) -> tuple[float, Array]:
    """How many times more the steps scatter than said, and each step's residual in its own standard deviations.

    Birge's ratio about the mode [Birge-1932], drawn towards 1 as if ten more steps had agreed with what was said.
    """
    theta, factor, step_sd, _ = _mode(data, *MANNERS[PLAIN][:2], _start(data))
    d, jac, _ = _model(theta, *MANNERS[PLAIN][:2], data)
    z = (data.d - d) / step_sd
    free = data.side == 0
    used = float(np.sum(((jac[free] / step_sd[free, None]) @ factor) ** 2))  # parameters the steps determine
    square = (10.0 + float(np.sum(z[free] ** 2))) / (10.0 + max(float(free.sum()) - used, 0.0))
    return sqrt(square), np.where(free, z, 0.0)
