"""Files into light: 16 bits stay 16 bits, what cannot be read is refused by name."""

from __future__ import annotations

import io
import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from firstsheet.refusal import Refusal
from firstsheet.strips import decode
from firstsheet.strips.sixteen import is_sixteen, read_sixteen


def png16(codes: np.ndarray, filters: str = "") -> bytes:
    """A 16-bit PNG with the row filters asked for; the filters as the standard defines them. [ISO-15948]"""
    high, wide, samples = codes.shape
    raw = codes.astype(">u2").view(np.uint8).reshape(high, -1).astype(int)
    step, out, above = samples * 2, b"", np.zeros(raw.shape[1], dtype=int)
    for k in range(high):
        kind = int(filters[k % len(filters)]) if filters else 0
        row = raw[k]
        left = np.concatenate([np.zeros(step, dtype=int), row[:-step]])
        corner = np.concatenate([np.zeros(step, dtype=int), above[:-step]])
        p = left + above - corner
        near = np.abs(np.stack([left, above, corner]) - p).argmin(axis=0)  # ties: left, above, corner
        paeth = np.choose(near, [left, above, corner])
        guess = [0 * row, left, above, (left + above) // 2, paeth][kind]
        out += bytes([kind]) + ((row - guess) % 256).astype(np.uint8).tobytes()
        above = row

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", wide, high, 16, 2 if samples == 3 else 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(out)) + chunk(b"IEND", b"")


def tiff16(codes: np.ndarray, order: str = "<", packed: int = 1, predictor: int = 1) -> bytes:
    """A 16-bit TIFF of one strip. [TIFF-6.0]"""
    high, wide, samples = codes.shape
    rows = codes.astype(np.uint16)
    if predictor == 2:
        rows = np.concatenate([rows[:, :1], np.diff(rows, axis=1)], axis=1)
    data = rows.astype(order + "u2").tobytes()
    data = zlib.compress(data) if packed != 1 else data
    tags = [
        (256, 4, wide),
        (257, 4, high),
        (258, 3, 16),
        (259, 3, packed),
        (262, 3, 2 if samples == 3 else 1),
        (273, 4, 8),
        (277, 3, samples),
        (278, 4, high),
        (279, 4, len(data)),
        (317, 3, predictor),
    ]
    body = struct.pack(order + "H", len(tags))
    for tag, kind, value in tags:
        body += struct.pack(
            order + ("HHI" + ("I" if kind == 4 else "HH")), tag, kind, 1, *([value] if kind == 4 else [value, 0])
        )
    return (
        (b"II*\x00" if order == "<" else b"MM\x00*")
        + struct.pack(order + "I", 8 + len(data))
        + data
        + body
        + b"\x00" * 4
    )


def some_codes(samples: int = 3) -> np.ndarray:
    return np.random.default_rng(4).integers(0, 65536, (70, 90, samples), dtype=np.uint16)


@pytest.mark.parametrize("filters", ["0", "1", "2", "3", "4", "01234"])
def test_png_of_sixteen_bits_comes_back_to_the_last_bit(filters: str) -> None:
    codes = some_codes()
    assert (read_sixteen(png16(codes, filters)) == codes).all()


@pytest.mark.parametrize(
    ("order", "packed", "predictor"), [("<", 1, 1), (">", 1, 1), ("<", 8, 1), ("<", 8, 2), (">", 32946, 2)]
)
def test_tiff_of_sixteen_bits_comes_back_to_the_last_bit(order: str, packed: int, predictor: int) -> None:
    codes = some_codes()
    assert (read_sixteen(tiff16(codes, order, packed, predictor)) == codes).all()


@pytest.mark.parametrize("form", ["PNG", "TIFF"])
def test_grey_files_of_another_writer_are_read_alike(form: str) -> None:
    """A general library writes 16-bit grey faithfully; it is the outside witness here."""
    codes, out = some_codes(1), io.BytesIO()
    Image.fromarray(codes[:, :, 0]).save(out, form)
    assert is_sixteen(out.getvalue())
    assert (read_sixteen(out.getvalue())[:, :, 0] == codes[:, :, 0]).all()


def test_sixteen_bits_hold_more_than_eight() -> None:
    """Two greys 1/20 of an 8-bit code apart stay apart."""
    codes = np.full((70, 90, 3), 5000, dtype=np.uint16)
    codes[:, 45:] += 13
    light = decode.linear(png16(codes)).light
    assert light[5, 80] > light[5, 5] * 1.001


def test_codes_become_light_by_the_standard() -> None:
    """sRGB code 188 is 0.5029 of white, 118 is 0.1812, 255 is 1: closed form of the curve. [IEC-61966-2-1]"""
    for code, light in ((188, 0.5029), (118, 0.1812), (255, 1.0), (10, 10 / 255 / 12.92)):
        out = io.BytesIO()
        Image.new("RGB", (80, 80), (code,) * 3).save(out, "PNG")
        assert decode.linear(out.getvalue()).light[40, 40] == pytest.approx(light, abs=2e-4)


def test_pixels_are_averaged_as_light_not_as_codes() -> None:
    codes = np.zeros((80, 160), dtype=np.uint8)
    codes[:, ::2] = 255
    out = io.BytesIO()
    Image.fromarray(codes).save(out, "PNG")
    assert decode.linear(out.getvalue(), 80).light.mean() == pytest.approx(0.5, abs=1e-3)


def interlaced() -> bytes:
    data = bytearray(png16(some_codes()))
    data[28] = 1
    return bytes(data)


@pytest.mark.parametrize(
    ("data", "named"),
    [
        (b"", "an empty file"),
        (b"GIF89a" + b"0" * 100, "no such picture"),
        (png16(some_codes())[:3000], "breaks off"),
        (interlaced(), "an interlaced PNG"),
        (tiff16(some_codes(), packed=5), "packed another way"),
        (b"\xff\xd8\xff" + b"0" * 500, "cannot be read"),
        (
            b"\x89PNG\r\n\x1a\n" + struct.pack(">I4sIIBBBBB", 13, b"IHDR", 90_000, 90_000, 16, 2, 0, 0, 0),
            "90000 × 90000",
        ),
        (png16(some_codes()[:20]), "20 pixels"),
        (b"II*\x00\x08\x00\x00\x00", "breaks off"),
    ],
)
def test_what_cannot_be_read_is_refused_by_name(data: bytes, named: str) -> None:
    with pytest.raises(Refusal) as refusal:
        decode.linear(data)
    assert named in refusal.value.problems[0].asked


def test_a_file_that_swells_is_stopped() -> None:
    """A megabyte of zeros behind a head of 64 × 64 is never unpacked beyond what the head says."""
    head = png16(np.zeros((64, 64, 3), dtype=np.uint16))
    bomb = zlib.compress(b"\x00" * 50_000_000)
    start = head.index(b"IDAT") - 4
    data = head[:start] + struct.pack(">I", len(bomb)) + b"IDAT" + bomb + b"0000"
    assert read_sixteen(data).shape == (64, 64, 3)
