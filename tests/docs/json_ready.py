"""What the commands of readiness and of the two tests print, for the test of docs/json.md."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

SECTIONS = ["ready", "lamptest", "lamptest steps", "leaktest", "leaktest steps"]


def answers(ask: Callable[..., Any]) -> dict[str, Any]:
    """One answer of each."""
    ask("say", "--developer", "coffee")
    code = ask("expose")["code"]
    ask(
        "lamptest",
        "keep",
        "bench lamp",
        "--distance",
        "1.2 m",
        "--tested",
        "1 3 7 min",
        "--before",
        "no",
        "--after",
        "7 min",
    )
    ask("leaktest", "keep", "--lay", "14 min", "--seen", "no")
    return {
        "ready": ask("ready", code),
        "lamptest": ask("lamptest"),
        "lamptest steps": ask("lamptest", "steps"),
        "leaktest": ask("leaktest"),
        "leaktest steps": ask("leaktest", "steps"),
    }
