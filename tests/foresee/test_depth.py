"""Blur by touched distances: the disc of each is the closed form's, light is kept, the sitter in focus stays sharp. Synthetic."""

from __future__ import annotations

import numpy as np
import pytest

from firstsheet.foresee import depth, picture


def received(plane):
    rgb = np.repeat(np.asarray(plane, dtype=np.float32)[:, :, None], 3, axis=2)
    return picture.receive(rgb, (0.3, 0.4, 0.3), 1.0, 400.0), rgb


@pytest.mark.parametrize(
    ("far", "width"),
    [
        # f 1000, N 16, in focus at 3 m, m ½: a blur of 0.5 mm at 2952.76 and 3048.78 mm [handbook formula, exact thin lens]
        (2952.76, 0.5),
        (3048.78, 0.5),
        (3000.0, 0.0),
    ],
)
def test_the_disc_at_the_limits_of_the_depth_of_field(far, width):
    assert depth.disc_mm(far, depth.Optics(3000.0, 1000.0, 16.0)) == pytest.approx(width, abs=0.003)


def test_a_far_hedge_is_soft_and_the_sitter_sharp():
    plane = np.full((240, 300), 0.2)
    plane[:, 150:] = 0.6  # the sitter at the right, the hedge at the left
    plane[40:200:8, 20:130] = 0.4
    plane[40:200:8, 170:280] = 0.9
    got, rgb = received(plane)
    out = depth.blurred(got, rgb, ((0.25, 0.5, 12_000.0), (0.75, 0.5, 3000.0)), depth.Optics(3000.0, 600.0, 8.0))
    assert out[100:180, 40:110].std() < 0.3 * got.exposure[100:180, 40:110].std()
    assert out[100:180, 190:260].std() > 0.9 * got.exposure[100:180, 190:260].std()
    assert out.mean() == pytest.approx(got.exposure.mean(), rel=0.01)


def test_nothing_touched_nothing_changed_and_shares_fill_the_picture():
    got, rgb = received(np.random.default_rng(2).uniform(0.1, 0.9, (60, 80)))
    assert depth.blurred(got, rgb, (), depth.Optics(3000.0, 600.0, 8.0)) is got.exposure
    same = ((0.2, 0.2, 3000.0), (0.8, 0.8, 3000.0))
    np.testing.assert_allclose(depth.blurred(got, rgb, same, depth.Optics(3000.0, 600.0, 8.0)), got.exposure, rtol=1e-4)


def test_places_follow_the_frame_and_the_mirror():
    corners = ((0.2, 0.1), (0.8, 0.1), (0.8, 0.9), (0.2, 0.9))
    inside = depth.placed(((0.5, 0.5, 3000.0), (0.1, 0.5, 9000.0)), corners, False)
    assert inside == ((pytest.approx(0.5), pytest.approx(0.5), 3000.0),)
    assert depth.placed(((0.3, 0.5, 1.0),), None, True)[0][0] == pytest.approx(0.7)


def test_a_place_touched_in_a_photo_wider_than_the_sheet_is_found_in_its_middle():
    """By hand: 600 × 300 for a sheet of 5 by 4 keeps 375 of 600, from 112.5: a place at 0.3 is at (180 − 112)/375 of it."""
    corners = picture.middle_of((300, 600), 0.8)
    (x, y, far), = depth.placed(((0.3, 0.5, 1.0), (0.05, 0.5, 2.0)), corners, False)
    assert (x, y, far) == pytest.approx(((180 - 112) / 375, 0.5, 1.0), abs=0.003)


def test_a_place_on_a_board_seen_aslant_is_found_by_all_four_corners():
    """By hand: of a trapezium the crossing of the diagonals is the sheet's middle."""
    corners = ((0.2, 0.2), (0.8, 0.2), (1.0, 0.9), (0.0, 0.9))
    cross = 0.2 + 0.7 * 0.6 / 1.6
    (x, y, _), = depth.placed(((0.5, cross, 1.0),), corners, True)
    assert (x, y) == pytest.approx((0.5, 0.5), abs=1e-6)
