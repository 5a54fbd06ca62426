"""Reads the published tables kept under authorities/optics: lines of figures under a header that says whose
they are."""

from __future__ import annotations

import csv
from pathlib import Path

SHELF = Path(__file__).parents[2] / "authorities" / "optics"


def rows(name: str) -> list[dict[str, str]]:
    """The rows of one table, by the column names on the last header line."""
    lines = (SHELF / name).read_text(encoding="utf-8").splitlines()
    header = [line for line in lines if line.startswith("#")][-1].lstrip("# ").split(",")
    body = [line for line in lines if line and not line.startswith("#")]
    return list(csv.DictReader(body, fieldnames=header))


def numbers(name: str) -> list[tuple[float, ...]]:
    """The same where every column is a number."""
    return [tuple(float(v) for v in row.values()) for row in rows(name)]
