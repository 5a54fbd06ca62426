"""How long a plan of several sheets takes, beside the constraint solver on the same question.

Run from the top of the checkout: python bench/several_speed.py [--solver-s 10]. Times are of this process [ms]; the ratio is the solver's
time over the plan's. The solver stops after --solver-s and is then only as good as what it found. Machines differ and are busy: beside each figure
stands how many times as long it took as sorting 100 000 numbers in numpy, in the same run.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from pathlib import Path

import numpy

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.trays import several_mixed
from tests.trays.several_reference import Asked, shortest

from firstsheet.trays.several import plan
from firstsheet.trays.several_chain import Wanted

SETS = [("negative", n, {}) for n in (1, 4, 12)] + [
    ("fibre", 8, {}),
    ("reversal", 4, {}),
    ("reversal", 12, {}),
    ("negative", 12, {"box_s": 15}),
]


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("--solver-s", type=float, default=0.0, help="0: the plan alone")
    limit = ask.parse_args().solver_s
    ways = several_mixed.ways()
    sort = _sort_ms()
    print(f"sorting 100 000 numbers: {sort:.2f} ms")
    for way, n, more in SETS:
        times = []
        for _ in range(5):
            begin = time.process_time()
            got = plan([Wanted(str(k), ways[way], **more) for k in range(1, n + 1)], {"wash": 6})
            times.append(1000 * (time.process_time() - begin))
        mine = statistics.median(times)
        line = f"{way:9} {n:2} sheets{' boxed' if more else '':6} ends {got.end_s:6} s  plan {mine:6.1f} ms, {mine / sort:5.1f} sorts"
        if limit:
            begin = time.perf_counter()
            end, _ = shortest([Asked(ways[way], **more) for _ in range(n)], {"wash": 6}, limit)
            theirs = 1000 * (time.perf_counter() - begin)
            line += f"  solver {theirs:8.1f} ms, ends {end}  ratio {theirs / mine:7.1f}"
        print(line, flush=True)
    times = []
    for seed in range(several_mixed.FIRST, several_mixed.FIRST + several_mixed.COUNT):
        fields, places = several_mixed.mixed(seed)
        sheets = [Wanted(str(k), **(f | {"process": ways[f["process"]]})) for k, f in enumerate(fields)]
        begin = time.process_time()
        plan(sheets, places)
        times.append(1000 * (time.process_time() - begin))
    over = sum(t > 50 for t in times)
    print(f"fifty mixed sets: median {statistics.median(times):.1f} ms, longest {max(times):.1f} ms, {over} over 50 ms")
    print(f"in sorts: median {statistics.median(times) / sort:.1f}, longest {max(times) / sort:.1f}")


def _sort_ms() -> float:
    numbers = numpy.random.default_rng(1).random(100_000)
    times = []
    for _ in range(15):
        begin = time.process_time()
        numpy.sort(numbers)
        times.append(1000 * (time.process_time() - begin))
    return statistics.median(times)


if __name__ == "__main__":
    main()
