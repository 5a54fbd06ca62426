"""Judged sheets as arrays, in blocks that share a reading, so that a reading can be integrated out where it stands.

A block holds the sheets of one reading, in the order they came; everything else a sheet shares is a column. Each block keeps
the few columns its sheets feel, so that ten thousand sheets of two hundred columns stay small.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet.belief.effects import Effect
from firstsheet.belief.posterior import Observation

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.intp]

WIDEST = 28  # columns of a block; a reading of more varied sheets becomes a column itself


@dataclass(frozen=True)
class Design:
    """N sheets sorted into B blocks of U local columns, p columns in all. Local columns beyond a block's own point at p.

    mean0, sd0  priors of the columns [stop], p
    columns     B × U, which column each local one is
    x           N × U, coefficients; d, N, the coefficient of the block's reading (0: none)
    block       N, each sheet's block; starts, B, the first sheet of each
    still       N, what effects without doubt add [stop]
    read_mean, read_sd  B, prior of each block's reading [stop]
    rows        the observations in this order
    """

    keys: tuple[str, ...]
    mean0: Floats
    sd0: Floats
    columns: Ints
    x: Floats
    d: Floats
    block: Ints
    starts: Ints
    still: Floats
    read_mean: Floats
    read_sd: Floats
    rows: tuple[Observation, ...]
    keep: tuple[int, ...]

    def at(self, key: str) -> int | None:
        return self.keys.index(key) if key in self.keys else None


def build(rows: Sequence[Observation], passing: Sequence[str]) -> Design:
    """The design of these observations, first met first. Effects without doubt are folded into `still`."""
    import numpy as np

    priors, passes, members = _met(rows, tuple(passing))
    p_keys = tuple(k for k, e in priors.items() if e.sd > 0 and k not in members)
    at = {k: i for i, k in enumerate(p_keys)}
    sorted_rows = [n for block in passes for n in block]
    starts = np.cumsum([0, *(len(b) for b in passes[:-1])], dtype=np.intp)
    block = np.repeat(np.arange(len(passes)), [len(b) for b in passes])
    local: list[dict[int, int]] = []
    entries: list[tuple[int, int, float]] = []
    d, still = np.zeros(len(rows)), np.zeros(len(rows))
    read_mean, read_sd = np.zeros(len(passes)), np.ones(len(passes))
    for place, n in enumerate(sorted_rows):
        b = int(block[place])
        if len(local) <= b:
            local.append({})
        mine = local[b]
        for e in rows[n].effects:
            key = e.key
            column = at.get(key)
            if column is not None:
                if e.coefficient != 0.0:
                    entries.append((place, mine.setdefault(column, len(mine)), e.coefficient))
            elif key in members:
                d[place] += e.coefficient
                read_mean[b], read_sd[b] = priors[key].mean, priors[key].sd
            else:
                still[place] += e.coefficient * e.mean
    width = max(1, *(len(c) for c in local))
    columns = np.full((len(passes), width), len(p_keys), dtype=np.intp)
    for b, met in enumerate(local):
        columns[b, : len(met)] = list(met)
    x = np.zeros((len(rows), width))
    if entries:
        i, j, c = zip(*entries, strict=True)
        np.add.at(x, (np.array(i), np.array(j)), np.array(c))
    last = {e.key for e in rows[-1].effects}
    keep = tuple(i for i, k in enumerate(p_keys) if k in last or not k.startswith(tuple(passing) or ("\0",)))
    means, sds = (np.array([getattr(priors[k], f) for k in p_keys], dtype=float) for f in ("mean", "sd"))
    return Design(
        p_keys,
        means,
        sds,
        columns,
        x,
        d,
        block,
        starts,
        still,
        read_mean,
        read_sd,
        tuple(rows[n] for n in sorted_rows),
        keep,
    )


def _met(rows: Sequence[Observation], passing: tuple[str, ...]) -> tuple[dict[str, Effect], list[list[int]], set[str]]:
    """The latest prior of every effect; the blocks, each a list of observations; the readings integrated out with them."""
    priors: dict[str, Effect] = {}
    first: dict[str, list[int]] = {}
    chosen: list[str | None] = []
    last = {e.key for e in rows[-1].effects}
    for n, o in enumerate(rows):
        mine = None
        for e in o.effects:
            priors[e.key] = e
            if mine is None and passing and e.key.startswith(passing) and e.key not in last:
                mine = e.key
        chosen.append(mine)
        if mine:
            first.setdefault(mine, []).append(n)
    wide = {k for k, ns in first.items() if len(ns) > 1 and len({e.key for n in ns for e in rows[n].effects}) > WIDEST}
    members = {k for k in first if k not in wide and priors[k].sd > 0}
    # A reading that stands second in some sheet would leave its block: it stays a column.
    for n, o in enumerate(rows):
        for e in o.effects:
            if e.key in members and chosen[n] != e.key:
                members.discard(e.key)
    blocks: dict[Any, list[int]] = {}
    for n, name in enumerate(chosen):
        blocks.setdefault(name if name in members else n, []).append(n)
    return priors, list(blocks.values()), members
