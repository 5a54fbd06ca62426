"""How long the sheet ahead takes: a photo of 24 million pixels to the finished picture, and a slider's next frame at 3 million.

Reference in the same run: decoding and encoding the same file with the plain imaging library, and a plain pipeline of it (decode,
grey, a point table, encode). All data invented; run it alone: `python bench/ahead_speed.py`.
"""

from __future__ import annotations

import argparse
import io
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))


FORM = {"of": "board", "face": "0.5,0.5", "pose": "seated"}


def picture(megapixels: float) -> bytes:
    """Ground, edges, texture at every scale and grain: as large a file as a phone or camera makes of a garden."""
    wide = int((megapixels * 1e6 * 4 / 3) ** 0.5)
    high = wide * 3 // 4
    rng = np.random.default_rng(1)
    plane = np.full((high, wide), 110.0, dtype=np.float32)
    for size, depth in ((400, 40), (100, 25), (25, 15), (6, 9), (2, 5)):
        small = rng.normal(0, depth, (high // size + 2, wide // size + 2)).astype(np.float32)
        plane += np.asarray(Image.fromarray(small).resize((wide, high), Image.Resampling.BILINEAR))
    rgb = np.stack([plane * 1.05, plane, plane * 0.9], axis=2).clip(0, 255).astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(rgb).save(out, "JPEG", quality=92)
    return out.getvalue()


def best(of: Callable[[], object], times: int) -> float:
    took = []
    for _ in range(times):
        begun = time.perf_counter()
        of()
        took.append(time.perf_counter() - begun)
    return min(took)


def again(data: bytes) -> bytes:
    """Decode and encode, nothing else."""
    out = io.BytesIO()
    Image.open(io.BytesIO(data)).convert("RGB").save(out, "JPEG", quality=90)
    return out.getvalue()


def plain(data: bytes) -> bytes:
    out = io.BytesIO()
    Image.open(io.BytesIO(data)).convert("L").point([255 - v for v in range(256)]).save(out, "JPEG", quality=90)
    return out.getvalue()


def memory() -> None:
    """One photo to its finished sheet in a process of its own; the most memory it took [MB]."""
    from tests.acts.evening import begun

    from firstsheet.acts import ahead, photo

    e = begun("direct_positive", ei="4")
    number = photo.take_in(e.book, sys.stdin.buffer.read()).picture
    ahead.drawn(e.book, number, FORM)
    # The kernel's own figure of this program: what getrusage says is handed down from the process that started it.
    most = next(line for line in Path("/proc/self/status").read_text(encoding="ascii").splitlines() if line.startswith("VmHWM"))
    print(f"{int(most.split()[1]) / 1024:.0f}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=3)
    parser.add_argument("--memory", action="store_true", help=argparse.SUPPRESS)
    said = parser.parse_args()
    if said.memory:
        memory()
        return
    from tests.acts.evening import begun

    from firstsheet.acts import ahead, photo

    e = begun("direct_positive", ei="4")
    big = picture(24.0)
    ours = best(lambda: ahead.drawn(e.book, photo.take_in(e.book, big).picture, FORM), said.times)
    codec, library = best(lambda: again(big), said.times), best(lambda: plain(big), said.times)
    print(f"24 MP photo ({len(big) / 1e6:.1f} MB) to the finished sheet: {ours:.2f} s; decode + encode {codec:.2f} s, ratio {ours / codec:.2f} (bar 2); plain pipeline {library:.2f} s, ratio {ours / library:.2f}")
    peak = subprocess.run([sys.executable, __file__, "--memory"], input=big, capture_output=True, check=True).stdout.decode().strip()
    print(f"most memory of a process that does it once: {peak} MB (bar 500)")
    small = picture(3.0)
    three = photo.take_in(e.book, small).picture
    ahead.drawn(e.book, three, FORM)
    stops = iter(range(1000))
    frame = best(lambda: ahead.drawn(e.book, three, FORM | {"stops": f"{(next(stops) % 41 - 20) / 10:g}"}), 12)
    library = best(lambda: plain(small), 5)
    print(f"a slider's next frame at 3 MP: {1000 * frame:.0f} ms (bar 150); plain pipeline on the same file {1000 * library:.0f} ms, ratio {frame / library:.2f}")


if __name__ == "__main__":
    main()
