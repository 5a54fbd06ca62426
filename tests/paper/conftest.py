"""Authorities for the sensitometry tests."""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parent))


@pytest.fixture(scope="session")
def cases() -> dict[str, Any]:
    path = Path(__file__).parents[2] / "authorities" / "sensitometry" / "cases.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))
