"""What the chemistry commands print, for the test of docs/json.md."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

SECTIONS = [
    "mix",
    "mix substances",
    "mix recipes",
    "mix make",
    "mix check",
    "mix dilute",
    "mix label",
    "mix spoon",
    "mix strip",
    "bath",
    "bath waste",
]


def answers(ask: Callable[..., Any]) -> dict[str, Any]:
    """One answer of each. `mix keep` gives one row of `mix`; `mix own` one of `mix recipes`."""
    shelf = "500 g soda crystals; vitamin C tablets 500 mg"
    ask("mix", "keep", "coffee", "--volume", "2 l")
    ask("bath", "open", "fixer", "--kind", "fixer_single", "--volume", "2 l")
    ask("bath", "open", "tray", "--kind", "developer", "--volume", "2 l")
    ask("bath", "through", "tray", "--appeared", "15 s")
    return {
        "bath": [ask("bath", "through", "fixer", "--sheets", "2", "--size", "12x16 in"), *ask("bath")],
        "mix spoon": ask("mix", "spoon", "instant coffee", "--weight", "23 g"),
        "mix strip": ask("mix", "strip", "5 g soda ash; 40 g instant coffee", "--makes", "1 l", "--ph", "9.5"),
        "bath waste": [ask("bath", "end", "fixer"), ask("bath", "waste")][1],
        "mix": ask("mix"),
        "mix substances": ask("mix", "substances", "soda crystals"),
        "mix recipes": ask("mix", "recipes"),
        "mix make": ask("mix", "make", "coffee", "--volume", "2 l", "--have", shelf),
        "mix check": ask("mix", "check", "54 g soda crystals; 16 g vitamin C", "--makes", "1 l"),
        "mix dilute": ask("mix", "dilute", "1+9", "--volume", "2 l"),
        "mix label": ask("mix", "label", str(ask("mix")[0]["number"])),
    }
