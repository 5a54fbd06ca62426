"""Two meters held to one thing, and photos of two cameras, each with an offset of its own."""

from __future__ import annotations

import io
import math

import numpy as np
import pytest
from PIL import Image

from firstsheet.acts import meters, own, photo, plan, wish
from firstsheet.book.store import Book
from firstsheet.refusal import Refusal
from tests.light.pictures import as_file, exif_bytes, srgb_code


@pytest.fixture
def book(tmp_path):
    with Book.open(tmp_path / "meters.sqlite") as opened:
        own.add_camera(opened, {"name": "boathouse", "focal": "600 mm", "f_number": "f/8", "board_min": "620 mm", "board_max": "1100 mm",
                                "length": "2.4 m", "width": "2 m", "height": "2.1 m"})  # fmt: skip
        own.add_box(opened, {"name": "D", "paper": "enlarging", "size": "12x16 in", "sheets": "25"})
        own.add_developer(opened, {"name": "tray", "kind": "paper"})
        own.add_meter(opened, {"name": "old meter", "kind": "hand"})
        own.add_meter(opened, {"name": "new meter", "kind": "hand"})
        wish.say(opened, {"subject": "3 m", "light": "open_shade", "meter": "old meter"})
        yield opened


def card(make="", model=""):
    """A grey card at mid-tone: f/2, 1/500 s, ISO 100; invented cameras."""
    exif = Image.Exif()
    exif.load(exif_bytes(2.0, 1 / 500, 100))
    if make:
        exif[0x010F], exif[0x0110] = make, model
    return as_file(np.repeat(srgb_code(np.full((240, 360), 0.18))[:, :, None], 3, 2), "JPEG", exif.tobytes())


def read(book, data):
    got = photo.take_in(book, data)
    return got, photo.spot(book, got.picture, {"x": "0.5", "y": "0.5", "tone": "grey_card"})


def test_two_meters_half_a_stop_apart_and_taken_back(book):
    """EV 11.5 over EV 11 is half a stop. Both begin with the same doubt, 0.25: each takes half of what is learned, 0.25²·0.5/(2·0.25² + 0.15²)."""
    wish.say(book, {"reading": "EV 11"})
    before = plan.plan(book).wanted_s
    done = meters.compare(book, {"readings": "old meter: EV 11.5; new meter: EV 11"})
    assert done.reads_high_stops == pytest.approx(0.5, abs=1e-9)
    share = 0.25**2 * 0.5 / (2 * 0.25**2 + 0.15**2)
    corrected = plan.plan(book)
    assert [link.learned for link in corrected.chain if link.key == "meter"] == [pytest.approx(share, abs=0.01)]
    assert corrected.wanted_s > before  # it reads high: there is less light than it says
    photo.take_back(book, "old meter with new meter")
    assert plan.plan(book).wanted_s == pytest.approx(before)


@pytest.mark.parametrize(
    ("said", "words"),
    [("", "Two meters"), ("old meter: EV 11", "colon"), ("old meter: EV 11; old meter: EV 12", "different"), ("my hat: EV 11; new meter: EV 11", "my hat"),
     ("old meter: EV 11; new meter: open shade", "open shade"), ("old meter: EV 11; new meter: EV 3", "within 4 stops"), ("old meter: x; new meter: y", "x")],
)  # fmt: skip
def test_what_cannot_be_compared_is_refused(book, said, words):
    with pytest.raises(Refusal) as refused:
        meters.compare(book, {"readings": said})
    assert words in str(refused.value)
    assert not photo.offsets(book)


def test_another_camera_has_an_offset_of_its_own(book):
    """The first camera is compared and corrected; a photo of another is not, and the first one's later photos are."""
    first, spot = read(book, card("Alder", "One"))
    assert not any("another camera" in w for w in first.warnings)
    ev = math.log2(spot.luminance_cdm2 / 0.125) - 1.0  # L = 0.125·2^EV at K 12.5: the meter reads a stop under the photo
    done = photo.compare(book, {"reading": str(spot.reading), "own": f"EV {ev:.3f} on grey_card"})
    assert done.meter == "phone"
    corrected = plan.plan(book).wanted_s
    second, _ = read(book, card("Birch", "Two"))
    assert any("phone 2" in w for w in second.warnings)
    assert plan.plan(book).wanted_s < corrected / 1.5
    again, _ = read(book, card("Alder", "One"))
    assert not any("another camera" in w for w in again.warnings)
    assert plan.plan(book).wanted_s == pytest.approx(corrected, rel=1e-3)
    plain, _ = read(book, card())  # no make, no model: taken for the phone
    assert plan.plan(book).wanted_s == pytest.approx(corrected, rel=1e-3)
    assert not any("another camera" in w for w in plain.warnings)


def test_with_two_meters_and_none_in_the_hand_it_is_asked_which(tmp_path):
    with Book.open(tmp_path / "two.sqlite") as two:
        for name in ("old meter", "new meter"):
            own.add_meter(two, {"name": name, "kind": "hand"})
        _, spot = read(two, card())
        with pytest.raises(Refusal, match="old meter"):
            photo.compare(two, {"reading": str(spot.reading), "own": "EV 11 on grey_card"})


def test_neither_make_nor_model_is_kept(book):
    got = photo.take_in(book, card("Alder", "One"))
    row = book.get_picture(got.picture)
    kept = repr(row["body"]) + repr(book.get_setting("cameras"))
    assert "Alder" not in kept
    assert "One" not in kept
    assert b"Alder" not in row["data"]
    assert not Image.open(io.BytesIO(row["data"])).getexif()
