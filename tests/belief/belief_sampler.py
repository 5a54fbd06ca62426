"""A referee that approximates nothing: elliptical slice sampling of the same model, many chains at once.

Murray, Adams and MacKay, Elliptical slice sampling, AISTATS 2010 (from memory). Every effect, reading, sheet's noise and the
logarithm of every scale is a standard normal; the likelihood is written out anew here from what `Look` and `Seen` mean.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from random import Random

import numpy as np

from firstsheet.belief import evidence
from firstsheet.belief.effects import Effect
from firstsheet.belief.evidence import Look, Seen
from firstsheet.belief.posterior import Observation

EDGES = (-math.inf, -1.6, -0.9, -0.5, -0.175, 0.175, 0.5, 0.9, 1.6, math.inf)
CENTRES = (-2.0, -1.25, -0.7, -0.34, 0.0, 0.34, 0.7, 1.25, 2.0)


def sheets(
    count: int, seed: int, boxes: int = 2, slip_at: Sequence[int] = (), swap_at: int | None = None
) -> list[Observation]:
    """Invented sheets, two or three to a reading, words of nine and keepings; some words are slips; box 1 may be swapped."""
    rng = Random(seed)
    truth: dict[str, float] = {}
    rows = []
    for i in range(count):
        sitting = i * 2 // 5
        here = Random(f"{seed}/{sitting}")
        box, dev = here.randrange(boxes), here.randrange(2)
        sds = {"kind:p": 1.0, f"box:{box}": 0.4, f"dev:{dev}": 0.3, f"devbox:d{dev}|{box}": 0.2, f"light:{here.randrange(2)}": 0.4,
               f"reading:{sitting}": 0.15}  # fmt: skip
        right = 0.0
        for key, sd in sds.items():
            right += truth.setdefault(key, rng.gauss(0.0, sd))
        if swap_at is not None and i >= swap_at and box == 1:
            right += 1.4
        given = round(3.0 * (right + rng.gauss(0.0, 0.5))) / 3.0
        error = given - right + rng.gauss(0.0, 0.2)
        seen = error + rng.gauss(0.0, 0.25)
        word = next(j for j in range(9) if EDGES[j] <= seen < EDGES[j + 1])
        if i in slip_at:
            word = 8 - word if word != 4 else 8
        need = -CENTRES[word]
        look = Look(EDGES[word], EDGES[word + 1], max(0.25, 0.2 * abs(need)), abs(error) < 0.5, 0.5)
        effects = tuple(Effect(k, 1.0, 0.0, sd) for k, sd in sds.items())
        rows.append(
            Observation(given + need, math.hypot(0.3, 0.2), effects, str(i), Seen(given, 0.2, 0.0, look, need, 0.3))
        )
    return rows


_AT = np.linspace(-9.0, 9.0, 18001)
_PHI = np.array([0.5 * (1.0 + math.erf(z / math.sqrt(2.0))) for z in _AT])


def phi(z: np.ndarray) -> np.ndarray:
    return np.interp(z, _AT, _PHI)


def log_likelihood(
    rows: list[Observation], keys: list[str], scales: dict[str, tuple[float, float]]
) -> Callable[[np.ndarray], np.ndarray]:
    """Of many states at once: effects by `keys`, then each sheet's noise, then the scales in the order of `scales`."""
    n, p = len(rows), len(keys)
    prior = {e.key: e for o in rows for e in o.effects}
    x = np.array([[sum(e.coefficient for e in o.effects if e.key == k) for k in keys] for o in rows])
    mean, sd = (np.array([getattr(prior[k], f) for k in keys]) for f in ("mean", "sd"))
    given, y, y_sd, retry, hand = (np.array([f(o) for o in rows]) for f in (
        lambda o: o.seen.given, lambda o: o.stops, lambda o: o.seen.need_sd, lambda o: o.seen.retry_sd, lambda o: o.seen.hand_sd))  # fmt: skip
    words = [i for i, o in enumerate(rows) if o.seen and o.seen.look]
    looks = [o.seen.look for o in rows if o.seen and o.seen.look]
    low, high, eye, lat = (
        np.array([getattr(look, f) for look in looks]) for f in ("low", "high", "eye_sd", "latitude")
    )
    kept = np.array([look.kept for look in looks])
    strips = [i for i in range(n) if i not in words]

    def at(state: np.ndarray) -> np.ndarray:
        factor = {k: np.exp(math.log(c) + s * state[:, p + n + i]) for i, (k, (c, s)) in enumerate(scales.items())}
        by = np.stack([factor.get(k.partition(":")[0], np.ones(len(state))) for k in keys], axis=1)
        f = (mean + sd * by * state[:, :p]) @ x.T
        noise = state[:, p : p + n] * np.sqrt(
            (factor.get("retry", np.ones(len(state)))[:, None] * retry) ** 2 + hand**2
        )
        out = np.zeros(len(state))
        if words:
            e = (given - f - noise)[:, words]
            p_word = phi((high - e) / eye) - phi((low - e) / eye)
            p_word = (1.0 - evidence.SLIP) * p_word + evidence.SLIP / evidence.WORDS
            p_keep = phi((lat - np.abs(e)) / evidence.KEEPER_EDGE_SD)
            p_keep = np.where(kept, p_keep, 1.0 - p_keep)
            p_keep = (1.0 - evidence.KEPT_ANYWAY) * p_keep + 0.5 * evidence.KEPT_ANYWAY
            out += np.log(p_word * p_keep).sum(axis=1)
        for i in strips:
            miss = y[i] - f[:, i] - noise[:, i]
            wide = math.hypot(y_sd[i], evidence.OUTLIER_SD)
            plain = (1.0 - evidence.OUTLIER) * np.exp(-0.5 * (miss / y_sd[i]) ** 2) / y_sd[i]
            out += np.log(plain + evidence.OUTLIER * np.exp(-0.5 * (miss / wide) ** 2) / wide)
        return out

    return at


Log = Callable[[np.ndarray], np.ndarray]


def _slice(
    log_p: Log, state: np.ndarray, now: np.ndarray, draw: np.ndarray, rng: np.random.Generator
) -> tuple[np.ndarray, np.ndarray]:
    """One elliptical slice step of every chain, about zero; `draw` is from the normal that log_p leaves out."""
    chains = len(state)
    floor = now + np.log(rng.random(chains))
    angle = rng.random(chains) * 2.0 * math.pi
    low, high = angle - 2.0 * math.pi, angle.copy()
    left = np.arange(chains)
    new, got = state.copy(), now.copy()
    while len(left):
        trial = state[left] * np.cos(angle[left])[:, None] + draw[left] * np.sin(angle[left])[:, None]
        value = log_p(trial)
        ok = value > floor[left]
        new[left[ok]], got[left[ok]] = trial[ok], value[ok]
        left = left[~ok]
        back = angle[left] < 0.0
        low[left[back]], high[left[~back]] = angle[left[back]], angle[left[~back]]
        angle[left] = low[left] + rng.random(len(left)) * (high[left] - low[left])
    return new, got


def sample(
    rows: list[Observation], scales: dict[str, tuple[float, float]], seed: int, chains: int = 300, steps: int = 500
) -> tuple[list[str], np.ndarray, np.ndarray, np.ndarray]:
    """(keys, means, sds of the effects [stop], mean squares of the scales).

    A first run about the prior gives the chains' own mean and covariance; the second is about those, which mixes in few steps
    and leaves the target as it is (Nishihara, Murray and Adams, JMLR 15, 2014; from memory).
    """
    rng = np.random.default_rng(seed)
    keys = list({e.key: None for o in rows for e in o.effects})
    prior = {e.key: e for o in rows for e in o.effects}
    n, p = len(rows), len(keys)
    log_p = log_likelihood(rows, keys, scales)
    state = 0.3 * rng.standard_normal((chains, p + n + len(scales)))
    now, seen = log_p(state), []
    for step in range(steps):
        state, now = _slice(log_p, state, now, rng.standard_normal(state.shape), rng)
        if step >= steps // 2 and step % 5 == 0:
            seen.append(state)
    pilot = np.concatenate(seen)
    centre, factor = pilot.mean(axis=0), np.linalg.cholesky(1.3 * np.cov(pilot.T))
    inverse = np.linalg.inv(factor)

    def about(offset: np.ndarray) -> np.ndarray:
        z = centre + offset
        ratio: np.ndarray = log_p(z) - 0.5 * (z**2).sum(axis=1) + 0.5 * ((offset @ inverse.T) ** 2).sum(axis=1)
        return ratio

    mean, sd = (np.array([getattr(prior[k], f) for k in keys]) for f in ("mean", "sd"))
    first, second, squares, kept = np.zeros(p), np.zeros(p), np.zeros(len(scales)), 0
    state = state - centre
    now = about(state)
    for step in range(steps):
        state, now = _slice(about, state, now, rng.standard_normal(state.shape) @ factor.T, rng)
        if step >= steps // 5:
            z = centre + state
            by_name = {k: np.exp(math.log(c) + s * z[:, p + n + i]) for i, (k, (c, s)) in enumerate(scales.items())}
            by = np.stack([by_name.get(k.partition(":")[0], np.ones(chains)) for k in keys], axis=1)
            beta = mean + sd * by * z[:, :p]
            first += beta.sum(axis=0)
            second += (beta**2).sum(axis=0)
            squares += np.array([float((by_name[k] ** 2).sum()) for k in scales])
            kept += chains
    first /= kept
    return keys, first, np.sqrt(second / kept - first**2), squares / kept
