"""The parts: plane geometry, robust light, reflection, tone curve, the card's drawing, the making of a strip."""

from __future__ import annotations

import math
from xml.etree import ElementTree

import numpy as np
import pytest

from firstsheet.drawing.strip_card import strip_card
from firstsheet.light import pixels
from firstsheet.refusal import Refusal
from firstsheet.strips import card, field, glare, layout, plane, read, tone
from firstsheet.strips.decode import Linear
from firstsheet.strips.densities import _code
from firstsheet.strips.make import plan_strip, steps_between, tablet_strip


def test_homography_takes_corners_to_corners_and_back() -> None:
    square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    seen = np.array([[10.0, 12.0], [90.0, 20.0], [80.0, 70.0], [15.0, 60.0]])
    matrix = pixels.homography(square, seen)
    assert np.allclose(plane.mapped(matrix, square), seen)
    # A projectivity keeps the crossing of the diagonals (closed form).
    meet = plane.crossing(seen[0], seen[2] - seen[0], seen[1], seen[3] - seen[1])
    assert np.allclose(plane.mapped(matrix, np.array([0.5, 0.5])), meet)


def test_a_rectangle_with_clipped_corners_is_still_four_cornered() -> None:
    ring = np.array([[5, 0], [95, 0], [100, 4], [100, 36], [96, 40], [4, 40], [0, 36], [0, 5]], dtype=float)
    quad = plane.quad_of(plane.hull(ring))
    assert quad is not None
    assert sorted(map(tuple, np.round(quad))) == [(0, 0), (0, 40), (100, 0), (100, 40)]
    assert plane.area(quad) == pytest.approx(4000)
    assert plane.quad_of(np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]])) is None


def test_components_are_counted_with_diagonals_joined() -> None:
    mask = np.zeros((20, 30), dtype=bool)
    mask[2:5, 2:5] = mask[5:8, 5:8] = True  # touch at a corner
    mask[10:12, 20:29] = True
    sizes = [int((c[:, 2] - c[:, 1]).sum()) for c in plane.components(mask, 1)]
    assert sizes == [18, 18]
    u = np.zeros((6, 7), dtype=bool)  # two arms that meet below
    u[:, 0] = u[:, 6] = u[5] = True
    assert len(plane.components(u, 1)) == 1


def test_light_is_found_under_a_third_of_strangers() -> None:
    y, x = np.mgrid[0:240, 0:320]
    u, v = field.scaled(x, y, (240, 320))
    true = -0.3 + 0.1 * u - 0.2 * u * u + 0.05 * v
    seen = true.copy()
    seen[50:190, 60:230] -= 0.9
    light, _ = field.table_light(seen)
    assert np.abs(light - true).max() < 0.01


def test_a_reflection_is_fitted_and_none_is_not() -> None:
    y, x = np.mgrid[0:120, 0:400]
    region = (x // 50) + 10
    level = 10.0 ** -(0.1 + 0.2 * (x // 50))
    bell = 0.08 * np.exp(-0.5 * (((x - 260) / 40) ** 2 + ((y - 70) / 18) ** 2))
    noise = np.random.default_rng(1).normal(0, 0.003, x.shape) * np.sqrt(level)
    added, height = glare.spot(level + bell + noise, region)
    assert height == pytest.approx(0.08, rel=0.05)
    assert np.abs(added - bell).max() < 0.006
    assert glare.spot(level + noise, region)[1] == 0


def test_a_tone_curve_comes_back_through_six_patches() -> None:
    """y = x + 0.15 sin(1.5 x), known at six places to 0.005; between them within 0.02, and the doubt says so."""
    x = -np.array([0.08, 0.35, 0.65, 0.95, 1.25, 1.8])
    curve = tone.fitted(x, x + 0.15 * np.sin(1.5 * x), np.full(6, 0.005))
    tried = np.linspace(-1.7, -0.1, 30)
    back = np.log10(curve.undone(10.0 ** (tried + 0.15 * np.sin(1.5 * tried))))
    assert np.abs(back - tried).max() < 0.02
    assert curve.doubt(-2.4) > 3 * curve.doubt(-0.8)


def test_tones_bent_straight_and_a_patch_under_a_reflection_are_told_apart() -> None:
    x, sd = -np.array([0.08, 0.35, 0.65, 0.95, 1.25, 1.8]), np.full(6, 0.015)
    assert tone.verdict(x, x + 0.15 * np.sin(1.5 * x), sd).bent
    straight = tone.verdict(x, x + 0.3, sd)
    assert not straight.bent
    assert straight.spoiled is None
    assert straight.chance < 0.05
    for k in range(1, 6):
        spoiled = tone.verdict(x, x + 0.3 + np.where(np.arange(6) == k, 0.2, 0.0), sd)
        assert (spoiled.bent, spoiled.spoiled) == (False, k)


def test_densities_that_go_to_and_fro_are_no_strip() -> None:
    """More exposure does one thing to a paper (common practice, no source); a board of squares does another."""

    def steps(*densities: float) -> tuple[read.Patch, ...]:
        return tuple(read.Patch(((0.0, 0.0),) * 4, d, 0.01) for d in densities)

    assert read._goes_back(steps(1.04, 1.04, 0.02, 0.02, 1.04, 1.04))
    assert not read._goes_back(steps(0.08, 0.07, 0.30, 0.29, 0.90, 1.60, 1.58, 1.61))
    assert not read._goes_back(steps(1.6, 0.9, 0.3, 0.08))
    assert not read._goes_back(steps(0.08, 0.09, 0.08, 0.10))  # all of one tone: the curve says so


def test_one_code_is_worth_more_in_the_dark() -> None:
    """One 8-bit code is 0.010 D at D 1.0, 0.018 at 1.6, 0.026 at 2.0: slope of the sRGB curve by hand. [IEC-61966-2-1]"""
    eight = Linear(np.ones((2, 2)), np.zeros((2, 2)), np.zeros((2, 2)), 8, 1, False, ())
    for density, worth in ((1.0, 0.0101), (1.6, 0.0180), (2.0, 0.0264)):
        light = 10**-density
        assert _code(light, eight) / light / math.log(10) == pytest.approx(worth, abs=0.0008)


def test_steps_are_laid_at_equal_pitch_within_one_margin() -> None:
    strip = np.full((100, 500), -0.05)
    for k in range(8):
        strip[20:80, 20 + int(57.5 * k) : 20 + int(57.5 * (k + 1))] = -0.05 - 0.2 * k
    strip += np.random.default_rng(2).normal(0, 0.004, strip.shape)
    lay = layout.laid_out(strip, 8)
    assert (lay.left, lay.right) == (pytest.approx(0.04, abs=0.01), pytest.approx(0.96, abs=0.01))
    assert (lay.top, lay.bottom) == (pytest.approx(0.2, abs=0.015), pytest.approx(0.8, abs=0.015))
    assert lay.slope < 0.05
    ramp = np.tile(-2 * np.arange(500) / 500, (100, 1))
    assert layout.laid_out(ramp, 10).slope > 0.9


# --- the card --------------------------------------------------------------------------------------


def test_the_card_is_drawn_at_true_size_and_as_the_reader_knows_it() -> None:
    root = ElementTree.fromstring(strip_card())
    ns = "{http://www.w3.org/2000/svg}"
    assert root.get("width") == "180mm"
    assert root.get("viewBox", "").split()[2] == "180"  # one unit is one mm
    drawn = [
        tuple(float(r.get(k, "0")) for k in ("x", "y", "width", "height"))
        for r in root.iter(ns + "rect")
        if r.get("class") == "patch"
    ]
    assert drawn == [pytest.approx(b) for b in card.patch_boxes_mm()]
    marks = [(float(c.get("cx", "0")), float(c.get("cy", "0"))) for c in root.iter(ns + "circle")]
    assert marks == [(7, 7), (153, 7), (153, 33), (7, 33)]
    paints = [int(r.get("fill", "")[1:3], 16) for r in root.iter(ns + "rect") if r.get("class") == "patch"]
    assert paints == sorted(paints, reverse=True)
    assert root.find(ns + "title") is not None
    with pytest.raises(Refusal):
        strip_card("xx")


def test_the_card_is_known_whichever_way_round() -> None:
    dark, _ = card.drawing()
    picture = np.full((400, 700), -0.4)
    picture[100 : 100 + dark.shape[0], 60 : 60 + dark.shape[1]] = -0.08 - 1.3 * dark
    corners = np.array([[60.0, 100.0], [539.0, 100.0], [539.0, 219.0], [60.0, 219.0]])
    for turn in range(4):
        score, matrix = card.recognised(picture, np.roll(corners, turn, axis=0))
        assert score > 0.9
        assert np.abs(plane.mapped(matrix, card.card_corners()) - corners).max() < 3


# --- making a strip ---------------------------------------------------------------------------------


def test_the_cover_gives_each_step_its_time() -> None:
    """Classic doubling strip: 2, 2, 4, 8, 16 s give 2, 4, 8, 16, 32 s (common practice, no source)."""
    plan = plan_strip("even tone", steps=5, factor=2, first_s=2, lux=(1.0,))
    assert [m.time_s for m in plan.moves] == [2, 2, 4, 8, 16]
    assert [m.open_steps for m in plan.moves] == [5, 4, 3, 2, 1]
    assert plan.exposures_lxs == (2, 4, 8, 16, 32)
    assert plan_strip("opal", steps=13).log_steps == (pytest.approx(0.1505, abs=1e-4),) * 12  # half a stop


def test_fall_off_along_the_strip_is_divided_out() -> None:
    """Half the light at one end: that step got a stop less than its time says."""
    plan = plan_strip("even tone", steps=3, factor=2, first_s=1, lux=(1.0, 0.8, 0.5))
    assert plan.exposures_lxs == pytest.approx((1.0, 1.6, 2.0))
    assert steps_between((2.0, 2.0, 2.0), 7) == pytest.approx((2.0,) * 7)
    line = steps_between((1.0, 2.0, 4.0), 3)
    assert line == pytest.approx([2 * 2 ** (2 / 3 * s) for s in (-1, 0, 1)])


def test_a_tablet_of_21_steps_spans_a_thousand_to_one() -> None:
    """21 steps of nominal 0.15: 20 × 0.15 = 3.0 in log exposure."""
    plan = plan_strip("tablet", steps=21, first_s=10, lux=(3.0,))
    assert plan.exposures_lxs[-1] / plan.exposures_lxs[0] == pytest.approx(1000)
    assert plan.exposures_lxs[-1] == pytest.approx(30 * 10**-0.05)
    assert not plan.moves
    assert tablet_strip(10, 3, [0.05, 0.2, 0.36]).exposures_lxs[0] == pytest.approx(30 * 10**-0.36)


def test_a_strip_across_a_subject_is_for_the_eye() -> None:
    assert not plan_strip("subject", steps=6).readable
    assert plan_strip("lamp", steps=6).readable
    with pytest.raises(Refusal) as refusal:
        plan_strip("even tone", steps=1, factor=1.0, first_s=-1, lux=(0.0, 1.0))
    assert len(refusal.value.problems) == 4


def test_light_that_is_no_even_light_is_refused_in_words() -> None:
    """A slip of the pen: a million lux at one end, one at the middle. The board sees one lamp, which falls off by stops at most."""
    for said in (lambda: steps_between((1e6, 1.0, 12.0), 4), lambda: plan_strip("lamp", steps=3, lux=(1.0, 4.0, 9.0))):
        with pytest.raises(Refusal) as refusal:
            said()
        assert [p.where for p in refusal.value.problems] == ["lux"]
        assert "within 3 stops" in refusal.value.problems[0].allowed
    assert len(steps_between((1.0, 4.0, 8.0), 5)) == 5  # three stops from end to end, just allowed


def test_steps_that_do_not_rise_are_refused() -> None:
    """Half the light from step to step takes away what a factor of √2 adds (closed form: √2/2 < 1)."""
    with pytest.raises(Refusal) as refusal:
        plan_strip("lamp", steps=4, lux=(8.0, 4.0, 2.0, 1.0))
    assert "more than the one before" in refusal.value.problems[0].allowed


def test_two_readings_are_refused_with_the_forms_that_hold() -> None:
    with pytest.raises(Refusal) as refusal:
        plan_strip("lamp", steps=4, lux=(12.0, 11.0))
    problem = refusal.value.problems[0]
    assert problem.asked == "12 11"
    assert "both ends and the middle" in problem.allowed
