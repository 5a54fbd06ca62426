"""The belief against an ensemble sampler of a published library, the model written out anew: a word's chance given the right
exposure is the look's, the sheet's own noise integrated by Gauss and Hermite. [EMCEE]
"""

from __future__ import annotations

import math
import os

import emcee
import numpy as np
import pytest

from firstsheet.belief import changes, evidence, whole
from firstsheet.belief.posterior import Observation, condition
from tests.belief.belief_sampler import phi, sheets

SCALES = {"box": whole.BOX_SCALE, "devbox": whole.DEVBOX_SCALE, "retry": whole.RETRY_SCALE}
WALKERS, BURN = 48, 1_500
STEPS = {False: 4_000, True: 20_000}  # a scale and what it scales make a funnel, which takes longer


class Model:
    """log posterior of many states at once: effects in units of their prior sd, then logarithms of scales in theirs."""

    def __init__(self, rows: list[Observation], scaled: bool) -> None:
        effects = {e.key: e for o in rows for e in o.effects}
        self.keys = list(effects)
        self.scales = SCALES if scaled else {}
        self.x = np.array([[sum(e.coefficient for e in o.effects if e.key == k) for k in self.keys] for o in rows])
        self.mean, self.sd = (np.array([getattr(effects[k], f) for k in self.keys]) for f in ("mean", "sd"))
        seen = [o.seen for o in rows if o.seen and o.seen.look]
        self.given = np.array([s.given for s in seen])
        self.retry, self.hand = np.array([s.retry_sd for s in seen]), np.array([s.hand_sd for s in seen])
        looks = [s.look for s in seen if s.look]
        self.low, self.high, self.eye, self.lat = (np.array([getattr(v, f) for v in looks])[None, :, None]
                                                   for f in ("low", "high", "eye_sd", "latitude"))  # fmt: skip
        self.kept = np.array([v.kept for v in looks])[None, :, None]
        self.z, w = np.polynomial.hermite_e.hermegauss(19)
        self.w = w / w.sum()

    def beta(self, state: np.ndarray) -> tuple[np.ndarray, dict[str, np.ndarray]]:
        p = len(self.keys)
        by = {k: np.exp(math.log(c) + s * state[:, p + i]) for i, (k, (c, s)) in enumerate(self.scales.items())}
        one = np.ones(len(state))
        factor = np.stack([by.get(k.partition(":")[0], one) for k in self.keys], axis=1)
        return self.mean + self.sd * factor * state[:, :p], by

    def __call__(self, state: np.ndarray) -> np.ndarray:
        beta, by = self.beta(state)
        noise = np.sqrt((by.get("retry", np.ones(len(state)))[:, None] * self.retry) ** 2 + self.hand**2)
        e = (self.given - beta @ self.x.T)[:, :, None] + noise[:, :, None] * self.z
        word = phi((self.high - e) / self.eye) - phi((self.low - e) / self.eye)
        word = (1.0 - evidence.SLIP) * word + evidence.SLIP / evidence.WORDS
        keep = phi((self.lat - np.abs(e)) / evidence.KEEPER_EDGE_SD)
        keep = np.where(self.kept, keep, 1.0 - keep)
        keep = (1.0 - evidence.KEPT_ANYWAY) * keep + 0.5 * evidence.KEPT_ANYWAY
        return np.asarray(np.log((word * keep) @ self.w).sum(axis=1) - 0.5 * (state**2).sum(axis=1))


def sampled(rows: list[Observation], scaled: bool, seed: int) -> tuple[list[str], np.ndarray, np.ndarray, np.ndarray]:
    """(keys, means, sds [stop], root mean squares of the scales), walkers whitened by a first run."""
    model = Model(rows, scaled)
    d = len(model.keys) + len(model.scales)
    rng = np.random.default_rng(seed)
    emcee_state = np.random.RandomState(seed).get_state()
    first = emcee.EnsembleSampler(WALKERS, d, model, vectorize=True)
    first.random_state = emcee_state
    first.run_mcmc(rng.standard_normal((WALKERS, d)), BURN)
    pilot = first.get_chain(discard=BURN // 2, flat=True)
    centre, factor = pilot.mean(axis=0), np.linalg.cholesky(np.cov(pilot.T))
    second = emcee.EnsembleSampler(WALKERS, d, lambda u: model(centre + u @ factor.T), vectorize=True)
    second.random_state = emcee_state
    second.run_mcmc(rng.standard_normal((WALKERS, d)), STEPS[scaled])
    chain = centre + second.get_chain(discard=STEPS[scaled] // 10, thin=5, flat=True) @ factor.T
    beta, by = model.beta(chain)
    rms = np.array([math.sqrt(float((v**2).mean())) for v in by.values()])
    return model.keys, beta.mean(axis=0), beta.std(axis=0), rms


@pytest.mark.slow
@pytest.mark.parametrize(
    "scaled",
    [False, pytest.param(True, marks=pytest.mark.skipif(not os.environ.get("FIRSTSHEET_LONG"), reason="minutes long"))],
)
def test_means_and_sds_as_an_ensemble_sampler_has_them(scaled: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(changes, "drifts", lambda _: [])
    monkeypatch.setattr(changes, "candidates", lambda *_: [])
    rows = sheets(14, 1, slip_at=(3,))
    found = whole.fit(rows) if scaled else condition(rows)
    keys, means, sds, rms = sampled(rows, scaled, 7)
    at = {k: i for i, k in enumerate(keys)}
    for i, key in enumerate(found.keys):
        assert found.mean[i] == pytest.approx(means[at[key]], abs=0.02), key
        assert math.sqrt(found.cov[i][i]) == pytest.approx(sds[at[key]], rel=0.05), key
    for (_, scale), value in zip(found.scales, rms, strict=scaled):
        assert scale == pytest.approx(value, rel=0.05)
