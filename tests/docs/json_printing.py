"""What `contact` and `counting` print, for the test of docs/json.md."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.printing import backlight

SECTIONS = ["contact lamp", "contact negative", "contact print", "contact positive", "counting"]


def answers(ask: Callable[..., Any], folder: Path) -> dict[str, Any]:
    """A phone over a boat, and the boat photographed on a light."""
    asked = ("--facing", "together", "--glass", "yes", "--back-print", "no", "--range", "R 110", "--sheet", "12x16 in")
    (folder / "negative.jpg").write_bytes(backlight.photo(backlight.wedge((0.5, 1.5)), backlight.Scene()))
    told = {
        "contact lamp": ask("contact", "lamp", "--name", "phone", "--height", "1 m", "--times", "1 2 4 8 s", "--black", "3", "--box", "D", "--developer", "coffee"),
        "contact negative": ask("contact", "negative", "--name", "boat", "--clear", "0.60", "--dense", "1.60"),
        "contact print": ask("contact", "print", *asked),
        "counting": ask("counting", "--took", "9.4 s; 9.8 s"),
    }  # fmt: skip
    seen = ask("contact", "negative", "--name", "boat", "--photo", str(folder / "negative.jpg"), "--bare", backlight.BARE, "--corners", backlight.CORNERS)
    assert set(seen) == set(told["contact negative"])
    return told | {"contact positive": ask("contact", "positive", "--range", "R 110")}
