"""Pictures of known luminance, rendered by a forward model of their own: nothing of the package is used."""

from __future__ import annotations

import io
import struct

import numpy as np
from PIL import Image

TAKEN = "2026:05:03 14:02:10"


def srgb_code(linear):
    """8-bit sRGB of linear light, IEC 61966-2-1:1999."""
    v = np.clip(np.asarray(linear, dtype=float), 0.0, 1.0)
    return np.round(255.0 * np.where(v <= 0.0031308, 12.92 * v, 1.055 * v ** (1 / 2.4) - 0.055)).astype(np.uint8)


def camera_y(luminance_cdm2, f_number, time_s, iso):
    """What a camera records: H = 0.65·L·t/N² gives Y 0.18 where H = 10/S (ISO 12232, from memory)."""
    return 0.18 * (0.65 * luminance_cdm2 * time_s / f_number**2) / (10.0 / iso)


def exif_bytes(f_number=2.0, time_s=1 / 125, iso=100, orientation=None, gps=False, **tags):
    exif = Image.Exif()
    ifd = exif.get_ifd(0x8769)
    if f_number is not None:
        ifd[0x829D] = f_number
    if time_s is not None:
        ifd[0x829A] = time_s
    if iso is not None:
        ifd[0x8827] = iso
    ifd[0x9003] = TAKEN
    for tag, value in tags.items():
        ifd[int(tag[1:], 16)] = value
    if orientation is not None:
        exif[0x0112] = orientation
    if gps:
        exif.get_ifd(0x8825).update({1: "N", 2: (52.0, 12.0, 0.0), 3: "E", 4: (0.0, 7.0, 0.0)})
        exif[0x010F] = "SECRETMAKER"
    return exif.tobytes()


def as_file(codes, form="JPEG", exif=None, **more):
    out = io.BytesIO()
    picture = codes if isinstance(codes, Image.Image) else Image.fromarray(codes)
    if exif is not None:
        more["exif"] = exif
    if form == "JPEG":
        more = {"quality": 95, "subsampling": 0, **more}
    picture.save(out, form, **more)
    return out.getvalue()


def flat(y, width=320, height=240):
    return np.full((height, width, 3), srgb_code(y), dtype=np.uint8)


def display_p3_profile():
    """Display P3: its D50-adapted colorants (from memory) and the sRGB curve, as an ICC.1:2010 profile."""

    def s15(*values):
        return b"".join(struct.pack(">i", round(v * 65536)) for v in values)

    def text(words):
        data = words.encode("utf-16-be")
        return b"mluc" + bytes(4) + struct.pack(">II", 1, 12) + b"enUS" + struct.pack(">II", len(data), 28) + data

    curve = b"para" + bytes(4) + struct.pack(">HH", 3, 0) + s15(2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)
    tags = {
        b"desc": text("wide"),
        b"cprt": text("none"),
        b"wtpt": b"XYZ " + bytes(4) + s15(0.9642, 1.0, 0.8249),
        b"rXYZ": b"XYZ " + bytes(4) + s15(0.51512, 0.2412, -0.00105),
        b"gXYZ": b"XYZ " + bytes(4) + s15(0.29198, 0.69225, 0.04189),
        b"bXYZ": b"XYZ " + bytes(4) + s15(0.1571, 0.06657, 0.78407),
        b"rTRC": curve,
        b"gTRC": curve,
        b"bTRC": curve,
    }
    offset = 128 + 4 + 12 * len(tags)
    index, body = struct.pack(">I", len(tags)), b""
    for name, data in tags.items():
        data += bytes(-len(data) % 4)
        index += name + struct.pack(">II", offset + len(body), len(data))
        body += data
    size = offset + len(body)
    head = struct.pack(">I4sI4s4s4s", size, bytes(4), 0x04000000, b"mntr", b"RGB ", b"XYZ ")
    head += struct.pack(">6H", 2026, 1, 1, 0, 0, 0) + b"acsp" + bytes(28) + s15(0.9642, 1.0, 0.8249)
    return head + bytes(128 - len(head)) + index + body
