"""Strips and sheets to a good contact print: the tool, against a strip and a guess, and one who knows the truth.

A practitioner's first lamp strip, then ten prints of ten negatives over ten evenings at changing heights; what is hidden is drawn from other figures
than the tool's own where it has them: the lamp's constant, its sag each evening, the loss at long times, the negatives' readings, timing by hand and
an eye of 0.25 stop. A print is good within a third of a stop. Three ways:

  tool    the strip under the bare lamp once, each negative read by a meter; the plan's seconds; a sheet that is not good is judged and made again
  guess   a strip of five steps under every negative, the step that looks right, or between two, given; a sheet that is not good is moved by what the eye saw
  oracle  knows all but the timing of the hand and the sheet's own chance

Invented throughout. Usage: .venv/bin/python bench/contact_prints.py [practitioners, 30]
"""

from __future__ import annotations

import itertools
import math
import sys
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from firstsheet.acts import contact_kept, contact_plan, expose, judge, own, plan
from firstsheet.book.store import Book

PRINTS, GOOD, EYE, RETRY, MOST = 10, 1 / 3, 0.25, 0.10, 6
STRIP_SHEETS = 0.25
SWITCH_S, COUNTED = 0.2, 0.06  # the hand: on and off, and a counted second that wanders
ASKED = {"facing": "together", "glass": "yes", "back_print": "no", "range": "R 100"}
# The eye's word for a print so many stops from right, + too dark; the middles of the words in the tables.
WORDS = (("much_too_pale", -1.5), ("too_pale", -0.8), ("a_little_pale", -0.35), ("as_wanted", 0.0), ("a_little_dark", 0.35), ("too_dark", 0.8), ("much_too_dark", 1.5))


class Truth:
    """One practitioner's hidden lamp, paper and negatives."""

    def __init__(self, seed: int) -> None:
        self.rng = rng = Random(f"contact {seed}")
        self.black_s = 2.0 ** rng.uniform(0.0, 3.0)  # metered, at 1 m
        self.loss = min(0.3, max(0.0, rng.gauss(0.12, 0.06)))
        self.negatives = [(rng.uniform(0.35, 0.8), rng.uniform(0.9, 1.1)) for _ in range(PRINTS)]
        self.heights = [rng.choice((0.8, 1.0, 1.2, 1.5)) for _ in range(PRINTS)]
        self.sag = [abs(rng.gauss(0.0, 0.15)) for _ in range(PRINTS + 1)]

    def right_s(self, i: int) -> float:
        """Seconds that are right tonight [s]: shadows first, glass over both."""
        metered = self.black_s * self.heights[i] ** 2 * 10.0 ** self.negatives[i][0] * 3.25 / 3 * 2.0 ** self.sag[i]
        return metered ** (1 + self.loss) if metered > 1 else metered

    def given_s(self, said_s: float) -> float:
        """What a hand gives of seconds wanted [s]."""
        return max(0.2, said_s * (1 + self.rng.gauss(0.0, COUNTED)) + self.rng.gauss(0.0, SWITCH_S))

    def off(self, i: int, said_s: float) -> float:
        """A print's true distance from right [stop], + too dark, long exposure's steepness out."""
        return math.log2(self.given_s(said_s) / self.right_s(i)) / (1 + self.loss) + self.rng.gauss(0.0, RETRY)

    def seen(self, off: float) -> float:
        return off + self.rng.gauss(0.0, max(EYE, 0.2 * abs(off)))

    def strip_step(self, times: list[float], right_s: float) -> int:
        """The step the eye takes for right."""
        return min(range(len(times)), key=lambda k: abs(math.log2(times[k] / right_s) + self.rng.gauss(0.0, EYE)))


def tool(seed: int, path: Path) -> list[tuple[float, int, bool]]:
    """(paper, sheets, good at once) of each print."""
    t = Truth(seed)
    now = [datetime(2026, 3, 1, 20, tzinfo=UTC)]
    out = []
    with Book.open(path, now=lambda: now[0]) as book:
        own.add_camera(book, {"name": "shed", "focal": "600 mm", "f_number": "f/16", "coverage": "60°", "board_min": "610 mm", "board_max": "1200 mm", "length": "2.4 m", "width": "2 m", "height": "2.2 m"})
        own.add_box(book, {"name": "D", "paper": "enlarging", "size": "8x10 in", "sheets": "250"})
        own.add_developer(book, {"name": "tray", "kind": "paper"})
        bare = t.black_s * 2.0 ** t.sag[-1]
        bare = bare ** (1 + t.loss) if bare > 1 else bare
        times = [2.0 ** (k / 2) for k in range(-2, 14)]
        black = next(k for k, s in enumerate(times) if t.given_s(s) * 2.0 ** t.rng.gauss(0, RETRY) >= bare * 2.0 ** t.rng.gauss(0, EYE / 2)) + 1
        contact_kept.lamp(book, {"name": "lamp", "height": "1 m", "times": " ".join(f"{s:.3f}" for s in times) + " s", "black": str(min(max(black, 2), len(times) - 1))})
        for i in range(PRINTS):
            now[0] += timedelta(days=3)
            clear, span = t.negatives[i]
            read = [d + t.rng.gauss(0.0, 0.04) for d in (clear, clear + span)]
            contact_kept.negative(book, {"name": f"n{i}", "clear": f"{read[0]:.2f}", "dense": f"{read[1]:.2f}"})
            paper, sheets, at_once = (STRIP_SHEETS if i == 0 else 0.0), 0, False
            contact_plan.say(book, ASKED | {"lamp": "lamp", "negative": f"n{i}", "height": f"{t.heights[i]} m"})
            while sheets < MOST:
                p = plan.plan(book)
                off = t.off(i, p.wanted_s)
                sheets += 1
                kept = expose.keep(book)
                expose.expose(book, kept.code, {})
                eye = t.seen(off)
                word = min(WORDS, key=lambda w: abs(w[1] - eye))[0]
                judge.judge(book, kept.code, {"seen": word, "border": "white"})
                if abs(off) <= GOOD:
                    at_once = sheets == 1
                    break
            out.append((paper + sheets, sheets, at_once))
    return out


def guess(seed: int) -> list[tuple[float, int, bool]]:
    t = Truth(seed)
    out = []
    last = 12.0
    for i in range(PRINTS):
        paper, right = 0.0, t.right_s(i)
        while True:  # a strip about the last print's seconds, again where nothing on it is right
            times = [t.given_s(last * 2.0 ** (k - 2)) for k in range(5)]
            paper += STRIP_SHEETS
            between = [math.sqrt(a * b) for a, b in itertools.pairwise(times)]
            k = t.strip_step(sorted(times + between), right) / 2  # the eye may say: between these two
            said = last * 2.0 ** (k - 2)
            if 0 < k < 4 or paper > 1:
                break
            last = said
        sheets = 0
        while sheets < MOST:
            off = t.off(i, said)
            sheets += 1
            if abs(off) <= GOOD:
                break
            said *= 2.0 ** -t.seen(off)
        last = said
        out.append((paper + sheets, sheets, sheets == 1))
    return out


def oracle(seed: int) -> list[tuple[float, int, bool]]:
    t = Truth(seed)
    out = []
    for i in range(PRINTS):
        sheets = 1
        while abs(t.off(i, t.right_s(i))) > GOOD and sheets < MOST:
            sheets += 1
        out.append((float(sheets), sheets, sheets == 1))
    return out


def told(name: str, each: list[list[tuple[float, int, bool]]]) -> str:
    """Means with standard errors from one practitioner to the next."""

    def mean(of: list[float]) -> str:
        m = sum(of) / len(of)
        return f"{m:5.2f} ± {math.sqrt(sum((x - m) ** 2 for x in of) / (len(of) - 1) / len(of)):.2f}"

    paper, sheets, once = ([sum(float(p[k]) for p in e) / len(e) for e in each] for k in range(3))
    later = [sum(p[2] for p in e[3:]) / len(e[3:]) for e in each]
    return f"{name:8} paper {mean(paper)}   sheets {mean(sheets)}   good at once {mean(once)}   from the fourth on {mean(later)}"


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 30
    with tempfile.TemporaryDirectory() as where:
        ours = [tool(seed, Path(where) / f"{seed}.sqlite") for seed in range(count)]
    print(f"{count * PRINTS} prints of {count} practitioners; paper in sheets a good print, a strip a quarter")
    for name, each in (("tool", ours), ("guess", [guess(s) for s in range(count)]), ("oracle", [oracle(s) for s in range(count)])):
        print(told(name, each))


if __name__ == "__main__":
    main()
