"""What `several` prints, for the test of docs/json.md."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

SECTIONS = ["several"]


def answers(ask: Callable[..., Any]) -> dict[str, Any]:
    """One answer with every list filled: a mix that is not proven, and that something would quicken; then marked once."""
    plain = ask("several", "2 paper_negative fibre", "reversal_ra4", "--begin")
    return {"several": plain | {"marks": ask("several", "--mark", "1 compose")["marks"]}}
