"""What `day`, `reflector` and `scrapmeter` print, for the test of docs/json.md."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

SECTIONS = ["day", "reflector", "scrapmeter", "scrapmeter read"]


def answers(ask: Callable[..., Any]) -> dict[str, Any]:
    """A day with sun in the lens, sun and shade on the face, and nothing lacking."""
    ask(
        "day", "--place", "52 N 0 E", "--zone", "UTC", "--faces", "S", "--around", "wall from S to W, 5 paces, 6 m high"
    )
    found = ask("day", "--date", "2026-06-21")
    today = ask("day")
    return {
        "day": found
        | {"now": today["now"] or found["highest"], "lacking": [{"where": "", "asked": "", "allowed": "", "try": ""}]},
        "reflector": ask("reflector", "--sun", "40°", "--want", "1.5", "--range", "6", "--subject", "3 m"),
        "scrapmeter": ask("scrapmeter", "tint", "--seconds", "20 s; 22 s", "--reading", "60000 lx", "--light", "sun"),
        "scrapmeter read": ask("scrapmeter", "read", "--seconds", "40 s"),
    }
