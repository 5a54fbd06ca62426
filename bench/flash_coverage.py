"""How often the 90 % ranges of what a flash does hold the truth, on papers whose curve is known.

    python bench/flash_coverage.py [strips] [seed]

The flash given is the one that the fitted strip asks for; what it truly buys and does to the border follows from the paper's own shape,
by bisection, without the fit. Prints shares inside, how far off the middle is, and the border's true veil.
"""

from __future__ import annotations

import math
import sys
from collections import defaultdict
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "paper"))

from curve_truths import SHAPES, Truth, paper, strip

from firstsheet.exposure.preflash import STOP, flashed
from firstsheet.paper.curve import fit
from firstsheet.paper.curve_points import FOOT_D
from firstsheet.refusal import Refusal

NOISES = (0.01, 0.015, 0.02)


def truly(paper_: Truth, flash: float) -> tuple[float, float]:
    """Stops bought and change of the border [D] of this flash on this paper."""
    plain = paper_.base if paper_.sense > 0 else paper_.base + paper_.rise
    veiled = float(paper_.density(np.array([math.log10(flash)]))[0])
    far = 10 ** paper_.log_h(0.9 if paper_.sense > 0 else FOOT_D / paper_.rise)

    def foot(level: float, spent: float) -> float:
        return 10 ** paper_.log_h((level + paper_.sense * FOOT_D - paper_.base) / paper_.rise) - spent

    before = math.log10(far / foot(plain, 0.0))
    after = math.log10((far - flash) / foot(veiled, flash))
    return (after - before) / STOP, veiled - plain


def main(strips: int, seed: int) -> None:
    rng = np.random.default_rng(seed)
    inside: dict[tuple[str, str], list[bool]] = defaultdict(list)
    off: dict[str, list[float]] = defaultdict(list)
    veil, refused = [], 0
    for k in range(strips):
        name, sense = list(SHAPES)[k % len(SHAPES)], 1 if k % 2 else -1
        noise = NOISES[int(rng.integers(3))]
        truth = paper(rng, SHAPES[name], sense)
        count = math.ceil((truth.range_r / 100 + 1.0) / 0.15) + 2
        try:
            f = flashed(fit(strip(rng, truth, count, 0.15, noise, whole=True), sense))
        except Refusal:
            refused += 1
            continue
        bought, border = truly(truth, f.flash_lx_s)
        veil.append(abs(border))
        for group in ("all", f"noise {noise}", f"sense {sense:+d}"):
            inside["bought", group].append(f.bought.low <= bought <= f.bought.high)
            inside["border", group].append(f.border.low <= border <= f.border.high)
            off[group].append(f.bought.value - bought)
    print(f"{len(veil)} strips, {refused} refused; true veil of the border {np.median(veil):.3f} D, 95 % under {np.quantile(veil, 0.95):.3f} D")
    for group, each in off.items():
        row = "   ".join(f"{w} {np.mean(inside[w, group]):.3f}" for w in ("bought", "border"))
        print(f"  {group:10s} inside 90 %: {row}   of {len(each)}; bought off by {np.mean(each):+.2f} stop, rms {np.sqrt(np.mean(np.square(each))):.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 300, int(sys.argv[2]) if len(sys.argv) > 2 else 77)
