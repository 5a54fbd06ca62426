"""What moved a number, sheet by sheet, and where past misses came from; from the belief as fitted, no refit for either."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from firstsheet.belief import expectation
from firstsheet.belief.changes import BEFORE
from firstsheet.belief.design import Design
from firstsheet.belief.effects import Effect, group_of
from firstsheet.belief.whole import Case, Whole

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

RETRY = "the same settings twice"
DRAWS = 200


@dataclass(frozen=True, slots=True)
class Share:
    """Of the mean square of past misses [1], 9 in 10 between low and high; sd_stops: its root mean square [stop]."""

    group: str
    share: float
    low: float
    high: float
    sd_stops: float


def likeliest(w: Whole) -> Case:
    return w.cases[w.weights.index(max(w.weights))]


def moved(w: Whole, effects: Sequence[Effect]) -> list[tuple[str, float]]:
    """By how much each piece of evidence moves Σ coefficient·effect [stop]: with it, less without it; largest first.

    Leave-one-out of the normal belief at the likeliest case, scales at the tables': exact for plain evidence; for words the
    others keep the weight they have. Taking away two sheets is not the sum of both.
    """
    import numpy as np

    c = likeliest(w)
    d, fit = c.moved.design, c.fit
    want = np.zeros(len(d.keys) + 1)
    for e in effects:
        i = d.at(e.key)
        if i is not None:
            want[i] += e.coefficient
    way = np.append(fit.solved.cov @ want[:-1], 0.0)
    joint = np.einsum("nu,nu->n", fit.solved.k, way[d.columns][d.block])
    sites = fit.sites
    mc, _, ok = sites.cavity(fit.solved, fit.tau, fit.nu)
    by = np.where(ok, joint / fit.solved.v * (fit.solved.m - mc), 0.0)
    found = [(o.name, float(x)) for o, x in zip(d.rows, by, strict=True)]
    return sorted(found, key=lambda nx: (-abs(nx[1]), nx[0]))


def misses(w: Whole, rng: np.random.Generator) -> list[Share]:
    """Where past misses came from: what was not known of each group when a sheet was planned, as it is known now.

    A sheet's miss is Σ coefficient·(effect − what the sheets before it said of it) + its own noise. Shares of the mean square over
    all sheets, from draws of the belief. Domain: judged sheets only; empty where there are fewer than two.
    """
    import numpy as np

    c = likeliest(w)
    d, fit = c.moved.design, c.fit
    judged = [i for i, o in enumerate(d.rows) if o.seen]
    if len(judged) < 2:
        return []
    groups = [group_of(k.lstrip(BEFORE)) for k in d.keys]
    names = list(dict.fromkeys([*groups, group_of("reading:"), RETRY]))
    before, read_before = _as_it_went(d, fit.tau, fit.nu)
    s = fit.solved
    factor = np.linalg.cholesky(s.cov)
    theta = s.mean + rng.standard_normal((DRAWS, len(s.mean))) @ factor.T
    wide = np.hstack([theta, np.zeros((DRAWS, 1))])
    at = np.array([names.index(g) for g in groups] + [0])
    square = np.zeros((DRAWS, len(names)))
    reading = _readings(d, fit.tau, fit.nu, wide, rng)
    noise = _noises(d, fit, rng)
    for i in judged:
        cols = d.columns[d.block[i]]
        parts = np.zeros((DRAWS, len(names)))
        np.add.at(parts.T, at[cols], (d.x[i] * (wide[:, cols] - before[i])).T)
        parts[:, names.index(group_of("reading:"))] += d.d[i] * (reading[:, d.block[i]] - read_before[i])
        parts[:, names.index(RETRY)] += noise[:, i]
        square += parts**2
    square /= len(judged)
    share = square / square.sum(axis=1, keepdims=True)
    low, high = np.quantile(share, [0.05, 0.95], axis=0)
    out = [
        Share(n, float(share[:, j].mean()), float(low[j]), float(high[j]), float(np.sqrt(square[:, j].mean())))
        for j, n in enumerate(names)
    ]
    return sorted((x for x in out if x.share > 1e-6), key=lambda x: -x.share)


def _as_it_went(d: Design, tau: Floats, nu: Floats) -> tuple[Floats, Floats]:
    """What was held of each sheet's own columns (N × U) and of its reading before it, sheet after sheet, about their priors."""
    import numpy as np

    p = len(d.keys)
    mean, cov = np.zeros(p + 1), np.zeros((p + 1, p + 1))
    cov[np.arange(p), np.arange(p)] = d.sd0**2
    base = expectation.base_of(d)
    before, read = np.zeros_like(d.x), np.zeros(len(d.rows))
    block = -1
    for i in range(len(d.rows)):
        if d.block[i] != block:  # another reading stands in the last place
            block = int(d.block[i])
            mean[p] = 0.0
            cov[p, :], cov[:, p] = 0.0, 0.0
            cov[p, p] = d.read_sd[block] ** 2
        cols = d.columns[block]
        live = cols < p
        before[i, live], read[i] = mean[cols[live]], mean[p]
        if tau[i] <= 0:
            continue
        x = np.zeros(p + 1)
        x[cols[live]] = d.x[i, live]
        x[p] = d.d[i]
        way = cov @ x
        variance = float(x @ way) + 1.0 / tau[i]
        mean = mean + way * ((nu[i] / tau[i] - base[i] - float(x @ mean)) / variance)
        cov = cov - np.outer(way, way) / variance
    return before, read


def _readings(d: Design, tau: Floats, nu: Floats, wide: Floats, rng: np.random.Generator) -> Floats:
    """Draws of each block's reading about its prior [stop], the columns as drawn."""
    import numpy as np

    _, _, g, a, q = expectation.blocks(d, tau, nu - tau * expectation.base_of(d))
    mean = (q - np.einsum("bu,sbu->sb", g, wide[:, d.columns])) / a
    return np.asarray(mean + rng.standard_normal(mean.shape) / np.sqrt(a))


def _noises(d: Design, fit: expectation.Fit, rng: np.random.Generator) -> Floats:
    """Draws of what each judged sheet alone received or lacked [stop], told apart from what it shares."""
    import numpy as np

    sites = fit.sites
    mc, vc, _ = sites.cavity(fit.solved, fit.tau, fit.nu)
    _, mean, var = sites.tilted(mc, vc)
    both = vc + sites.noise2
    gain = vc / both
    all_mean, all_var = (mean - mc) / gain, np.maximum(both - (vc - var) / gain**2, 0.0)
    own = sites.noise2 / both
    out_mean, out_var = own * all_mean, own**2 * all_var + sites.noise2 * vc / both
    return np.asarray(out_mean + rng.standard_normal((DRAWS, len(mc))) * np.sqrt(out_var))
