"""How long a plan takes from nothing: `firstsheet plan --json` on a book of 200 sheets, beside a bare interpreter.

python bench/cold_plan.py
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from full_book import full_book


def wall_s(command: list[str], env: dict[str, str], times: int) -> tuple[float, float, bytes]:
    """Best and median wall time [s] of so many runs after one that warms the disk cache; the last one's output."""
    took = []
    out = b""
    for i in range(times + 1):
        began = time.perf_counter()
        done = subprocess.run(command, env=env, capture_output=True, check=False)
        took.append(time.perf_counter() - began)
        if done.returncode != 0:
            sys.exit(f"{' '.join(command)} ended with {done.returncode}:\n{done.stderr.decode()}")
        out = done.stdout
        if i == 0:
            took.clear()
    return min(took), statistics.median(took), out


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--times", type=int, default=10)
    ask.add_argument("--sheets", type=int, default=200)
    given = ask.parse_args()
    tool = str(Path(sys.executable).parent / "firstsheet")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "book.sqlite"
        full_book(path, given.sheets)
        env = dict(os.environ) | {"FIRSTSHEET_BOOK": str(path)}
        bare = wall_s([sys.executable, "-c", "pass"], env, given.times)
        shown = wall_s([tool, "--help"], env, given.times)
        plan = wall_s([tool, "plan", "--json"], env, given.times)
    answer = json.loads(plan[2])
    print(f"a book of {given.sheets} judged sheets; the plan says {answer['time_s']:g} s at f/{answer['aperture']:g}")
    print(f"{'':28s}best      median    best / python -c pass")
    for name, (best, median, _) in (
        ("python -c pass", bare),
        ("firstsheet --help", shown),
        ("firstsheet plan --json", plan),
    ):
        print(f"{name:26s}{best * 1e3:6.0f} ms {median * 1e3:6.0f} ms   {best / bare[0]:6.1f} ×")
    print(f"plan / help: {plan[0] / shown[0]:.2f} × (best), {plan[1] / shown[1]:.2f} × (median)")


if __name__ == "__main__":
    main()
