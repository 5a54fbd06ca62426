"""What may have changed without a word: a box that behaves like another since some sitting, a developer that tires.

A box that was swapped is two boxes of one name: the sheets before bear on a column of their own, so that what is kept under the
box's name is the box of today. A bath that tires asks more from sitting to sitting; what is kept is where it stands now.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from firstsheet.belief.design import Design

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from firstsheet.belief.expectation import Fit

    Floats = NDArray[np.float64]

SWAPPED = 0.01  # of a box, from one of its sittings to the next; no source
TIRES = 0.05  # that a developer tires and is not replenished, each kind, and all alike; no source
TIRING_MEAN, TIRING_SD = 0.02, 0.04  # more light from one sitting to the next [stop]; no source
TIRING_SITTINGS = 30  # a bath is not older than this
WORTH_A_FIT, WORTH_A_LONG_FIT = -6.0, -2.0  # log odds by the quick look from which a guess is fitted
LEAST_SITTINGS = 5  # before a drift is thought of
BEFORE = "~"


@dataclass(frozen=True, slots=True, order=True)
class Guess:
    """One thing changed. kind "swap": box `what` at block `since`; "drift": developer `what`, or "" for all of them."""

    kind: str
    what: str
    since: int = 0

    def log_chance(self) -> float:
        return math.log(SWAPPED if self.kind == "swap" else TIRES)


@dataclass(frozen=True)
class Moved:
    """A design under some guesses. now: (column, its part of the drift, how far) to bring the belief to today."""

    design: Design
    now: tuple[tuple[int, int, float], ...]


def under(d: Design, guesses: tuple[Guess, ...]) -> Moved:
    """The design if these guesses were so."""
    swaps = sorted((g for g in guesses if g.kind == "swap"), key=lambda g: -g.since)
    out = d
    for g in swaps:
        out = _swapped(out, g)
    now: list[tuple[int, int, float]] = []
    for g in guesses:
        if g.kind == "drift":
            out, more = _tiring(out, g)
            now += more
    return Moved(out, tuple(now))


def _more_columns(d: Design, keys: list[str], means: list[float], sds: list[float]) -> Design:
    import numpy as np

    p, q = len(d.keys), len(d.keys) + len(keys)
    columns = np.where(d.columns == p, q, d.columns)
    return replace(
        d, keys=(*d.keys, *keys), mean0=np.append(d.mean0, means), sd0=np.append(d.sd0, sds), columns=columns
    )


def of_box(keys: tuple[str, ...], box: str) -> list[int]:
    """The columns that belong to one box: its own, and each developer's with it."""
    return [i for i, k in enumerate(keys) if k == f"box:{box}" or (k.startswith("devbox:") and k.endswith(f"|{box}"))]


def _swapped(d: Design, g: Guess) -> Design:
    import numpy as np

    old = of_box(d.keys, g.what)
    p = len(d.keys)
    mark = BEFORE * (1 + max((len(k) - len(k.lstrip(BEFORE)) for k in d.keys if k.endswith(d.keys[old[0]])), default=0))
    out = _more_columns(
        d, [mark + d.keys[i] for i in old], [float(d.mean0[i]) for i in old], [float(d.sd0[i]) for i in old]
    )
    columns = out.columns.copy()
    early = columns[: g.since]
    for n, i in enumerate(old):
        early[early == i] = p + n
    # Swaps are taken from the latest backwards: an earlier one finds the sheets before it under the column just made.
    if len(mark) > 1:
        for n, i in enumerate(old):
            last = out.keys.index(mark[1:] + d.keys[i])
            early[early == last] = p + n
    return replace(out, columns=np.ascontiguousarray(columns))


def ages(d: Design) -> Floats:
    """Each sheet's sitting, 0 for the first: a block is one reading, a sitting's."""
    import numpy as np

    return np.asarray(d.block, dtype=float)


def _tiring(d: Design, g: Guess) -> tuple[Design, list[tuple[int, int, float]]]:
    import numpy as np

    devs = [i for i, k in enumerate(d.keys) if k.startswith(f"dev:{g.what}")]
    if g.what:
        devs = [i for i in devs if d.keys[i] == f"dev:{g.what}"]
    p = len(d.keys)
    out = _more_columns(d, [f"drift:{g.what}"], [TIRING_MEAN], [TIRING_SD])
    felt = np.sum(np.where(np.isin(d.columns[d.block], devs), d.x, 0.0), axis=1)
    at = ages(d)
    met = at[felt != 0.0]
    last = float(at.max()) + 0.5  # the next sheet is of this sitting or of the next
    begins = max(float(met.min()) if len(met) else 0.0, last - TIRING_SITTINGS)
    extra = felt * np.maximum(at - begins, 0.0)
    columns = np.hstack([out.columns, np.full((len(out.columns), 1), p, dtype=np.intp)])
    out = replace(out, columns=columns, x=np.hstack([out.x, extra[:, None]]))
    return out, [(i, p, last - begins) for i in devs]


def candidates(d: Design, fit: Fit, guesses: tuple[Guess, ...], most: int) -> list[Guess]:
    """The likeliest further guesses by a quick look: one more number for all sheets of a box since a sitting, sites as they are.

    log Bayes factor of one added normal effect, ½ u²/s − ½ log(s σ²): s its precision, u the pull on it. [BISHOP-PRML]
    """
    import numpy as np

    from firstsheet.belief.expectation import MANY, blocks_of

    found: list[tuple[float, Guess]] = []
    p = len(d.keys)
    info, pull = blocks_of(d, fit)
    here = np.append(fit.solved.mean, 0.0)[d.columns]
    score = pull - np.einsum("buv,bv->bu", info, here)
    for i, key in enumerate(d.keys):
        if not key.startswith("box:"):
            continue
        b, u = np.nonzero(d.columns == i)
        order = np.argsort(b, kind="stable")
        b, u = b[order], u[order]
        live = np.abs(info[b, u, u]) > 0
        b, u = b[live], u[live]
        if len(b) < 2:
            continue
        rows = np.zeros((len(b), p + 1))
        np.add.at(rows, (np.arange(len(b))[:, None], d.columns[b]), info[b, u])
        since = np.cumsum(rows[::-1], axis=0)[::-1][1:, :p]
        own = np.cumsum(info[b, u, u][::-1])[::-1][1:]
        want = np.cumsum(score[b, u][::-1])[::-1][1:]
        var = 2.0 * float(d.sd0[i]) ** 2
        s = own - np.einsum("ij,jk,ik->i", since, fit.solved.cov, since, optimize=True) + 1.0 / var
        factor = 0.5 * want**2 / s - 0.5 * np.log(np.maximum(s * var, 1.0))
        taken = {g.since for g in guesses if g.what == key[4:] and g.kind == "swap"}
        best = np.argsort(-factor, kind="stable")[:3]
        found += [(float(factor[n]), Guess("swap", key[4:], int(b[n + 1]))) for n in best if int(b[n + 1]) not in taken]
    least = WORTH_A_FIT if len(d.rows) <= MANY else WORTH_A_LONG_FIT
    out = [g for f, g in sorted(found, key=lambda fg: (-fg[0], fg[1])) if f + math.log(SWAPPED) > least]
    return out[:most]


def drifts(d: Design) -> list[Guess]:
    """Every kind of developer, and all of them, once there were sittings enough."""
    if len(d.starts) < LEAST_SITTINGS:
        return []
    kinds = [k[4:] for k in d.keys if k.startswith("dev:")]
    return [Guess("drift", k) for k in kinds] + ([Guess("drift", "")] if len(kinds) > 1 else [])
