"""Shipped data: each file headed by source, edition, unit and rights. Read only through `load`."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from typing import Any


@cache
def load(name: str) -> dict[str, Any]:
    """The shipped table `name` (without ".toml") as a mapping. KeyError-free: a missing table is a packaging fault."""
    text = resources.files(__name__).joinpath(f"{name}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
