"""Spoken clips: numbers and short sentences that a sound file is put together from. Shipped; the table says how they were made."""

from __future__ import annotations

import io
import sys
import wave
from array import array
from collections.abc import Sequence
from functools import cache
from importlib import resources

from firstsheet.tables import load

BETWEEN_S = 0.07  # between the words of one cue


@cache
def clip(key: str, rate: int) -> array[int]:
    """Samples of one clip, sound from the first on. KeyError for a clip that is not in the table."""
    table = load("voice")
    if key not in table["clips"] and key not in table["loud"]:
        raise KeyError(key)
    if rate != table["rate"]:
        raise ValueError(f"clips are kept at {table['rate']} samples a second")
    data = resources.files("firstsheet.tables").joinpath("voice", f"{key}.wav").read_bytes()
    with wave.open(io.BytesIO(data)) as file:
        if (file.getnchannels(), file.getsampwidth(), file.getframerate()) != (1, 2, rate):
            raise ValueError(f"{key}: one channel, 16 bit, {rate} samples a second")
        samples = array("h", file.readframes(file.getnframes()))
    if sys.byteorder == "big":
        samples.byteswap()
    return samples


def said(keys: Sequence[str]) -> str:
    """The words of these clips, as they are heard."""
    table = load("voice")
    words: dict[str, str] = table["clips"] | table["loud"]
    told = ""
    for k in keys:
        told += ("" if not told else ". " if words[k][0].isupper() else " ") + words[k]
    return told


def has(key: str) -> bool:
    return key in load("voice")["clips"]


def lasts_s(keys: Sequence[str], rate: int = 8000) -> float:
    """How long they take one after the other [s]."""
    return len(joined(tuple(keys), rate)) / rate


@cache
def joined(keys: tuple[str, ...], rate: int) -> array[int]:
    """The clips one after the other, a breath between."""
    samples = array("h")
    for i, key in enumerate(keys):
        if i:
            samples.extend(array("h", bytes(2 * round(BETWEEN_S * rate))))
        samples.extend(clip(key, rate))
    return samples


def number(n: int) -> tuple[str, ...]:
    """The clips of a whole number, 1 to 59.

    >>> number(7), number(20), number(38)
    (('n7',), ('n20',), ('n30', 'n8'))
    """
    if not 1 <= n <= 59:
        raise ValueError("numbers from 1 to 59 are spoken")
    if n <= 20 or n % 10 == 0:
        return (f"n{n}",)
    return (f"n{n - n % 10}", f"n{n % 10}")
