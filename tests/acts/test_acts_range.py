"""A photo touched in several places, the range on the paper, and two meters compared once and that taken back."""

from __future__ import annotations

import math

import numpy as np
import pytest

from firstsheet.acts import expose, own, photo, placed, plan, wish
from firstsheet.book.store import Book
from firstsheet.refusal import Refusal
from tests.acts_contrast.conftest import drawn
from tests.light.pictures import as_file, exif_bytes, srgb_code

POINTS = "0.5,0.15 face_light face; 0.15,0.15 other shirt; 0.85,0.15 other dark hair"


def scene(**more):
    """Left to right along the top: two stops over mid-tone, one over, four under; the bottom third is clipped."""
    y = np.full((240, 360), 0.18)
    y[:80, :120], y[:80, 120:240], y[:80, 240:], y[160:] = 0.72, 0.36, 0.18 / 16, 1.0
    return as_file(np.repeat(srgb_code(y)[:, :, None], 3, 2), "JPEG", exif_bytes(2.0, 1 / 500, 100, **more))


@pytest.fixture
def book(tmp_path):
    with Book.open(tmp_path / "range.sqlite") as opened:
        own.add_camera(opened, {"name": "boathouse", "focal": "600 mm", "f_number": "f/8", "board_min": "620 mm", "board_max": "1100 mm",
                                "length": "2.4 m", "width": "2 m", "height": "2.1 m"})  # fmt: skip
        own.add_box(opened, {"name": "D", "paper": "enlarging", "size": "12x16 in", "sheets": "25"})
        own.add_developer(opened, {"name": "tray", "kind": "paper"})
        own.add_meter(opened, {"name": "hand", "kind": "hand"})
        wish.say(opened, {"subject": "3 m", "light": "open_shade"})
        yield opened


def touched(book, points=POINTS, **more):
    return photo.spots(book, photo.take_in(book, scene()).picture, {"points": points, **more})


def test_three_named_places_make_the_range(book):
    """Drawn six stops apart: 0.72 over 0.18/16 is 2^6. One 8-bit code at Y 0.011 is 0.06 stop."""
    touched(book)
    found = placed.placed(book)
    assert [t.name for t in found.tones] == ["dark hair", "face", "shirt"]
    assert found.range_stops == pytest.approx(6.0, abs=0.1)
    assert found.tones[1].stops == pytest.approx(1.0, abs=0.01)  # placed as light skin: one stop over
    assert found.tones[0].fate == "white"
    assert "black in its print" in found.tones[0].words
    assert "face" in found.placement
    assert not found.measured
    assert "stands in" in " ".join(found.notes)
    assert "dark hair" in found.scale_svg


def test_a_thing_without_a_tone_never_moves_the_exposure(book):
    touched(book, "0.5,0.15 face_light face")
    before = plan.plan(book).wanted_s
    touched(book, POINTS)
    assert plan.plan(book).wanted_s == pytest.approx(before)


def test_a_second_touch_of_one_name_takes_its_place_and_a_tone_is_left_out_again(book):
    picture = photo.take_in(book, scene()).picture
    photo.spots(book, picture, {"points": POINTS})
    photo.spot(book, picture, {"x": "0.5", "y": "0.5", "tone": "other", "name": "dark hair", "join": "yes"})
    assert {t.name: round(t.stops) for t in placed.placed(book).tones} == {"dark hair": 0, "face": 1, "shirt": 2}
    placed.leave_out(book, "shirt")
    assert [t.name for t in placed.placed(book).tones] == ["dark hair", "face"]
    with pytest.raises(Refusal, match="places the exposure"):
        placed.leave_out(book, "face")
    with pytest.raises(Refusal, match="hat"):
        placed.leave_out(book, "hat")


def test_a_clipped_place_is_refused_by_name_and_nothing_of_the_rest_is_kept(book):
    with pytest.raises(Refusal) as refused:
        touched(book, POINTS + "; 0.5,0.9 other sky; 0.5,0.95 other snow")
    said = str(refused.value)
    assert "sky: 100% clipped" in said
    assert "snow" in said
    assert "less exposure" in said
    assert not (book.get_setting("phrase") or {}).get("readings")


def test_it_is_kept_with_the_sheet_and_stays_as_it_was(book):
    touched(book)
    code = expose.keep(book).code
    placed.keep(book, code)
    touched(book, "0.15,0.15 white_shirt shirt")
    assert [t["name"] for t in placed.kept(book, code)["tones"]] == ["dark hair", "face", "shirt"]


def test_readings_of_a_spot_meter_make_it_too_and_incident_light_alone_does_not(book):
    wish.say(book, {"reading": "EV 12 on face_light; EV 14 on white_shirt; EV 9 on black_cloth"})
    found = placed.placed(book)
    assert found.range_stops == pytest.approx(5.0, abs=1e-6)  # EV 14 − EV 9
    wish.say(book, {"reading": "EV 12", "how": "incident"})
    with pytest.raises(Refusal, match="incident light alone"):
        placed.placed(book)


def test_a_comparison_counts_in_the_plan_until_it_is_taken_back(book):
    spot = touched(book, "0.5,0.15 face_light face")[0]
    before = plan.plan(book).wanted_s
    ev = math.log2(spot.luminance_cdm2 / 2 / 0.125)  # the meter reads one stop under the photo: L = 0.125·2^EV, K 12.5
    done = photo.compare(book, {"reading": str(spot.reading), "own": f"EV {ev:.3f} on face_light"})
    assert done.reads_high_stops == pytest.approx(1.0, abs=0.01)
    corrected = plan.plan(book)
    assert corrected.wanted_s > before * 1.2  # the photo read high: the scene is darker, more time
    assert any(link.key == "meter" and link.learned for link in corrected.chain)
    assert [o.counts for o in photo.offsets(book)] == [True]
    assert photo.take_back(book, "phone with hand")[0].counts is False
    assert plan.plan(book).wanted_s == pytest.approx(before)
    with pytest.raises(Refusal, match="phone with hand"):
        photo.take_back(book, "phone with hand")


def test_what_looks_like_a_screenshot_is_asked_about(book):
    shot = photo.take_in(book, as_file(np.full((200, 120, 3), 118, np.uint8), "PNG")).picture
    said = {"x": "0.5", "y": "0.5", "tone": "grey_card", "f_number": "f/2", "time": "1/125 s", "iso": "100"}
    with pytest.raises(Refusal, match="screenshot"):
        photo.spot(book, shot, said)
    assert photo.spot(book, shot, said | {"really": "yes"}).luminance_cdm2 > 0


def test_a_curve_of_this_box_is_used_and_narrows_the_doubt(book):
    """The published closed form typed in as a strip of this box: its range is what the paper then holds, and no curve stands in."""
    touched(book)
    before = placed.placed(book)
    own.add_meter(book, {"name": "my meter", "kind": "hand"})
    drawn(book, "D", developer="tray")
    found = placed.placed(book)
    assert found.measured
    assert "measured of box D" in found.curve
    assert not any("stands in" in n for n in found.notes)
    assert found.tones[0].sd_stops < before.tones[0].sd_stops


def test_the_range_kept_last_is_told_with_the_sheet_and_a_bare_sheet_tells_none(book):
    from firstsheet.acts import sheet
    from firstsheet.cli import lines

    touched(book)
    code = expose.keep(book).code
    assert "range" not in " ".join(lines.of_sheet(sheet.sheet(book, code)))
    placed.keep(book, code)
    placed.leave_out(book, "shirt")
    placed.keep(book, code)
    told = " ".join(" ".join(lines.of_sheet(sheet.sheet(book, code))).split())
    assert "over 2 tones. No detail in: dark hair." in told
    assert "shirt:" not in told
