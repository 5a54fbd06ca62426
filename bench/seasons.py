"""Simulated seasons: sheets per keeper of the tool beside halving, carrying and an oracle, with standard errors.

python bench/seasons.py --seasons 200 --jobs 2
"""

from __future__ import annotations

import argparse
import json
import math
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from functools import partial

import players
from players import Made
from world import SETTINGS, SITTINGS, WORLDS, World, told

PLAYERS = ("tool", "measured", "oracle", "halving", "carrying", "carrying per box")
LATE = 10  # "after the tenth sitting"


def season(
    seed: int, setting_name: str, told_retry_sd: float | None, order: str, count: int, drawn: str
) -> dict[str, list[Made]]:
    setting = told(SETTINGS[setting_name], told_retry_sd)
    setting.tell()
    world = World(seed, setting, order, count, drawn)
    tool, places = players.play_tool(world)
    return {
        "tool": tool,
        "measured": players.play_measuring(world, places),
        "oracle": players.play_oracle(world, places),
        "halving": players.play_halving(world, places),
        "carrying": players.play_carrying(world, places, per_box=False),
        "carrying per box": players.play_carrying(world, places, per_box=True),
    }


def ratio(tops: list[float], bottoms: list[float]) -> tuple[float, list[float]]:
    """Σ tops / Σ bottoms over seasons, and each season's influence on it (their root sum of squares is the standard error)."""
    value = sum(tops) / sum(bottoms)
    return value, [(t - value * b) / sum(bottoms) for t, b in zip(tops, bottoms, strict=True)]


def per_keeper(seasons: list[list[Made]], part: Callable[[Made], bool]) -> tuple[float, list[float]]:
    mine = [[m for m in s if part(m)] for s in seasons]
    return ratio([float(len(s)) for s in mine], [float(sum(m.kept for m in s)) for s in mine])


def first_kept(seasons: list[list[Made]], part: Callable[[Made], bool]) -> tuple[float, list[float]]:
    firsts = [[m for m in s if part(m) and m.sheet == 0] for s in seasons]
    return ratio([float(sum(m.kept for m in s)) for s in firsts], [float(len(s)) for s in firsts])


def se(influence: list[float]) -> float:
    return math.sqrt(sum(x * x for x in influence))


def table(results: list[dict[str, list[Made]]]) -> dict[str, dict[str, list[float]]]:
    out: dict[str, dict[str, list[float]]] = {}
    for when, part in (("whole season", lambda m: True), ("after the tenth", lambda m: m.sitting >= LATE)):
        base, base_if = per_keeper([r["oracle"] for r in results], part)
        print(f"\n  {when:16s}  sheets/keeper      first sheet kept   ratio to oracle")
        out[when] = {}
        for name in PLAYERS:
            runs = [r[name] for r in results]
            spk, spk_if = per_keeper(runs, part)
            first, first_if = first_kept(runs, part)
            rel = spk / base
            rel_se = se([rel * (a / spk - b / base) for a, b in zip(spk_if, base_if, strict=True)])
            print(
                f"  {name:16s}  {spk:6.3f} ± {se(spk_if):.3f}     {first:6.3f} ± {se(first_if):.3f}     {rel:5.3f} ± {rel_se:.3f}"
            )
            out[when][name] = [spk, se(spk_if), first, se(first_if), rel, rel_se]
    return out


def reliability(results: list[dict[str, list[Made]]], part: Callable[[Made], bool], words: str) -> list[list[float]]:
    """Stated chance of a keeper against how often one came, in tenths."""
    print(f"\n  {words}\n  stated     sheets   mean stated   kept")
    rows = []
    made = [m for r in results for m in r["tool"] if part(m) and m.stated is not None]
    for tenth in range(10):
        mine = [m for m in made if min(int((m.stated or 0.0) * 10), 9) == tenth]
        if not mine:
            continue
        stated = sum(m.stated or 0.0 for m in mine) / len(mine)
        kept = sum(m.kept for m in mine) / len(mine)
        doubt = math.sqrt(max(kept * (1 - kept), 1e-9) / len(mine))
        print(f"  {tenth / 10:.1f}–{(tenth + 1) / 10:.1f}   {len(mine):7d}   {stated:10.3f}   {kept:.3f} ± {doubt:.3f}")
        rows.append([stated, kept, doubt, float(len(mine))])
    return rows


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--seasons", type=int, default=200)
    ask.add_argument("--jobs", type=int, default=2)
    ask.add_argument("--from-seed", type=int, default=0)
    ask.add_argument(
        "--told-retry", type=float, default=None, help="retry noise the tool is told [stop]; default the true one"
    )
    ask.add_argument(
        "--order", choices=("shuffled", "in turn"), default="shuffled", help="how boxes, developers and lights follow"
    )
    ask.add_argument("--world", choices=WORLDS, default=WORLDS[0], help="what the truth is drawn from")
    ask.add_argument("--sittings", type=int, default=SITTINGS)
    ask.add_argument("--setting", choices=sorted(SETTINGS), action="append")
    ask.add_argument("--json", default=None, help="also write the numbers to this file")
    given = ask.parse_args()
    kept: dict[str, object] = {}
    for name in given.setting or list(SETTINGS):
        began = time.monotonic()
        seeds = range(given.from_seed, given.from_seed + given.seasons)
        with ProcessPoolExecutor(given.jobs) as pool:
            one = partial(
                season,
                setting_name=name,
                told_retry_sd=given.told_retry,
                order=given.order,
                count=given.sittings,
                drawn=given.world,
            )
            results = list(pool.map(one, seeds, chunksize=4))
        took = time.monotonic() - began
        s = SETTINGS[name]
        sheets = sum(len(r["tool"]) for r in results)
        print(
            f"\n{name}: retry noise {s.retry_sd}, latitude ±{s.latitude:.2f} stop, {given.seasons} seasons, {sheets} sheets of the tool,"
        )
        print(f"  {took:.0f} s; {took * given.jobs / sheets * 1000:.1f} ms of one core for a sheet's whole life")
        kept[name] = {
            "table": table(results),
            "reliability": reliability(results, lambda m: True, "all sheets"),
            "reliability_late_first": reliability(results, lambda m: m.sheet == 0 and m.sitting >= LATE, "first sheets after the tenth sitting"),
        }  # fmt: skip
    if given.json:
        with open(given.json, "w", encoding="utf-8") as file:
            json.dump(kept, file, indent=1)


if __name__ == "__main__":
    main()
