"""Dark enough, as asked for: leaks against their time, composing against exposing, walls kept, and refused."""

import math

import pytest

from firstsheet.acts import dark, own, wish
from firstsheet.book.store import Book
from firstsheet.refusal import Refusal

CAMERA = {"name": "boathouse", "focal": "600 mm", "f_number": "f/8", "stops": "f/11 f/16", "board_min": "620 mm", "board_max": "1000 mm",
          "length": "2.4 m", "width": "2 m", "height": "2.1 m", "coverage": "60°"}  # fmt: skip


@pytest.fixture
def book(tmp_path):
    with Book.open(tmp_path / "book.sqlite") as book:
        own.add_camera(book, CAMERA)
        own.add_box(book, {"name": "D", "paper": "enlarging", "size": "12x16 in", "sheets": "25", "iso_p": "500"})
        wish.say(book, {"subject": "3 m"})
        yield book


def figures(found):
    return {f.key: f.value for f in found.figures}


def test_a_box_of_speed_500_by_hand(book):
    """ISO P 500 wants 2 lx·s at 0.60 above base: a leak's lux are the light borne over the seconds out of the box, place by place."""
    found = dark.dark_enough(book, {"lux": "0.5", "aperture": "f/8"})
    f = figures(found)
    assert f["bare_lxs"] < 2.0
    assert f["added_lxs"] < f["bare_lxs"] / 5
    leaks = {r["where"]: r for r in found.tables[0].data}
    for r in leaks.values():
        assert r["leak_lx"] * r["time_s"] == pytest.approx(f["added_lxs"])
        assert r["low_lx"] < r["leak_lx"] < r["high_lx"]
    whole, board, trays = leaks.values()
    assert whole["time_s"] == pytest.approx(board["time_s"] + trays["time_s"])
    assert f["composing_open_s"] == pytest.approx(f["added_lxs"] / (0.5 * f["tray_share"]))
    # 2 lx·s at 0.5 lx are 4 s of exposure: composing borne over it is so many exposures
    assert f["composing_open_s"] / 4.0 == pytest.approx(f["exposures"], rel=0.01)


def test_how_fast_the_paper_is_falls_out_of_a_count_of_exposures(book):
    """A box known to a tenth of a stop and one hardly known bear alike many exposures, as surely; not so many seconds as surely."""
    own.add_box(book, {"name": "E", "paper": "enlarging", "size": "12x16 in", "sheets": "25"})
    known, guessed = ({f.key: f for f in dark.dark_enough(book, {"lux": "0.5", "box": b}).figures} for b in ("D", "E"))
    assert guessed["exposures"].value == pytest.approx(known["exposures"].value)
    assert guessed["exposures"].high == pytest.approx(known["exposures"].high)
    wide = [f["composing_open_s"].high / f["composing_open_s"].low for f in (known, guessed)]
    assert wide[1] > wide[0]


def test_stopped_down_composing_lasts_longer(book):
    """From f/8 to f/16 there is a quarter of the light."""
    f = figures(dark.dark_enough(book, {"lux": "0.125", "aperture": "f/16"}))
    assert f["composing_down_s"] == pytest.approx(4 * f["composing_open_s"])
    assert f["composing_open_s"] == pytest.approx(figures(dark.dark_enough(book, {"lux": "0.5", "aperture": "f/8"}))["composing_open_s"])


def test_without_any_light_said_it_is_told_in_exposures(book):
    found = dark.dark_enough(book)
    assert "composing_open_s" not in figures(found)
    assert "exposures of another" in found.first
    assert any("bare wood" in n for n in found.notes)


def test_what_black_paint_brings(book):
    rows = {r["walls"]: r for r in dark.dark_enough(book, {"walls": "wood"}).tables[2].data}
    black, wood, white = rows.values()
    assert black["veil_share"] < wood["veil_share"] < white["veil_share"]
    # a deep shadow is a sixteenth of the mid-tone
    assert white["deep_lifted_stops"] == pytest.approx(math.log2(1 + 16 * white["veil_share"]))
    assert any("Painted black, the veil goes" in n for n in dark.dark_enough(book, {"walls": "wood"}).notes)
    assert any("walls are black" in n for n in dark.dark_enough(book, {"walls": "black"}).notes)


def test_the_eye_needs_minutes_and_a_meter_never_sees_it(book):
    table = dark.dark_enough(book).tables[1]
    seen = [r["seen_lx"] for r in table.data]
    assert seen == sorted(seen, reverse=True)
    assert table.data[0]["over_limit"] > 1 > table.data[-1]["over_limit"]
    assert "misses" in table.rows[-1][2]


def test_walls_are_kept_with_the_camera_and_outlive_a_new_description(book):
    assert dark.keep(book, {"walls": "0.1"}).kept
    own.add_camera(book, CAMERA)
    assert own.todays_camera(book, None).body["walls"] == 0.1
    assert any("as kept with the camera" in n for n in dark.dark_enough(book).notes)
    with pytest.raises(Refusal, match="What the walls are"):
        dark.keep(book, {})


def test_cautions_come_with_it(book):
    cautions = dark.dark_enough(book).cautions
    assert cautions[0].startswith("Never look into the lens")
    assert any("closed dark room" in c for c in cautions)


def test_refused_all_at_once(book):
    with pytest.raises(Refusal) as told:
        dark.dark_enough(book, {"walls": "2", "trays": "1 mm", "exposure": "9 h", "lux": "x", "what": "x"})
    assert {p.where for p in told.value.problems} == {"walls", "trays", "exposure", "lux", "what"}
