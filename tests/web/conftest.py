"""A book with a boathouse in it (invented), a clock in our hand, and a client on this machine."""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta

import pytest
from fastapi.testclient import TestClient
from PIL import Image

from firstsheet.acts import own, wish
from firstsheet.book.store import Book
from firstsheet.web.app import create_app

HERE = "http://localhost"
CAMERA = {
    "name": "boathouse", "focal": "600 mm", "f_number": "f/8", "stops": "f/11 f/16", "board_min": "620 mm",
    "board_max": "1100 mm", "length": "2.4 m", "width": "2 m", "height": "2.1 m", "coverage": "60°",
}  # fmt: skip
BOX = {"name": "D", "paper": "direct_positive", "size": "12x16 in", "sheets": "25", "cost": "4.20 EUR"}


class Clock:
    def __init__(self) -> None:
        self.at = datetime(2026, 5, 3, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.at

    def pass_s(self, seconds: float) -> None:
        self.at += timedelta(seconds=seconds)


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def empty(tmp_path, clock):
    with Book.open(tmp_path / "book.sqlite", now=clock) as book:
        yield book


@pytest.fixture
def book(empty):
    own.add_camera(empty, CAMERA)
    own.add_box(empty, BOX)
    own.add_developer(empty, {"name": "coffee", "kind": "coffee"})
    own.add_meter(empty, {"name": "my meter", "kind": "hand"})
    return empty


@pytest.fixture
def said(book):
    wish.say(book, {"light": "open_shade", "subject": "3 m", "reading": "EV 11", "sitter": "the cox"})
    return book


def client_of(book, client=("127.0.0.1", 50000), base=HERE, origin=True, **more):
    app = create_app(book, **more)
    headers = {"Origin": base} if origin else {}
    return TestClient(app, base_url=base, client=client, headers=headers, raise_server_exceptions=False)


@pytest.fixture
def client(said):
    return client_of(said)


def jpeg(f_number=2.0, time_s=1 / 125, iso=100, code=118):
    """A flat grey photo; code 118 of sRGB is the mid-tone a camera gives 10/ISO lx·s (ISO 12232)."""
    exif = Image.Exif()
    ifd = exif.get_ifd(0x8769)
    for tag, value in ((0x829D, f_number), (0x829A, time_s), (0x8827, iso)):
        if value is not None:
            ifd[tag] = value
    out = io.BytesIO()
    Image.new("RGB", (640, 480), (code, code, code)).save(out, "JPEG", quality=95, exif=exif.tobytes())
    return out.getvalue()
