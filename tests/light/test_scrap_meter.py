"""Seconds to a tint: closed forms (light times seconds is one constant), averaging, laws and refusals."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstsheet.light import scrap_meter as s
from firstsheet.refusal import Refusal

secs = st.floats(5, 1200)


@settings(max_examples=60, deadline=None)
@given(st.floats(100, 100_000), secs, secs)
def test_light_times_seconds_is_the_constant(lux, first, second):
    """Closed form: the same count gives the light back, twice the count half of it."""
    c = s.constant(lux, 0.2, s.counted([first]))
    assert s.light_lx(c, s.counted([first])) == pytest.approx(lux)
    assert s.light_lx(c, s.counted([second])) == pytest.approx(lux * first / second)


@settings(max_examples=60, deadline=None)
@given(secs, st.integers(2, 9))
def test_equal_counts_average_as_the_root_of_their_number(seconds, n):
    one, many = s.counted([seconds]), s.counted([seconds] * n)
    assert many.mean_s == pytest.approx(seconds)
    assert many.sd_stops == pytest.approx(one.sd_stops / math.sqrt(n))
    assert one.sd_stops >= s.MATCH_SD_STOPS


def test_counts_that_disagree_are_believed_less():
    """Closed form: 20 and 80 s have the mean 40 s in stops, and differ from it by a stop each: √2 stops from one to the next."""
    c = s.counted([20.0, 80.0])
    assert c.mean_s == pytest.approx(40.0)
    assert c.sd_stops == pytest.approx(1.0)


def test_a_short_count_is_worth_less_and_a_surer_constant_more():
    assert s.counted([5.0]).sd_stops > s.counted([50.0]).sd_stops
    sure, unsure = s.Constant(1e6, 0.2), s.Constant(1e6, 0.8)
    assert s.reading_sd(sure, s.counted([40.0]), 0.35) < s.reading_sd(unsure, s.counted([40.0]), 0.35)


@pytest.mark.parametrize("seconds", [[], [1.0], [40.0, 4000.0], [30.0] * 21])
def test_counts_that_cannot_be_are_refused(seconds):
    with pytest.raises(Refusal) as refused:
        s.counted(seconds)
    assert refused.value.problems[0].where == "seconds"
