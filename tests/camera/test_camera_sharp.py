"""Sway against published figures, blur against published depths, the best stop against a finer search."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet import tables
from firstsheet.acts.sharp import poses
from firstsheet.camera import focus, sharp
from firstsheet.camera.sharp import Pose, Sitting

STANDING = Pose(3.3, 5.0, 4.9, 6.6)


def test_sway_as_published():
    """Quiet standing, open-access study PMC3966255, table 3: along 2.6 mm after 0.5 s and 3.6 after 1 s by diffusion, at most 5.0."""
    for t, published in ((0.5, 2.6), (1.0, 3.6)):
        assert sharp.shift_mm(6.6, 1e6, t) == pytest.approx(published, abs=0.05)  # with no end to it
        assert sharp.shift_mm(6.6, 5.0, t) <= published
    assert sharp.shift_mm(6.6, 5.0, 60) == pytest.approx(5.0, abs=0.01)
    assert sharp.shift_mm(4.9, 3.3, 60) == pytest.approx(3.3, abs=0.01)
    e = tables.load("sway")["standing"]
    assert (e["rms_across_mm"], e["rms_along_mm"], e["diffusion_across"], e["diffusion_along"]) == (3.3, 5.0, 4.9, 6.6)


def test_drift_and_diffusion_worked_apart():
    """At the feet after 0.9 s: across √(2·4.9·0.9) = 2.97 mm, along √(2·6.6·0.9) = 3.45 mm, before the sway's own bounds [SWAY-2014]."""
    assert sharp.shift_mm(4.9, 1e6, 0.9) == pytest.approx(2.97, abs=0.01)
    assert sharp.shift_mm(6.6, 1e6, 0.9) == pytest.approx(3.45, abs=0.01)
    # on the sheet at m 0.33, at the head: 1.7 × 2.97 × 0.33 = 1.67 mm, the upper end of what was worked
    assert sharp.blur(Sitting(600, 0.33, Pose(1e6, 1e6, 4.9, 6.6).scaled(1.7), 0, 0), 8, 0.9).smear == pytest.approx(1.67, abs=0.01)


def test_the_worked_example():
    """m 0.33, standing, 0.9 s: 3.0 mm across at the feet, 1.7 times at the head, smears 1.0 to 1.7 mm on the sheet (worked apart)."""
    s = Sitting(600, 0.33, STANDING.scaled(1.7), 0, 0)
    assert 0.9 <= sharp.blur(s, 8, 0.9).smear <= 1.7
    assert poses()["standing"][1].rms_across_mm == pytest.approx(3.3 * 1.7)


@given(st.floats(0.01, 100), st.floats(1, 3))
def test_longer_is_never_steadier_and_poses_keep_their_order(t, more):
    assert sharp.shift_mm(4.9, 3.3, t * more) >= sharp.shift_mm(4.9, 3.3, t) - 1e-12
    smears = [sharp.blur(Sitting(600, 0.3, p, 0, 0), 8, t).smear for _, p, _ in poses().values()]
    assert smears == sorted(smears, reverse=True)


@pytest.mark.parametrize(
    ("f", "n", "c", "m", "u", "far"), [(1000, 16, 0.5, 0.5, 3000, 3048.78), (1000, 32, 0.5, 0.5, 3000, 3099.17), (600, 8, 0.3, 0.428571, 2000, 2018.84)]
)
def test_out_of_focus_is_the_depth_backwards(f, n, c, m, u, far):
    """Far limits of a published exact form, computed apart: there the blur is just the one allowed."""
    assert sharp.out_of_focus_mm(far - u, f, n, m) == pytest.approx(c, rel=1e-3)


def test_diffraction_as_published():
    """2.44·λ·N at 550 nm: f/64 85.9 µm; in the blue 450/550 of it."""
    b = sharp.blur(Sitting(600, 1.0, STANDING, 0, 0), 32, 1)
    assert b.diffraction == pytest.approx(0.0859 * 450 / 550, abs=2e-4)


@given(st.floats(0.1, 1.2), st.floats(0.05, 10), st.sampled_from([0.15, 0.35, 1.0]))
def test_the_best_stop_against_a_finer_search(m, t, share):
    stops = tuple(8 * 2 ** (k / 2) for k in range(9))
    s = Sitting(600, m, STANDING.scaled(1.7 * share), 3, 3)
    found = sharp.best(sharp.by_stop(s, stops, t, 8))
    fine = min((sharp.blur(s, 8 * 2 ** (k / 40), t * 2 ** (k / 20)) for k in range(161)), key=lambda b: b.whole)
    assert found.whole >= fine.whole - 1e-9
    assert abs(math.log2(found.f_number / fine.f_number)) <= 0.51 or found.whole < fine.whole * 1.2


def test_bow_and_edge_by_hand():
    """3 mm and 4 mm off add to 5; at f/8 and half life-size the sheet sees f/12: 5/12 mm."""
    b = sharp.blur(Sitting(600, 0.5, STANDING.scaled(0.001), 3, 4), 8, 0.001)
    assert b.paper == pytest.approx(5 / 12)
    assert focus.depth_of_focus_mm(12, b.paper) == pytest.approx(5)
