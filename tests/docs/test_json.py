"""Every key that a command prints is in docs/json.md, and every key there is printed by its command."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from firstsheet import scenario
from firstsheet.cli.main import main
from tests.acts_scraps.strips_photo import COLOURS, photo
from tests.acts_scraps.strips_photo import said as said_places
from tests.docs import (
    json_ahead,
    json_contrast,
    json_day,
    json_lens,
    json_meter,
    json_mixing,
    json_pack,
    json_printing,
    json_ready,
    json_several,
    json_trays,
)
from tests.foresee import sheets as drawn
from tests.strips.synth import picture

DOC = Path(__file__).parents[2] / "docs" / "json.md"
# What belongs to one mark or one evidence, and the counts of each table, are not listed key by key.
OPAQUE = ("plan.", "marks.body.", "judgement.evidence.", "counts.", "today.", "mix.", "bath.")


def documented(section: str) -> set[str]:
    """The keys in the first column of the section's table."""
    text = DOC.read_text(encoding="utf-8").split(f"\n## {section}\n", 1)[1].split("\n## ", 1)[0]
    rows = [line for line in text.splitlines() if line.startswith("| `")]
    return {key for row in rows for key in re.findall(r"`([^`]+)`", row.split("|")[1])}


def keys(thing: Any, path: str = "") -> Iterator[str]:
    if isinstance(thing, dict):
        for name, value in thing.items():
            here = f"{path}.{name}" if path else name
            if not here.startswith(OPAQUE):
                yield here
                yield from keys(value, here)
    elif isinstance(thing, list):
        for item in thing:
            yield from keys(item, path)


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """One evening, every answer kept by the name of its section."""
    folder = tmp_path_factory.mktemp("json")

    def ask(*words: str) -> Any:
        import contextlib
        import io

        out = io.StringIO()
        with contextlib.redirect_stdout(out):
            assert main(["--book", str(folder / "book.sqlite"), *words, "--json"]) == 0, out.getvalue()
        return json.loads(out.getvalue())

    return _evening(ask, folder)


def _evening(ask: Callable[..., Any], folder: Path) -> dict[str, Any]:
    got = {
        "own camera": ask("own", "camera", "boathouse", "--focal", "600 mm", "--f-number", "f/8", "--coverage", "60°",
                          "--stops", "8 11 16 22 32", "--board-min", "610 mm", "--board-max", "1200 mm",
                          "--length", "2.6 m", "--width", "2.1 m", "--height", "2.3 m"),
        "own box": ask("own", "box", "D", "--paper", "enlarging", "--size", "12x16 in", "--sheets", "25", "--cost", "4.50 EUR"),
    }  # fmt: skip
    ask("own", "developer", "coffee", "--kind", "coffee")
    ask("own", "meter", "mine", "--kind", "hand")
    got["say"] = ask("say", "--light", "overcast", "--subject", "3 m", "--reading", "EV 11")
    got["room"] = ask("room")
    got["plan"] = ask("plan")
    code = ask("expose")["code"]
    got["run --steps"] = ask("run", code, "--steps")
    got["track"] = ask("track", code)
    got["volume"] = ask("volume")
    ask("run", code, "--speed", "99999")
    got["judge"] = ask("judge", code, "--border", "white", "--seen", "too_dark", "--fault", "moved")
    got["sheet"] = ask("sheet", code)
    got["worth"] = ask("worth", "--minute", "0.50 EUR", "--more", "12")
    got["known"] = ask("known")
    ask("expose")
    second = ask("expose")["code"]
    ask("judge", second, "--border", "white", "--seen", "too_pale")
    got["misses"], got["why"] = ask("misses"), ask("why")
    third = ask("expose")["code"]
    (folder / "sheet.jpg").write_bytes(drawn.photo(drawn.Print(1).density()))
    white, border = (f"{x},{y}" for x, y in (drawn.WHITE_AT, drawn.BORDER_AT))
    got["versions"] = ask("versions", third, str(folder / "sheet.jpg"), "--white", white, "--border", border)
    got["badday"] = ask("badday", third, "--saw", "streaks")
    got["backup"] = ask("backup", str(folder / "copy.sqlite"))
    (folder / "scene.jpg").write_bytes(scenario.photographed(512.0))
    x, y = scenario.CARD_AT
    got["photo"] = ask("photo", str(folder / "scene.jpg"), "--at", f"{x},{y}", "--compare", "EV 12")
    got["strip make"] = ask("strip", "make", "--lux", "12")
    got["strip card"] = ask("strip", "card", "--white", "0.07", "--greys", "0.35 0.65 0.95 1.25", "--black", "1.85")
    got["strip track"] = ask("strip", "track", str(folder / "strip.wav"), "--first", "1 s")
    densities = "0.09 0.10 0.11 0.14 0.18 0.26 0.39 0.57 0.80 1.05 1.29 1.47 1.60"
    got["strip curve"] = ask(
        "strip", "curve", "--densities", densities, "--exposures", "first 0.1 lx·s, steps of √2", "--light", "sun"
    )
    got["strip curves"] = ask("strip", "curves")
    got["scraps reciprocity"] = ask(
        "scraps", "reciprocity", "--given", "1 s at f/8, 64 s at f/64", "--densities", "0.80 0.66"
    )
    got["scraps"] = ask("scraps")
    (folder / "scrap.jpg").write_bytes(picture(np.random.default_rng(5), "clean", 800, steps=9)[0])
    got["strip read"] = ask("strip", "read", str(folder / "scrap.jpg"), "--steps", "9", "--sense", "negative")
    return got | _scraps(ask, folder) | json_lens.answers(ask) | json_mixing.answers(ask) | json_several.answers(ask) | json_trays.answers(ask) | json_ready.answers(ask) | json_day.answers(ask) | json_ahead.answers(ask, folder) | json_contrast.answers(ask) | json_printing.answers(ask, folder) | json_meter.answers(ask, folder) | json_pack.answers(ask)


def _scraps(ask: Callable[..., Any], folder: Path) -> dict[str, Any]:
    """Two developers on one box, and the stain of both."""
    ask("own", "developer", "bought", "--kind", "paper")
    numbers = []
    for developer, densities in (
        ("coffee", "0.10 0.11 0.14 0.22 0.36 0.58 0.88 1.15 1.36"),
        ("bought", "0.09 0.10 0.12 0.19 0.36 0.66 1.05 1.40 1.62"),
    ):
        said = (
            "--exposures",
            "first 0.3 lx·s, steps of √2",
            "--light",
            "tungsten",
            "--developer",
            developer,
            "--densities",
            densities,
        )
        numbers.append(str(ask("strip", "curve", *said)["curve"]))
    made = ask("scraps", "developers", *numbers)
    (folder / "both.jpg").write_bytes(photo(COLOURS))
    places = [w for k, v in said_places().items() for w in (f"--{k.replace('_', '-')}", v)]
    fog = ask("scraps", "fog", "--fixed", "0.06", "--developed", "0.14", "--developer", "coffee")
    both = ask(
        "scraps",
        "readings",
        "--reflection",
        "0.06 1.02 1.46 1.96",
        "--transmission",
        "0.58 1.05 1.33 1.63",
        "--developer",
        "coffee",
    )
    return {
        "scraps readings": both,
        "scraps fog": fog,
        "scraps developers": ask("scraps", "stain", str(made["number"]), str(folder / "both.jpg"), *places),
    }


SECTIONS = [
    "own camera",
    "own box",
    "say",
    "room",
    "plan",
    "sheet",
    "judge",
    "worth",
    "known",
    "misses",
    "why",
    "versions",
    "badday",
    "run --steps",
    "volume",
    "track",
    "photo",
    "strip make",
    "strip track",
    "strip card",
    "strip read",
    "strip curves",
    "strip curve",
    "scraps",
    "scraps reciprocity",
    "scraps fog",
    "scraps readings",
    "scraps developers",
    "backup",
    *json_lens.SECTIONS,
    *json_mixing.SECTIONS,
    *json_several.SECTIONS,
    *json_trays.SECTIONS,
    *json_ready.SECTIONS,
    *json_day.SECTIONS,
    *json_contrast.SECTIONS,
    *json_meter.SECTIONS,
    *json_pack.SECTIONS,
    *json_printing.SECTIONS,
    *json_ahead.SECTIONS,
]


@pytest.mark.parametrize("section", SECTIONS)
def test_the_keys_are_those_documented(section: str, answers: dict[str, Any]) -> None:
    assert set(keys(answers[section])) == documented(section)


def test_no_section_is_forgotten(answers: dict[str, Any]) -> None:
    assert set(re.findall(r"^## (.+)$", DOC.read_text(encoding="utf-8"), re.MULTILINE)) == set(SECTIONS) == set(answers)
