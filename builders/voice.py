"""Makes the spoken clips of src/firstsheet/tables/voice.toml. Run from the top of the checkout: python builders/voice.py

Needs the speech synthesiser espeak-ng. A clip begins with sound at its first sample, holds no silence longer than 0.25 s, and
its loudest sample is at a fixed height, so that no cue starts late and none is softer than another. Run again it makes the same
files; they are kept in the repository, so nobody else needs the synthesiser.
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


def main() -> None:
    table = tomllib.loads((TABLES / "voice.toml").read_text(encoding="utf-8"))
    rate: int = table["rate"]
    folder = TABLES / "voice"
    folder.mkdir(exist_ok=True)
    for old in folder.glob("*.wav"):
        if old.stem not in table["clips"]:
            old.unlink()
    total = 0
    for key, words in table["clips"].items():
        at, samples = spoken(words)
        clip = tidy(at_rate(samples, at, rate), rate)
        with wave.open(str(folder / f"{key}.wav"), "wb") as out:
            out.setnchannels(1)
            out.setsampwidth(2)
            out.setframerate(rate)
            out.writeframes(clip.astype("<i2").tobytes())
        total += clip.nbytes
        print(f"{key:16} {len(clip) / rate:5.2f} s  {words}")
    print(f"{len(table['clips'])} clips, {total / 1000:.0f} kB")
    print(subprocess.run([SYNTHESISER, "--version"], check=True, capture_output=True, text=True).stdout.split("  ")[0])


if __name__ == "__main__":
    main()
