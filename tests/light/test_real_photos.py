"""Photos that real cameras made, out of the source packages of three libraries, against exposure data read by hand and hand arithmetic.

The packages lie where `./run test` puts them (.venv/share/photos, or $FIRSTSHEET_PHOTOS): the sources of pillow (MIT-CMU), pillow-heif
(BSD-3-Clause) and piexif (MIT), at the versions of constraints.txt. Nothing of them is kept here, and no camera is named: cameras are
told apart by what their files say. Without the packages these tests are left out.
"""

from __future__ import annotations

import io
import math
import os
import struct
import sys
import tarfile
import zipfile
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
from PIL import Image, ImageCms, ImageOps

from firstsheet.light.meter import ev100_of_luminance, ev100_of_triple
from firstsheet.light.photo import Received, receive
from firstsheet.light.spot import spot_luminance
from firstsheet.refusal import Refusal

FOLDER = Path(os.environ.get("FIRSTSHEET_PHOTOS") or Path(sys.prefix) / "share" / "photos")
KINDS = (".jpg", ".jpeg", ".mpo", ".heic", ".hif")
LARGEST = 3_000_000  # bytes; the larger ones only take time
SIZES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 7: 1, 9: 4, 10: 8}
LEAST = 50  # px, of the shorter edge: below it there is no spot to touch
K_PHOTO = 10 / 0.65  # a camera's mid-tone gets 10/S lx·s through q 0.65: ISO 12232, from memory


@dataclass(frozen=True)
class Told:
    """What a file says, read here with `struct` alone: no library, nothing of the package."""

    camera: tuple[str, str]
    orientation: int
    f_number: float | None
    time_s: float | None
    iso: float | None

    @property
    def ev100(self):
        """log2(N²/t · 100/S), None where one of the three is missing."""
        if not (self.f_number and self.time_s and self.iso):
            return None
        return math.log2(self.f_number**2 / self.time_s * 100 / self.iso)


def by_hand(data: bytes) -> Told | None:
    """EXIF by its byte layout (TIFF 6.0, and tag numbers of CIPA DC-008, both from memory)."""
    starts = {data.find(b"Exif\0\0" + mark): order for mark, order in ((b"II*\0", "<"), (b"MM\0*", ">"))}
    at = min((a for a in starts if a >= 0), default=None)
    if at is None:
        return None
    order, block = starts[at], data[at + 6 :]

    def entries(offset):
        out = {}
        for i in range(struct.unpack_from(order + "H", block, offset)[0]):
            tag, kind, n, _ = struct.unpack_from(order + "HHI4s", block, offset + 2 + 12 * i)
            where = offset + 10 + 12 * i
            if SIZES.get(kind, 1) * n > 4:
                where = struct.unpack_from(order + "I", block, where)[0]
            out[tag] = (kind, n, where)
        return out

    def number(entry):
        if entry is None:
            return None
        kind, _, where = entry
        if kind in (5, 10):
            over, under = struct.unpack_from(order + ("II" if kind == 5 else "ii"), block, where)
            return over / under if under else None
        return struct.unpack_from(order + {3: "H", 4: "I", 9: "i"}[kind], block, where)[0] if kind in (3, 4, 9) else None

    def text(entry):
        return block[entry[2] : entry[2] + entry[1]].strip(b"\0 ").decode("latin-1") if entry else ""

    try:
        first = entries(struct.unpack_from(order + "I", block, 4)[0])
        inner = entries(number(first.get(0x8769)) or 0)
        told = Told((text(first.get(0x010F)), text(first.get(0x0110))), int(number(first.get(0x0112)) or 1),
                    number(inner.get(0x829D)), number(inner.get(0x829A)), number(inner.get(0x8827)))  # fmt: skip
    except struct.error:
        return None
    return told if all(told.camera) else None


@cache
def photos() -> dict[str, bytes]:
    """Every picture of a usual kind in the packages, by its path there."""
    out = {}
    for package in sorted(FOLDER.glob("*.tar.gz")):
        with tarfile.open(package) as tar:
            for member in tar:
                if member.isfile() and member.name.lower().endswith(KINDS) and member.size <= LARGEST:
                    out[member.name] = tar.extractfile(member).read()
    for package in sorted(FOLDER.glob("*.zip")):
        with zipfile.ZipFile(package) as z:
            for info in z.infolist():
                if info.filename.lower().endswith(KINDS) and info.file_size <= LARGEST:
                    out[info.filename] = z.read(info)
    return out


def told() -> dict[str, tuple[bytes, Told]]:
    """Those that name a camera and say at least part of its exposure, one by one."""
    found = {name: (data, by_hand(data)) for name, data in photos().items()}
    return {n: (d, t) for n, (d, t) in found.items() if t and (t.f_number or t.time_s)}


@cache
def taken() -> dict[str, tuple[bytes, Told, Received | Refusal]]:
    """The same, each taken in once, with what came of it."""
    out = {}
    for name, (data, said) in told().items():
        try:
            out[name] = (data, said, receive(data))
        except Refusal as refusal:
            out[name] = (data, said, refusal)
    return out


def whole() -> dict[str, tuple[bytes, Told, Received]]:
    return {n: (d, t, r) for n, (d, t, r) in taken().items() if isinstance(r, Received) and min(r.width, r.height) >= LEAST}


pytestmark = pytest.mark.skipif(not photos(), reason=f"no source packages with photos in {FOLDER}: ./run test fetches them")


def turned(data: bytes) -> Image.Image:
    """The full picture upright in sRGB, by Pillow's own turning and its colour management."""
    pillow_heif.register_heif_opener()
    with Image.open(io.BytesIO(data)) as opened:
        profile = opened.info.get("icc_profile")
        upright = ImageOps.exif_transpose(opened).convert("RGB")
    if not profile:
        return upright
    return ImageCms.profileToProfile(upright, io.BytesIO(profile), ImageCms.createProfile("sRGB"), outputMode="RGB",
                                     renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC)  # fmt: skip


def disc_of(upright: Image.Image, x: float, y: float) -> tuple[float, float]:
    """Mean linear light of a disc by IEC 61966-2-1, and the share of it at the top code."""
    codes = np.asarray(upright)
    high, wide = codes.shape[:2]
    rows, cols = np.ogrid[0:high, 0:wide]
    inside = (rows + 0.5 - y * high) ** 2 + (cols + 0.5 - x * wide) ** 2 <= max(0.75, (0.02 * min(high, wide)) ** 2)
    seen = codes[inside] / 255.0
    linear = np.where(seen <= 0.04045, seen / 12.92, ((seen + 0.055) / 1.055) ** 2.4)
    return float((linear @ [0.2126, 0.7152, 0.0722]).mean()), float((seen > 0.97).any(axis=1).mean())


def test_what_cameras_say_is_what_their_bytes_say():
    """At least eight cameras, HEIC among them: exposure value within 0.1 of log2(N²/t · 100/S) from the bytes of the file."""
    cameras, heic = set(), 0
    for name, (data, said, got) in whole().items():
        if said.ev100 is None:
            continue
        assert ev100_of_triple(*got.exposure.settings()) == pytest.approx(said.ev100, abs=0.1), name
        cameras.add(said.camera)
        heic += data[4:8] == b"ftyp"
    assert len(cameras) >= 8
    assert heic >= 3


def test_what_is_not_taken_in_is_broken_or_too_large():
    """A refusal of a real file stands only where another reader fails on it too, or it has over 120 million pixels."""
    for name, (data, _, got) in taken().items():
        if isinstance(got, Refusal):
            try:
                with Image.open(io.BytesIO(data)) as opened:
                    opened.load()
                    assert opened.width * opened.height > 120_000_000, name
            except (OSError, ValueError, Image.DecompressionBombError):
                continue


def test_a_touched_spot_reads_as_hand_arithmetic_does():
    """EV of a spot within 0.1 of (10/0.65)·N²/(t·S)·(Y/0.18), its Y worked out on the full picture, over at least eight cameras, upright
    and lying, turned ones among them."""
    cameras, shapes = set(), set()
    for name, (data, said, got) in whole().items():
        if said.ev100 is None:
            continue
        upright = turned(data)
        assert (got.width > got.height) == (upright.width > upright.height), name
        for x, y in ((0.5, 0.5), (0.3, 0.6), (0.7, 0.2)):
            mean, clipped = disc_of(upright, x, y)
            if not 0.02 < mean < 0.7 or clipped > 0.02:
                continue
            spot = spot_luminance(got.kept_jpeg, got.exposure, x, y)
            luminance = K_PHOTO * said.f_number**2 / (said.time_s * said.iso) * mean / 0.18
            assert ev100_of_luminance(spot.luminance_cdm2) == pytest.approx(ev100_of_luminance(luminance), abs=0.1), name
            cameras.add(said.camera)
            shapes.add((upright.width > upright.height, said.orientation > 1))
    assert len(cameras) >= 8
    assert {wide for wide, _ in shapes} == {True, False}
    assert any(flagged for _, flagged in shapes)


def test_a_camera_that_does_not_say_its_iso_is_asked():
    silent = [r for _, t, r in whole().values() if t.f_number and t.time_s and not t.iso and r.exposure.iso is None]
    assert silent
    for got in silent:
        assert got.exposure.missing == ("ISO",)
        with pytest.raises(Refusal, match="ISO"):
            spot_luminance(got.kept_jpeg, got.exposure, 0.5, 0.5)
        with pytest.raises(Refusal, match="ISO"):
            got.exposure.settings()
        assert got.exposure.filled(iso=100).settings()[2] == 100


def test_a_real_photo_cut_short_is_refused():
    cut = [d for d, _, r in whole().values() if len(d) > 30_000 and r.width > 200]
    assert len(cut) >= 4
    for data in cut:
        for share in (0.3, 0.6):
            with pytest.raises(Refusal):
                receive(data[: int(len(data) * share)])
