"""Fifty mixed sets of sheets, drawn from seeds, and what the reference solver made of them and of some that are alike (`several_mixed.json`).

The fifty were drawn after the search had been settled; since then a last, longer look was left out of it, with these in view. So they keep the
search from getting worse and say nothing of new sets: docs/design-several.md says what a newer fifty said. Whoever measures again draws new ones:
FIRST to a number not used yet. Seeds 0 to 49, 1000 to 1023, 2000 to 2029, 7000 to 7049, 8000 to 8051,
9000 to 9049, 11000 to 11049, 13000 to 13049 and 14000 to 14049 were looked at too.

To draw the figures anew: `python -m tests.trays.several_mixed` from the top of the checkout, about ten minutes on two cores.
"""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import Any

from firstsheet.trays.process import Process, process_for

KEPT = Path(__file__).with_suffix(".json")
FIRST, COUNT, LIMIT_S = 10000, 50, 12.0
LONGER_S = 45.0  # where the solver found nothing in LIMIT_S
# sheets that are alike where the solver is slow, or proves nothing within half a minute
ALIKE: list[tuple[str, int, dict[str, Any]]] = [
    *(("fibre", n, {}) for n in (9, 10, 11, 12)),
    *(("reversal", n, {}) for n in (1, 2)),
    *(("negative", n, {"box_s": 15}) for n in (1, 2, 3)),
    *(("reversal", n, {"box_s": 15}) for n in (1, 2, 3)),
]


def ways() -> dict[str, Process]:
    return {
        "negative": process_for("paper_negative"),
        "fibre": process_for("paper_negative", base="fibre"),
        "positive": process_for("direct_positive"),
        "coffee": process_for("direct_positive", "coffee"),
        "reversal": process_for("reversal_ra4", "ra4", "colour"),
    }


def mixed(seed: int) -> tuple[list[dict[str, Any]], dict[str, int]]:
    """Sheets as fields, the way by its name under "process"; and the places of the trays."""
    draw = random.Random(seed)
    box = draw.choice([None, None, 15])
    names = draw.sample(sorted(ways()), k=draw.choice([2, 2, 3]))
    sheets = [
        {
            "process": draw.choice(names),
            "ready_s": draw.choice([0, 0, 0, 300, 900]),
            "compose_s": draw.choice([0, 60, 120, 240]),
            "mount_s": draw.choice([20, 40, 60]),
            "expose_s": draw.choice([2, 8, 30, 90]),
            "box_s": box,
        }
        for _ in range(draw.randint(2, 5))
    ]
    return sheets, {"wash": draw.choice([1, 2, 6]), "fixer": draw.choice([1, 1, 2])}


def main() -> None:
    from tests.trays.several_reference import Asked, shortest

    by_name = ways()
    out: list[dict[str, Any]] = []
    for name, n, more in ALIKE:
        end, bound = shortest([Asked(by_name[name], **more) for _ in range(n)], {"wash": 6}, 3 * LIMIT_S)
        out.append({"way": name, "n": n, "more": more, "end_s": end, "bound_s": bound})
        print(out[-1], flush=True)
    for seed in range(FIRST, FIRST + COUNT):
        sheets, places = mixed(seed)
        asked = [Asked(**(s | {"process": by_name[s["process"]]})) for s in sheets]
        end, bound = shortest(asked, places, LIMIT_S)
        if end < 0:
            end, bound = shortest(asked, places, LONGER_S)
        out.append({"seed": seed, "end_s": end, "bound_s": bound})
        print(out[-1], flush=True)
    KEPT.write_text(json.dumps(out, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
