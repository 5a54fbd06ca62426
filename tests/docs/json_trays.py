"""What the commands of warmth and of ways at the trays print, for the test of docs/json.md."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

SECTIONS = ["warmth", "ways", "mix pour", "runcard", "handin"]


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
    return got | _card(ask)


def _card(ask: Callable[..., Any]) -> dict[str, Any]:
    code = ask("sheets")[0]["code"]
    with tempfile.TemporaryDirectory() as folder:
        card = ask("runcard", code, f"{folder}/card.html")
        mark = {"id": "c" * 32, "kind": "lights_on", "step": "", "elapsed_s": 1, "wall_ms": 1.8e12}
        Path(folder, "marks.json").write_text(
            json.dumps({"form": "marks of a run", "sheet": code, "marks": [mark]}), encoding="utf-8"
        )
        return {"runcard": card, "handin": ask("handin", f"{folder}/marks.json")}
