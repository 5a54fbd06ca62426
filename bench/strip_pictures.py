"""How well strips are read from pictures, and the curve drawn from them: over synthetic pictures with known truth, targets beside.

    python bench/strip_pictures.py [--pictures 500] [--impossible 200] [--seed 2027] [--workers 2]

The pictures come from tests/strips/synth.py, which shares no code with the reader. Every line is over all pictures of its
kind, each picture counted once; nothing is left out but what the line says. Some eight minutes on two cores.
"""

from __future__ import annotations

import argparse
import io
import os
import sys
import time
from collections import Counter
from dataclasses import dataclass
from multiprocessing import Pool
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "strips"))

import judged
import numpy as np
import synth

from firstsheet.refusal import Refusal
from firstsheet.strips.card import CardSaid
from firstsheet.strips.read import read_strip

# name: (share of pictures, kind of picture, what is said of it)
CLASSES: dict[str, tuple[float, str, dict[str, Any]]] = {
    "no flare": (0.20, "clean", {}),
    "scan": (0.12, "scan", {}),
    "flare, card's black": (0.30, "flare", {}),
    "flare, no card": (0.14, "flare_no_card", {}),
    "phone's curve, six patches": (0.12, "phone", {}),
    "phone's curve, no greys": (0.04, "phone", {"greys": False, "black": False, "taken": "photo"}),
    "local tones, six patches": (0.08, "local", {}),
}
FLARELESS = ("no flare", "scan")
BLACK_KNOWN = ("flare, card's black", "local tones, six patches", "phone's curve, six patches")
BLIND = ("flare, no card", "phone's curve, no greys")  # where doubt must do what knowledge cannot
NAMED = {
    "none": ("no strip with steps", "a strip that runs out of the picture"),  # things do run out of it
    "cut": ("a strip that runs out of the picture",),
    "blurred": ("a blurred picture",),
    "over": ("an overexposed picture", "a strip whose border is burnt out"),
}


@dataclass
class Row:
    name: str
    seed: int
    out: judged.Judged
    truth: synth.Truth
    took_s: float


def jobs(pictures: int, seed: int) -> list[tuple[str, str, dict[str, Any], int]]:
    """Class, kind, what is said, and the seed of each readable picture."""
    out: list[tuple[str, str, dict[str, Any], int]] = []
    for name, (share, kind, said) in CLASSES.items():
        first = len(out)
        out += [(name, kind, said, seed * 100_000 + first + k) for k in range(round(share * pictures))]
    return out


def readable(job: tuple[str, str, dict[str, Any], int]) -> Row:
    name, kind, said, seed = job
    data, truth = synth.picture(np.random.default_rng(seed), kind, 1200)
    start = time.perf_counter()
    try:
        out = judged.drawn(judged.judge(data, truth, **said), truth)
    except Exception as error:  # a crash is counted, not hidden
        out = judged.Judged(kind, refused=f"CRASH {error!r}")
    return Row(name, seed, out, truth, time.perf_counter() - start)


def unreadable(job: tuple[str, int]) -> tuple[str, int, str]:
    why, seed = job
    rng = np.random.default_rng(seed)
    data = synth.impossible(rng, why)
    try:
        read_strip(data, steps=int(rng.integers(7, 20)), sense="negative", card=CardSaid() if seed % 2 else None)
    except Refusal as refusal:
        return why, seed, str(refusal.problems[0].asked)
    except Exception as error:
        return why, seed, f"CRASH {error!r}"
    return why, seed, "ACCEPTED"


# ── the lines ──


def line(what: str, value: str, target: str, good: bool | None) -> None:
    print(f"  {what:66s}{value:>24s}   {target:24s}{'' if good is None else 'held' if good else 'MISSED'}")


def pooled(rows: list[Row], names: tuple[str, ...]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    ok = [r.out for r in rows if r.name in names and not r.out.refused]
    if not ok:
        return np.zeros(0), np.zeros(0), np.zeros(0)
    errors, true, sd = (np.concatenate([getattr(j, a) for j in ok]) for a in ("errors", "true", "sd"))
    return errors, true, sd


def rms(x: np.ndarray) -> float:
    return float(np.sqrt((x**2).mean())) if len(x) else float("nan")


def by_class(rows: list[Row]) -> None:
    print(
        f"{'':28s}{'pict.':>6s}{'lost':>6s}{'≤1.6':>8s}{'1.6–2':>8s}{'median':>8s}{'steps':>7s}{'>0.05':>7s}{'2 sd':>6s}{'count':>7s}{'bounds':>7s}"
    )
    for name in CLASSES:
        mine = [r for r in rows if r.name == name]
        ok = [r.out for r in mine if not r.out.refused]
        if not ok:
            continue
        e, d, s = pooled(rows, (name,))
        print(
            f"{name:28s}{len(mine):6d}{len(mine) - len(ok):6d}{rms(e[d <= 1.6]):8.4f}{rms(e[d > 1.6]):8.4f}{np.median(np.abs(e)):8.4f}"
            f"{sum(j.accepted for j in ok) / sum(j.readable for j in ok):7.1%}{np.mean([j.rms() > 0.05 for j in ok]):7.1%}"
            f"{np.mean(np.abs(e) < 2 * s):6.0%}{np.mean([j.count_right for j in ok]):7.0%}{sum(j.bounds_wrong for j in ok):7d}"
        )


def densities(rows: list[Row]) -> None:
    """The bar on steps: RMS over accepted steps, the share accepted, and pictures far off."""
    print("Densities, RMS over accepted steps")
    for what, names, light, dark in (
        ("without flare", FLARELESS, 0.015, 0.03),
        ("flare 0.5–2 %, black patch", BLACK_KNOWN, 0.03, 0.06),
    ):
        e, d, _ = pooled(rows, names)
        for said, part, target in (("to D 1.6", e[d <= 1.6], light), ("D 1.6 to 2.0", e[d > 1.6], dark)):
            line(f"{what}, {said}", f"{rms(part):.4f} ({len(part)} steps)", f"≤ {target}", rms(part) <= target)
    e, _, s = pooled(rows, BLIND)
    line(
        "flare, no black patch: steps within 2 sd (their mean sd)",
        f"{np.mean(np.abs(e) < 2 * s):.1%} ({s.mean():.3f})",
        "≥ 95 %",
        bool(np.mean(np.abs(e) < 2 * s) >= 0.95),
    )
    ok = [r for r in rows if not r.out.refused]
    share = sum(r.out.accepted for r in ok) / max(sum(r.out.readable for r in ok), 1)
    line("readable steps accepted", f"{share:.1%}", "≥ 85 %", share >= 0.85)
    for said, mine in (
        ("pictures above 0.05, of all", ok),
        ("… of those where the flare can be known", [r for r in ok if r.name not in BLIND]),
    ):
        many = sum(r.out.rms() > 0.05 for r in mine)
        line(said, f"{many} of {len(mine)} ({many / max(len(mine), 1):.1%})", "≤ 2 %", many <= 0.02 * len(mine))
    wrong, bounds = (
        sum(r.out.bounds_wrong for r in ok),
        sum(p.censored is not None for r in ok for p in r.out.read.patches),
    )
    line("bounds given for steps that do not hold", f"{wrong} of {bounds}", "", None)


def figures(rows: list[Row]) -> None:
    """End to end: picture → densities → curve → interval, each picture once."""
    ok = [r for r in rows if not r.out.refused]
    none = [r for r in ok if r.out.no_curve]
    print(f"Curves of {len(ok)} pictures; no curve from {len(none)} of them")
    for what, near, target in (("P", 0.05, "within 5 %"), ("R", 8.0, "within 8"), ("threshold", None, "")):
        told = [r.out.held[what] for r in ok if r.out.held]
        said = [h for h in told if h.figure.reached]
        covered = float(np.mean([h.holds for h in said])) if said else float("nan")
        line(
            f"{what}: 90 % interval holds the truth",
            f"{covered:.1%} of {len(said)}",
            "85–95 %",
            0.85 <= covered <= 0.95,
        )
        rest = [h for h in told if not h.figure.reached]
        bounds = [h for h in rest if h.bounded]
        line(
            f"{what}: not reached; of these bounded; bounds that hold",
            f"{len(rest)}; {len(bounds)}; {np.mean([h.holds for h in bounds]):.1%}",
            "",
            None,
        )
        if near is None:
            continue
        off = [abs(h.figure.value / h.truth - 1) if what == "P" else abs(h.figure.value - h.truth) for h in said]
        span = [h.spanned for h in said]
        inside = [o <= near for o, s in zip(off, span, strict=True) if s]
        line(
            f"{what}: {target} where spanned and told",
            f"{np.mean(inside):.1%} of {len(inside)}",
            "≥ 90 %",
            bool(np.mean(inside) >= 0.9),
        )
        line(f"{what}: median and 90th percentile off", f"{np.median(off):.3g}, {np.quantile(off, 0.9):.3g}", "", None)
        line(
            f"{what}: told of those whose exposures span it",
            f"{len(inside)} of {sum(h.spanned for h in told)}",
            "",
            None,
        )


def coverage_by_class(rows: list[Row]) -> None:
    for name in CLASSES:
        told = [r.out.held for r in rows if r.name == name and r.out.held]
        cells = []
        for what in ("P", "R", "threshold"):
            said = [h[what] for h in told if h[what].figure.reached]
            cells.append(f"{what} {np.mean([h.holds for h in said]):.0%} of {len(said)}" if said else f"{what} –")
        print(f"  {name:28s}", "   ".join(cells))


def report(rows: list[Row]) -> None:
    by_class(rows)
    densities(rows)
    figures(rows)
    coverage_by_class(rows)
    lost = [r for r in rows if r.out.refused]
    print("Pictures")
    line(
        "readable pictures refused",
        f"{len(lost)} of {len(rows)} ({len(lost) / len(rows):.1%})",
        "≤ 3 %",
        len(lost) <= 0.03 * len(rows),
    )
    line("seconds a picture, read and fitted, median", f"{np.median([r.took_s for r in rows]):.2f}", "", None)
    for r in rows:
        if r.out.refused or r.out.no_curve or (r.name not in BLIND and r.out.rms() > 0.05):
            print(f"    {r.name} {r.seed}: {r.out.refused or r.out.no_curve or f'rms {r.out.rms():.3f}'}")


def report_unreadable(none: list[tuple[str, int, str]]) -> None:
    accepted = [r for r in none if r[2] == "ACCEPTED" or r[2].startswith("CRASH")]
    named = sum(r[2] in NAMED[r[0]] for r in none)
    line("impossible pictures accepted", f"{len(accepted)} of {len(none)}", "0", not accepted)
    line("impossible pictures refused by their own name", f"{named} of {len(none)}", "all", named == len(none))
    for why in NAMED:
        print(
            f"    {why}: {dict(Counter(r[2] for r in none if r[0] == why))}",
            [r[1] for r in none if r[0] == why and r[2] not in NAMED[why]][:8],
        )


# ── files ──


def speed() -> None:
    """A scan of 35 million pixels, read and fitted, against decoding it alone: the best of five by the clock, and the processor's time."""
    from PIL import Image

    data, truth = synth.picture(np.random.default_rng(5), "scan", 1400)
    big = Image.open(io.BytesIO(data)).convert("RGB").resize((6832, 5124), Image.Resampling.BICUBIC)
    out = io.BytesIO()
    big.save(out, "JPEG", quality=90)

    def took(what: Any) -> tuple[float, float]:
        times = []
        for _ in range(5):
            start, busy = time.perf_counter(), time.process_time()
            what()
            times.append((time.perf_counter() - start, time.process_time() - busy))
        return min(t for t, _ in times), min(b for _, b in times)

    _, decoding_busy = took(lambda: np.asarray(Image.open(io.BytesIO(out.getvalue()))))
    whole, busy = took(lambda: judged.drawn(judged.judge(out.getvalue(), truth), truth))
    line(
        f"a scan of {6832 * 5124 / 1e6:.1f} MP, read and fitted (processor)",
        f"{whole:.2f} s ({busy:.2f} s)",
        "< 3 s",
        whole < 3,
    )
    line("… against decoding it alone", f"{busy / decoding_busy:.1f} × {decoding_busy:.2f} s", "", None)


def sixteen() -> None:
    """A picture of 16 bits whose 8 upper bits are all alike: read as 8 it is one even grey. And 16 bits that cannot be read."""
    from PIL import Image
    from test_strip_files import png16, tiff16

    from firstsheet.strips.decode import linear

    ramp = np.broadcast_to((200 * 256 + np.arange(256, dtype=np.uint16))[None, :, None], (256, 256, 3))
    seen = [linear(write(ramp)).light for write in (png16, tiff16)]
    told = [len(np.unique(s)) for s in seen]
    as8 = [len(np.unique(np.asarray(Image.open(io.BytesIO(write(ramp)))))) for write in (png16,)]
    try:
        linear(tiff16(ramp, packed=5))
        refused = "read"
    except Refusal as refusal:
        refused = str(refusal.problems[0].asked)
    line(
        "greys told of 256 that differ in the lower 8 bits, PNG and TIFF",
        f"{told[0]} and {told[1]}",
        "256",
        told == [256, 256],
    )
    line("… by a general library, as 8 bits", str(as8[0]), "", None)
    line(
        "16 bits packed as we cannot read",
        "refused" if refused != "read" else refused,
        "refused by name",
        refused != "read",
    )


def main() -> None:
    parse = argparse.ArgumentParser(description=__doc__)
    for name, value in (("pictures", 500), ("impossible", 200), ("seed", 2027), ("workers", 2)):
        parse.add_argument(f"--{name}", type=int, default=value)
    a = parse.parse_args()
    whys = list(NAMED)
    cannot = [(whys[k % 4], a.seed * 100_000 + 50_000 + k) for k in range(a.impossible)]
    with Pool(a.workers) as pool:
        rows = pool.map(readable, jobs(a.pictures, a.seed), chunksize=4)
        none = pool.map(unreadable, cannot, chunksize=4)
    if rows:
        report(rows)
    report_unreadable(none)
    sixteen()
    speed()


if __name__ == "__main__":
    main()
