"""Expectation propagation over judged sheets: each sheet's word, keeping or reading becomes the normal evidence that leaves the
same mean and variance when it is weighed against what all the others say, again and again until nothing moves. [MINKA-2001]

All sheets are weighed at once in each sweep, so the order of the sheets changes nothing.
"""

from __future__ import annotations

import math
from copy import copy
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from firstsheet.belief.design import Design
from firstsheet.belief.evidence import OUTLIER, OUTLIER_SD, Look
from firstsheet.belief.posterior import Observation, Posterior

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]

SWEEPS = 40
ENOUGH = 1e-3  # of a sheet's own sd: the greatest move of any sheet's mean in the last sweep; what is left is 1e-4 stop
MANY = 2000  # sheets, beyond which fewer points and a hundredth of an sd do
STEP, REACH = 0.005, 14.0  # of the tabulated looks [stop]
WIDTH = 5.0


@dataclass
class Solved:
    """The normal belief under given sites. mean, cov: of the columns, about their priors; m, v: of each sheet's Σ; log_z: ∫."""

    mean: Floats
    cov: Floats
    m: Floats
    v: Floats
    k: Floats
    log_z: float


@dataclass
class Fit:
    """Sites (precision, precision × mean) of every sheet, the belief they make, and the log evidence of the whole."""

    tau: Floats
    nu: Floats
    solved: Solved
    log_evidence: float
    sweeps: int
    sites: Sites

    def posterior(self, d: Design) -> Posterior:
        s, keep = self.solved, list(d.keep)
        mean = d.mean0 + s.mean
        return Posterior(
            tuple(d.keys[i] for i in keep),
            tuple(float(mean[i]) for i in keep),
            tuple(tuple(float(v) for v in s.cov[i, keep]) for i in keep),
            len(d.rows),
        )


def solve(d: Design, tau: Floats, nu: Floats, sd0: Floats | None = None) -> Solved:
    """The normal belief under these sites, readings integrated out block by block. sd0 stands in for the columns' priors [stop]."""
    import numpy as np

    p = len(d.keys)
    base = base_of(d)
    parts = blocks(d, tau, nu - tau * base)
    info, pull, fixed = _summed(d, tau, nu, base, parts)
    prior = (d.sd0 if sd0 is None else sd0) ** -2.0
    mean, cov, log_z = _conditioned(info, pull, prior[None, :])
    _, _, g, a, q = parts
    wide = np.zeros((p + 1, p + 1))
    wide[:p, :p] = cov[0]
    here = wide[d.columns[:, :, None], d.columns[:, None, :]]
    there = np.append(mean[0], 0.0)[d.columns]
    k = d.x - d.d[:, None] * (g / a[:, None])[d.block]
    m = base + np.einsum("nu,nu->n", k, there[d.block]) + d.d * (q / a)[d.block]
    v = np.einsum("nu,nu->n", np.matmul(here[d.block], k[:, :, None])[:, :, 0], k) + d.d**2 / a[d.block]
    return Solved(mean[0], cov[0], m, v, k, fixed + float(log_z[0]))


def solve_many(d: Design, tau: Floats, nu: Floats, sds: Floats, beliefs: bool = True) -> tuple[Floats, Floats, Floats]:
    """Means, covariances and log ∫ under many priors at once (sds: priors × columns) [stop]; the sites stay.

    beliefs  False: only log ∫ is wanted, the rest is empty
    """
    import numpy as np

    base = base_of(d)
    info, pull, fixed = _summed(d, tau, nu, base, blocks(d, tau, nu - tau * base))
    if beliefs:
        mean, cov, log_z = _conditioned(info, pull, sds**-2.0)
        return mean, cov, fixed + log_z
    # One at a time: a stack of large matrices is slower than each in the cache.
    logs = []
    for prior in sds**-2.0:
        factor = np.linalg.cholesky(info + np.diag(prior))
        log_det = 2.0 * float(np.sum(np.log(np.diag(factor))))
        logs.append(0.5 * (pull @ np.linalg.solve(info + np.diag(prior), pull) - log_det + np.sum(np.log(prior))))
    return np.zeros(0), np.zeros(0), fixed + np.array(logs)


def _summed(
    d: Design, tau: Floats, nu: Floats, base: Floats, parts: tuple[Floats, Floats, Floats, Floats, Floats]
) -> tuple[Floats, Floats, float]:
    """Information about the columns, the pull on them, and the part of log ∫ that no prior of theirs touches."""
    import numpy as np

    p = len(d.keys)
    big, h, _, a, q = parts
    flat = d.columns[:, :, None] * (p + 1) + d.columns[:, None, :]
    info = np.bincount(flat.ravel(), big.ravel(), (p + 1) ** 2).reshape(p + 1, p + 1)[:p, :p]
    pull = np.bincount(d.columns.ravel(), h.ravel(), p + 1)[:p]
    # ∫ exp(−½τf² + νf) over the priors, f = base + x·θ + d·u: the constant part, and the blocks' readings.
    fixed = np.sum(nu * base - 0.5 * tau * base**2) + 0.5 * np.sum(q**2 / a - np.log(a * d.read_sd**2))
    return np.asarray(info, dtype=float), np.asarray(pull, dtype=float), float(fixed)


def _conditioned(info: Floats, pull: Floats, prior: Floats) -> tuple[Floats, Floats, Floats]:
    """Means, covariances and log ∫ for each row of prior precisions."""
    import numpy as np

    whole = np.broadcast_to(info, (len(prior), *info.shape)).copy()
    i = np.arange(len(pull))
    whole[:, i, i] += prior
    factor = np.linalg.cholesky(whole)
    inverse = np.linalg.inv(factor)
    cov = np.swapaxes(inverse, 1, 2) @ inverse
    mean = cov @ pull
    log_det = 2.0 * np.sum(np.log(np.diagonal(factor, axis1=1, axis2=2)), axis=1)
    return mean, cov, 0.5 * (mean @ pull - log_det + np.sum(np.log(prior), axis=1))


def base_of(d: Design) -> Floats:
    import numpy as np

    first = np.append(d.mean0, 0.0)[d.columns]
    out: Floats = d.still + np.einsum("nu,nu->n", d.x, first[d.block]) + d.d * d.read_mean[d.block]
    return out


def blocks(d: Design, tau: Floats, r: Floats) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Information of each block about its columns, its reading integrated out, and the pieces to put it back."""
    import numpy as np

    tx = tau[:, None] * d.x
    add = np.add.reduceat
    big = add(tx[:, :, None] * d.x[:, None, :], d.starts)
    h = add(r[:, None] * d.x, d.starts)
    g = add(tx * d.d[:, None], d.starts)
    a = add(tau * d.d**2, d.starts) + d.read_sd**-2.0
    q = add(r * d.d, d.starts)
    big -= g[:, :, None] * (g / a[:, None])[:, None, :]
    h -= g * (q / a)[:, None]
    return big, h, g, a, q


def blocks_of(d: Design, fit: Fit) -> tuple[Floats, Floats]:
    """Each block's information about its own columns and its pull on them (B × U × U, B × U), readings integrated out."""
    big, h, _, _, _ = blocks(d, fit.tau, fit.nu - fit.tau * base_of(d))
    return big, h


def propagate(d: Design, retry: float = 1.0, sd0: Floats | None = None, start: Fit | None = None) -> Fit:
    """Sites and belief of this design. retry scales every sheet's retry noise; sd0 stands in for priors; start saves sweeps."""
    import numpy as np

    sites = start.sites.at(retry) if start and start.sites.rows is d.rows else Sites(d.rows, retry)
    tau, nu = (start.tau.copy(), start.nu.copy()) if start else sites.plain()
    sites.exact(tau, nu)
    s = solve(d, tau, nu, sd0)
    sweep, pace = 0, 1.0
    enough = ENOUGH if len(d.rows) <= MANY else 1e-2
    while sites.open and sweep < SWEEPS:
        sweep += 1
        tau, nu = sites.weigh(s, tau, nu, pace)
        before, s = s, solve(d, tau, nu, sd0)
        moved = float(np.max(np.abs(s.m - before.m) / np.sqrt(s.v)))
        if moved < enough:
            break
        if sweep >= 8:
            pace = 0.6  # sites that swing are damped
    return Fit(tau, nu, s, s.log_z + sites.left(s, tau, nu), sweep, sites)


def preview(d: Design, fit: Fit, o: Observation) -> tuple[Floats, Floats]:
    """Mean and covariance of the columns once one more sheet is weighed, the others as they are: a look ahead, not what is kept.

    Effects that are no column of the design are taken at their priors. [BISHOP-PRML] eqs. 2.81, 2.82.
    """
    import numpy as np

    s = fit.solved
    c = np.zeros(len(d.keys))
    base, own = 0.0, 0.0
    for e in o.effects:
        i = d.at(e.key)
        base += e.coefficient * (e.mean if i is None else float(d.mean0[i] + s.mean[i]))
        if i is None:
            own += (e.coefficient * e.sd) ** 2
        else:
            c[i] += e.coefficient
    way = s.cov @ c
    variance = float(c @ way) + own
    one = Sites((o,), 1.0)
    if o.seen:
        _, m, v = one.tilted(np.array([base]), np.array([variance]))
        moved, after = float(m[0]) - base, float(v[0])
    else:
        gain = variance / (variance + o.sd**2)
        moved, after = gain * (o.stops - base), variance * (1.0 - gain)
    mean = d.mean0 + s.mean + way * (moved / variance)
    return mean, s.cov - np.outer(way, way) * ((variance - after) / variance**2)


@lru_cache(maxsize=512)
def _tabulated(look: Look) -> Floats:
    import numpy as np

    return look.chances(np.arange(-REACH, REACH + STEP / 2, STEP))


class Sites:
    """The sheets' own likelihoods, for all of them at once."""

    def __init__(self, rows: tuple[Observation, ...], retry: float) -> None:
        import numpy as np

        seen = [o.seen for o in rows]
        self.rows = rows
        looks = {s.look: i for i, s in enumerate({s.look: s for s in seen if s and s.look}.values())}
        self.retry2 = np.array([s.retry_sd**2 if s else 0.0 for s in seen])
        self.hand2 = np.array([s.hand_sd**2 if s else 0.0 for s in seen])
        self.noise2 = retry**2 * self.retry2 + self.hand2
        self.words = np.array([i for i, s in enumerate(seen) if s and s.look], dtype=np.intp)
        self.strips = np.array([i for i, s in enumerate(seen) if s and not s.look], dtype=np.intp)
        self.sure = np.array([i for i, s in enumerate(seen) if not s], dtype=np.intp)
        self.given = np.array([s.given if s else 0.0 for s in seen])
        self.which = np.array([looks[seen[i].look] for i in self.words], dtype=np.intp)
        tables = [_tabulated(look) for look in looks if look]
        self.table = np.concatenate(tables) if tables else np.zeros(0)
        self.size = len(tables[0]) if tables else 0
        self.y = np.array([o.stops for o in rows])
        self.y2 = np.array([s.need_sd**2 if s else o.sd**2 for s, o in zip(seen, rows, strict=True)])
        self.open = len(self.words) + len(self.strips) > 0
        points = 161 if len(rows) <= MANY else 33
        self.z = -WIDTH + (np.arange(points) + 0.5) * 2.0 * WIDTH / points
        w = np.exp(-0.5 * self.z**2)
        self.w = w / w.sum()

    def at(self, retry: float) -> Sites:
        """The same sheets at another scale of the retry noise."""
        out = copy(self)
        out.noise2 = retry**2 * self.retry2 + self.hand2
        return out

    def plain(self) -> tuple[Floats, Floats]:
        tau = 1.0 / (self.y2 + self.noise2)
        return tau, tau * self.y

    def exact(self, tau: Floats, nu: Floats) -> None:
        tau[self.sure] = 1.0 / self.y2[self.sure]
        nu[self.sure] = tau[self.sure] * self.y[self.sure]

    def cavity(self, s: Solved, tau: Floats, nu: Floats) -> tuple[Floats, Floats, Bools]:
        """Mean and variance of each sheet's Σ by all other sheets; where that is none, ok is False."""
        import numpy as np

        left = 1.0 / s.v - tau
        ok = left > 1e-9
        v = 1.0 / np.where(ok, left, 1.0)
        return v * (s.m / s.v - nu), v, ok

    def tilted(self, mc: Floats, vc: Floats) -> tuple[Floats, Floats, Floats]:
        """log Z, mean and variance of each sheet's Σ when its own likelihood is put on the cavity."""
        import numpy as np

        log_z, mean, var = np.zeros_like(mc), mc.copy(), vc.copy()
        if len(self.words):
            i = self.words
            both = vc[i] + self.noise2[i]
            off, sd = self.given[i] - mc[i], np.sqrt(both)
            at = (off[:, None] + sd[:, None] * self.z + REACH) / STEP
            np.clip(at, 0.0, self.size - 1.001, out=at)
            low = at.astype(np.intp)
            part = at - low
            low += (self.which * self.size)[:, None]
            f = self.table[low]
            f += part * (self.table[low + 1] - f)
            f *= self.w
            z0 = f.sum(axis=1)
            z1 = (f @ self.z) / z0
            z2 = (f @ self.z**2) / z0 - z1**2
            gain = vc[i] / both
            log_z[i] = np.log(z0)
            mean[i] = mc[i] - gain * sd * z1
            var[i] = vc[i] - gain * vc[i] * (1.0 - z2)
        if len(self.strips):
            i = self.strips
            parts = []
            for share, more in ((1.0 - OUTLIER, 0.0), (OUTLIER, OUTLIER_SD**2)):
                total = vc[i] + self.y2[i] + self.noise2[i] + more
                gain, miss = vc[i] / total, self.y[i] - mc[i]
                weight = math.log(share) - 0.5 * np.log(2.0 * math.pi * total) - 0.5 * miss**2 / total
                parts.append((weight, mc[i] + gain * miss, vc[i] * (1.0 - gain)))
            log_z[i] = np.logaddexp(parts[0][0], parts[1][0])
            shares = [np.exp(w - log_z[i]) for w, _, _ in parts]
            mean[i] = sum(s * m for s, (_, m, _) in zip(shares, parts, strict=True))
            var[i] = sum(s * (v + (m - mean[i]) ** 2) for s, (_, m, v) in zip(shares, parts, strict=True))
        return log_z, mean, var

    def weigh(self, s: Solved, tau: Floats, nu: Floats, pace: float) -> tuple[Floats, Floats]:
        import numpy as np

        mc, vc, ok = self.cavity(s, tau, nu)
        ok[self.sure] = False
        _, mean, var = self.tilted(mc, vc)
        # A word against all expectation may leave two peaks, wider than before it: such a site moves, and takes nothing away.
        new_tau = np.maximum(1.0 / np.maximum(var, 1e-12) - 1.0 / vc, 0.0)
        new_nu = mean * (new_tau + 1.0 / vc) - mc / vc
        return np.where(ok, tau + pace * (new_tau - tau), tau), np.where(ok, nu + pace * (new_nu - nu), nu)

    def left(self, s: Solved, tau: Floats, nu: Floats) -> float:
        """What the sites leave out of the log evidence: Σ log Z of each sheet less that of its site."""
        import numpy as np

        mc, vc, ok = self.cavity(s, tau, nu)
        log_z, _, _ = self.tilted(mc, vc)
        i = self.sure
        total = vc[i] + self.y2[i]
        log_z[i] = -0.5 * np.log(2.0 * math.pi * total) - 0.5 * (self.y[i] - mc[i]) ** 2 / total
        after = tau + 1.0 / vc
        site = 0.5 * ((nu + mc / vc) ** 2 / after - mc**2 / vc) - 0.5 * np.log(np.maximum(after * vc, 1e-12))
        return float(np.sum(np.where(ok, log_z - site, 0.0)))
