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
HAND_S = 0.5  # longer than a hand holds still, unless several short ones were laid together: common practice, no source
BRIGHT_APART = 2.5  # phones' own brightness stands up to 1.9 above their settings, seen over a few dozen files; ours
_NAMES = {"f_number": "f-number", "time_s": "exposure time", "iso": "ISO"}
SCREENS = frozenset({
    (640, 1136), (750, 1334), (828, 1792), (1080, 1920), (1080, 2220), (1080, 2280), (1080, 2340), (1080, 2400), (1125, 2436), (1170, 2532),
    (1179, 2556), (1206, 2622), (1242, 2208), (1242, 2688), (1284, 2778), (1290, 2796), (1320, 2868), (1440, 2560), (1440, 2960), (1440, 3040),
    (1440, 3088), (1440, 3120), (720, 1280), (720, 1560), (720, 1600), (768, 1024), (1536, 2048), (1620, 2160), (1668, 2388), (2048, 2732),
    (768, 1366), (800, 1280), (900, 1440), (1080, 2560), (1600, 2560), (1440, 3440), (2160, 3840),
})  # fmt: skip


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
    yield from _impossible(ifd)
    if len(exposure.missing) == 3:
        yield "It carries no exposure data, like a screenshot or a forwarded picture: it cannot meter by itself."
    elif exposure.missing:
        yield f"It does not say its {' and '.join(exposure.missing)}: say it before metering from it."
    if ifd.get(0xA460) in (2, 3):  # CompositeImage
        yield "It was put together from several exposures: its settings may not be those of one."
    if ifd.get(0xA406) == 3:  # SceneCaptureType: night scene
        yield "It was taken in a night mode: meter from a plain photo instead."
    elif exposure.time_s is not None and exposure.time_s >= HAND_S:
        yield "It was exposed for longer than a hand holds still: a night mode adds pictures up. On a stand, and without such a mode, it meters."
    custom = _number(ifd.get(0xA401))
    software = str(exif.get(0x0131, "")).lower()
    if (custom is not None and custom >= 1) or any(word in software for word in ("hdr", "night", "panorama")):
        yield "It was specially processed: readings from it may be off by a stop."
    yield from _notes(ifd, exposure)


def _impossible(ifd: dict[int, Any]) -> Iterator[str]:
    """Figures the file does state and no camera has: said by name, then asked for like one it does not state."""
    for tag, key, words in ((0x829D, "f_number", "f/0"), (0x829A, "time_s", "a time of 0 s"), (0x8827, "iso", "ISO 0")):
        if tag in ifd and not _within(key, _number(ifd[tag])) and not _stood_in(ifd, key):
            number = _number(ifd[tag])
            yield f"It says {words if number == 0 else 'an impossible ' + _NAMES[key]}, which cannot be: that figure is not used."


def _stood_in(ifd: dict[int, Any], key: str) -> bool:
    """An ISO that is full at 65 535 has its longer tag; it is not impossible."""
    return key == "iso" and _iso(ifd) is not None


def _notes(ifd: dict[int, Any], exposure: Exposure) -> Iterator[str]:
    flash = _number(ifd.get(0x9209))
    if flash is not None and int(flash) & 1:
        yield "Its flash fired: what it reads is the flash’s light as well. Take it without."
    zoom = _number(ifd.get(0xA404))
    if zoom is not None and zoom > 1.01:
        yield f"It was zoomed {zoom:.1f} times by cropping: it meters, but a spot rests on fewer pixels."
    bias = _number(ifd.get(0x9204))
    if bias is not None and 0.1 <= abs(bias) <= 20:
        yield f"Its exposure was set {bias:+.1f} stop by hand: that is in its time already, nothing is corrected.".replace("-", "−")
    bright = _number(ifd.get(0x9203))
    if bright is not None and not exposure.missing:
        f_number, time_s, iso = exposure.settings()
        apart = bright - (math.log2(f_number * f_number / time_s * 100.0 / iso) - 5.0)  # Bv = Ev − Sv, Sv 5 at ISO 100
        if abs(apart) > BRIGHT_APART:
            words = f"{abs(apart):.1f} stops {'brighter' if apart > 0 else 'darker'}"
            yield f"It measured a scene {words} than its settings mean: a filter, a flash or several pictures in one. Check it with a meter."


def looks_like_screen(exif: Any, exposure: Exposure, form: str, size: tuple[int, int]) -> bool:
    """Whether it may be a picture of a screen: it says so, or has no exposure and no camera, and is a PNG or a screen's size [px]."""
    comment = _ifd(exif).get(0x9286)
    said = comment.decode("ascii", "ignore") if isinstance(comment, bytes) else str(comment or "")
    camera = any(_present(exif, tag) for tag in (0x010F, 0x0110)) or len(exposure.missing) < 3
    screen = form == "PNG" or (min(size), max(size)) in SCREENS
    return "screenshot" in said.lower() or (not camera and screen)


def device_of(exif: Any) -> str:
    """A short mark by which the same camera is known again, made of its make and model so that neither is kept; "" for none.

    Two cameras of one model have one mark: they differ by less than a camera does from a meter.
    """
    import hashlib

    parts = [str(exif.get(tag, "")).strip("\x00 ") for tag in (0x010F, 0x0110)]
    return hashlib.sha256("|".join(parts).encode("utf-8", "replace")).hexdigest()[:12] if any(parts) else ""


def _present(exif: Any, tag: int) -> bool:
    return bool(str(exif.get(tag, "")).strip("\x00 "))


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
