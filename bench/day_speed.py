"""How much work one day is, in processor time: the sun, the light on a face among walls, kinds of light, seconds with their doubt, at every minute.
Beside it, in the same run, a reference every machine can measure itself by: a million square roots added up in plain Python.
`python bench/day_speed.py`; with `--peer PYTHON`, a Python that has the reference library of builders/sun.py, the ratio to it as well: the
sun's place and the clear sky of the same 1440 minutes, as arrays, nothing else of the day.
"""

from __future__ import annotations

import argparse
import math
import subprocess
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from firstsheet.acts import day, day_place, own
from firstsheet.acts.day_seconds import Seconds
from firstsheet.acts.wish import wish
from firstsheet.book.store import Book
from firstsheet.light import day as core
from firstsheet.light import horizon, place

TIMES = 9
AROUND = "wall from E to S, 12 paces, 3 m high; trees from 200° to 260°, 15° high"


def best_ms(body: Callable[[], object]) -> float:
    body()
    took = []
    for _ in range(TIMES):
        began = time.process_time()
        body()
        took.append(1e3 * (time.process_time() - began))
    return min(took)


def roots() -> float:
    total = 0.0
    for i in range(1_000_000):
        total += math.sqrt(i)
    return total


LIBRARY = """
import time
import pandas as pd, pvlib
times = pd.date_range("2026-06-21", periods=1440, freq="1min", tz="UTC")
took = []
for _ in range(10):
    began = time.process_time()
    at = pvlib.solarposition.get_solarposition(times, 52.0, 0.0, 50, method="nrel_numpy")
    thick = pvlib.atmosphere.get_absolute_airmass(pvlib.atmosphere.get_relative_airmass(at["apparent_zenith"]))
    pvlib.clearsky.ineichen(at["apparent_zenith"], thick, 3.0, 50)
    took.append(1e3 * (time.process_time() - began))
print(pvlib.__version__, min(took))
"""


def library(python: str) -> tuple[str, float]:
    """Version of the reference library and its processor time for the day [ms]."""
    said = subprocess.run([python, "-c", LIBRARY], check=True, capture_output=True, text=True).stdout.split()
    return said[0], float(said[1])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--peer", metavar="PYTHON", help="a Python that has the reference library")
    asked = parser.parse_args()
    things = horizon.horizon(AROUND)
    scene = core.Scene(place.Spot(52.0, 0.0), 50.0, "clear_sun", horizon.Face(180.0, things, 0.5, 0.2))
    start = 1_782_000_000.0
    light = best_ms(lambda: core.minutes(scene, start, start + 86_400))
    with tempfile.TemporaryDirectory() as folder, Book.open(Path(folder) / "day.sqlite") as book:
        own.add_camera(book, {"name": "room", "focal": "600 mm", "f_number": "f/8", "board_min": "620 mm", "board_max": "1100 mm",
                              "length": "2.4 m", "width": "2 m", "height": "2 m"})  # fmt: skip
        own.add_box(book, {"name": "A", "paper": "enlarging", "size": "12x16 in", "sheets": "50"})
        own.add_developer(book, {"name": "tray", "kind": "paper"})
        day_place.say(book, {"place": "52 N 0 E", "zone": "UTC", "faces": "S", "around": AROUND})
        w = wish(book, {"subject": "3 m", "reading": "1000 lx", "how": "incident", "light": "sun"})

        def every_minute() -> int:
            course = core.minutes(scene, start, start + 86_400)
            mixed = [core.kinds(m, "clear_sun") for m in course]
            seconds = Seconds(book, w, "clear_sun", core.KINDS[:3], (50_000.0, "sun"))
            return len([seconds.at(m.face_lx, k) for m, k in zip(course, mixed, strict=True) if m.face_lx > 1.0])

        whole = best_ms(every_minute)
        answer = best_ms(lambda: day.day(book, {"date": "2026-06-21", "subject": "3 m"}))
    reference = best_ms(roots)
    print(f"light of 1440 minutes: {light:.1f} ms, {light / reference:.2f} of the reference")
    print(f"and seconds for each:  {whole:.1f} ms, {whole / reference:.2f} of the reference")
    print(f"the answer of the act: {answer:.1f} ms, {answer / reference:.2f} of the reference")
    print(f"the reference:         {reference:.1f} ms")
    if asked.peer:
        version, took = library(asked.peer)
        print(f"the library, {version}: {took:.1f} ms for sun and clear sky; light of 1440 minutes is {light / took:.2f} of it, the answer {answer / took:.2f}")


if __name__ == "__main__":
    main()
