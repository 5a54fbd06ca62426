"""A raw file as a photo: developed with a plain curve and nothing brightened, where the extra `raw` is installed. Imported only for one."""

from __future__ import annotations

import importlib.util
import io
from typing import TYPE_CHECKING, Any

from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from PIL.Image import Image

MAGIC = (b"II*\x00", b"MM\x00*", b"IIU\x00", b"IIRO", b"IIRS", b"MMOR", bytes.fromhex("46554a4946494c4d"))  # the last is one maker's own
NOTE = (
    "A raw file: its scale is its maker's and may be a stop off, always the same way. Compare it once with your own meter, "
    "apart from the phone's photos."
)
INSTALL = "Send the JPEG made beside it, or install the extra once: pip install 'firstsheet[raw]'."


def looks_raw(data: bytes) -> bool:
    """Whether it begins as raw files do; a TIFF picture begins so too."""
    return data.startswith(MAGIC) or (data[4:8] == b"ftyp" and data[8:12] == b"crx ")


def developed(data: bytes, max_pixels: int) -> tuple[Image, Any]:
    """The picture in sRGB, upright, linear light scaled so that the sensor's full is white, and its EXIF.

    The camera's own white balance; no brightening, no highlights rebuilt. Refuses, saying how to go on, where the extra is missing
    and what is no raw file. [IEC-61966-2-1]
    """
    if importlib.util.find_spec("rawpy") is None:
        raise Refusal.one("photo", "a TIFF or a raw file", "A JPEG, HEIC or PNG photo; a raw file with the extra for it.", INSTALL)
    import rawpy  # type: ignore[import-not-found,import-untyped,unused-ignore]
    from PIL import Image

    try:
        with rawpy.imread(io.BytesIO(data)) as raw:
            pixels = raw.sizes.raw_width * raw.sizes.raw_height
            if pixels > max_pixels:
                raise Refusal.one("photo", f"{pixels / 1e6:.0f} million pixels", f"At most {max_pixels / 1e6:.0f} million pixels.", "Send the JPEG made beside it.")
            codes = raw.postprocess(
                gamma=(2.4, 12.92), no_auto_bright=True, use_camera_wb=True, output_bps=8, output_color=rawpy.ColorSpace.sRGB,
                half_size=pixels > 8_000_000,
            )  # fmt: skip
    except rawpy.LibRawError as error:
        hint = "Send the photo as the phone or camera made it: JPEG, HEIC or PNG."
        raise Refusal.one("photo", "a TIFF, or a raw file that cannot be read", "A whole raw file.", hint) from error
    exif = Image.Exif()
    try:
        exif.load(b"Exif\x00\x00" + data)
    except Exception:  # a raw file that is no TIFF inside says nothing of its exposure: it is asked for
        exif = Image.Exif()
    return Image.fromarray(codes), exif
