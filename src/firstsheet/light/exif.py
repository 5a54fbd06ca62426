"""What a photo file says of its exposure. Nothing else is read from it, and of places nothing at all.

Tag numbers and meanings: [CIPA-DC-008] (EXIF), from memory.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from firstsheet.refusal import Problem, Refusal

_EXIF_IFD = 0x8769
_LIMITS = {"f_number": (0.5, 1024.0), "time_s": (1e-6, 86_400.0), "iso": (0.5, 1e7)}
_NAMES = {"f_number": "f-number", "time_s": "exposure time", "iso": "ISO"}


@dataclass(frozen=True, slots=True)
class Exposure:
    """What the camera was set to; None where the file does not say.

    f_number  marked; time_s [s]; iso as the camera states it
    taken     local time as the file has it ("2026:05:03 14:02:10"), with its offset where given; "" if none
    """

    f_number: float | None = None
    time_s: float | None = None
    iso: float | None = None
    taken: str = ""

    @property
    def missing(self) -> tuple[str, ...]:
        """What is not known, in words."""
        return tuple(words for name, words in _NAMES.items() if getattr(self, name) is None)

    def filled(
        self, f_number: float | None = None, time_s: float | None = None, iso: float | None = None
    ) -> Exposure:
        """With what the person says put where the file says nothing; the file's own figures stand."""
        said = {"f_number": f_number, "time_s": time_s, "iso": iso}
        new = {k: v for k, v in said.items() if getattr(self, k) is None and v is not None}
        bad = [
            Problem(f"photo.{k}", str(v), f"From {_LIMITS[k][0]:g} to {_LIMITS[k][1]:g}.", "")
            for k, v in new.items()
            if not _within(k, v)
        ]
        if bad:
            raise Refusal(*bad)
        return replace(self, **new)  # type: ignore[arg-type]

    def settings(self) -> tuple[float, float, float]:
        """(f-number, time [s], ISO). Refuses with all that is missing: a guess would be off by stops."""
        if self.f_number is None or self.time_s is None or self.iso is None:
            tries = {
                "f-number": "Read it from the photo's details on the phone, or in its data sheet.",
                "exposure time": "Read it from the photo's details on the phone, or use a meter.",
                "ISO": "Read it from the photo's details on the phone and say it; it is not guessed.",
            }
            raise Refusal(
                *(
                    Problem("photo", f"no {name} in the file", "Metering needs it.", tries[name])
                    for name in self.missing
                )
            )
        return self.f_number, self.time_s, self.iso


def exposure_of(exif: Any) -> Exposure:
    """f-number, time, ISO and local time from a Pillow Exif; APEX values stand in for missing figures."""
    ifd = _ifd(exif)
    aperture, shutter = _number(ifd.get(0x9202)), _number(ifd.get(0x9201))
    f_number = _number(ifd.get(0x829D))
    if not _within("f_number", f_number) and aperture is not None and abs(aperture) < 20:
        f_number = math.pow(2.0, aperture / 2.0)  # N = 2^(Av/2)
    time_s = _number(ifd.get(0x829A))
    if not _within("time_s", time_s) and shutter is not None and abs(shutter) < 20:
        time_s = math.pow(2.0, -shutter)  # t = 2^−Tv
    return Exposure(
        f_number if _within("f_number", f_number) else None,
        time_s if _within("time_s", time_s) else None,
        _iso(ifd),
        _taken(ifd),
    )


def signs_of_trouble(exif: Any, exposure: Exposure) -> Iterator[str]:
    """Sentences about a photo that will not meter well, from the standard's own tags."""
    ifd = _ifd(exif)
    if len(exposure.missing) == 3:
        yield "It carries no exposure data, like a screenshot or a forwarded picture: it cannot meter."
    elif exposure.missing:
        yield f"It does not say its {' and '.join(exposure.missing)}: say it before metering from it."
    if ifd.get(0xA460) in (2, 3):  # CompositeImage
        yield "It was put together from several exposures: its settings may not be those of one."
    if ifd.get(0xA406) == 3:  # SceneCaptureType: night scene
        yield "It was taken in a night mode: meter from a plain photo instead."
    software = str(exif.get(0x0131, "")).lower()
    custom = _number(ifd.get(0xA401))
    if (custom is not None and custom >= 1) or any(word in software for word in ("hdr", "night", "panorama")):
        yield "It was specially processed: readings from it may be off by a stop."


def _ifd(exif: Any) -> dict[int, Any]:
    try:
        return dict(exif.get_ifd(_EXIF_IFD))
    except Exception:  # a broken directory is a file that says nothing; parsers promise no kind of error
        return {}


def _iso(ifd: dict[int, Any]) -> float | None:
    """PhotographicSensitivity; where it is full at 65 535 the longer tag beside it."""
    iso = _number(ifd.get(0x8827))
    if iso is not None and 0 < iso < 65_535:
        return iso if _within("iso", iso) else None
    for tag in (0x8831, 0x8832, 0x8833):  # standard output sensitivity, recommended exposure index, ISO speed
        longer = _number(ifd.get(tag))
        if longer is not None and _within("iso", longer):
            return longer
    return iso if iso == 65_535 else None


def _taken(ifd: dict[int, Any]) -> str:
    parts = [ifd.get(0x9003) or ifd.get(0x9004), ifd.get(0x9011)]
    text = " ".join(p.strip("\x00 ") for p in parts if isinstance(p, str))
    return text[:40] if text[:4].isdigit() and text.isprintable() else ""


def _number(value: Any) -> float | None:
    """A float from a rational, an int or the first of several; None for what is no finite number."""
    if isinstance(value, (tuple, list)):
        value = value[0] if value else None
    try:
        number = float(value)
    except (TypeError, ValueError, ZeroDivisionError, OverflowError):
        return None
    return number if math.isfinite(number) else None


def _within(name: str, value: float | None) -> bool:
    low, high = _LIMITS[name]
    return value is not None and low <= value <= high
