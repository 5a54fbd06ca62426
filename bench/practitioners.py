"""Many practitioners' seasons: sheets per keeper of the tool, advised and not, beside carrying and an oracle; and its chances kept.

python bench/practitioners.py --practitioners 1000 --world assumed --jobs 2
"""

from __future__ import annotations

import argparse
import json
import time
from concurrent.futures import ProcessPoolExecutor
from functools import partial

import players
from lean import Lean
from players import Made
from practice import SITTINGS, WORLDS, Practice, ThroughBook, Tried, play
from seasons import ratio, se

TENTHS = 10
Season = tuple[list[Made], list[Tried]]


def one(seed: int, world: str, plain: bool, through_book: bool) -> dict[str, Season]:
    w = Practice(seed, world)
    w.setting.tell()
    made, tried, places = play(w, True, Lean())
    if through_book:
        same, _, _ = play(w, True, ThroughBook())
        assert [(m.sitting, round(m.error, 9), m.kept) for m in made] == [
            (m.sitting, round(m.error, 9), m.kept) for m in same
        ]
    out: dict[str, Season] = {"advised": (made, tried)}
    if plain:
        made, tried, _ = play(w, False, Lean())
        out["exposed at once"] = (made, tried)
    out["carrying"] = (players.play_carrying(w, places, per_box=False), [])
    out["carrying per box"] = (players.play_carrying(w, places, per_box=True), [])
    out["halving"] = (players.play_halving(w, places), [])
    out["oracle"] = (players.play_oracle(w, places), [])
    return out


def per_keeper(seasons: list[Season], first: int) -> tuple[float, list[float]]:
    """Sheets to a keeper from this sitting on, strips at their share, and each season's influence on it."""
    sheets = [
        sum(m.sitting >= first for m in made) + sum(t.sheets for t in tried if t.sitting >= first)
        for made, tried in seasons
    ]
    keepers = [sum(m.kept for m in made if m.sitting >= first) for made, _ in seasons]
    return ratio([float(s) for s in sheets], [float(k) for k in keepers])


def first_kept(seasons: list[Season], first: int) -> float:
    made = [m for s, _ in seasons for m in s if m.sheet == 0 and m.sitting >= first]
    return sum(m.kept for m in made) / len(made)


def calibration(seasons: list[Season]) -> tuple[float, list[list[float]]]:
    """Expected calibration error: |kept − stated| by tenths, weighed by their sheets; and the tenths."""
    told = [m for made, _ in seasons for m in made if m.stated is not None]
    rows, total = [], 0.0
    for tenth in range(TENTHS):
        mine = [m for m in told if min(int((m.stated or 0.0) * TENTHS), TENTHS - 1) == tenth]
        if mine:
            stated = sum(m.stated or 0.0 for m in mine) / len(mine)
            kept = sum(m.kept for m in mine) / len(mine)
            rows.append([stated, kept, float(len(mine))])
            total += abs(kept - stated) * len(mine)
    return total / len(told), rows


def report(world: str, results: list[dict[str, Season]]) -> dict[str, object]:
    out: dict[str, object] = {}
    for when, first in (("whole season", 0), ("second half", SITTINGS // 2)):
        base, base_if = per_keeper([r["oracle"] for r in results], first)
        print(f"\n  {world}, {when}: sheets/keeper, first sheet kept, × oracle")
        for name in results[0]:
            runs = [r[name] for r in results]
            spk, spk_if = per_keeper(runs, first)
            rel = spk / base
            rel_se = se([rel * (a / spk - b / base) for a, b in zip(spk_if, base_if, strict=True)])
            kept = first_kept(runs, first)
            print(f"  {name:18s} {spk:6.3f} ± {se(spk_if):.3f}   {kept:.3f}   {rel:5.3f} ± {rel_se:.3f}")
            out[f"{when}/{name}"] = [spk, se(spk_if), kept, rel, rel_se]
    for name in ("advised", "exposed at once"):
        if name in results[0]:
            error, rows = calibration([r[name] for r in results])
            print(f"  {name}: expected calibration error {error:.3f}; stated kept sheets")
            for stated, kept, n in rows:
                print(f"    {stated:.3f}  {kept:.3f}  {n:.0f}")
            out[f"calibration/{name}"] = [error, rows]
    tried = [t for r in results for t in r["advised"][1]]
    for how in ("strip", "wedge"):
        mine = [t for t in tried if t.how == how]
        late = sum(t.sitting >= SITTINGS // 2 for t in mine)
        print(
            f"  {how}s a season: {len(mine) / len(results):.2f}, {late / len(results):.2f} of them in the second half"
        )
    return out


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--practitioners", type=int, default=100)
    ask.add_argument("--world", choices=WORLDS, action="append")
    ask.add_argument("--jobs", type=int, default=2)
    ask.add_argument("--from-seed", type=int, default=0)
    ask.add_argument(
        "--advised-only", action="store_true", help="without the season in which every sheet is exposed at once"
    )
    ask.add_argument(
        "--through-book", action="store_true", help="play each season through a book as well: the same sheets?"
    )
    ask.add_argument("--json", default=None, help="also write the numbers to this file")
    given = ask.parse_args()
    kept: dict[str, object] = {}
    for world in given.world or WORLDS:
        began = time.monotonic()
        seeds = range(given.from_seed, given.from_seed + given.practitioners)
        with ProcessPoolExecutor(given.jobs) as pool:
            results = list(
                pool.map(
                    partial(one, world=world, plain=not given.advised_only, through_book=given.through_book),
                    seeds,
                    chunksize=4,
                )
            )
        kept[world] = report(world, results)
        print(f"  {given.practitioners} practitioners, {time.monotonic() - began:.0f} s", flush=True)
        if given.json:
            with open(given.json, "w", encoding="utf-8") as file:
                json.dump(kept, file, indent=1)


if __name__ == "__main__":
    main()
