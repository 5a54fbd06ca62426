"""The tones a reading is placed on and the words for a sky, from the shipped tables."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

from firstsheet.refusal import Refusal


@dataclass(frozen=True, slots=True)
class Tone:
    """A tone a person may read.

    stops        distance from the meter's mid-tone [stop, + brighter]
    sd_stops     doubt of that placement [stop]
    reflectance  diffuse reflectance [1], None where the stops are not derived from one
    """

    key: str
    words: str
    stops: float
    sd_stops: float
    source: str
    reflectance: float | None = None


@dataclass(frozen=True, slots=True)
class SkyWord:
    """A look of the sky as a reading.

    lux_lx    light on the face, centre of what was reported [lx]
    ev100     the same as an incident exposure value at ISO 100, C 250
    sd_stops  [stop]
    light     kind of light it suggests: sun, open_shade, overcast, low_sun, window, tungsten
    """

    key: str
    words: str
    lux_lx: float
    ev100: float
    sd_stops: float
    light: str
    source: str
    also: tuple[str, ...] = ()


def _table(name: str) -> dict[str, dict[str, Any]]:
    return tomllib.loads((files("firstsheet") / "tables" / name).read_text(encoding="utf-8"))


@cache
def tones() -> Mapping[str, Tone]:
    """All tones by key, in the order they are offered."""
    return MappingProxyType(
        {
            key: Tone(key, r["words"], r["stops"], r["sd"], r["source"], r.get("reflectance"))
            for key, r in _table("tones.toml").items()
        }
    )


@cache
def skies() -> Mapping[str, SkyWord]:
    """All words for a sky by key, in the order they are offered."""
    return MappingProxyType(
        {
            key: SkyWord(
                key,
                r["words"],
                r["lux_lx"],
                r["ev100"],
                r["sd"],
                r["light"],
                r["source"],
                tuple(r.get("also", ())),
            )
            for key, r in _table("sky.toml").items()
        }
    )


def tone(key: str) -> Tone:
    """The tone named `key`; its words are understood too. Refuses an unknown one with the list."""
    said = _plain(key)
    for t in tones().values():
        if said in (_plain(t.key), _plain(t.words)):
            return t
    offered = "; ".join(t.words for t in tones().values())
    raise Refusal.one("tone", key, f"One of: {offered}.", "Name what was read.")


def sky(word: str) -> SkyWord:
    """The sky a word stands for: by key, words or other names. Refuses others with the list."""
    said = _plain(word)
    for s in skies().values():
        if said in (_plain(s.key), _plain(s.words), *map(_plain, s.also)):
            return s
    offered = "; ".join(s.words for s in skies().values())
    raise Refusal.one("light", word, f"One of: {offered}.", "Look at the shadows.")


def _plain(text: str) -> str:
    return " ".join(text.lower().replace("_", " ").replace(",", " ").split())
