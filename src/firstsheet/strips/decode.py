"""A picture file into linear light: relative luminance, upright as stored, of a bounded size, with what is clipped.

sRGB codes are undone [IEC-61966-2-1]; a colour profile in the file is not followed, and that is said. Pixels are averaged
in linear light, never in codes.
"""

from __future__ import annotations

import io
import warnings as python_warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet.light.pixels import decoded
from firstsheet.refusal import Refusal
from firstsheet.strips.sixteen import is_sixteen, read_sixteen, size_of

if TYPE_CHECKING:
    import numpy as np
    from PIL.Image import Image

    Floats = np.ndarray[Any, np.dtype[Any]]

LONG_EDGE_PX = 2400
ROWS = 240
MAX_BYTES = 400_000_000  # a 16-bit scan of 35 million pixels is 210 MB
MAX_PIXELS = 120_000_000
HIGH_CODE = 254  # of 255; a JPEG rings by a code at its end
LOW_CODE = 2
_WEIGHTS = (0.2126, 0.7152, 0.0722)
_WANTED = "A JPEG, PNG, TIFF or HEIC picture."
_HEIC = (b"heic", b"heix", b"heim", b"heis", b"mif1", b"msf1")


@dataclass(frozen=True, slots=True)
class Linear:
    """A picture as light.

    light   relative luminance [1 = the file's white], float32, (height, width)
    high    share of samples of each pixel at the upper end, 0…1; low the same at the lower end
    bits    8 or 16
    factor  how many file pixels along an edge went into one
    camera  the file says it was exposed by a camera (it has an exposure time), so a tone curve is likely
    notes   sentences for the person
    """

    light: Floats
    high: Floats
    low: Floats
    bits: int
    factor: int
    camera: bool
    notes: tuple[str, ...]


def linear(data: bytes, long_edge_px: int = LONG_EDGE_PX) -> Linear:
    """Decode. Refuses, by name, what is empty, huge, damaged, or of a kind that cannot be read faithfully."""
    form = _form(data)
    if is_sixteen(data):
        _sized(size_of(data))
        codes = read_sixteen(data)
        light, high, low, factor = _boxes(codes, 16, long_edge_px)
        return Linear(light, high, low, 16, factor, False, ("No colour profile was followed.",))
    try:
        with python_warnings.catch_warnings():
            python_warnings.simplefilter("ignore")  # the size is checked here, by name
            picture = _opened(data, form)
            _sized(picture.size)
            if picture.mode.startswith(("I", "F")):
                raise Refusal.one(
                    "picture", f"pixels of kind {picture.mode}", "8 or 16 bits in RGB or grey.", "Save it anew."
                )
            notes = ["Its colour profile was not followed."] if picture.info.get("icc_profile") else []
            camera = bool(picture.getexif().get_ifd(0x8769).get(0x829A))
            wanted = picture if picture.mode in ("L", "RGB") else picture.convert("RGB")
            codes = _codes8(wanted)
    except Refusal:
        raise
    except Exception as error:  # decoders promise no kind of error
        name = "far more pixels than bytes" if "Bomb" in type(error).__name__ else "a picture that cannot be read"
        raise Refusal.one("picture", name, _WANTED, "It may have broken off on the way: send it again.") from error
    light, high, low, factor = _boxes(codes, 8, long_edge_px)
    return Linear(light, high, low, 8, factor, camera or form == "HEIF", tuple(notes))


def _form(data: bytes) -> str:
    if len(data) > MAX_BYTES:
        raise Refusal.one(
            "picture", f"{len(data) / 1e6:.0f} MB", f"At most {MAX_BYTES / 1e6:.0f} MB.", "Scan it smaller."
        )
    for magic, form in (
        (b"\xff\xd8\xff", "JPEG"),
        (b"\x89PNG\r\n\x1a\n", "PNG"),
        (b"II*\x00", "TIFF"),
        (b"MM\x00*", "TIFF"),
    ):
        if data.startswith(magic):
            return form
    if data[4:8] == b"ftyp" and data[8:12] in _HEIC:
        return "HEIF"
    raise Refusal.one(
        "picture", "an empty file" if not data else "no such picture", _WANTED, "Send the scan or photo itself."
    )


def _sized(size: tuple[int, int]) -> None:
    if size[0] * size[1] > MAX_PIXELS:
        raise Refusal.one(
            "picture",
            f"{size[0]} × {size[1]} pixels",
            f"At most {MAX_PIXELS / 1e6:.0f} million pixels.",
            "Scan it at fewer dots per inch.",
        )
    if min(size) < 64:
        raise Refusal.one(
            "picture",
            f"{size[0]} × {size[1]} pixels",
            "At least 64 × 64 pixels.",
            "Too small: go closer, or scan finer.",
        )


def _opened(data: bytes, form: str) -> Image:
    from PIL import Image

    if form == "HEIF":
        from pillow_heif import register_heif_opener

        register_heif_opener(thumbnails=False)
    return Image.open(io.BytesIO(data), formats=[form, "MPO"] if form == "JPEG" else [form])


def _codes8(picture: Image) -> Floats:
    import numpy as np

    codes = np.asarray(picture)
    return codes[:, :, None] if codes.ndim == 2 else codes


def _boxes(codes: Floats, bits: int, long_edge_px: int) -> tuple[Floats, Floats, Floats, int]:
    """Luminance and clipped shares as means over factor × factor boxes; what does not fill a box is dropped."""
    import numpy as np

    high_px, wide_px, channels = codes.shape
    factor = max(1, -(-max(high_px, wide_px) // long_edge_px))
    rows, columns = high_px // factor, wide_px // factor
    weights = _WEIGHTS if channels == 3 else (1.0,)
    tables = [decoded(bits) * np.float32(w) for w in weights]
    top, bottom = HIGH_CODE << (bits - 8), LOW_CODE << (bits - 8)
    light, high, low = (np.empty((rows, columns), dtype=np.float32) for _ in range(3))
    tall = max(1, ROWS // factor)
    for first in range(0, rows, tall):
        last = min(first + tall, rows)
        part = codes[first * factor : last * factor, : columns * factor]
        y = tables[0][part[:, :, 0]]
        for k in range(1, channels):
            y += tables[k][part[:, :, k]]
        green = part[:, :, channels // 2]  # the channel that weighs most; the others clip near it on a grey thing
        most = green if channels == 1 else np.maximum(green, part[:, :, 0])
        light[first:last] = _mean(y, factor)
        for out, ends in ((high, most >= top), (low, green <= bottom)):
            out[first:last] = _mean(ends.view(np.uint8), factor) if ends.any() else 0.0
    return light, high, low, factor


def _mean(value: Floats, factor: int) -> Floats:
    """Means of factor × factor boxes."""
    import numpy as np

    if factor == 1:
        return value.astype(np.float32)
    kind = value.dtype if value.dtype == np.float32 else np.uint32
    rows = value[0::factor].astype(kind)
    for k in range(1, factor):
        rows += value[k::factor]
    sums = rows[:, 0::factor].astype(np.float32)
    for k in range(1, factor):
        sums += rows[:, k::factor]
    return np.asarray(sums / np.float32(factor * factor))
