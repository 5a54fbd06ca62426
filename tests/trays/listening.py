"""An ear that knows nothing of the renderer: a sound file's samples, every onset in it, and how loud a stretch is."""

from __future__ import annotations

import io
import wave
from typing import Any

import numpy as np
from numpy.typing import NDArray

RATE = 8000
LOUD = 300  # of 32767
SILENT_S = 0.03
Samples = NDArray[np.int16]


def samples_of(wav: bytes) -> Samples:
    with wave.open(io.BytesIO(wav)) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE)
        return np.frombuffer(file.readframes(file.getnframes()), dtype="<i2")


def sounding(samples: Samples) -> NDArray[Any]:
    """Where samples are above silence [s]."""
    return np.flatnonzero(np.abs(samples.astype(np.int32)) > LOUD) / RATE


def onsets(samples: Samples) -> NDArray[Any]:
    """Every moment [s] at which sound begins after 30 ms of silence, syllables too."""
    at = sounding(samples)
    return at[np.diff(at, prepend=-1.0) >= SILENT_S]


def level_db(samples: Samples) -> float:
    """The highest A-weighted level of any 125 ms [dB to full scale]. IEC 61672-1: A-weighting from its four poles, time weighting F as a window."""
    spectrum = np.fft.rfft(np.concatenate([samples / 32767.0, np.zeros(RATE)]))
    f2 = np.fft.rfftfreq(len(samples) + RATE, 1.0 / RATE) ** 2
    a, b, c, d = 20.598997**2, 107.65265**2, 737.86223**2, 12194.217**2
    weight = d * f2**2 / ((f2 + a) * np.sqrt((f2 + b) * (f2 + c)) * (f2 + d)) * 10 ** (2.0 / 20)
    power = np.fft.irfft(spectrum * weight, len(samples) + RATE) ** 2
    window = round(0.125 * RATE)
    summed = np.cumsum(np.concatenate([[0.0], power]))
    return float(10 * np.log10(np.max(summed[window:] - summed[:-window]) / window))
