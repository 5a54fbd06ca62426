"""How long the sound of a sheet takes to make and how large it is, for each way, and for half an hour, beside writing the same number of
silent samples with numpy; and its onsets, found again in the file.
"""

from __future__ import annotations

import gzip
import io
import time
import wave

import numpy as np

from firstsheet.trays import process
from firstsheet.trays.sheettrack import SheetTrack, file_bytes, sheet_track
from firstsheet.trays.soundtrack import render_spoken

RATE = 8000
FITS = {"reversal_ra4": ("ra4", "colour")}
REPEATS = 5


def plain(count: int) -> bytes:
    """The reference: as many samples from numpy, written as a WAV file."""
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(np.zeros(count, dtype="<i2").tobytes())
    return out.getvalue()


def best(what: object) -> float:
    took = []
    for _ in range(REPEATS):
        began = time.perf_counter()
        what()  # type: ignore[operator]
        took.append(time.perf_counter() - began)
    return min(took)


def worst_ms(made: SheetTrack) -> float:
    """The furthest that an onset in the file lies from its plan [ms]."""
    with wave.open(io.BytesIO(render_spoken(made.cues, made.total_s))) as file:
        samples = np.frombuffer(file.readframes(file.getnframes()), dtype="<i2")
    at = np.flatnonzero(np.abs(samples.astype(np.int32)) > 300) / RATE
    onsets = at[np.diff(at, prepend=-1.0) >= 0.03]
    return max(1000.0 * float(np.min(np.abs(onsets - c.at_s))) for c in made.cues)


def told(name: str, made: SheetTrack) -> None:
    took = best(lambda: render_spoken(made.cues, made.total_s))
    packed = len(gzip.compress(render_spoken(made.cues, made.total_s), 1))
    reference = best(lambda: plain(round(made.total_s * RATE)))
    print(f"{name:28} {made.total_s / 60:6.1f} min {file_bytes(made.total_s) / 1e6:6.1f} MB ({packed / 1e6:3.1f} packed) {len(made.cues):4} cues "
          f"{1000 * took:7.0f} ms  {took / reference:5.1f} × numpy  worst onset {worst_ms(made):.3f} ms")  # fmt: skip


def main() -> None:
    began = time.perf_counter()
    first = sheet_track(4.0, "cap", process.process_for("paper_negative"))
    render_spoken(first.cues, first.total_s)
    print(f"first of all, its clips read from the package: {1000 * (time.perf_counter() - began):.0f} ms")
    for way in process.ways():
        for base in ("rc", "fibre"):
            run = process.process_for(way, *FITS.get(way, ("paper", "blue")), base)
            told(f"{way} {base}", sheet_track(4.0, "lamp" if way == "contact_print" else "cap", run))
    own = dict.fromkeys((r["key"] for r in process.rows_of("reversal_ra4")), 178.0 + 1 / 3)
    told("half an hour", sheet_track(120.1, "cap", process.process_for("reversal_ra4", "ra4", "colour", seconds=own)))


if __name__ == "__main__":
    main()
