"""A photo taken in: checked, stripped of what it knows of people and places, kept small, upright, in sRGB.

numpy and Pillow are imported inside the functions: reading a lux figure must not wait for them.
"""

from __future__ import annotations

import io
import math
import threading
import warnings as python_warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet.light.exif import Exposure, device_of, exposure_of, looks_like_screen, signs_of_trouble
from firstsheet.light.pixels import decoded, encoded
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    import numpy as np
    from PIL.Image import Image

    Floats = np.ndarray[Any, np.dtype[np.float32]]

LONG_EDGE_PX = 2000
ROWS = 256  # a strip of the picture at a time: linear light in float32 is twelve bytes a pixel
DRAFT_PIXELS = 16_000_000  # above this a JPEG is decoded at half size, 2 × 2 averaged in its own encoding
CLIPPED = 250  # code; the kept JPEG may ring a few codes below 255
CLIPPED_SHARE = 0.02  # of the whole picture, worth a word

_READ = {b"\xff\xd8\xff": "JPEG", b"\x89PNG\r\n\x1a\n": "PNG"}
_NAMED = {  # what else arrives, by its first bytes, so that it can be refused by name
    b"GIF8": "a GIF",
    b"BM": "a BMP",
    b"%PDF": "a PDF",
    b"PK\x03\x04": "a ZIP archive or a document",
    b"\x1aE\xdf\xa3": "a video",
}
_HEIC_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"mif1", b"msf1")
_TURN = threading.Lock()  # a picture of 100 million pixels takes half a gigabyte while it is read: one at a time
_WANTED = "A JPEG, HEIC or PNG photo."
_TRY = "Send the photo as the phone or camera made it: JPEG, HEIC or PNG."


@dataclass(frozen=True, slots=True)
class Received:
    """A photo as it is kept.

    kept_jpeg      sRGB, upright, long edge ≤ 2000 px, averaged in linear light; no EXIF, position or profile
    width, height  of the kept picture [px]
    exposure       what the file said of its exposure; what it did not say is None, never guessed
    clipped_fraction  share of pixels with a channel at its end, before making it smaller
    warnings       sentences for the person
    maybe_screen   it may be a picture of a screen: ask before it meters
    raw            it came from a raw file, whose scale is its own
    device         a mark by which the same camera is known again, from which it cannot be named; "" for none
    """

    kept_jpeg: bytes
    width: int
    height: int
    exposure: Exposure
    clipped_fraction: float
    warnings: tuple[str, ...]
    maybe_screen: bool = False
    raw: bool = False
    device: str = ""


def receive(data: bytes, max_bytes: int = 40_000_000, max_pixels: int = 120_000_000) -> Received:
    """Take in one photo file. Refuses, by name and size, what is no whole picture or too large.

    A file without exposure data is kept, with a warning (a strip needs none); metering asks for it.
    """
    form = _sniffed(data, max_bytes)
    with _TURN, _decoding("This file"):
        if form == "RAW":
            from firstsheet.light import raw

            picture, exif = raw.developed(data, max_pixels)
        else:
            picture, exif = _opened(data, form), None
        width, height = picture.size
        if width * height > max_pixels:
            raise Refusal.one(
                "photo",
                f"{width} × {height} pixels",
                f"At most {max_pixels / 1e6:.0f} million pixels.",
                "Make it smaller, or photograph it again at a usual size.",
            )
        if min(width, height) < 8:
            raise Refusal.one("photo", f"{width} × {height} pixels", "At least 8 × 8 pixels.", _TRY)
        exif = exif or picture.getexif()  # of a PNG this decodes it: only now that its size is known
        exposure, orientation = exposure_of(exif), 1 if form == "RAW" else _orientation(exif)
        device = device_of(exif)
        screen = looks_like_screen(exif, exposure, form, (width, height))
        notes = list(signs_of_trouble(exif, exposure))
        if form == "RAW":
            notes.append(raw.NOTE)
        if form == "PNG" and data[24:25] == b"\x10":
            notes.append("A picture of 16 bits was read at 8 bits.")
        small, clipped, colour_notes = _kept(picture, form)
        upright = _turned(small, orientation)
        out = io.BytesIO()
        upright.save(out, "JPEG", quality=93, subsampling=0)
    notes += colour_notes
    if clipped > CLIPPED_SHARE:
        notes.append(f"{clipped:.0%} of the picture is clipped: nothing can be read there. Expose it less.")
    return Received(out.getvalue(), upright.width, upright.height, exposure, clipped, tuple(notes), screen, form == "RAW", device)


def linear_luminance(kept_jpeg: bytes) -> tuple[Floats, Any]:
    """Relative luminance Y [0…1, 1 = white] of a kept picture (Rec. 709), and where a channel is clipped.

    Shapes (height, width): float32 and bool. Refuses what is no JPEG. [IEC-61966-2-1]
    """
    import numpy as np

    if not kept_jpeg.startswith(b"\xff\xd8\xff"):
        raise Refusal.one("photo", "no JPEG", "A photo that was taken in.", _TRY)
    with _decoding("The kept photo"):
        codes = np.asarray(_opened(kept_jpeg, "JPEG").convert("RGB"))
    weights = np.array([0.2126, 0.7152, 0.0722], dtype=np.float32)
    return decoded()[codes] @ weights, (codes >= CLIPPED).any(axis=2)


# --- opening ---------------------------------------------------------------------------------------


def _sniffed(data: bytes, max_bytes: int) -> str:
    if not data:
        raise Refusal.one("photo", "an empty file", _WANTED, "It may have broken off on the way.")
    if len(data) > max_bytes:
        size = f"{len(data) / 1e6:.0f} MB"
        raise Refusal.one("photo", size, f"At most {max_bytes / 1e6:.0f} MB.", "Send a smaller JPEG.")
    from firstsheet.light.raw import looks_raw

    if looks_raw(data):
        return "RAW"
    for magic, form in _READ.items():
        if data.startswith(magic):
            return form
    if data[4:8] == b"ftyp":
        if data[8:12] in _HEIC_BRANDS:
            _all_boxes_end(data)
            return "HEIF"
        raise Refusal.one("photo", "a video or another kind of picture", _WANTED, _TRY)
    if data.startswith(b"RIFF") and data[8:12] == b"WEBP":
        raise Refusal.one("photo", "a WebP", _WANTED, _TRY)
    for magic, name in _NAMED.items():
        if data.startswith(magic):
            raise Refusal.one("photo", name, _WANTED, _TRY)
    raise Refusal.one("photo", "no picture", _WANTED, _TRY)


def _all_boxes_end(data: bytes) -> None:
    """Refuse a HEIC that breaks off: its decoder would fill what is missing with grey. Outer boxes by their lengths. [ISO-14496-12]"""
    at, end = 0, len(data)
    while at < end:
        size = int.from_bytes(data[at : at + 4], "big")
        if size == 1:  # its length stands after its name, in eight bytes
            size = int.from_bytes(data[at + 8 : at + 16], "big")
        if size == 0:  # to the end of the file, by its own word
            return
        known = data[at + 4 : at + 8] in (b"ftyp", b"meta", b"mdat", b"moov", b"free", b"moof")
        if at + size > end and known:
            raise Refusal.one("photo", "a picture that breaks off", _WANTED, "Send it again: a part is missing.")
        if size < 8 or not known:  # what makers hang on behind is theirs
            return
        at += size


def _opened(data: bytes, form: str) -> Image:
    from PIL import Image

    formats = [form]
    if form == "JPEG":
        formats.append("MPO")  # a JPEG with a second picture behind it, as many cameras write
    elif form == "HEIF":
        from pillow_heif import register_heif_opener

        register_heif_opener(thumbnails=False)
    with python_warnings.catch_warnings():
        python_warnings.simplefilter("ignore")  # the size is checked here, by name
        return Image.open(io.BytesIO(data), formats=formats)


@contextmanager
def _decoding(what: str) -> Iterator[None]:
    """Turn whatever a decoder raises on a broken file into a refusal; decoders promise no kind of error."""
    from PIL import Image

    try:
        yield
    except Refusal:
        raise
    except Image.DecompressionBombError as error:
        raise Refusal.one("photo", "far more pixels than bytes", "A photo of a usual size.", _TRY) from error
    except Exception as error:
        cut = "truncated" in str(error) or "broken" in str(error)
        asked = "a picture that breaks off" if cut else "a picture that cannot be read"
        raise Refusal.one("photo", asked, f"{what} must hold a whole picture.", "Send it again.") from error


def _orientation(exif: Any) -> int:
    value = exif.get(0x0112)
    return value if isinstance(value, int) and 1 <= value <= 8 else 1


def _turned(picture: Image, orientation: int) -> Image:
    """Upright by the EXIF orientation 1 … 8; a HEIC arrives upright already."""
    from PIL.Image import Transpose as T

    turns = {
        2: T.FLIP_LEFT_RIGHT,
        3: T.ROTATE_180,
        4: T.FLIP_TOP_BOTTOM,
        5: T.TRANSPOSE,
        6: T.ROTATE_270,
        7: T.TRANSVERSE,
        8: T.ROTATE_90,
    }
    return picture.transpose(turns[orientation]) if orientation in turns else picture


# --- making it small in linear light ---------------------------------------------------------------


def _kept(picture: Image, form: str) -> tuple[Image, float, list[str]]:
    """The picture in sRGB with its long edge ≤ LONG_EDGE_PX, the clipped share, and what to tell."""
    import numpy as np
    from PIL import Image

    if form == "JPEG" and picture.width * picture.height > DRAFT_PIXELS:
        picture.draft(picture.mode, (-(-picture.width // 2), -(-picture.height // 2)))
    picture.load()
    to_srgb, notes = _colour_way(picture)
    factor = max(1, max(picture.size) // LONG_EDGE_PX)
    table, rows, clipped = decoded(), [], 0
    tall = ROWS - ROWS % factor
    for top in range(0, picture.height, tall):
        strip = picture.crop((0, top, picture.width, min(top + tall, picture.height)))
        codes = np.asarray(to_srgb(strip))
        clipped += int(np.count_nonzero((codes[:, :, 0] == 255) | (codes[:, :, 1] == 255) | (codes[:, :, 2] == 255)))
        rows.append(_boxed(table[codes], factor))
    linear = np.concatenate(rows)
    size = _fitted(linear.shape[1], linear.shape[0])
    channels = [linear[:, :, i] for i in range(3)]
    if size != (linear.shape[1], linear.shape[0]):
        box = Image.Resampling.BOX
        planes = [Image.fromarray(np.ascontiguousarray(c)) for c in channels]
        channels = [np.asarray(p.resize(size, box)) for p in planes]
    share = clipped / (picture.width * picture.height)
    return Image.fromarray(_encoded(np.stack(channels, axis=2))), share, notes


def _colour_way(picture: Image) -> tuple[Any, list[str]]:
    """A function from a strip to sRGB, and what to tell. A photo without a profile is taken as sRGB."""
    from PIL import ImageCms

    if picture.mode.startswith("I;16"):
        return lambda s: _grey16(s).convert("RGB"), ["A picture of 16 bits was read at 8 bits."]
    if picture.mode in ("I", "F", "LAB", "HSV"):
        raise Refusal.one("photo", f"pixels of kind {picture.mode}", "A photo in RGB or grey, 8 bits.", _TRY)
    plain = {"L": "L", "LA": "L", "1": "L", "RGB": "RGB", "CMYK": "CMYK"}.get(picture.mode, "RGB")
    profile = picture.info.get("icc_profile")
    if profile:
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            flags = ImageCms.Flags.BLACKPOINTCOMPENSATION
            srgb = ImageCms.createProfile("sRGB")
            intent = ImageCms.Intent.RELATIVE_COLORIMETRIC
            change = ImageCms.buildTransform(source, srgb, plain, "RGB", intent, flags)
        except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
            return lambda s: s.convert("RGB"), ["Its colour profile cannot be read: taken as sRGB."]
        return lambda s: ImageCms.applyTransform(s.convert(plain), change), []
    notes = ["It is in printing inks without a profile: colours are rough."] if plain == "CMYK" else []
    return lambda s: s.convert("RGB"), notes


def _grey16(strip: Image) -> Image:
    import numpy as np
    from PIL import Image

    return Image.fromarray((np.asarray(strip).astype(np.uint16) >> 8).astype(np.uint8))


def _boxed(linear: Floats, factor: int) -> Floats:
    """Means of factor × factor blocks; a rest of fewer than `factor` at right and bottom is dropped."""
    if factor == 1:
        return linear
    high, wide = linear.shape[0] // factor * factor, linear.shape[1] // factor * factor
    # Sums of whole slices: several times as fast as a mean over the axes of small blocks.
    rows = linear[0:high:factor].copy()
    for i in range(1, factor):
        rows += linear[i:high:factor]
    sums = rows[:, 0:wide:factor].copy()
    for i in range(1, factor):
        sums += rows[:, i:wide:factor]
    sums *= 1.0 / (factor * factor)
    return sums


def _fitted(width: int, height: int) -> tuple[int, int]:
    scale = min(1.0, LONG_EDGE_PX / max(width, height))
    return max(1, round(width * scale)), max(1, round(height * scale))


def _encoded(linear: Floats) -> Any:
    """sRGB codes of linear light; by strips, for the memory."""
    import numpy as np

    codes = np.empty(linear.shape, dtype=np.uint8)
    for top in range(0, linear.shape[0], ROWS):
        codes[top : top + ROWS] = encoded(linear[top : top + ROWS])
    return codes


def half_code_of(y: float) -> float:
    """Half a step of 8-bit sRGB at relative luminance `y`, in luminance [1]; from the sRGB curve."""
    slope = 12.92 if y <= 0.0031308 else 1.055 / 2.4 * math.pow(y, 1 / 2.4 - 1.0)
    return 0.5 / 255.0 / slope
