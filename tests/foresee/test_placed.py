"""Tones of a scene laid on a paper, against the ISO range the curve was made of and the closed form of a normal error."""

from __future__ import annotations

import math
from statistics import NormalDist

import pytest

from firstsheet.foresee import tone
from firstsheet.foresee.placed import Read, place
from firstsheet.foresee.route import Chain
from firstsheet.refusal import Refusal

STOP = math.log10(2)


def paper(way="paper_negative", log_range=1.0):
    return tone.of_figures(way, 0.07, 1.90, log_range, "a paper of the test")


def test_what_is_held_is_near_the_iso_range_the_paper_was_made_of():
    """R 100 is 1.00 in log10 between 0.04 above base and 90 % of Dmax [ISO 6846]: 3.32 stops; here the upper end lies 0.06 below Dmax."""
    low, high = place(Chain("paper_negative", paper()), [Read("grey", 0.0, 0.2)], 0.0).holds
    assert 1.0 / STOP < high - low < 1.0 / STOP + 1.2
    longer = place(Chain("paper_negative", paper(log_range=1.3)), [Read("grey", 0.0, 0.2)], 0.0).holds
    assert (longer[1] - longer[0]) / (high - low) == pytest.approx(1.3, rel=0.02)  # a logistic only stretches


@pytest.mark.parametrize("stops", [-3.0, -1.8, 0.0, 2.0, 4.0])
def test_the_chance_is_that_of_a_normal_error(stops):
    """P of each fate from the two ends and one normal distribution: Python's own `statistics`."""
    chain = Chain("paper_negative", paper())
    scene = place(chain, [Read("it", stops, 0.3)], 0.4)
    low, high = scene.holds
    sd = math.sqrt(0.3**2 + 0.4**2 + (chain.tones.contrast_sd * stops) ** 2)
    error = NormalDist(stops, sd)
    expected = {"white": error.cdf(low), "black": 1 - error.cdf(high), "holds": error.cdf(high) - error.cdf(low)}
    got = scene.tones[0]
    assert got.fate == max(expected, key=expected.get)
    assert got.chance == pytest.approx(expected[got.fate], abs=0.02)


def test_more_exposure_moves_what_is_held_down_by_as_much():
    plain = place(Chain("paper_negative", paper()), [Read("grey", 0.0, 0.2)], 0.0).holds
    more = place(Chain("paper_negative", paper(), 1.0), [Read("grey", 0.0, 0.2)], 0.0).holds
    assert more == pytest.approx([p - 1 for p in plain], abs=0.03)


def test_on_a_positive_bright_is_white_and_on_a_negative_it_is_black():
    read = [Read("sky", 6.0, 0.1), Read("coat", -6.0, 0.1)]
    assert [t.fate for t in place(Chain("paper_negative", paper()), read, 0.0).tones] == ["white", "black"]  # darkest first
    assert [t.fate for t in place(Chain("direct_positive", paper("direct_positive")), read, 0.0).tones] == ["black", "white"]


def test_a_flash_before_lets_a_negative_hold_darker_tones():
    plain = place(Chain("paper_negative", paper()), [Read("grey", 0.0, 0.2)], 0.0).holds
    flashed = place(Chain("paper_negative", paper(), 0.0, 0.7), [Read("grey", 0.0, 0.2)], 0.0).holds
    assert flashed[0] < plain[0] - 0.5
    assert flashed[1] == pytest.approx(plain[1], abs=0.1)


def test_the_range_is_brightest_less_darkest_with_both_doubts():
    scene = place(Chain("paper_negative", paper()), [Read("shirt", 2.0, 0.3), Read("face", 1.0, 0.2), Read("hair", -3.0, 0.4)], 5.0)
    assert scene.range_stops == 5.0
    assert scene.range_sd == pytest.approx(0.5)  # 0.3 and 0.4 in quadrature; the exposure's doubt cancels


def test_everything_that_is_no_tone_is_refused_at_once():
    with pytest.raises(Refusal) as refused:
        place(Chain("paper_negative", paper()), [Read("a", math.nan, 0.2), Read("b", 40.0, 0.2)], -1.0)
    assert len(refused.value.problems) == 3
    with pytest.raises(Refusal, match="Touch a tone"):
        place(Chain("paper_negative", paper()), [], 0.0)
