"""What `photo --points`, `range` and `meters` print, for the test of docs/json.md."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from firstsheet import scenario

SECTIONS = ["range", "meters"]


def answers(ask: Callable[..., Any], folder: Path) -> dict[str, Any]:
    """The card and another place of one photo, laid on the paper; the comparison made with `photo` stands."""
    ask("say", "--box", "D", "--developer", "coffee")
    x, y = scenario.CARD_AT
    ask("photo", str(folder / "scene.jpg"), "--points", f"{x},{y} grey_card card; {x},{y} other wall")
    return {"range": ask("range"), "meters": ask("meters")}
