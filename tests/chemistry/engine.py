"""The reference engine with ascorbate added to its Pitzer database, so that its column can be repeated."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import pytest

ASCORBATE = """
SOLUTION_MASTER_SPECIES
Asc Asc-2 0 174.108 174.108
SOLUTION_SPECIES
Asc-2 = Asc-2
 log_k 0
Asc-2 + H+ = HAsc-
 log_k 11.57
Asc-2 + 2H+ = H2Asc
 log_k 15.74
"""


def pitzer_with_ascorbate() -> Any:
    """An engine; the test is skipped where it is not installed."""
    phreeqpython = pytest.importorskip("phreeqpython")
    shipped = Path(phreeqpython.__file__).parent / "database" / "pitzer.dat"
    folder = Path(tempfile.mkdtemp())
    (folder / "ascorbate.dat").write_text(ASCORBATE + shipped.read_text(errors="replace"))
    return phreeqpython.PhreeqPython(database="ascorbate.dat", database_directory=folder)


def ph(engine: Any, carbonate: float, ascorbic: float, temperature_c: float) -> float:
    """Of sodium carbonate and ascorbic acid [mol/kg], shut off from air."""
    water = {
        "units": "mmol/kgw",
        "temp": temperature_c,
        "pH": "9 charge",
        "Na": 2000 * carbonate,
        "C(4)": 1000 * carbonate,
    }
    if ascorbic:
        water["Asc"] = 1000 * ascorbic
    return float(engine.add_solution(water).pH)
