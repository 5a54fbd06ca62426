"""What `pack` prints, for the test of docs/json.md."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

SECTIONS = ["pack", "pack ring"]


def answers(ask: Callable[..., Any]) -> dict[str, Any]:
    """A box of colour paper, gels that fall short, one sheet told."""
    ask("own", "box", "colour", "--paper", "ra4", "--size", "8x10 in", "--sheets", "5")
    said = ("--box", "colour", "--light", "sun")
    ring = ask("pack", "ring", "--patches", "6", *said)
    ask("pack", "gels", "--gels", "10Y 20Y 10M 20M 10C")
    return {"pack": ask("pack", "told", "--colour", "blue", *said), "pack ring": ring}
