"""Pictures of 16 bits a channel, read as 16 bits: PNG and plain TIFF. General libraries read them as 8 without a word.

PNG: [ISO-15948], not interlaced. TIFF: [TIFF-6.0], strips, chunky, one or three samples of 16 bits and alpha beside them,
uncompressed or deflate, horizontal predictor or none. All else of 16 bits is refused by name.
"""

from __future__ import annotations

import io
import struct
import zlib
from typing import TYPE_CHECKING, Any

from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    import numpy as np

    Codes = np.ndarray[Any, np.dtype[Any]]

_SAVE = "Save it as an uncompressed 16-bit TIFF in RGB or grey, as a 16-bit PNG, or with 8 bits."
_CHANNELS = {0: 1, 2: 3, 4: 2, 6: 4}  # PNG colour type → samples


def is_sixteen(data: bytes) -> bool:
    """Whether the file says that its samples have 16 bits (or more), from its head alone."""
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return data[24:25] == b"\x10"
    if data[:4] in (b"II*\x00", b"MM\x00*"):
        bits = _Tags(data).of(258, [1])
        return max(bits) > 8
    return False


def size_of(data: bytes) -> tuple[int, int]:
    """Width and height [px] as the head says, before anything is unpacked."""
    if data.startswith(b"\x89PNG"):
        if len(data) < 29:
            raise _broken()
        wide, high = struct.unpack(">II", data[16:24])
        return wide, high
    tags = _Tags(data)
    return tags.of(256, [0])[0], tags.of(257, [0])[0]


def read_sixteen(data: bytes) -> Codes:
    """Codes as uint16, shape (height, width, 1 or 3); an alpha channel is dropped. Refusal where it cannot be done."""
    try:
        return _png(data) if data.startswith(b"\x89PNG") else _tiff(data)
    except (struct.error, zlib.error, ValueError, IndexError) as error:
        raise _broken() from error


def _broken() -> Refusal:
    return Refusal.one(
        "picture", "a picture of 16 bits that breaks off or is damaged", "A whole picture.", "Send it again."
    )


def _not_read(what: str) -> Refusal:
    return Refusal.one("picture", what, "16 bits are read from PNG and plain TIFF.", _SAVE)


# --- PNG -------------------------------------------------------------------------------------------


def _png(data: bytes) -> Codes:
    import numpy as np

    wide, high, bits, colour, _, _, interlaced = struct.unpack(">IIBBBBB", data[16:29])
    if bits != 16 or colour not in _CHANNELS:
        raise _broken()
    if interlaced:
        raise _not_read("an interlaced PNG of 16 bits")
    samples = _CHANNELS[colour]
    quick = _png_quick(data, samples)
    if quick is not None:
        return quick
    stride = wide * samples * 2
    raw = _inflated(_chunks(data), high * (stride + 1))
    rows = np.frombuffer(raw, dtype=np.uint8).reshape(high, stride + 1)
    plain = _unfiltered(rows[:, 0], rows[:, 1:].copy(), samples * 2)
    codes = plain.view(">u2").reshape(high, wide, samples).astype(np.uint16)
    return codes[:, :, : (1 if samples < 3 else 3)]


def _png_quick(data: bytes, samples: int) -> Codes | None:
    """By the library's own decoder, which gives one byte of each sample at a time: asked for the upper, then for the lower.

    None where it cannot; its first rows are compared with those unfiltered here, so that a library that changes its ways
    is found out. A scan of 35 million pixels takes seconds, not minutes.
    """
    import warnings

    import numpy as np
    from PIL import Image

    if samples < 3:
        return None
    layers = []
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            for order in ("16B", "16L"):
                picture: Any = Image.open(io.BytesIO(data), formats=["PNG"])
                picture.tile = [t._replace(args=f"{picture.mode};{order}") for t in picture.tile]
                layers.append(np.asarray(picture)[:, :, :3])
    except Exception:  # decoders promise no kind of error; what is wrong with the file is said by the slow way
        return None
    codes: Codes = layers[0].astype(np.uint16)
    codes <<= 8
    codes |= layers[1]
    wide, few = codes.shape[1], min(2, codes.shape[0])
    stride = wide * samples * 2
    rows = np.frombuffer(_inflated(_chunks(data), few * (stride + 1)), dtype=np.uint8).reshape(few, stride + 1)
    own = _unfiltered(rows[:, 0], rows[:, 1:].copy(), samples * 2).view(">u2").reshape(few, wide, samples)
    return codes if (own[:, :, :3] == codes[:few]).all() else None


def _chunks(data: bytes) -> list[bytes]:
    found, at = [], 8
    while at + 12 <= len(data):
        length, name = struct.unpack(">I4s", data[at : at + 8])
        if name == b"IDAT":
            found.append(data[at + 8 : at + 8 + length])
        if name == b"IEND":
            break
        at += 12 + length
    return found


def _inflated(parts: list[bytes], expected: int) -> bytes:
    """At most `expected` bytes come out, whatever the file holds."""
    unpack = zlib.decompressobj()
    out = unpack.decompress(b"".join(parts), expected)
    if len(out) < expected:
        raise ValueError("too few bytes")
    return out


def _unfiltered(kinds: Codes, rows: Codes, step: int) -> Codes:
    """Undo the five row filters; `step` bytes to the left. Rows one after another, bytes of a row at once where they can."""
    import numpy as np

    above = np.zeros(rows.shape[1], dtype=np.uint8)
    for k in range(len(rows)):
        row, kind = rows[k], int(kinds[k])
        if kind == 1:
            row[:] = np.cumsum(row.reshape(-1, step), axis=0, dtype=np.uint8).ravel()
        elif kind == 2:
            row += above
        elif kind == 3:
            _averaged(row, above, step)
        elif kind == 4:
            _paeth(row, above, step)
        elif kind != 0:
            raise ValueError("unknown filter")
        above = row
    return rows


def _averaged(row: Codes, above: Codes, step: int) -> None:
    r, a = row.tolist(), above.tolist()
    for i in range(len(r)):
        left = r[i - step] if i >= step else 0
        r[i] = (r[i] + (left + a[i]) // 2) & 255
    row[:] = r


def _paeth(row: Codes, above: Codes, step: int) -> None:
    r, up = row.tolist(), above.tolist()
    for i in range(min(step, len(r))):
        r[i] = (r[i] + up[i]) & 255
    for i in range(step, len(r)):
        a, b, c = r[i - step], up[i], up[i - step]
        pa, pb, pc = abs(b - c), abs(a - c), abs(a + b - c - c)
        best = a if pa <= pb and pa <= pc else (b if pb <= pc else c)
        r[i] = (r[i] + best) & 255
    row[:] = r


# --- TIFF ------------------------------------------------------------------------------------------

_SIZES = {1: ("B", 1), 3: ("H", 2), 4: ("I", 4)}


class _Tags:
    """The first directory of a TIFF: whole numbers only."""

    def __init__(self, data: bytes) -> None:
        self.order = "<" if data[:2] == b"II" else ">"
        self.found: dict[int, list[int]] = {}
        try:
            (at,) = struct.unpack(self.order + "I", data[4:8])
            (count,) = struct.unpack(self.order + "H", data[at : at + 2])
            for k in range(min(count, 512)):
                self._entry(data, data[at + 2 + 12 * k : at + 14 + 12 * k])
        except struct.error as error:
            raise _broken() from error

    def _entry(self, data: bytes, entry: bytes) -> None:
        tag, kind, many = struct.unpack(self.order + "HHI", entry[:8])
        if kind not in _SIZES or many > 1_000_000:
            return
        letter, size = _SIZES[kind]
        where = entry[8:12]
        if many * size > 4:
            (start,) = struct.unpack(self.order + "I", where)
            where = data[start : start + many * size]
        self.found[tag] = list(struct.unpack(f"{self.order}{many}{letter}", where[: many * size]))

    def of(self, tag: int, default: list[int]) -> list[int]:
        return self.found.get(tag) or default


def _tiff(data: bytes) -> Codes:
    import numpy as np

    tags = _Tags(data)
    packed, photometric = tags.of(259, [1])[0], tags.of(262, [1])[0]
    samples, bits = tags.of(277, [1])[0], tags.of(258, [1])
    if set(bits) != {16} or tags.of(339, [1])[0] != 1:
        raise _not_read("a TIFF of 32 bits or of floating numbers")
    if packed not in (1, 8, 32946):
        raise _not_read("a TIFF of 16 bits packed another way than deflate")
    if photometric not in (0, 1, 2) or tags.of(284, [1])[0] != 1 or not 1 <= samples <= 4 or 322 in tags.found:
        raise _not_read("a TIFF of 16 bits in tiles, planes or colours other than RGB and grey")
    wide, high = tags.of(256, [0])[0], tags.of(257, [0])[0]
    per = min(tags.of(278, [high])[0], high) or high
    out = np.empty((high, wide, samples), dtype=np.uint16)
    starts, lengths = tags.of(273, []), tags.of(279, [])
    for k, top in enumerate(range(0, high, per)):
        tall = min(per, high - top)
        size = tall * wide * samples * 2
        part = data[starts[k] : starts[k] + lengths[k]]
        part = part[:size] if packed == 1 else _inflated([part], size)
        block = np.frombuffer(part, dtype=tags.order + "u2").reshape(tall, wide, samples).astype(np.uint16)
        if tags.of(317, [1])[0] == 2:
            block = np.cumsum(block, axis=1, dtype=np.uint16)
        out[top : top + tall] = block
    if photometric == 0:
        out = 65535 - out
    return out[:, :, : (1 if samples < 3 else 3)]
