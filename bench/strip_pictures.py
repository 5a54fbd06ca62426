"""How well strips are read from pictures: measured over synthetic pictures with known truth, targets beside.

    python bench/strip_pictures.py [--pictures 500] [--impossible 200] [--seed 1] [--workers 2]

The pictures come from tests/strips/synth.py, which shares no code with the reader.
"""

from __future__ import annotations

import argparse
import io
import os
import sys
import time
from collections import Counter
from multiprocessing import Pool
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "strips"))

import judged
import numpy as np
import synth

from firstsheet.refusal import Refusal
from firstsheet.strips.read import read_strip

# name: (share of pictures, kind of picture, what is said of it)
CLASSES = {
    "no flare": (0.20, "clean", {}),
    "scan": (0.12, "scan", {}),
    "flare, card's black": (0.30, "flare", {}),
    "flare, no card": (0.14, "flare_no_card", {}),
    "phone's curve, six patches": (0.12, "phone", {}),
    "phone's curve, no greys": (0.04, "phone", {"greys": False, "black": False, "taken": "photo"}),
    "local tones, six patches": (0.08, "local", {}),
}
TARGETS = {"no flare": (0.015, 0.03), "scan": (0.015, 0.03), "flare, card's black": (0.03, 0.06)}
NAMED = {
    "none": ("no strip with steps", "a strip that runs out of the picture"),  # things do run out of it
    "cut": ("a strip that runs out of the picture",),
    "blurred": ("a blurred picture",),
    "over": ("an overexposed picture", "a strip whose border is burnt out"),
}


def readable(job):
    name, kind, said, seed = job
    data, truth = synth.picture(np.random.default_rng(seed), kind, 1200)
    start = time.perf_counter()
    try:
        out = judged.judge(data, truth, **said)
    except Exception as error:  # a crash is counted, not hidden
        out = judged.Judged(kind, refused=f"CRASH {error!r}")
    out.read = None
    return name, seed, out, time.perf_counter() - start


def unreadable(job):
    why, seed = job
    rng = np.random.default_rng(seed)
    data = synth.impossible(rng, why)
    from firstsheet.strips.card import CardSaid

    try:
        read_strip(data, steps=int(rng.integers(7, 20)), sense="negative", card=CardSaid() if seed % 2 else None)
    except Refusal as refusal:
        return why, seed, refusal.problems[0].asked
    except Exception as error:
        return why, seed, f"CRASH {error!r}"
    return why, seed, "ACCEPTED"


def report(rows):
    lost = 0
    print(f"{'':28s}{'pict.':>6s}{'lost':>6s}{'≤1.6':>8s}{'1.6–2':>8s}{'median':>8s}{'steps':>7s}{'>0.05':>7s}{'2 sd':>6s}{'count':>7s}{'bounds':>7s}")
    bad = total = 0
    for name in CLASSES:
        mine = [r for r in rows if r[0] == name]
        ok = [r[2] for r in mine if not r[2].refused]
        if not ok:
            continue
        lost += len(mine) - len(ok)
        e, d, s = (np.concatenate([getattr(j, a) for j in ok]) for a in ("errors", "true", "sd"))
        deep = d > 1.6
        over = [j.rms() > 0.05 for j in ok]
        if name not in ("flare, no card", "phone's curve, no greys"):
            bad, total = bad + sum(over), total + len(mine)
        target = TARGETS.get(name)
        rms = [float(np.sqrt((x**2).mean())) if len(x) else float("nan") for x in (e[~deep], e[deep])]
        print(f"{name:28s}{len(mine):6d}{len(mine) - len(ok):6d}{rms[0]:8.4f}{rms[1]:8.4f}{np.median(np.abs(e)):8.4f}"
              f"{len(e) / sum(j.readable for j in ok):7.1%}{np.mean(over):7.1%}{np.mean(np.abs(e) < 2 * s):6.0%}"
              f"{np.mean([j.count_right for j in ok]):7.0%}{sum(j.bounds_wrong for j in ok):7d}"
              + (f"   target {target[0]}, {target[1]}" if target else ""))
    print(f"pictures above 0.05 where the reading can be right: {bad} of {total} ({bad / max(total, 1):.1%}; target 2 %)")
    print(f"readable pictures refused: {lost} of {len(rows)} ({lost / max(len(rows), 1):.1%}; target 3 %)")
    print("seconds a picture, median:", round(float(np.median([r[3] for r in rows])), 2))
    for name, seed, j, _ in rows:
        if j.refused or (name in TARGETS and j.rms() > 0.05):
            print(f"  {name} {seed}: {j.refused or f'rms {j.rms():.3f}'}")


def speed():
    """A scan of 35 million pixels against decoding it alone."""
    from PIL import Image

    data, truth = synth.picture(np.random.default_rng(5), "scan", 1400)
    big = Image.open(io.BytesIO(data)).convert("RGB").resize((7000, 5250), Image.Resampling.BICUBIC)
    out = io.BytesIO()
    big.save(out, "JPEG", quality=90)
    start = time.perf_counter()
    np.asarray(Image.open(io.BytesIO(out.getvalue())))
    decoding = time.perf_counter() - start
    start = time.perf_counter()
    judged.judge(out.getvalue(), truth)
    whole = time.perf_counter() - start
    print(f"a scan of {7000 * 5250 / 1e6:.0f} MP: read in {whole:.2f} s (target 3), {whole / decoding:.1f} × decoding it ({decoding:.2f} s)")


def main():
    parse = argparse.ArgumentParser(description=__doc__)
    for name, value in (("pictures", 500), ("impossible", 200), ("seed", 1), ("workers", 2)):
        parse.add_argument(f"--{name}", type=int, default=value)
    a = parse.parse_args()
    jobs = []
    for name, (share, kind, said) in CLASSES.items():
        jobs += [(name, kind, said, a.seed * 100_000 + len(jobs) + k) for k in range(round(share * a.pictures))]
    whys = list(NAMED)
    cannot = [(whys[k % 4], a.seed * 100_000 + 50_000 + k) for k in range(a.impossible)]
    with Pool(a.workers) as pool:
        none = pool.map(unreadable, cannot, chunksize=4)
        rows = pool.map(readable, jobs, chunksize=4)
    if rows:
        report(rows)
    accepted = [r for r in none if r[2] == "ACCEPTED"]
    named = sum(r[2] in NAMED[r[0]] for r in none)
    print(f"impossible pictures: {len(none)}, accepted {len(accepted)} (target 0), refused by their own name {named}")
    for why in whys:
        print(f"  {why}: {dict(Counter(r[2] for r in none if r[0] == why))}", [r[1] for r in none if r[0] == why and r[2] not in NAMED[why]][:8])
    speed()


if __name__ == "__main__":
    main()
