"""What `contact` and `counting` print, for the test of docs/json.md."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

SECTIONS = ["contact lamp", "contact negative", "contact print", "counting"]


def answers(ask: Callable[..., Any]) -> dict[str, Any]:
    """A phone over a boat."""
    asked = ("--facing", "together", "--glass", "yes", "--back-print", "no", "--range", "R 110", "--sheet", "12x16 in")
    return {
        "contact lamp": ask("contact", "lamp", "--name", "phone", "--height", "1 m", "--times", "1 2 4 8 s", "--black", "3", "--box", "D", "--developer", "coffee"),
        "contact negative": ask("contact", "negative", "--name", "boat", "--clear", "0.60", "--dense", "1.60"),
        "contact print": ask("contact", "print", *asked),
        "counting": ask("counting", "--took", "9.4 s; 9.8 s"),
    }  # fmt: skip
