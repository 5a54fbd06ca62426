"""How long a book takes to be fitted: ten thousand sheets of about two hundred lasting effects, beside one plain dense solve.

python bench/belief_speed.py [--sheets 10000]
"""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Callable
from random import Random

import numpy as np

from firstsheet.belief import design, expectation, whole
from firstsheet.belief.effects import Effect
from firstsheet.belief.evidence import Look, Seen
from firstsheet.belief.posterior import PASSING, Observation

EDGES = (-math.inf, -1.6, -0.9, -0.5, -0.175, 0.175, 0.5, 0.9, 1.6, math.inf)
CENTRES = (-2.0, -1.25, -0.7, -0.34, 0.0, 0.34, 0.7, 1.25, 2.0)


def book(sheets: int, boxes: int = 60) -> list[Observation]:
    """Invented sheets, three to a reading, of so many boxes in two developers, five lights, three meters, two lenses."""
    rng = Random(1)
    truth: dict[str, float] = {}
    rows = []
    for i in range(sheets):
        sitting = i // 3
        here = Random(f"book/{sitting}")
        box, dev = here.randrange(boxes), here.randrange(2)
        sds = {f"kind:{box % 3}": 1.0, f"box:{box}": 0.4, f"dev:{dev}": 0.3, f"devbox:d{dev}|{box}": 0.2,
               f"light:{here.randrange(5)}": 0.4, f"meter:{here.randrange(3)}": 0.25, f"camera:{here.randrange(2)}": 0.25,
               f"reading:{sitting}": 0.15}  # fmt: skip
        right = sum(truth.setdefault(k, rng.gauss(0.0, sd)) for k, sd in sds.items())
        given = right + rng.gauss(0.0, 0.4)
        error = given - right + rng.gauss(0.0, 0.2)
        seen = error + rng.gauss(0.0, 0.25)
        word = next(j for j in range(9) if EDGES[j] <= seen < EDGES[j + 1])
        need = -CENTRES[word]
        look = Look(EDGES[word], EDGES[word + 1], max(0.25, 0.2 * abs(need)), abs(error) < 0.5, 0.5)
        effects = tuple(Effect(k, 1.0, 0.0, sd) for k, sd in sds.items())
        rows.append(Observation(given + need, 0.36, effects, str(i), Seen(given, 0.2, 0.0, look, need, 0.3)))
    return rows


def best(work: Callable[[], object], times: int = 3) -> float:
    took = []
    for _ in range(times):
        began = time.perf_counter()
        work()
        took.append(time.perf_counter() - began)
    return min(took)


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--sheets", type=int, default=10_000)
    rows = book(ask.parse_args().sheets)
    made = best(lambda: design.build(rows, PASSING))
    d = design.build(rows, PASSING)
    fitted = expectation.propagate(d)
    fit = best(lambda: expectation.propagate(d))
    one = best(lambda: expectation.solve(d, fitted.tau, fitted.nu))
    p = len(d.keys)
    dense = np.zeros((len(rows), p + 1))
    for u in range(d.columns.shape[1]):
        dense[np.arange(len(rows)), d.columns[d.block, u]] += d.x[:, u]
    dense = dense[:, :p]

    def plain() -> object:
        return np.linalg.inv(dense.T @ (fitted.tau[:, None] * dense) + np.diag(d.sd0**-2.0))

    peer = best(plain)
    more = best(lambda: expectation.preview(d, fitted, rows[-1]))
    everything = best(lambda: whole.fit(rows), 1)
    print(f"{len(rows)} sheets, {p} lasting effects, {len(d.starts)} readings; {fitted.sweeps} sweeps")
    print(f"  sheets into arrays                     {made * 1e3:8.1f} ms")
    print(f"  one solve with covariance              {one * 1e3:8.1f} ms   {one / peer:5.2f} × plain")
    print(f"  words weighed until nothing moves      {fit * 1e3:8.1f} ms   {fit / peer:5.2f} × plain")
    print(f"  one more sheet, as a preview           {more * 1e3:8.2f} ms")
    print(f"  plain numpy, dense, no words           {peer * 1e3:8.1f} ms")
    print(f"  with scales and changes looked for     {everything * 1e3:8.1f} ms")


if __name__ == "__main__":
    main()
