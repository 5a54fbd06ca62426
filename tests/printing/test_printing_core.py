"""Lamp, negative, seconds and counting against closed forms and published figures."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstsheet.printing import contact, counting, negative
from firstsheet.printing.lamp import Lamp, corner_stops, counted_black, glass_stops, height_for, moved_stops
from firstsheet.refusal import Refusal

DIAGONAL = 500.0


# Closed forms: the corner of a sheet lies half a diagonal off the axis; cos⁴ for a flat diffuse lamp, cos³ for a bare point
# (inverse square of the longer way, times the cosine on the sheet, times the lamp's own cosine where it is flat).
@pytest.mark.parametrize(
    ("kind", "diagonals", "stops"), [("flat", 1, 0.64), ("flat", 2, 0.17), ("flat", 3, 0.08), ("point", 1, 0.48)]
)
def test_corners_lose_what_the_cosine_law_says(kind, diagonals, stops):
    lost = corner_stops(Lamp(kind, 8.0, 0.2, 1000.0), diagonals * DIAGONAL, DIAGONAL / 2)
    assert lost == pytest.approx(stops, abs=0.006)


def test_inverse_square_of_a_point_and_the_closed_form_of_a_disc():
    # Inverse square law: twice as far, two stops. A disc of radius a on its axis, E = πL·a²/(a² + h²) (closed form, Lambert).
    assert moved_stops(Lamp("point", 8.0, 0.2, 1000.0), 2000.0)[0] == pytest.approx(2.0)
    disc = Lamp("flat", 8.0, 0.2, 200.0, across_mm=400.0)
    assert moved_stops(disc, 400.0)[0] == pytest.approx(math.log2((400**2 + 200**2) / (200**2 + 200**2)))
    # Common practice, no source: five times its width away a lamp counts as a point, within a percent.
    far = Lamp("flat", 8.0, 0.2, 1000.0, across_mm=200.0)
    assert moved_stops(far, 2000.0)[0] == pytest.approx(2.0, abs=math.log2(1.01))


def test_a_numerical_sum_over_a_disc_agrees_on_its_axis():
    """Independent of the closed form: the disc cut into small point sources, each cos⁴/h²."""

    def lit(height: float) -> float:
        n, a, total = 200, 150.0, 0.0
        for i in range(n):
            r = (i + 0.5) / n * a
            total += r * height**2 / (height**2 + r**2) ** 2
        return total

    assert moved_stops(Lamp("flat", 8.0, 0.2, 300.0, across_mm=300.0), 700.0)[0] == pytest.approx(
        math.log2(lit(300.0) / lit(700.0)), abs=1e-3
    )


@settings(max_examples=60)
@given(st.sampled_from(["point", "flat"]), st.floats(0.2, 20.0))
def test_height_for_a_time_is_undone_by_the_time_at_that_height(kind, factor):
    lamp = Lamp(kind, 8.0, 0.2, 1000.0, across_mm=120.0)
    assert moved_stops(lamp, height_for(lamp, factor))[0] == pytest.approx(math.log2(factor), abs=1e-9)


def test_glass_costs_what_fresnel_says():
    # n 1.5: 4 % at each face, 0.92 through both, a little more with what goes to and fro (from memory of any optics text).
    assert 2.0 ** -glass_stops() == pytest.approx(0.923, abs=0.001)


def test_a_beams_corner_is_told_only_where_it_was_measured():
    beam = Lamp("beam", 8.0, 0.2, 1000.0, corner_stops=0.9, corner_mm=250.0)
    assert corner_stops(beam, 1000.0, 250.0) == 0.9
    assert corner_stops(beam, 2000.0, 500.0) == 0.9  # the same angle
    assert corner_stops(beam, 2000.0, 250.0) is None
    assert corner_stops(Lamp("beam", 8.0, 0.2, 1000.0), 1000.0, 250.0) is None


def test_what_lay_over_the_strip_is_taken_off():
    # Density is log10 of what is held back [ISO-5-4]: 0.30 D lets half through.
    bare = counted_black([2, 4, 8, 16, 32], 4, 0.0, 0.0)[0]
    assert bare == pytest.approx(math.sqrt(8 * 16))
    assert counted_black([2, 4, 8, 16, 32], 4, math.log10(2), 0.0)[0] == pytest.approx(bare / 2)
    for black in (1, 5):
        with pytest.raises(Refusal):
            counted_black([2, 4, 8, 16, 32], black, 0.0, 0.0)


# Grade limits from memory of the 1966 appendix: log exposure range 0.50 to 1.70 in six grades.
@pytest.mark.parametrize(
    ("range_d", "grade"), [(0.55, 5), (0.70, 4), (0.90, 3), (1.05, 2), (1.30, 1), (1.60, 0), (0.4, None), (1.8, None)]
)
def test_grade_of_a_range(range_d, grade):
    assert contact.grade_for(range_d) == grade


def test_shadows_and_highlights_agree_where_the_negative_fits():
    n = negative.checked(0.55, 1.60, 0.03, "dry")
    fits = contact.seconds(4.0, 0.2, n, 1.05, "shadows")
    assert fits.shadows_s == pytest.approx(fits.highlights_s)
    assert fits.time_s == pytest.approx(4.0 * 10**0.55)
    long = contact.seconds(4.0, 0.2, n, 0.90, "highlights")
    assert math.log2(long.highlights_s / long.shadows_s) == pytest.approx(0.15 / math.log10(2))


def test_density_by_reflection_would_be_wrong_by_stops():
    """A layer of 0.47/0.75/1.05 D by transmission reads about 0.96/1.4/1.9 by reflection [Williams-1953] (from memory): taken for
    the other, the range of 0.58 D becomes 0.94, two grades softer, and the highlights' seconds 0.85 D, nearly three stops, too long."""
    through, looked = negative.checked(0.47, 1.05, 0.03, "dry"), negative.checked(0.96, 1.90, 0.03, "dry")
    assert contact.grade_for(through.range_d) == 5
    assert contact.grade_for(looked.range_d) == 3
    right, wrong = (contact.seconds(4.0, 0.2, n, 0.58, "highlights") for n in (through, looked))
    assert math.log2(wrong.time_s / right.time_s) == pytest.approx(0.85 / math.log10(2))


def test_counts_by_hand():
    # Hand arithmetic: ten counts in 9 s is a second of 0.9 s; 8 s are 9 counts.
    own = counting.measured([9.0, 9.0, 9.0])
    assert own.second_s == pytest.approx(0.9)
    assert counting.counts_for(own, 8.0) == 9
    assert counting.error_stops(own, 3.0) > counting.error_stops(own, 8.0) > counting.error_stops(own, 30.0)
    steady, wandering = counting.measured([9.0, 9.0, 9.0]), counting.measured([8.0, 9.0, 10.5])
    assert wandering.wander > steady.wander
    with pytest.raises(Refusal):
        counting.measured([2.0])
