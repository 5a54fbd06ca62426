"""The whole book fitted: words weighed, scales integrated, changes that nobody spoke of mixed in by their evidence.

Everything is made anew from the observations each time, so that a judgement taken back leaves no trace.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from firstsheet.belief import changes, design, expectation
from firstsheet.belief.changes import BEFORE, Guess, Moved
from firstsheet.belief.design import Design
from firstsheet.belief.effects import Effect
from firstsheet.belief.expectation import Fit
from firstsheet.belief.posterior import PASSING, Change, Observation, Posterior

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

ENOUGH_SHEETS = 8  # before scales are learned
BANK, BANK_OF_MANY = 24, 4
LATE = 600  # sheets from which a large book learns its retry noise
NODES = (-2.4, -1.6, -0.8, 0.0, 0.8, 1.6, 2.4)  # of the logarithm of a scale, in its sd
RETRY_NODES = (-1.8, -0.9, 0.0, 0.9, 1.8)
# Scales over the tables': log-normal, centre and sd of the logarithm. One person's boxes differ less than many people's
# reports; the same settings twice are 0.15 to 0.25 stop by common practice. No source.
BOX_SCALE, DEVBOX_SCALE, RETRY_SCALE = (0.85, 0.45), (0.85, 0.45), (0.95, 0.22)
AGE_SD = 0.10  # stop a year that a box of paper may lose or gain; no source
AGE_LEAST = 0.15  # years between a box's first and last sheet before its age is thought of
LIKELY, WEIGHTY = 0.02, 0.25  # of the likeliest case: what is mixed in, and what has its scales integrated


@dataclass
class Case:
    """One set of guesses fitted: its design, its fit, log of prior × evidence, and its belief (today's, base columns)."""

    guesses: tuple[Guess, ...]
    moved: Moved
    fit: Fit
    log_weight: float


@dataclass
class Whole:
    """Everything fitted: the cases by weight, and the posterior that they mix to."""

    cases: list[Case]
    weights: list[float]
    posterior: Posterior


def fit(observations: Sequence[Observation], passing: Sequence[str] = PASSING) -> Posterior:
    """The posterior of the whole book in its order; Posterior() where there is no evidence."""
    rows = list(observations)
    return understand(rows, passing).posterior if rows else Posterior()


def understand(rows: Sequence[Observation], passing: Sequence[str] = PASSING) -> Whole:
    """Fit all. Domain: at least one observation, every sd > 0."""
    aged, spans = with_age(rows)
    d = design.build(aged, passing)
    cases = bank(d)
    top = max(c.log_weight for c in cases)
    cases = [c for c in cases if c.log_weight > top + math.log(LIKELY)]
    many = sum(1 for o in rows if o.seen) >= ENOUGH_SHEETS
    if many and len(rows) > expectation.MANY:
        parts = _plugged(cases)
    else:
        parts = _integrated(cases) if many else [_as_told(c) for c in cases]
    top = max(p.log_weight for p in parts)
    weights = [math.exp(p.log_weight - top) for p in parts]
    weights = [w / sum(weights) for w in weights]
    return Whole(cases, weights, _mixed(d, cases, parts, weights, spans))


# ── changes ──


def bank(d: Design) -> list[Case]:
    """No change, and the likeliest changes found step by step from the best so far; at most BANK, in a large book fewer."""
    first = _case(d, (), None)
    most = BANK if len(d.rows) <= expectation.MANY else BANK_OF_MANY
    cases: dict[tuple[Guess, ...], Case] = {(): first}
    for g in changes.drifts(d) if len(d.rows) <= expectation.MANY else []:
        cases[(g,)] = _case(d, (g,), first)
    opened: set[tuple[Guess, ...]] = set()
    while len(cases) < most:
        top = max(c.log_weight for c in cases.values())
        rest = [c for k, c in cases.items() if k not in opened and c.log_weight > top - 3.0]
        if not rest:
            break
        best = max(rest, key=lambda c: (c.log_weight, c.guesses))
        opened.add(best.guesses)
        for g in changes.candidates(best.moved.design, best.fit, best.guesses, 5):
            key = tuple(sorted((*best.guesses, g)))
            if key not in cases and len(cases) < most:
                cases[key] = _case(d, key, best)
    return list(cases.values())


def _case(d: Design, guesses: tuple[Guess, ...], near: Case | None) -> Case:
    moved = changes.under(d, guesses) if guesses else Moved(d, ())
    fitted = expectation.propagate(moved.design, start=near.fit if near else None)
    return Case(guesses, moved, fitted, fitted.log_evidence + sum(g.log_chance() for g in guesses))


# ── scales ──


@dataclass
class _Part:
    """One case's belief about its columns: log weight, mean about the prior, covariance, mean squares of the scales."""

    log_weight: float
    mean: Floats
    cov: Floats
    squares: tuple[float, float, float] | None


def _as_told(c: Case) -> _Part:
    """Scales as in the tables."""
    return _Part(c.log_weight, c.fit.solved.mean, c.fit.solved.cov, None)


def _plugged(cases: list[Case]) -> list[_Part]:
    """In a book so large that its scales are well known: each at its mean, the retry noise from the last sheets alone."""
    import numpy as np

    best = max(cases, key=lambda c: c.log_weight)
    d = best.moved.design
    sds, here, factors = _grid(d)
    weights, _ = _shares(expectation.solve_many(d, best.fit.tau, best.fit.nu, sds, beliefs=False)[2] + here)
    box2, dev2 = (float(q) for q in weights @ factors**2)
    late, start, logs = design.build(d.rows[-LATE:], PASSING), None, []
    retries = _nodes(RETRY_SCALE, RETRY_NODES)
    for retry in retries:
        start = expectation.propagate(late, retry, start=start)
        logs.append(start.log_evidence)
    by_retry, _ = _shares(np.array(logs) + _log_prior(RETRY_NODES))
    retry2 = float(by_retry @ np.square(retries))
    squares = box2, dev2, retry2
    rest = [_Part(c.log_weight, c.fit.solved.mean, c.fit.solved.cov, squares) for c in cases if c is not best]
    return [_at(c, squares, 0.0) if c is best else rest.pop(0) for c in cases]


def _at(c: Case, squares: tuple[float, float, float], more: float) -> _Part:
    """The scales at one place; more: log of what integrating them did to the weight elsewhere."""
    boxes, devboxes = scaled_columns(c.moved.design)
    sd0 = c.moved.design.sd0.copy()
    sd0[boxes] *= math.sqrt(squares[0])
    sd0[devboxes] *= math.sqrt(squares[1])
    at = expectation.propagate(c.moved.design, math.sqrt(squares[2]), sd0, c.fit)
    return _Part(c.log_weight + more, at.solved.mean, at.solved.cov, squares)


def _integrated(cases: list[Case]) -> list[_Part]:
    """Scales integrated in the likelier cases; the unlikely ones stand where the likeliest has them."""
    best = max(cases, key=lambda c: c.log_weight)
    top = _scaled(best)
    assert top.squares is not None
    more = top.log_weight - best.log_weight
    likely = best.log_weight + math.log(WEIGHTY)
    return [top if c is best else _scaled(c) if c.log_weight > likely else _at(c, top.squares, more) for c in cases]


def _scaled(c: Case) -> _Part:
    """Box, developer × box and retry scales integrated over a grid; sites as they are at each retry scale."""
    import numpy as np

    d = c.moved.design
    sds, here, factors = _grid(d)
    # Once roughly, so that the sites then stand where the scales are and not where the tables are.
    weights, _ = _shares(expectation.solve_many(d, c.fit.tau, c.fit.nu, sds)[2] + here)
    centre = np.exp(weights @ np.log(sds))
    start, logs, means, covs = c.fit, [], [], []
    retries = _nodes(RETRY_SCALE, RETRY_NODES)
    for retry, prior in zip(retries, _log_prior(RETRY_NODES), strict=True):
        start = at = expectation.propagate(d, retry, centre, start)
        mean, cov, log_z = expectation.solve_many(d, at.tau, at.nu, sds)
        logs.append(at.log_evidence - at.solved.log_z + log_z + prior + here)
        means.append(mean)
        covs.append(cov)
    weights, log_weight = _shares(np.concatenate(logs))
    mean, cov = _mixture(weights, np.concatenate(means), np.concatenate(covs))
    by = weights.reshape(len(retries), -1)
    box2, dev2 = by.sum(axis=0) @ factors**2
    retry2 = by.sum(axis=1) @ np.array(retries) ** 2
    squares = (float(box2), float(dev2), float(retry2))
    return _Part(log_weight + sum(g.log_chance() for g in c.guesses), mean, cov, squares)


def _grid(d: Design) -> tuple[Floats, Floats, Floats]:
    """Priors [stop] at every pair of box and developer × box scales, the log chance of each pair, and the pairs."""
    import numpy as np

    boxes, devboxes = scaled_columns(d)
    prior = _log_prior(NODES)
    factors = np.array([(b, v) for b in _nodes(BOX_SCALE, NODES) for v in _nodes(DEVBOX_SCALE, NODES)])
    sds = np.repeat(d.sd0[None, :], len(factors), axis=0)
    sds[:, boxes] *= factors[:, :1]
    sds[:, devboxes] *= factors[:, 1:]
    return sds, (prior[:, None] + prior[None, :]).ravel(), factors


def _log_prior(nodes: Sequence[float]) -> Floats:
    import numpy as np

    out = -0.5 * np.array(nodes) ** 2
    return np.asarray(out - math.log(np.exp(out).sum()))


def _shares(logs: Floats) -> tuple[Floats, float]:
    """Weights that sum to 1, and the log of the sum."""
    import numpy as np

    top = float(logs.max())
    w = np.exp(logs - top)
    return w / w.sum(), top + math.log(float(w.sum()))


def _mixture(weights: Floats, means: Floats, covs: Floats) -> tuple[Floats, Floats]:
    """Mean and covariance of a mixture of normals."""
    import numpy as np

    mean = weights @ means
    off = means - mean
    cov = np.tensordot(weights, covs, axes=1) + (off * weights[:, None]).T @ off
    return mean, np.asarray(cov)


def _nodes(scale: tuple[float, float], nodes: Sequence[float]) -> list[float]:
    return [scale[0] * math.exp(scale[1] * z) for z in nodes]


def scaled_columns(d: Design) -> tuple[list[int], list[int]]:
    """Columns whose sd is the table's guess: boxes that stand under a kind, and developer × box."""
    under = _under_a_kind(d.rows)
    boxes = [i for i, k in enumerate(d.keys) if k.lstrip(BEFORE) in under]
    return boxes, [i for i, k in enumerate(d.keys) if k.lstrip(BEFORE).startswith("devbox:")]


_seen_last: list[tuple[tuple[Observation, ...], set[str]]] = []


def _under_a_kind(rows: tuple[Observation, ...]) -> set[str]:
    """Boxes that some sheet has under a kind; kept for the rows last asked about, which all cases share."""
    if not _seen_last or _seen_last[0][0] is not rows:
        kinds = [o for o in rows if any(e.key.startswith("kind:") for e in o.effects)]
        _seen_last[:] = [(rows, {e.key for o in kinds for e in o.effects if e.key.startswith("box:")})]
    return _seen_last[0][1]


# ── age ──


def with_age(rows: Sequence[Observation]) -> tuple[list[Observation], dict[str, float]]:
    """Each box's age as an effect of its sheets where they span long enough, and how far today lies from its first [years]."""
    met: dict[str, list[float]] = {}
    for o in rows:
        if o.years is not None:
            for e in o.effects:
                if e.key.startswith("box:"):
                    met.setdefault(e.key, []).append(o.years)
    last = max((y for ys in met.values() for y in ys), default=0.0)
    spans = {k: last - min(ys) for k, ys in met.items() if max(ys) - min(ys) >= AGE_LEAST}
    if not spans:
        return list(rows), {}
    out = []
    for o in rows:
        more = []
        for e in o.effects:
            if e.key in spans and o.years is not None:
                more.append(Effect(f"age:{e.key[4:]}", e.coefficient * (o.years - last + spans[e.key]), 0.0, AGE_SD, "a box's age", "no source"))  # fmt: skip
        out.append(replace(o, effects=(*o.effects, *more)) if more else o)
    return out, spans


# ── mixing ──


def _mixed(
    d: Design, cases: list[Case], parts: list[_Part], weights: list[float], spans: dict[str, float]
) -> Posterior:
    import numpy as np

    p = len(d.keys)
    beliefs = [_today(c, part, spans, p) for c, part in zip(cases, parts, strict=True)]
    mean, cov = _mixture(np.array(weights), np.array([b[0] for b in beliefs]), np.array([b[1] for b in beliefs]))
    cov = (cov + cov.T) / 2.0
    keep = [i for i in d.keep if not d.keys[i].startswith("age:")]
    scales: tuple[tuple[str, float], ...] = ()
    squares = [part.squares for part in parts if part.squares is not None]
    if len(squares) == len(parts):
        named = zip(("box", "devbox", "retry"), zip(*squares, strict=True), strict=True)
        scales = tuple((n, math.sqrt(sum(w * q for w, q in zip(weights, of, strict=True)))) for n, of in named)
    return Posterior(
        tuple(d.keys[i] for i in keep),
        tuple(float(mean[i]) for i in keep),
        tuple(tuple(float(v) for v in cov[i, keep]) for i in keep),
        len(d.rows),
        scales,
        tuple(told(d, cases, parts, weights)),
    )


def _today(c: Case, part: _Part, spans: dict[str, float], p: int) -> tuple[Floats, Floats]:
    """Mean and covariance of the base columns, drifts and ages brought to today."""
    import numpy as np

    d = c.moved.design
    n = len(d.keys)
    to = np.eye(n)
    for i, j, far in c.moved.now:
        to[i, j] += far
    for key, years in spans.items():
        i_box, i_age = d.at(key), d.at(f"age:{key[4:]}")
        if i_box is not None and i_age is not None:
            to[i_box, i_age] += years
    to = to[:p]
    return to @ (d.mean0 + part.mean), to @ part.cov @ to.T


def told(d: Design, cases: list[Case], parts: list[_Part], weights: list[float]) -> list[Change]:
    """Each change any case holds, its cases' weights together; a swap is dated by its likeliest sitting."""
    met: dict[tuple[str, str], list[tuple[float, int, float]]] = {}
    for c, part, w in zip(cases, parts, weights, strict=True):
        for kind, what in {(g.kind, g.what) for g in c.guesses}:
            since = max(g.since for g in c.guesses if (g.kind, g.what) == (kind, what))
            met.setdefault((kind, what), []).append((w, since, _by(c, part, kind, what)))
    out = []
    for (kind, what), found in met.items():
        dates: dict[int, float] = {}
        for w, since, _ in found:
            dates[since] = dates.get(since, 0.0) + w
        total = sum(w for w, _, _ in found)
        since = max(dates, key=lambda s: (dates[s], s))
        name = d.rows[int(d.starts[since])].name if kind == "swap" else ""
        out.append(Change(kind, what, name, total, sum(w * by for w, _, by in found) / total))
    return sorted(out, key=lambda c: (-c.chance, c.kind, c.what))


def _by(c: Case, part: _Part, kind: str, what: str) -> float:
    """How far [stop]: today's box less the one before, or a sitting's drift."""
    d = c.moved.design
    whole = d.mean0 + part.mean
    if kind == "drift":
        return float(whole[d.keys.index(f"drift:{what}")])
    return float(whole[d.keys.index(f"box:{what}")] - whole[d.keys.index(f"{BEFORE}box:{what}")])
