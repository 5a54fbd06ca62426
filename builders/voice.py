"""Makes the spoken clips of src/firstsheet/tables/voice.toml. Run from the top of the checkout: python builders/voice.py

Needs the speech synthesiser espeak-ng, free software under the GPL, version 3 or later; none of it is in the clips. A clip begins with sound
at its first sample, holds no silence longer than 0.25 s, and is as loud as every other: one effective value within the band that a small
loudspeaker gives, its peaks pressed under one height, so that no cue starts late and no word is lost. Those for the sitter are louder. Run again
it makes the same files; they are kept in the repository, so nobody else needs the synthesiser.
"""

from __future__ import annotations

import io
import itertools
import subprocess
import tomllib
import wave
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

TABLES = Path(__file__).parents[1] / "src" / "firstsheet" / "tables"
WORDS_A_MINUTE = 155
PEAK = 0.6 * 32767
LEAST = 400  # a sample below this counts as silence
QUIET_S = 0.25
BAND_HZ = (300.0, 3400.0)  # what a telephone gives of a voice
LEVEL, CEILING = 0.14, 0.78  # of full scale: effective value within the band, highest sample
LOUD_LEVEL, LOUD_CEILING = 0.30, 0.95  # for the sitter, through a wall
SYNTHESISER = "espeak-ng"


def spoken(words: str) -> tuple[int, NDArray[np.float64]]:
    """What the synthesiser says: rate [1/s] and samples."""
    done = subprocess.run(
        [SYNTHESISER, "-v", "en-gb", "-s", str(WORDS_A_MINUTE), "--stdout", words], check=True, capture_output=True
    )
    # the length in the header of a stream is not true; what came is counted
    with wave.open(io.BytesIO(done.stdout)) as file:
        rate, start = file.getframerate(), done.stdout.index(b"data") + 8
    return rate, np.frombuffer(done.stdout[start:], dtype="<i2").astype(float)


def at_rate(samples: NDArray[np.float64], rate: int, wanted: int) -> NDArray[np.float64]:
    """Band-limited to the wanted rate, through its spectrum."""
    count = round(len(samples) * wanted / rate)
    spectrum = np.fft.rfft(samples)
    keep = np.zeros(count // 2 + 1, dtype=complex)
    shared = min(len(keep), len(spectrum))
    keep[:shared] = spectrum[:shared]
    keep[int(0.96 * shared) : shared] *= np.linspace(1, 0, shared - int(0.96 * shared))
    return np.fft.irfft(keep, count) * (count / len(samples))


def tidy(samples: NDArray[np.float64], rate: int) -> NDArray[np.int16]:
    """One height, sound from the first sample, short silences only."""
    level = np.rint(samples * (PEAK / np.abs(samples).max())).astype(np.int16)
    loud = np.flatnonzero(np.abs(level.astype(int)) > LEAST)
    parts, longest = [], round(QUIET_S * rate)
    begin = loud[0]
    for before, after in itertools.pairwise(loud):
        if after - before > longest:
            parts.append(level[begin : before + longest // 2])
            begin = after - longest // 2
    parts.append(level[begin : loud[-1] + 1])
    return np.concatenate(parts)


def effective(samples: NDArray[np.float64], rate: int) -> float:
    """Effective value within the band, full scale 1."""
    spectrum = np.fft.rfft(samples)
    hz = np.fft.rfftfreq(len(samples), 1.0 / rate)
    spectrum[(hz < BAND_HZ[0]) | (hz > BAND_HZ[1])] = 0.0
    return float(np.sqrt(np.mean(np.fft.irfft(spectrum, len(samples)) ** 2))) / 32767


def levelled(clip: NDArray[np.int16], rate: int, level: float, ceiling: float) -> NDArray[np.int16]:
    """At this effective value, peaks pressed under the ceiling: as much gain as it takes, found by halving."""
    share = clip / np.abs(clip).max()
    low, high = 0.01, 100.0
    for _ in range(60):
        gain = float(np.sqrt(low * high))
        pressed = 32767 * ceiling * np.tanh(gain * share)
        low, high = (gain, high) if effective(pressed, rate) < level else (low, gain)
    return np.rint(pressed).astype(np.int16)


def main() -> None:
    table = tomllib.loads((TABLES / "voice.toml").read_text(encoding="utf-8"))
    rate: int = table["rate"]
    folder = TABLES / "voice"
    folder.mkdir(exist_ok=True)
    every = table["clips"] | table["loud"]
    for old in folder.glob("*.wav"):
        if old.stem not in every:
            old.unlink()
    total = 0
    for key, words in every.items():
        at, samples = spoken(words)
        loud = key in table["loud"]
        heights = (LOUD_LEVEL, LOUD_CEILING) if loud else (LEVEL, CEILING)
        clip = levelled(tidy(at_rate(samples, at, rate), rate), rate, *heights)
        with wave.open(str(folder / f"{key}.wav"), "wb") as out:
            out.setnchannels(1)
            out.setsampwidth(2)
            out.setframerate(rate)
            out.writeframes(clip.astype("<i2").tobytes())
        total += clip.nbytes
        print(
            f"{key:16} {len(clip) / rate:5.2f} s  {20 * np.log10(effective(clip.astype(float), rate)):6.1f} dB  {words}"
        )
    print(f"{len(every)} clips, {total / 1000:.0f} kB")
    print(subprocess.run([SYNTHESISER, "--version"], check=True, capture_output=True, text=True).stdout.split("  ")[0])


if __name__ == "__main__":
    main()
