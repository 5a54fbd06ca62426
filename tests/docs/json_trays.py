"""What the commands of warmth and of ways at the trays print, for the test of docs/json.md."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

SECTIONS = ["warmth", "ways", "mix pour"]


def answers(ask: Callable[..., Any]) -> dict[str, Any]:
    """One answer of each. `ways` is one row of the list."""
    number = ask("mix", "keep", "metol_hydroquinone", "--volume", "1 l")["number"]
    ask("ways", "copy", "large", "--of", "paper_negative")
    got = {
        "warmth": ask("warmth", "16 C"),
        "ways": ask("ways"),
        "mix pour": ask("mix", "pour", str(number), "--temperature", "20 C"),
    }
    tray = got["mix pour"]["bath"]["name"]
    ask("bath", "through", tray, "--appeared", "15 s")
    return got
