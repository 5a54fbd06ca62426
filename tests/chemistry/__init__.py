"""Substances, recipes and pH against figures from outside, kept in `authorities/chemistry`."""

import tomllib
from pathlib import Path
from typing import Any

CASES: dict[str, Any] = tomllib.loads(
    (Path(__file__).parents[2] / "authorities" / "chemistry" / "cases.toml").read_text(encoding="utf-8")
)
