"""A board beside the sitter, held against the catalogue's closed forms, a count of rays, limits and laws.

Closed forms of a small piece and a rectangle: configurations for a rectangle parallel to the piece with a corner over it, and for one
square to the piece's plane, in J. R. Howell's catalogue of configuration factors (their formulas written from memory) [HOWELL-CATALOG].
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstsheet.light import reflector as r
from firstsheet.refusal import Refusal

SUN = r.Light(80_000.0, r.direction(135.0, 35.0), 9_000.0, 8_000.0, 60_000.0)
SHADE = r.Light(0.0, (0.0, 0.0, 1.0), 8_000.0, 7_000.0, 9_000.0)


def over_a_corner(a, b, c):
    """Parallel to the piece, c away, a corner straight over it, sides a and b."""
    x, y = a / c, b / c
    return (x / math.hypot(1, x) * math.atan(y / math.hypot(1, x)) + y / math.hypot(1, y) * math.atan(x / math.hypot(1, y))) / (2 * math.pi)


def square_to(a, b, c):
    """Standing square to the piece's plane, at distance c: a high from that plane, b wide, its lower corner before the piece."""
    y, x = c / b, a / b
    return (math.atan(1 / y) - y / math.hypot(x, y) * math.atan(1 / math.hypot(x, y))) / (2 * math.pi)


@pytest.mark.parametrize(("a", "b", "c"), [(1, 1, 1), (0.5, 2, 1), (3, 0.2, 0.7), (10, 10, 1)])
def test_the_sum_round_the_edge_is_the_catalogues_closed_form(a, b, c):
    corner = [(c, 0, 0), (c, a, 0), (c, a, b), (c, 0, b)]
    assert r.seen_from(corner, (1, 0, 0)) == pytest.approx(over_a_corner(a, b, c), rel=1e-9)
    upright = [(0, c, 0), (a, c, 0), (a, c, b), (0, c, b)]
    assert r.seen_from(upright, (1, 0, 0)) == pytest.approx(square_to(a, b, c), rel=1e-9)


def test_limits():
    """Closed forms: an endless wall across fills all, one that begins at the piece's own plane and rises square to it half; a far one is A/πd²."""
    assert r.seen_from([(1, -1e6, -1e6), (1, 1e6, -1e6), (1, 1e6, 1e6), (1, -1e6, 1e6)], (1, 0, 0)) == pytest.approx(1, abs=1e-4)
    assert r.seen_from([(-5, 1e-5, -1e4), (1e4, 1e-5, -1e4), (1e4, 1e-5, 1e4), (-5, 1e-5, 1e4)], (1, 0, 0)) == pytest.approx(0.5, abs=1e-3)
    assert r.seen_from(r.Board(0.5, 0.5, 20.0).corners, (1, 0, 0)) == pytest.approx(0.25 / math.pi / 400, rel=1e-3)
    assert r.seen_from([(-1, 0, 0), (-1, 1, 0), (-1, 1, 1)], (1, 0, 0)) == 0.0


@pytest.mark.parametrize("board", [r.Board(1, 1.5, 1.0), r.Board(1, 1.5, 0.8, 30, 25), r.Board(2, 1, 0.9, 60, -40), r.Board(3, 2, 0.8, 80, -20)])
def test_against_a_count_of_rays(board):
    """Rays leave the face as the cosine; the share that meets the board is the factor. Seeded, within 3 %."""
    rng = np.random.default_rng(20260621)
    n = 400_000
    radius, round_ = np.sqrt(rng.random(n)), 2 * np.pi * rng.random(n)
    rays = np.stack([np.sqrt(1 - radius**2), radius * np.cos(round_), radius * np.sin(round_)], 1)
    square, middle = np.array(board.square), np.array(board.middle)
    with np.errstate(divide="ignore"):
        t = (middle @ square) / (rays @ square)
    at = rays * t[:, None] - middle
    along = at @ np.array([-square[1], square[0], 0.0])
    hit = (t > 0) & (np.abs(along) <= board.wide_m / 2) & (np.abs(at[:, 2]) <= board.high_m / 2)
    assert r.seen_from(board.corners, (1, 0, 0)) == pytest.approx(hit.mean(), rel=0.03)


def test_a_wide_mirror_gives_the_sun_itself():
    """Closed form: little blur, the sun's image within the board, so mirror × beam × cosine at the face; here the sun is behind the face, level."""
    foil = r.Surface("foil", "", 0.0, 0.8, 3.0, "")
    sun = r.direction(150.0, 0.0)
    board = r.Board(2.0, 2.0, 1.0, turn_deg=15.0)
    light = r.Light(50_000.0, sun, 0.0, 1_000.0, 50_000.0)
    assert r.added(board, foil, light).mirrored_lx == pytest.approx(0.8 * 50_000, rel=0.03)


def test_a_board_takes_nothing_from_even_light_it_gives_back_whole():
    """Closed form: in evenly lit surroundings a perfect white board changes nothing, a black one takes its factor."""
    even = r.Light(0.0, (0, 0, 1), 5_000.0, 5_000.0, 5_000.0)
    assert r.added(r.Board(1, 1, 1), r.Surface("w", "", 1, 0, 0, ""), even).lift_stops == pytest.approx(0, abs=1e-12)
    black = r.added(r.Board(1, 1, 1), r.Surface("b", "", 0, 0, 0, ""), even)
    assert 2**black.lift_stops == pytest.approx(1 - black.factor)


boards = st.builds(r.Board, st.floats(0.2, 3), st.floats(0.2, 3), st.floats(0.4, 6), st.floats(-40, 40), st.floats(-30, 30))


@settings(max_examples=60, deadline=None)
@given(boards, st.floats(1.05, 4))
def test_white_adds_in_sun_and_never_more_from_farther(board, farther):
    """Wherever the board is brighter than what it hides: here even in its own shade, 0.85 × 9000 lx against 7000 lx."""
    near, far = (r.added(b, r.SURFACES["white"], replace(SUN, fill_lx=7_000.0)) for b in (board, replace(board, far_m=board.far_m * farther)))
    assert near.lift_stops >= -1e-9
    assert far.fill_lx <= near.fill_lx + 1e-6


@settings(max_examples=60, deadline=None)
@given(boards, st.sampled_from([SUN, SHADE]))
def test_black_never_adds_much_and_a_wider_board_counts_more(board, light):
    """A black board in full sun gives back 4 %, so only in shade must it take."""
    if light is SHADE:
        assert r.added(board, r.SURFACES["black"], light).lift_stops < 0
    wider = replace(board, high_m=board.high_m * 1.2)
    assert r.seen_from(wider.corners, (1, 0, 0)) >= r.seen_from(board.corners, (1, 0, 0)) - 1e-12


@pytest.mark.parametrize("wanted", [1.5, 2.0, 2.5])
def test_the_distance_found_gives_the_ratio_wanted(wanted):
    board = r.Board(1.2, 1.2, 1.0)
    far = r.distance_for(board, r.SURFACES["white"], SUN, wanted)
    assert far is not None
    assert r.added(replace(board, far_m=far), r.SURFACES["white"], SUN).after_stops == pytest.approx(wanted, abs=1e-3)
    assert r.distance_for(board, r.SURFACES["white"], SUN, -2.0) is None


def test_the_best_turn_is_towards_the_sun_and_beats_the_square_board():
    board = r.Board(1.0, 1.0, 1.0)
    turn = r.best_turn_deg(board, r.SURFACES["white"], SUN)
    assert turn > 0
    got = [r.added(replace(board, turn_deg=t), r.SURFACES["white"], SUN).fill_lx for t in (0.0, turn)]
    assert got[1] > got[0]


def test_what_cannot_be_is_refused_all_at_once():
    with pytest.raises(Refusal) as refused:
        r.Board(0.0, 1.0, 99.0, 0.0, 90.0)
    assert [p.where for p in refused.value.problems] == ["board", "distance", "turn"]
