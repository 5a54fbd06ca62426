"""How well a photo of the board reads the light on it, on boards whose light is known, with and without one lux figure.

    python bench/board_photos.py [boards] [seed]

Boards, phone and file are the forward model of tests/foresee/boards.py: tilt, noise, bent tones, own vignetting, 1/3 to 8 s, warm white
balance; each phone off by 0.4 stop for good. Prints the root mean square of log2(told / true) [stop], the share within 0.15 and within
1 stop, and how often the stated 9 in 10 holds; then the same by how far the place lies from the figure's own in tone.
"""

from __future__ import annotations

import math
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.foresee import boards

from firstsheet.foresee import board
from firstsheet.light.exif import Exposure
from firstsheet.light.photo import linear_luminance
from firstsheet.refusal import Refusal

OFFSET_SD, LUX_SD = 0.4, 0.05


def places(many: int, seed: int, tied: bool) -> tuple[np.ndarray, int]:
    """Error [stop], doubt told [stop] and distance in tone from the figure's place [stop] for each board; how many were refused."""
    rng = np.random.default_rng(seed)
    out: list[tuple[float, float, float]] = []
    refused = 0
    for _ in range(many):
        shot = boards.shoot(rng, offset_sd=OFFSET_SD)
        y, clipped = linear_luminance(shot.jpeg)
        where, here = (tuple(float(v) for v in rng.uniform(0.1, 0.9, 2)) for _ in range(2))
        tie = board.Reference(shot.lux_at(*where) * 2 ** rng.normal(0, LUX_SD), where, LUX_SD) if tied else None
        try:
            found = board.at(board.read(y, clipped, Exposure(shot.f_number, shot.time_s, shot.iso), tie, offset_sd=OFFSET_SD), here)
        except Refusal:  # a place clipped or black
            refused += 1
            continue
        true = shot.lux_at(*here)
        out.append((math.log2(found.lux_lx / true), found.sd_stops, abs(math.log2(true / shot.lux_at(*where)))))
    return np.array(out), refused


def line(name: str, found: np.ndarray) -> str:
    off, sd = found[:, 0], found[:, 1]
    held = float((np.abs(off) < 1.645 * sd).mean())
    return (f"{name:34} n {len(off):4d}  rms {math.sqrt((off**2).mean()):.3f}  mean {off.mean():+.3f}  within 0.15 {(np.abs(off) < 0.15).mean():.3f}"
            f"  within 1 {(np.abs(off) < 1).mean():.3f}  9 in 10 holds {held:.3f}")  # fmt: skip


def main(many: int, seed: int) -> None:
    for tied in (True, False):
        found, refused = places(many, seed + tied, tied)
        print(line("with one lux figure" if tied else "from exposure data alone", found), f" refused {refused}")
        if tied:
            for low, high in ((0.0, 0.5), (0.5, 1.5), (1.5, 9.0)):
                part = found[(found[:, 2] >= low) & (found[:, 2] < high)]
                if len(part) > 5:
                    print(line(f"  place {low:g} to {high:g} stops from its tone", part))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 400, int(sys.argv[2]) if len(sys.argv) > 2 else 21)
