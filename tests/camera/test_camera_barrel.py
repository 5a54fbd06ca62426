"""The barrel's shading against counted rays and a closed form; what a lens is measured to be against published figures."""

from __future__ import annotations

import itertools
import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet.camera import barrel, coverage, measured
from firstsheet.camera.barrel import Barrel
from firstsheet.camera.lens import Lens
from firstsheet.refusal import Refusal


def counted(rims: Barrel, entrance_mm: float, height_mm: float, at: barrel.Reach, rays: int = 40_000) -> float:
    """Share of rays that get through, each traced as a straight line from sitter to pupil and from pupil to sheet."""
    rng = random.Random(5)
    through = 0
    p = at.pupil
    before, behind = rims.length_mm * rims.before, rims.length_mm * (1 - rims.before)
    point_out = height_mm / at.image_mm * p * at.object_mm  # where the sitter's point is, on the other side
    for _ in range(rays):
        r, a = math.sqrt(rng.random()) * entrance_mm / 2, rng.random() * 2 * math.pi
        x, y = r * math.cos(a), r * math.sin(a)
        t = before / at.object_mm
        front = math.hypot(x + (point_out - x) * t, y * (1 - t)) <= rims.front_mm / 2
        s = behind / at.image_mm
        back = math.hypot(p * x + (-height_mm - p * x) * s, p * y * (1 - s)) <= rims.back_mm / 2
        through += front and back
    return through / rays


@pytest.mark.parametrize(
    ("rims", "focal", "n", "m", "pupil", "height"),
    [
        (Barrel(120, 80, 78), 600, 8, 0.3, 1.0, 150.0),
        (Barrel(120, 80, 78), 600, 8, 0.3, 1.0, 260.0),
        (Barrel(120, 80, 78), 600, 16, 0.3, 1.0, 260.0),
        (Barrel(200, 110, 90, 0.4), 500, 5.6, 1.0, 0.8, 300.0),
        (Barrel(90, 70, 66, 0.6), 360, 5.6, 0.2, 1.3, 120.0),
    ],
)
def test_shading_against_counted_rays(rims, focal, n, m, pupil, height):
    """Brute force: 40 000 rays a point; within 0.02 stop and the counting's own noise."""
    at = barrel.reach(focal, m, pupil)
    share = counted(rims, focal / n, height, at)
    middle = counted(rims, focal / n, 0.0, at)
    noise = 2 / math.log(2) * math.sqrt((1 - share) / share / 40_000)
    assert barrel.shading_stops(rims, focal / n, height, at) == pytest.approx(math.log2(share / middle), abs=0.02 + noise)


@given(st.floats(1, 100), st.floats(1, 100), st.floats(0, 250))
def test_strips_against_the_closed_form_of_two_circles(a, b, apart):
    assert barrel.overlap([(0.0, a), (apart, b)]) == pytest.approx(
        barrel.two_circles(a, b, apart), abs=2e-3 * math.pi * min(a, b) ** 2
    )


def test_an_empty_tube_seen_from_the_side():
    """Closed form: two equal rims, one behind the other, far subject: overlap of two circles of the tube's width apart by L·tan."""
    tube = Barrel(100, 60, 60, 1.0)  # the pupil is the back rim itself
    at = barrel.reach(500, 1e-9)
    height = 500 * math.tan(math.radians(15))
    expected = math.log2(barrel.two_circles(30, 30, 100 * math.tan(math.radians(15))) / (math.pi * 900))
    assert barrel.shading_stops(tube, 60, height, at) == pytest.approx(expected, abs=0.005)


@given(st.floats(0.05, 1.5), st.floats(20, 500))
def test_stopping_down_and_moving_in_never_darken(m, height):
    rims, at = Barrel(120, 80, 80), barrel.reach(600, m)
    shares = [barrel.clear_share(rims, 600 / n, height, at) for n in (8, 11, 16, 32)]
    assert all(b >= a - 0.002 for a, b in itertools.pairwise(shares))
    assert barrel.clear_share(rims, 75, height * 0.8, at) >= shares[0] - 0.002


def test_the_lit_circle_shrinks_wide_open():
    rims, at = Barrel(140, 80, 80), barrel.reach(600, 0.3)
    assert barrel.lit_circle_mm(rims, 75, at) < barrel.lit_circle_mm(rims, 37.5, at)
    lens = Lens("x", 600, 8, barrel=rims)
    assert coverage.corner_shade_stops(lens, 0.3, (400, 500), 8) < coverage.corner_shade_stops(lens, 0.3, (400, 500), 32)


def test_a_far_window_and_two_sizes_say_the_same_lens():
    """Thin lens by hand: f 600; a window 30 m away comes to focus at 612.24 mm; m 0.2 and 0.5 are 180 mm of board apart."""
    assert measured.focal_from_window(612.245, 30_000).mm == pytest.approx(600, abs=0.01)
    two = measured.focal_from_two(200, 40, 100, 180)
    assert two.mm == pytest.approx(600)
    assert two.sd_mm < measured.focal_from_window(612.245, 30_000).sd_mm
    with pytest.raises(Refusal) as told:
        measured.focal_from_two(0, 40, -1, 180)
    assert len(told.value.problems) == 2
    with pytest.raises(Refusal):
        measured.focal_from_window(600, 1000)


def test_pinholes_as_published():
    """Published table at 550 nm: f 100 mm 0.3316 (k 1.414), 0.3663 (1.562), 0.4456 (1.9); f 1000 1.409 mm (1.9)."""
    for k, d in ((1.414, 0.3316), (1.562, 0.3663), (1.9, 0.4456)):
        assert measured.best_pinhole_mm(100, math.inf, k, 550) == pytest.approx(d, abs=1e-4)
    assert measured.best_pinhole_mm(1000, math.inf, 1.9, 550) == pytest.approx(1.409, abs=1e-3)
    assert measured.best_pinhole_mm(2000, 2000, 1.9, 550) == pytest.approx(1.409, abs=1e-3)  # 1/f = 1/u + 1/v


def test_blue_focus_against_a_published_glass():
    """Borosilicate crown by its published Sellmeier coefficients (glass catalogue, from memory), Abbe number 64.17."""

    def index(nm: float) -> float:
        w = (nm / 1000) ** 2
        rows = ((1.03961212, 0.00600069867), (0.231792344, 0.0200179144), (1.01046945, 103.560653))
        return math.sqrt(1 + sum(b * w / (w - c) for b, c in rows))

    assert (index(587.56) - 1) / (index(486.13) - index(656.27)) == pytest.approx(64.17, abs=0.05)
    true = 1 - (index(555) - 1) / (index(450) - 1)
    assert measured.blue_share(64.17) == pytest.approx(true, rel=0.12)


def test_f_number_and_discs():
    """Definition: focal length over the pupil; 600 mm over 75 mm is f/8; half a millimetre of it is 0.02 stop."""
    n, sd = measured.f_number_of(600, 75)
    assert n == 8
    assert sd == pytest.approx(2 * math.log2(75.5 / 75), rel=0.02)
    assert measured.disc_f_number(600, 37.5) == 16
    scale = measured.hole_scale(600, 8, 62.5)  # the widest hole is really 62.5 mm and looks 75 mm wide
    assert measured.disc_f_number(600, measured.disc_hole_mm(600, 22, scale), scale) == pytest.approx(22)
