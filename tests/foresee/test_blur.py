"""Blur against its analytic width: a disc of diameter d spreads d/4 along each axis, a normal smear its own sd (geometry)."""

from __future__ import annotations

import numpy as np
import pytest

from firstsheet.foresee import blur
from firstsheet.refusal import Refusal


@pytest.mark.parametrize("diameter", [0.3, 0.9, 1.7, 2.0, 2.9, 3.0, 4.4, 5.0, 8.0, 20.0, 81.4])
def test_a_disc_spreads_a_quarter_of_its_diameter(diameter):
    kernel = blur.disc(diameter)
    across, down = blur.spread(kernel)
    assert across == pytest.approx(diameter / 4, rel=0.01)
    assert down == pytest.approx(diameter / 4, rel=0.01)
    assert kernel.sum() == pytest.approx(1.0, abs=1e-5)


@pytest.mark.parametrize("sd", [0.1, 0.5, 0.74, 0.76, 1.0, 2.5, 12.0])
def test_a_smear_spreads_as_far_as_the_sitter_sways(sd):
    kernel = blur.smear(sd)
    assert kernel.shape[0] == 1
    assert blur.spread(kernel)[0] == pytest.approx(sd, rel=0.01)
    assert blur.spread(blur.smear(sd, 2 * sd))[1] == pytest.approx(2 * sd, rel=0.01)


@pytest.mark.parametrize("kernel", [blur.disc(7.3), blur.smear(3.0, 1.0), blur.disc(1.2)])
def test_a_point_becomes_the_kernel_and_no_light_is_lost(kernel):
    plane = np.zeros((60, 80), dtype=np.float32)
    plane[25, 40] = 5.0
    out = blur.blurred(plane, kernel)
    up, left = kernel.shape[0] // 2, kernel.shape[1] // 2
    np.testing.assert_allclose(out[25 - up : 26 + up, 40 - left : 41 + left], 5.0 * kernel, atol=1e-5)
    assert out.sum() == pytest.approx(5.0, rel=1e-4)


def test_an_even_plane_stays_as_it_is_to_its_edges():
    plane = np.full((31, 47), 0.7, dtype=np.float32)
    np.testing.assert_allclose(blur.blurred(plane, blur.disc(11.0)), 0.7, rtol=1e-5)


def test_two_smears_add_as_squares():
    """Law: variances of independent blurs add."""
    plane = np.zeros((1, 201), dtype=np.float32)
    plane[0, 100] = 1.0
    out = blur.blurred(blur.blurred(plane, blur.smear(3.0)), blur.smear(4.0))
    at = np.arange(201) - 100
    assert np.sqrt((out[0] * at**2).sum()) == pytest.approx(5.0, rel=0.01)


@pytest.mark.parametrize("wrong", [-1.0, float("nan"), 601.0])
def test_a_blur_that_cannot_be_is_refused(wrong):
    with pytest.raises(Refusal):
        blur.disc(wrong)
