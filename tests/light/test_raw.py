"""Raw files: a DNG written here byte by byte, developed where the extra is installed, and refused with the way to it where not."""

from __future__ import annotations

import importlib.util
import math
import struct

import numpy as np
import pytest

from firstsheet.light.photo import receive
from firstsheet.light.spot import RAW_MID_Y, spot_luminance
from firstsheet.refusal import Refusal


def dng(share, wide=256, high=192, orientation=1):
    """A DNG 1.4 (from memory): one plane of Bayer pixels, each `share` of the way from black 0 to white 65535; f/2, 1/125 s, ISO 100."""
    pixels = np.full((high, wide), round(65535 * share), "<u2").tobytes()
    inner = [(0x829A, 5, (1, 125)), (0x829D, 5, (2, 1)), (0x8827, 3, (100,))]
    first = [
        (254, 4, (0,)), (256, 4, (wide,)), (257, 4, (high,)), (258, 3, (16,)), (259, 3, (1,)), (262, 3, (32803,)), (271, 2, b"Invented\0"),
        (272, 2, b"Nobody's\0"), (273, 4, (0,)), (274, 3, (orientation,)), (277, 3, (1,)), (278, 4, (high,)), (279, 4, (len(pixels),)), (284, 3, (1,)),
        (33421, 3, (2, 2)), (33422, 1, (0, 1, 1, 2)), (34665, 4, (0,)), (50706, 1, (1, 4, 0, 0)), (50708, 2, b"Invented Nobody's\0"),
        (50714, 4, (0,)), (50717, 4, (65535,)),
        (50721, 10, tuple(round(v * 10000) if i % 2 == 0 else 10000 for v in (3.2406, -1.5372, -0.4986, -0.9689, 1.8758, 0.0415, 0.0557, -0.2040, 1.0570) for i in range(2))),
        (50728, 5, (1, 1, 1, 1, 1, 1)), (50778, 3, (21,)),
    ]  # fmt: skip
    sizes = {1: "B", 3: "H", 4: "I", 5: "I", 10: "i"}

    def ifd(entries, at):
        body, rest = struct.pack("<H", len(entries)), b""
        after = at + 2 + 12 * len(entries) + 4
        for tag, kind, values in entries:
            data = values if kind == 2 else struct.pack(f"<{len(values)}{sizes[kind]}", *values)
            count = len(values) // 2 if kind in (5, 10) else len(values)
            if len(data) > 4:
                where = struct.pack("<I", after + len(rest))
                rest += data + bytes(len(data) % 2)
            else:
                where = data.ljust(4, b"\0")
            body += struct.pack("<HHI", tag, kind, count) + where
        return body + bytes(4) + rest

    length = len(ifd(first, 8))
    second = ifd(inner, 8 + length)
    placed = {273: 8 + length + len(second), 34665: 8 + length}
    first = [(tag, kind, (placed[tag],) if tag in placed else values) for tag, kind, values in first]
    return b"II*\0" + struct.pack("<I", 8) + ifd(first, 8) + second + pixels


def test_without_the_extra_it_is_refused_with_the_way_to_it(monkeypatch):
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    with pytest.raises(Refusal, match=r"firstsheet\[raw\]"):
        receive(dng(0.2))


@pytest.mark.skipif(importlib.util.find_spec("rawpy") is None, reason="the extra “raw” is not installed")
class TestDeveloped:
    def test_its_exposure_is_read_and_its_light_is_linear(self):
        """Two files a stop apart read a stop apart. The sensor is full at 78/S lx·s and H = 0.65·L·t/N²: L = share·(78/0.65)·4·125/100 [ISO 12232, from memory]."""
        got = [receive(dng(share)) for share in (0.2, 0.4)]
        assert got[0].exposure.settings() == pytest.approx((2.0, 1 / 125, 100))
        low, high = (spot_luminance(g.kept_jpeg, g.exposure, 0.5, 0.5, mid_y=RAW_MID_Y).luminance_cdm2 for g in got)
        assert math.log2(high / low) == pytest.approx(1.0, abs=0.05)
        assert math.log2(low / (0.2 * 78 / 0.65 * 4 * 125 / 100)) == pytest.approx(0.0, abs=0.1)
        assert any("raw file" in w for w in got[0].warnings)

    def test_it_stands_upright(self):
        assert receive(dng(0.2, orientation=6)).height == 256

    def test_what_is_no_raw_file_is_refused(self):
        with pytest.raises(Refusal, match="raw file"):
            receive(b"II*\0" + bytes(400))
