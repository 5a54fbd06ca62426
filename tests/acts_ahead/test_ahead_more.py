"""What a look at the sheet ahead rests on when plans, boxes and phones change; a board against a keeper's. Photos synthetic."""

from __future__ import annotations

import io
import math

import numpy as np
import pytest
from PIL import Image

from firstsheet.acts import ahead, ahead_look, board_light, own, photo
from firstsheet.foresee import picture as pictures
from firstsheet.refusal import Refusal
from tests.acts.evening import begun
from tests.acts_ahead.test_ahead import (
    CORNERS,
    FACE,
    HIGH,
    WHITE,
    WIDE,
    as_jpeg,
    board_photo,
    drawn,
    evening,
    figure,
    looked,
    result_photo,
    scene,
)
from tests.foresee import sheets

PLACE = {"face": f"{1 - FACE[0]},{1 - FACE[1]}", "tone": "face_light"}
BEHIND = (slice(30, 110), slice(WIDE - 100, WIDE - 20))


def with_exif(jpeg, f_number=2.0, time_s=1.0, iso=400):
    """The same file with its exposure data, as a phone writes them."""
    with Image.open(io.BytesIO(jpeg)) as opened:
        exif = Image.Exif()
        exif.get_ifd(0x8769).update({0x829D: f_number, 0x829A: time_s, 0x8827: iso})
        out = io.BytesIO()
        opened.save(out, "JPEG", quality=95, exif=exif)
    return out.getvalue()


def test_another_focus_draws_another_blur():
    """The same photo and distances, the lens set to 12 m in place of 3 m: the stripes at 15 m are sharper."""
    e = evening()
    stripes = np.full((HIGH, WIDE), 0.15)
    stripes[20:120:6, 10:110] = 0.6
    number = photo.take_in(e.book, as_jpeg(stripes)).picture
    form = {"of": "scene", "face": "0.8,0.8", "tone": "grey_card", "pose": "rested", "depths": "0.2,0.2 15 m; 0.8,0.8 12 m"}
    near = drawn(e, number, form)[BEHIND].std()
    e.say(subject="12 m")
    assert drawn(e, number, form)[BEHIND].std() > 1.5 * near


def test_what_lies_at_the_lens_is_refused_and_said():
    e = evening()
    number = photo.take_in(e.book, board_photo()).picture
    with pytest.raises(Refusal) as refused:
        ahead.look(e.book, number, {"of": "scene", "depths": "0.5,0.4 0.1 mm"})
    assert refused.value.problems[0].where == "depths"


def test_a_sheet_is_held_against_its_own_plan_whatever_is_planned_since():
    e = evening()
    number, form = looked(e)
    code = e.keep()
    ahead.keep(e.book, code, number, form)
    e.expose(code)
    result = ahead.take_in(e.book, code, result_photo(0.8))
    said = {"white": WHITE, "corners": CORNERS, "wet": "no"}
    before = ahead.compare(e.book, code, result, said)
    own.add_box(e.book, {"name": "other", "paper": "enlarging", "size": "16x20 in", "sheets": "5"})
    e.say(box="other", subject="5 m")
    after = ahead.compare(e.book, code, result, said)
    assert (after.stops, after.words) == (before.stops, before.words)


def test_a_veil_said_without_its_sign_is_in_per_cent():
    e = evening()
    number, form = looked(e)
    assert (drawn(e, number, form | {"flare": "5"}) == drawn(e, number, form | {"flare": "5 %"})).all()


@pytest.mark.parametrize("way", ["reversal_bw", "contact_print"])
def test_other_ways_of_an_enlarging_paper_are_drawn(way):
    """Reversal: the bright window is bright. A plan for the lamp is none for the camera: drawn as a negative, its window dark."""
    e = begun("enlarging", ei="4")
    e.say(way=way)
    number, form = looked(e)
    shown = drawn(e, number, form)
    window, other = (shown[: HIGH // 5, cut].mean() for cut in (slice(0, WIDE // 6), slice(-WIDE // 6, None)))
    assert (window > other + 20) == (way == "reversal_bw")
    found = ahead.look(e.book, number, form)
    assert 0 <= figure(found, "dead_black") < 0.3


def test_a_yellow_filter_darkens_a_blue_sky_and_says_its_cost():
    """Paper that sees blue and green, negative: less exposure where it is blue leaves it lighter; a grey stays where it is."""
    e = begun("enlarging", ei="4")
    rgb = np.full((HIGH, WIDE, 3), 0.18)
    rgb[200:, :] = (0.10, 0.18, 0.55)  # lies below on the board: above, upright
    y = np.where(rgb <= 0.0031308, 12.92 * rgb, 1.055 * rgb ** (1 / 2.4) - 0.055)
    out = io.BytesIO()
    Image.fromarray(np.rint(255 * y).astype(np.uint8)).save(out, "JPEG", quality=97)
    number = photo.take_in(e.book, out.getvalue()).picture
    form = {"face": "0.5,0.2", "tone": "grey_card", "pose": "rested"}
    plain, yellow = drawn(e, number, form), drawn(e, number, form | {"filter": "yellow"})
    assert yellow[20:60, 60:180].mean() > plain[20:60, 60:180].mean() + 5
    assert yellow[240:280, 60:180].mean() == pytest.approx(plain[240:280, 60:180].mean(), abs=1.5)
    assert "costs this paper" in " ".join(ahead.look(e.book, number, form | {"filter": "yellow"}).notes)
    with pytest.raises(Refusal):
        ahead.look(begun("ra4", ei="2").book, number, form | {"filter": "yellow"})


def test_another_developer_is_one_with_a_measured_curve():
    e = evening()
    e.developer("soft bath")
    e.say(developer="tray one")
    log_h, density = sheets.table(-1)
    e.book.add_thing("curve", "A in soft bath, direct_positive", {"box": "A", "developer": "soft bath", "way": "direct_positive", "kind": "reflection",
                                                                 "log_h": [2 * v for v in log_h], "density": density})  # fmt: skip
    number, form = looked(e)
    plain, soft = (figure(ahead.look(e.book, number, form | more), "tone_density") for more in ({}, {"developer": "soft bath"}))
    assert plain == pytest.approx(float(sheets.curve(sheets.STOP, -1)), abs=0.03)
    assert soft == pytest.approx(float(sheets.curve(sheets.STOP / 2, -1)), abs=0.03)  # half as steep: half a stop's worth
    with pytest.raises(Refusal) as refused:
        ahead.look(e.book, number, form | {"developer": "coffee"})
    assert "soft bath" in refused.value.problems[0].allowed


def test_a_planned_flash_is_drawn_in_and_the_mid_tone_stays():
    """By the sums written out: exposures add, and the plan gives the picture as much less as its chain says."""
    e = evening(curve=False)
    log_h, density = sheets.table(-1)
    figures = [{"key": "threshold", "value": 0.4, "low": 0.3, "high": 0.5}, {"key": "ei_falling", "value": 4.0, "low": 3.0, "high": 5.0}]
    e.book.add_thing("curve", "A in tray one, direct_positive", {"box": "A", "developer": "tray one", "way": "direct_positive", "kind": "reflection",
                                                              "log_h": log_h, "density": density, "figures": figures, "light": "sun"})  # fmt: skip
    number, form = looked(e, tone="grey_card")
    plain = ahead_look.at(e.book, number, form)
    e.say(flash="yes")
    p = e.plan()
    seen = ahead_look.at(e.book, number, form)
    assert seen.chain.preflash == p.flash_share > 0
    spared = next(link.stops for link in p.chain if link.key == "flash")
    assert seen.chain.more_stops == pytest.approx(plain.chain.more_stops + spared)
    assert any("flash of the plan" in n for n in seen.notes)
    assert ahead_look.at(e.book, number, form | {"preflash": "0"}).chain.preflash == 0.0


def keeper(e, jpeg):
    number = photo.take_in(e.book, jpeg).picture
    code = e.keep()
    ahead.keep(e.book, code, number, PLACE | {"of": "board"})
    e.expose(code, given="4 s")
    e.judge(code, border="black", seen="as_wanted", kept="yes")
    return code


def test_seconds_against_a_keeper_s_board_by_hand():
    """The keeper got 4 s. Now the photo has the same codes at 1/2 s where it took 1 s: twice the light on the board, so 2 s."""
    e = evening()
    code = keeper(e, with_exif(board_photo(), time_s=1.0))
    number = photo.take_in(e.book, with_exif(board_photo(), time_s=0.5)).picture
    found = board_light.look(e.book, number, PLACE | {"last": code})
    told = next(f for f in found.figures if f.key == "last_s")
    assert told.value == pytest.approx(2.0, rel=0.01)
    assert math.log2(told.high / told.value) > 1.645 * 0.25  # a keeper is no sharper than that
    assert math.log2(told.high / told.value) < 1.645 * 0.5
    assert f"1.0 stop more light than for sheet {code}" in " ".join(found.notes)
    half = photo.take_in(e.book, with_exif(as_jpeg(0.075 * scene()[::-1, ::-1]), time_s=1.0)).picture
    assert next(f.value for f in board_light.look(e.book, half, PLACE | {"last": code}).figures if f.key == "last_s") == pytest.approx(8.0, rel=0.02)


def test_a_sheet_without_a_board_photo_is_no_measure():
    e = evening()
    number = photo.take_in(e.book, with_exif(board_photo())).picture
    code = e.keep()
    with pytest.raises(Refusal) as refused:
        board_light.look(e.book, number, PLACE | {"last": code})
    assert refused.value.problems[0].where == "last"


def test_an_empty_channel_and_a_photo_of_the_scene_are_said():
    """A warm balance that leaves a twentieth of red in blue; and 1/500 s at f/2, ISO 100, which by ISO 12232 is 5500 cd/m² at the mid-tone's 0.18 / 0.18."""
    e = evening()
    warm = np.stack([0.4 * np.ones((HIGH, WIDE)), 0.2 * np.ones((HIGH, WIDE)), 0.02 * np.ones((HIGH, WIDE))], axis=2)
    y = np.where(warm <= 0.0031308, 12.92 * warm, 1.055 * warm ** (1 / 2.4) - 0.055)
    out = io.BytesIO()
    Image.fromarray(np.rint(255 * y).astype(np.uint8)).save(out, "JPEG", quality=97)
    number = photo.take_in(e.book, with_exif(out.getvalue())).picture
    assert "blue is nearly empty, 5 %" in " ".join(board_light.look(e.book, number, PLACE).notes)
    assert "nearly empty" in " ".join(ahead.look(e.book, number, PLACE).notes)
    outside = photo.take_in(e.book, with_exif(board_photo(), time_s=1 / 500, iso=100)).picture
    assert "photo of the scene" in " ".join(board_light.look(e.book, outside, PLACE).notes)
    inside = photo.take_in(e.book, with_exif(board_photo())).picture
    assert "photo of the scene" not in " ".join(board_light.look(e.book, inside, PLACE).notes)


def test_a_touch_half_on_the_window_is_said():
    e = evening()
    light = np.full((HIGH, WIDE), 0.15)
    light[:, : WIDE // 2 - 1] = 1.0
    number = photo.take_in(e.book, as_jpeg(light)).picture
    assert "clipped in the photo" in " ".join(ahead.look(e.book, number, {"face": "0.5,0.5"}).notes)


def test_skin_falls_where_this_paper_sees_it():
    """Blue sees a warm face darker than a meter does: the told density is that of the drawn picture at the touched place."""
    e = evening()
    rgb = np.full((HIGH, WIDE, 3), (0.30, 0.18, 0.10))
    y = 1.055 * rgb ** (1 / 2.4) - 0.055
    out = io.BytesIO()
    Image.fromarray(np.rint(255 * y).astype(np.uint8)).save(out, "JPEG", quality=97)
    number = photo.take_in(e.book, out.getvalue()).picture
    form = {"face": "0.5,0.5", "tone": "face_mid", "pose": "rested"}
    told = figure(ahead.look(e.book, number, form), "tone_density")
    seen = ahead_look.at(e.book, number, form)
    code = pictures.drawn(seen.light, seen.chain).codes[HIGH // 2, WIDE // 2, 0] / 255
    shown = code / 12.92 if code <= 0.04045 else ((code + 0.055) / 1.055) ** 2.4
    assert told == pytest.approx(-math.log10(shown), abs=0.02)


def test_the_face_is_drawn_on_the_curve_where_the_curve_has_it():
    """By the curve written out: a grey face a stop over the mid-tone of a positive, and its place moves with the exposure."""
    e = evening()
    number, form = looked(e)
    for stops in (0, 1):
        svg = ahead.curve(e.book, number, form | {"stops": str(stops)})
        at = f"{float(sheets.curve((1 + stops) * sheets.STOP, -1)):.1f}"
        assert f"at density {at}" in svg
        assert f"+{1 + stops}.0 stop" in svg
        assert svg.count("<polyline") == 5
    printed = evening("enlarging", 1)
    number, form = looked(printed)
    assert "<polyline" in ahead.curve(printed.book, number, form | {"shows": "print"})
    colour = begun("ra4", ei="2")
    number, form = looked(colour)
    assert "<polyline" in ahead.curve(colour.book, number, form)


def test_a_sheet_hung_lying_falls_off_along_its_length():
    """An even scene: the fall-off grows with the way from the axis, so the long edge's ends are darker than the short edge's."""
    e = evening(curve=False)
    number = photo.take_in(e.book, as_jpeg(np.full((300, 400), 0.15))).picture
    light = ahead_look.at(e.book, number, {"of": "scene", "face": "0.5,0.5", "tone": "grey_card", "pose": "rested"}).light
    assert light.shape[1] > light.shape[0]
    assert light[150, 2] < light[2, 200] < light[150, 200]
    assert light[150, 2] == pytest.approx(light[150, -3], rel=0.01)


def test_a_plan_for_the_lamp_takes_no_seconds_from_the_board():
    e = begun("enlarging", ei="4")
    e.say(way="contact_print")
    found = board_light.look(e.book, photo.take_in(e.book, board_photo()).picture, PLACE | {"lux": "2", "aperture": "f/16"})
    assert figure(found, "face_lx") == pytest.approx(2.0, rel=0.02)
    assert not any(f.key == "time_s" for f in found.figures)
