"""What must hold for every lens, whatever the figures."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet.camera import coverage, focus, sunburn
from firstsheet.camera.lens import Lens, stops_between
from firstsheet.refusal import Refusal

focal = st.floats(50, 3000)
ratio = st.floats(0.02, 4)
pupil = st.floats(0.4, 2.5)
f_number = st.floats(2, 128)
blur = st.floats(0.05, 2)


@given(focal, ratio)
def test_board_and_subject_are_inverse(f: float, m: float) -> None:
    u, v = focus.subject_at(f, m), focus.board_at(f, m)
    assert focus.board_for_subject(f, u) == pytest.approx(v, rel=1e-9)
    assert focus.subject_for_board(f, v) == pytest.approx(u, rel=1e-9)
    assert v / u == pytest.approx(m, rel=1e-9)
    assert 1 / u + 1 / v == pytest.approx(1 / f, rel=1e-9)  # the thin-lens equation itself


@given(focal, st.floats(1.02, 40), st.floats(1.001, 2))
def test_a_nearer_sitter_needs_the_board_further_back(f: float, far: float, nearer: float) -> None:
    u = f * far
    assert focus.board_for_subject(f, u * nearer) < focus.board_for_subject(f, u)


@given(ratio, pupil)
def test_stops_are_log2_of_the_factor(m: float, p: float) -> None:
    assert 2 ** focus.extension_stops(m, p) == pytest.approx(focus.extension_factor(m, p), rel=1e-9)
    assert stops_between(8, focus.effective_f_number(8, m, p)) == pytest.approx(focus.extension_stops(m, p))


@given(focal, f_number, ratio, blur, pupil)
def test_depth_is_what_blurs_by_just_so_much(f: float, n: float, m: float, c: float, p: float) -> None:
    """Blur of a point drawn by similar triangles through the entrance pupil equals the circle allowed."""
    before, behind = focus.depth_mm(f, n, m, c, p)
    to_pupil, width = f / m + f / p, f / n
    assert m * width * before / (to_pupil - before) == pytest.approx(c, rel=1e-6)
    if math.isfinite(behind):
        assert behind >= before
        assert m * width * behind / (to_pupil + behind) == pytest.approx(c, rel=1e-6)
    else:
        assert m * width <= c * (1 + 1e-9)


@given(focal, f_number, st.floats(0.05, 2), pupil)
def test_close_up_form_is_the_limit_of_small_blur(f: float, n: float, m: float, p: float) -> None:
    c = 0.01 * m * f / n
    assert sum(focus.depth_mm(f, n, m, c, p)) == pytest.approx(focus.depth_close_up_mm(n, m, c, p), rel=2e-4)


@given(focal, f_number, ratio, blur, pupil)
def test_the_stop_for_the_ears_just_holds_them(f: float, n: float, m: float, c: float, p: float) -> None:
    wanted = focus.f_number_to_reach(85, f, m, c, p)
    assert focus.depth_mm(f, wanted, m, c, p)[1] == pytest.approx(85, rel=1e-6)


@given(st.floats(0, 2000), st.floats(1, 2000), st.floats(100, 3000))
def test_falloff_only_darkens_and_grows_outward(h: float, more: float, v: float) -> None:
    assert coverage.falloff_stops(0, v) == 0
    assert coverage.falloff_stops(h + more, v) < coverage.falloff_stops(h, v) <= 0
    # extension evens the light
    assert coverage.falloff_stops(h + more, v * 1.5) > coverage.falloff_stops(h + more, v)


@given(st.floats(-300, 300), st.floats(-300, 300))
def test_a_sheet_off_the_axis_never_needs_less(dx: float, dy: float) -> None:
    sheet = (406.4, 508.0)
    assert coverage.needed_circle_mm(sheet, (dx, dy)) >= coverage.sheet_diagonal_mm(sheet) * (1 - 1e-12)


def test_no_extension_no_loss() -> None:
    assert focus.extension_stops(0) == 0
    assert focus.effective_f_number(11, 0) == 11
    assert focus.board_for_subject(1000, math.inf) == 1000
    assert focus.subject_for_board(1000, 1000) == math.inf


@given(focal, f_number, blur)
def test_at_the_hyperfocal_distance_the_horizon_is_just_sharp(f: float, n: float, c: float) -> None:
    u = focus.hyperfocal_mm(f, n, c)
    m = focus.magnification_at_board(f, focus.board_for_subject(f, u))
    assert focus.depth_mm(f, n, m * 0.999, c)[1] == math.inf
    assert focus.depth_mm(f, n, m * 0.999, c)[0] == pytest.approx(u / 2, rel=0.01)  # and half of it is near


@pytest.mark.parametrize("u", [1000.0, 900.0, 0.0, -5.0, math.nan])
def test_nothing_is_pictured_inside_the_focal_length(u: float) -> None:
    with pytest.raises(Refusal):
        focus.board_for_subject(1000, u)


def test_a_lens_says_all_that_is_wrong_with_it() -> None:
    with pytest.raises(Refusal) as told:
        Lens("x", -3, math.nan, pupil=0, transmission=2, coverage_deg=60, circle_mm=900, stops=(0.1,))
    assert {"focal_mm", "f_number", "pupil", "transmission", "coverage", "stops.0"} <= {
        p.where for p in told.value.problems}


def test_marks_a_hair_apart_are_one_mark() -> None:
    lens = Lens("x", 600, 8, stops=(8, 11, 16, 22))
    assert lens.set_to(None) == 8
    assert lens.set_to(22.6) == 22
    with pytest.raises(Refusal, match="nearest is f/11"):
        lens.set_to(10)
    with pytest.raises(Refusal, match="opens to f/8"):
        lens.set_to(5.6)
    assert Lens("y", 600, 8).set_to(9.5) == 9.5


@pytest.mark.parametrize(("widest", "fire"), [(8, True), (32, True), (45, True), (64, False)])
def test_every_lens_faster_than_f45_can_start_a_fire(widest: float, fire: bool) -> None:
    """4 kW/m² against the published 4.3 for wood [BABRAUSKAS-2001]."""
    lens = Lens("x", 1000, widest, transmission=0.85)
    said = sunburn.sun_caution(lens)
    assert sunburn.is_fire_hazard(lens) is fire
    assert said.startswith("Never look")
    assert "take precedence" in said
    assert ("chars wood and lights black cloth" in said) is fire
    assert "opaque, non-combustible cap on the outside" in said
