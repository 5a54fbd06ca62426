"""A board photographed, the sheet seen ahead, exposed, photographed, held against what was foretold, and learned from.

The scene, the photos and the sheet that comes are made by a forward model of their own (tests/foresee/sheets.py): synthetic.
"""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from firstsheet.acts import ahead, board_light, photo
from firstsheet.acts.sheet import sheet
from firstsheet.refusal import Refusal
from tests.acts.evening import begun
from tests.foresee import sheets

HIGH, WIDE = 300, 240  # of a sheet of 10 × 8 on end
FACE = (0.5, 0.4)  # of the upright picture
CORNERS = "0.2,0.1 0.8,0.1 0.8,0.85 0.2,0.85"
WHITE = "0.08,0.5"


def scene():
    """Light over the mid-tone's, upright as the sheet will show it: a ground, a face one stop up, a window, a dark coat."""
    x, y = np.meshgrid(np.linspace(0, 1, WIDE), np.linspace(0, 1, HIGH))
    light = 0.5 + 0.4 * y
    light[(x - FACE[0]) ** 2 / 0.03 + (y - FACE[1]) ** 2 / 0.02 < 1] = 2.0
    light[(x < 0.25) & (y < 0.3)] = 5.0
    light[(y > 0.65) & (abs(x - 0.5) < 0.3)] = 0.12
    return light


def as_jpeg(linear):
    y = np.clip(np.asarray(linear, dtype=float), 0.0, 1.0)
    code = np.where(y <= 0.0031308, 12.92 * y, 1.055 * y ** (1 / 2.4) - 0.055)
    out = io.BytesIO()
    Image.fromarray(np.rint(255 * code).astype(np.uint8)).convert("RGB").save(out, "JPEG", quality=95)
    return out.getvalue()


def board_photo():
    """The picture on the board as it hangs there: upside down; a phone's photo with its middle a little dark."""
    return as_jpeg(0.15 * scene()[::-1, ::-1])


def result_photo(more_stops, sense=-1):
    """The sheet that came, lying in a grey tray with a white beside it."""
    d = np.full((400, 400), 0.7)
    d[100:300, 10:56] = sheets.WHITE_D
    density = sheets.curve(np.log10(scene()) + more_stops * sheets.STOP, sense)
    rows, cols = np.arange(300) * HIGH // 300, np.arange(240) * WIDE // 240
    d[40:340, 80:320] = density[rows][:, cols]
    return as_jpeg(0.8 * 10.0**-d)


def evening(paper="direct_positive", sense=-1, curve=True):
    e = begun(paper, ei="4")
    if curve:
        log_h, density = sheets.table(sense)
        way = "direct_positive" if sense < 0 else "paper_negative"
        e.book.add_thing("curve", f"A in tray one, {way}", {"box": "A", "developer": "tray one", "way": way, "kind": "reflection",
                                                          "log_h": log_h, "density": density})  # fmt: skip
    return e


def looked(e, **form):
    number = photo.take_in(e.book, board_photo()).picture
    return number, {"of": "board", "face": f"{1 - FACE[0]},{1 - FACE[1]}", "tone": "face_light", "pose": "rested"} | form


def figure(found, key):
    return next(f.value for f in found.figures if f.key == key)


def test_one_lux_figure_on_the_board_becomes_seconds_by_hand():
    """2 lx where a face one stop over mid-tone falls: 1 lx for the mid-tone. EI 4 wants 8.125/4 = 2.03 lx·s: about 2 s."""
    e = evening()
    number = photo.take_in(e.book, board_photo()).picture
    place = {"face": f"{1 - FACE[0]},{1 - FACE[1]}", "tone": "face_light"}
    found = board_light.keep(e.book, number, place | {"lux": "2"})
    assert figure(found, "face_lx") == pytest.approx(2.0, rel=0.02)
    assert figure(found, "time_s") == pytest.approx(e.plan().time_s)
    p = e.plan()
    assert p.chain[0].key == "board"
    assert 2 ** p.nominal_log2_s == pytest.approx(2.03, rel=0.03)


def test_a_lux_figure_held_elsewhere_is_carried_over_by_the_photo():
    """The window is 2.5 times as bright as the face: 5 lx there are 2 lx on the face."""
    e = evening()
    number = photo.take_in(e.book, board_photo()).picture
    found = board_light.look(e.book, number, {"face": f"{1 - FACE[0]},{1 - FACE[1]}", "lux": "5", "lux_at": "0.9,0.9"})
    assert figure(found, "face_lx") == pytest.approx(2.0, rel=0.05)


def test_a_photo_without_settings_and_without_a_figure_is_asked():
    e = evening()
    number = photo.take_in(e.book, board_photo()).picture
    with pytest.raises(Refusal) as refused:
        board_light.look(e.book, number, {"face": "0.5,0.5"})
    assert len(refused.value.problems) == 3  # f-number, time, ISO


def test_the_board_is_held_against_the_lens_s_arithmetic():
    e = evening()
    number = photo.take_in(e.book, board_photo()).picture
    place = {"face": f"{1 - FACE[0]},{1 - FACE[1]}", "tone": "face_light"}
    promised = [link.value for link in e.plan().chain if link.unit == "lx"][-1]
    agree = board_light.look(e.book, number, place | {"lux": f"{2 * promised:.4g}"})
    assert any("agree" in n for n in agree.notes)
    half = board_light.look(e.book, number, place | {"lux": f"{2 * promised / 8:.4g}"})
    assert any("extension" in n for n in half.notes)


def test_the_face_comes_out_where_the_curve_has_it():
    """A direct positive with its mid-tone at the middle of the falling curve; the face one stop over it: the curve written out."""
    e = evening()
    number, form = looked(e)
    found = ahead.look(e.book, number, form)
    told = {f.key: f.value for f in found.figures}
    assert told["tone_density"] == pytest.approx(float(sheets.curve(sheets.STOP, -1)), abs=0.03)


def test_more_light_makes_a_positive_lighter_and_a_negative_darker():
    for paper, sense in (("direct_positive", -1), ("enlarging", 1)):
        e = evening(paper, sense)
        number, form = looked(e)
        d = [{f.key: f.value for f in ahead.look(e.book, number, form | {"stops": s}).figures}["tone_density"] for s in ("-1", "0", "1")]
        assert sense * (d[2] - d[0]) > 0.2


def drawn(e, number, form):
    return np.asarray(Image.open(io.BytesIO(ahead.drawn(e.book, number, form))).convert("L")).astype(float)


def test_the_sheet_is_drawn_upright_and_its_print_turned_round():
    """On the board the window is at the lower right. Upright it is at the upper left, as the sheet has it; the contact print has it at the right."""
    e = evening("enlarging", 1)
    number, form = looked(e)
    negative, printed = drawn(e, number, form), drawn(e, number, form | {"shows": "print"})
    high, wide = negative.shape
    corner = (slice(0, high // 5), slice(0, wide // 6))
    other = (slice(0, high // 5), slice(wide - wide // 6, wide))
    assert negative[corner].mean() < negative[other].mean() - 20  # the bright window is dark on the negative
    assert printed[other].mean() > printed[corner].mean() + 20


def test_a_scene_photographed_from_the_lens_is_mirrored_on_the_sheet():
    e = evening()
    number = photo.take_in(e.book, as_jpeg(0.15 * scene()[:, ::-1])).picture
    shown = drawn(e, number, {"of": "scene", "face": f"{1 - FACE[0]},{FACE[1]}"})
    assert shown[: shown.shape[0] // 5, : shown.shape[1] // 6].mean() > shown[: shown.shape[0] // 5, -shown.shape[1] // 6 :].mean() + 20


def test_five_versions_run_from_dark_to_light():
    e = evening()
    number, form = looked(e)
    five = np.asarray(Image.open(io.BytesIO(ahead.five(e.book, number, form))).convert("L")).astype(float)
    means = [part.mean() for part in np.array_split(five, 5, axis=1)]
    assert means == sorted(means)
    assert means[-1] > means[0] + 15


@pytest.mark.parametrize("faster", [0.8, -0.6])
def test_the_sheet_that_came_is_held_against_the_one_foretold_and_teaches(faster):
    """The paper is `faster` stops faster than believed: a positive comes out lighter, and next time gets less."""
    e = evening()
    number, form = looked(e)
    before = e.plan().wanted_s
    code = e.keep()
    ahead.keep(e.book, code, number, form)
    e.expose(code)
    result = ahead.take_in(e.book, code, result_photo(faster))
    said = {"white": WHITE, "corners": CORNERS, "wet": "no"}
    found = ahead.compare(e.book, code, result, said)
    assert found.stops == pytest.approx(faster, abs=0.15)
    assert ("lighter" in found.words) == (faster > 0)
    assert sheet(e.book, code).judgement is None
    taught = ahead.compare(e.book, code, result, said | {"border": "black"}, teach=True)
    assert taught.change.taught
    assert sheet(e.book, code).judgement["need_stops"] == pytest.approx(-faster, abs=0.2)
    assert (e.plan().wanted_s < before) == (faster > 0)
    side = Image.open(io.BytesIO(ahead.beside(e.book, code, result, said)))
    assert side.width > side.height


def test_another_picture_is_refused_by_name():
    e = evening()
    number, form = looked(e)
    code = e.keep()
    ahead.keep(e.book, code, number, form)
    e.expose(code)
    result = ahead.take_in(e.book, code, result_photo(0.0))
    with pytest.raises(Refusal) as refused:
        ahead.compare(e.book, code, result, {"white": WHITE, "corners": "0.8,0.85 0.2,0.85 0.2,0.1 0.8,0.1", "wet": "no"})
    assert "foretold" in str(refused.value.problems[0])


def test_all_that_is_wrong_is_said_at_once():
    e = evening()
    number = photo.take_in(e.book, board_photo()).picture
    with pytest.raises(Refusal) as refused:
        ahead.look(e.book, number, {"face": "2,2", "stops": "40", "corners": "1,1", "depths": "0.5,0.5 3 m", "shows": "print", "odd": "x"})
    assert {p.where for p in refused.value.problems} >= {"face", "stops", "corners", "depths", "shows", "odd"}


def colour_evening():
    return begun("ra4", ei="2")


def colours(e, **form):
    """Mean red, green and blue of the drawn sheet where the scene is a grey ground."""
    number = photo.take_in(e.book, board_photo()).picture
    place = {"of": "board", "face": f"{1 - FACE[0]},{1 - FACE[1]}", "tone": "face_light"}
    shown = np.asarray(Image.open(io.BytesIO(ahead.drawn(e.book, number, place | form))).convert("RGB")).astype(float)
    return shown[shown.shape[0] // 2 : shown.shape[0] * 6 // 10, : shown.shape[1] // 5].mean(axis=(0, 1))


def test_a_reversal_print_takes_the_colour_of_the_filter():
    """Reversal on colour paper: what lacks yellow gets yellow on the lens; the print takes the colour of the filter (common practice)."""
    e = colour_evening()
    red, green, blue = colours(e)
    assert abs(red - blue) < 6
    assert abs(green - blue) < 6  # a grey in balance is grey
    red, green, blue = colours(e, pack="20Y")
    assert blue < min(red, green) - 10  # yellower
    red, green, blue = colours(e, pack="20M")
    assert green < min(red, blue) - 5  # more magenta


def test_a_pack_is_for_colour_paper():
    e = evening()
    number, form = looked(e)
    with pytest.raises(Refusal):
        ahead.look(e.book, number, form | {"pack": "20Y"})


def test_a_scene_with_distances_is_drawn_softer_behind():
    e = evening()
    stripes = np.full((HIGH, WIDE), 0.15)
    stripes[20:120:6, 10:110] = 0.6
    number = photo.take_in(e.book, as_jpeg(stripes)).picture
    form = {"of": "scene", "face": "0.8,0.8", "tone": "grey_card", "pose": "rested"}
    sharp = drawn(e, number, form)
    soft = drawn(e, number, form | {"depths": "0.2,0.2 15 m; 0.8,0.8 3 m"})
    behind = (slice(30, 110), slice(WIDE - 100, WIDE - 20))  # mirrored on the sheet
    assert soft[behind].std() < 0.5 * sharp[behind].std()


def test_a_scene_is_cut_to_what_the_sheet_sees():
    """A phone of 26 mm as on 35 mm film sees 36/26 = 1.385 over its long side; 406 mm of sheet 750 mm from the lens 0.542: 39 %."""
    e = evening()
    number = photo.take_in(e.book, board_photo()).picture
    found = ahead.look(e.book, number, {"of": "scene", "face": "0.5,0.4", "seen_by": "26"})
    assert "39 %" in " ".join(found.notes)
    whole = Image.open(io.BytesIO(ahead.drawn(e.book, number, {"of": "scene", "face": "0.5,0.4"})))
    cut = Image.open(io.BytesIO(ahead.drawn(e.book, number, {"of": "scene", "face": "0.5,0.4", "seen_by": "26"})))
    assert cut.height == pytest.approx(0.39 * HIGH, abs=2)
    assert whole.height == HIGH
    with pytest.raises(Refusal):
        ahead.look(e.book, number, {"of": "board", "face": "0.5,0.4", "seen_by": "26"})


def test_another_stop_at_the_same_exposure_changes_depth_and_seconds():
    e = evening()
    stripes = np.full((HIGH, WIDE), 0.15)
    stripes[20:120:6, 10:110] = 0.6
    number = photo.take_in(e.book, as_jpeg(stripes)).picture
    form = {"of": "scene", "face": "0.8,0.8", "tone": "grey_card", "pose": "rested", "depths": "0.2,0.2 5 m; 0.8,0.8 3 m"}
    behind = (slice(30, 110), slice(WIDE - 100, WIDE - 20))
    wide, small = (drawn(e, number, form | {"aperture": a})[behind].std() for a in ("f/16", "f/64"))
    assert small > wide
    dense = [figure(ahead.look(e.book, number, form | {"aperture": a}), "tone_density") for a in ("f/16", "f/64")]
    assert dense[0] == pytest.approx(dense[1], abs=0.02)
