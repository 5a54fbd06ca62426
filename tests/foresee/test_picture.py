"""From photo to sheet: colour to exposure, frame, turn, what the way does to light; against plain arithmetic."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from firstsheet.foresee import picture, route, tone
from firstsheet.refusal import Refusal

NONE = np.zeros((60, 80), dtype=bool)


def grey(value, high=60, wide=80):
    return np.full((high, wide, 3), value, dtype=np.float32)


def test_a_grey_stays_grey_and_a_colour_is_weighed():
    rgb = grey(0.36)
    rgb[:, 40:] = (0.6, 0.2, 0.1)
    got = picture.receive(rgb, (0.1, 0.2, 0.7), 0.18, 400.0)
    assert got.exposure[0, 0] == pytest.approx(2.0)
    assert got.exposure[0, 60] == pytest.approx((0.06 + 0.04 + 0.07) / 0.18)
    assert got.mm_per_px == pytest.approx(5.0)


def test_fall_off_is_what_its_rows_say_and_flare_adds_a_share_of_the_mean():
    got = picture.receive(grey(0.18), (0.3, 0.4, 0.3), 0.18, 400.0)
    rows = ((-1.0, -0.5, -1.0), (-0.5, 0.0, -0.5), (-1.0, -0.5, -1.0))
    light = picture.laid(got, picture.Laid(falloff=rows))
    assert light[0, 0] == pytest.approx(0.5, rel=0.01)
    assert light[30, 40] == pytest.approx(1.0, rel=0.02)
    with_flare = picture.laid(got, picture.Laid(flare=0.02))
    np.testing.assert_allclose(with_flare, 1.02, rtol=1e-5)


def test_blur_neither_makes_nor_loses_light():
    rng = np.random.default_rng(3)
    rgb = np.zeros((60, 80, 3), dtype=np.float32)
    rgb[15:45, 20:60] = rng.random((30, 40, 1), dtype=np.float32)
    got = picture.receive(rgb, (0.3, 0.4, 0.3), 0.18, 80.0)
    before = picture.laid(got, picture.Laid())
    after = picture.laid(got, picture.Laid(disc_mm=4.0, across_mm=1.5))
    assert after.mean() == pytest.approx(before.mean(), rel=0.003)


def test_a_tilted_board_comes_out_square():
    """A chequer drawn into a known quadrilateral comes back as rows and columns; the way there is written out here."""
    corners = ((0.15, 0.10), (0.90, 0.20), (0.80, 0.95), (0.10, 0.85))
    from tests.foresee.boards import HIGH, WIDE

    ends = np.array([(0, 0), (4, 0), (4, 3), (0, 3)], dtype=float)
    rows, right = [], []
    for (x, y), (u, v) in zip([(cx * WIDE, cy * HIGH) for cx, cy in corners], ends, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -x * u, -y * u], [0, 0, 0, x, y, 1, -x * v, -y * v]]
        right += [u, v]
    a = np.append(np.linalg.solve(np.array(rows), np.array(right)), 1.0).reshape(3, 3)
    c, r = np.meshgrid(np.arange(WIDE) + 0.5, np.arange(HIGH) + 0.5)
    p = a @ np.stack([c.ravel(), r.ravel(), np.ones(c.size)])
    u, v = (p[0] / p[2]).reshape(HIGH, WIDE), (p[1] / p[2]).reshape(HIGH, WIDE)
    photo = np.where((np.floor(u) + np.floor(v)) % 2 == 0, 0.8, 0.2).astype(np.float32)[:, :, None].repeat(3, axis=2)
    flat, _ = picture.framed(photo, np.zeros((HIGH, WIDE), dtype=bool), corners, 4 / 3, long_px=400)
    high, wide = flat.shape[:2]
    assert wide / high == pytest.approx(4 / 3, rel=0.01)
    for j in range(3):
        for i in range(4):
            middle = flat[int((j + 0.5) * high / 3), int((i + 0.5) * wide / 4), 0]
            assert middle == pytest.approx(0.8 if (i + j) % 2 == 0 else 0.2, abs=0.02)


def test_crossed_corners_are_refused():
    with pytest.raises(Refusal):
        picture.framed(grey(0.2), NONE, ((0.1, 0.1), (0.9, 0.9), (0.9, 0.1), (0.1, 0.9)), 1.0)


def test_upside_down_and_mirrored():
    plane = np.arange(6).reshape(2, 3)
    np.testing.assert_array_equal(picture.turned(plane, True, False), [[5, 4, 3], [2, 1, 0]])
    np.testing.assert_array_equal(picture.turned(plane, False, True), [[2, 1, 0], [5, 4, 3]])


def test_dead_black_and_blown_white_are_counted_and_outlined():
    rgb = grey(0.18)
    rgb[:, :20], rgb[:, 60:] = 0.0001, 0.99
    got = picture.receive(rgb, (0.3, 0.4, 0.3), 0.03, 400.0)
    seen = picture.drawn(picture.laid(got, picture.Laid()), route.Chain("direct_positive", tone.stand_in("direct_positive"), more_stops=0.5))
    assert seen.dead_black == pytest.approx(0.25, abs=0.01)
    assert seen.blown_white >= 0.25
    lined = picture.outlined(seen)
    assert lined[30, 19, 0] == 255
    assert seen.codes[30, 10, 0] < 40


def test_the_file_holds_nothing_but_the_picture():
    seen = np.full((40, 60, 3), 120, dtype=np.uint8)
    kept = Image.open(io.BytesIO(picture.jpeg(seen)))
    assert kept.size == (60, 40)
    assert not kept.getexif()
    assert kept.mode == "L"


def test_all_that_is_wrong_is_said_at_once():
    with pytest.raises(Refusal) as refused:
        picture.receive(grey(0.2), (0.0, 0.0, 0.0), 0.0, -3.0)
    assert len(refused.value.problems) == 3
