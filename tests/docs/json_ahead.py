"""What `ahead` prints, for the test of docs/json.md."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.acts_ahead import test_ahead as made

SECTIONS = ["ahead came"]


def answers(ask: Callable[..., Any], folder: Path) -> dict[str, Any]:
    """A board photographed, a sheet foretold from it and come. The first two answer with the keys of `lens`."""
    (folder / "board.jpg").write_bytes(made.board_photo())
    (folder / "came.jpg").write_bytes(made.result_photo(0.4, 1))
    face = ("--face", f"{1 - made.FACE[0]},{1 - made.FACE[1]}")
    read = ask("ahead", "board", str(folder / "board.jpg"), *face, "--lux", "2", "--aperture", "f/8", "--keep")
    code = ask("expose", "--sun-seen")["code"]
    seen = ask("ahead", "sheet", str(folder / "board.jpg"), *face, "--code", code)
    assert set(read) == set(seen) == set(ask("colour", "--light", "sun")) == set(ask("ahead", "focus"))
    return {"ahead came": ask("ahead", "came", code, str(folder / "came.jpg"), "--white", made.WHITE, "--corners", made.CORNERS, "--dry")}
