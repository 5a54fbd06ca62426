"""How often the 90 % ranges of a fitted curve hold the truth, on papers whose curve is known.

    python bench/curve_coverage.py [strips] [odd] [seed]

With “odd” the papers are of shapes the fit's priors were not chosen on, two of them hardly papers at all.

Prints, for all strips and by shape, noise, spacing and sense: the share of ranges that hold the truth for the mid-tone
(ISO P or its positive-working counterpart), R and the threshold, each where it was reached; the share of bounds that hold
where it was not; how near P and R come at 0.015 D; and the time of a fit.
"""

from __future__ import annotations

import math
import sys
import time
from collections import defaultdict
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "paper"))

from curve_truths import ODD, SHAPES, Shape, paper, strip

from firstsheet.paper.curve import fit
from firstsheet.paper.curve_iso import exposure_index, iso_range
from firstsheet.paper.curve_points import Figure, threshold
from firstsheet.refusal import Refusal

NOISES, SPACINGS = (0.01, 0.015, 0.02, 0.03), (0.15, 0.30)


def holds(figure: Figure, truth: float) -> bool:
    return (figure.low is None or figure.low <= truth) and (figure.high is None or truth <= figure.high)


def main(strips: int, shapes: dict[str, Shape], seed: int) -> None:
    rng = np.random.default_rng(seed)
    inside: dict[tuple[str, str], list[bool]] = defaultdict(list)
    bounds: dict[str, list[bool]] = defaultdict(list)
    near: dict[tuple[str, str], list[bool]] = defaultdict(list)
    times, refused = [], 0
    for k in range(strips):
        name = list(shapes)[k % len(shapes)]
        sense = 1 if rng.random() < 0.5 else -1
        noise, spacing = NOISES[int(rng.integers(4))], SPACINGS[int(rng.integers(2))]
        truth = paper(rng, shapes[name], sense)
        whole = rng.random() < 0.5
        enough = math.ceil((truth.range_r / 100 + 0.8) / spacing) + 1
        count = int(rng.integers(enough, max(enough, 31) + 1)) if whole else int(rng.integers(7, 32))
        steps = strip(rng, truth, count, spacing, noise, whole)
        start = time.perf_counter()
        try:
            curve = fit(steps, sense)
        except Refusal:
            refused += 1
            continue
        times.append(time.perf_counter() - start)
        ei = exposure_index(curve, "mid" if sense > 0 else "falling")
        found = {"P": (ei, 8.125 / 10**truth.mid), "R": (iso_range(curve).exact, truth.range_r),
                 "threshold": (threshold(curve), 10**truth.threshold)}  # fmt: skip
        for what, (figure, true) in found.items():
            good = holds(figure, true)
            if not figure.reached:
                if figure.low is not None or figure.high is not None:
                    bounds[what].append(good)
                continue
            for group in (
                "all",
                name,
                f"noise {noise}",
                f"spacing {spacing}",
                f"sense {sense:+d}",
                "whole" if whole else "any span",
            ):
                inside[what, group].append(good)
            assert figure.value is not None
            if noise == 0.015 and whole:
                off = abs(figure.value / true - 1) <= 0.05 if what == "P" else abs(figure.value - true) <= 8
                for group in ("all", f"spacing {spacing}", "R to 120" if truth.range_r <= 120 else "softer"):
                    near[what, group].append(off)
    print(
        f"{len(times)} strips, {refused} refused; a fit takes {np.median(times) * 1e3:.0f} ms, 95 % under {np.quantile(times, 0.95) * 1e3:.0f} ms"
    )
    for group in dict.fromkeys(g for _, g in inside):
        row = [f"{w} {np.mean(inside[w, group]):.3f} of {len(inside[w, group])}" for w in ("P", "R", "threshold")]
        print(f"  {group:16s}", "   ".join(row))
    for what, held in bounds.items():
        print(f"  {what}: not reached, and bounded rightly: {np.mean(held):.3f} of {len(held)}")
    print("  noise 0.015 D, from plateau to plateau:")
    for group in dict.fromkeys(g for _, g in near):
        p, r = near["P", group], near["R", group]
        print(f"  {group:16s} P within 5 % {np.mean(p):.3f} of {len(p)}   R within 8 {np.mean(r):.3f} of {len(r)}")


if __name__ == "__main__":
    said = sys.argv[1:]
    count = next((int(a) for a in said if a.isdigit()), 1000)
    main(
        count,
        ODD if "odd" in said else SHAPES,
        int(said[-1]) if said[-1:] and said[-1].isdigit() and len(said) > 1 else 1890,
    )
