"""Stray light in the room: the sphere's closed form, light traced through a box by chance, hand arithmetic, and laws."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstsheet.camera import dark
from firstsheet.camera.room import Room
from tests.camera.light_in_a_box import traced

SHED = dark.Place(Room(620, 1000, 2400, 2000, 2100), 750.0, (550.0, 650.0), 866.0, 1200.0)
HALL = dark.Place(Room(620, 1500, 3000, 2500, 2300), 1500.0, (900.0, 1000.0), 1800.0, 1200.0)


def test_the_sphere_by_hand_and_as_a_series():
    """S·ρ₁/(A·(1 − ρ̄)) [Goebel-1967]: 0.5 m² of 0.8 in 20 m² of 0.6 is 0.4/(20 · 0.4) = 1/20; the same by adding bounce after bounce."""
    assert dark.sphere_share(0.5 * 0.8, 20.0, 0.6) == pytest.approx(1 / 20)
    flux, total = 0.5 * 0.8, 0.0
    for _ in range(200):
        total += flux / 20.0
        flux *= 0.6
    assert dark.sphere_share(0.5 * 0.8, 20.0, 0.6) == pytest.approx(total)


@pytest.mark.parametrize(("place", "walls"), [(SHED, 0.05), (SHED, 0.4), (SHED, 0.8), (HALL, 0.4)])
def test_against_light_traced_through_a_box(place, walls):
    """100 000 packets: the average within 3 %, the veil on the sheet within 8 %, a tray within a quarter of a stop, besides counting noise."""
    at = dark.tray_at(place, dark.AWAY_MM, dark.BELOW_MM)
    r = place.room
    average, tray, veil = traced((r.length_mm, r.width_mm, r.height_mm), place.board_at_mm, place.board_mm, place.circle_mm, place.axis_high_mm,
                                 (at[0], at[1], place.axis_high_mm + at[2]), walls, 0.85, 100_000)  # fmt: skip
    found = dark.stray(dark.shape(place), walls, 0.85)
    assert found.average == pytest.approx(average, rel=0.03)
    assert found.veil == pytest.approx(veil, rel=0.08)
    assert abs(math.log2(found.tray / tray)) < 0.25 + 0.05


def test_the_order_that_photographers_quote():
    """About a sixtieth of the board's light on everything else (common practice, no source): between bare wood and black in a shed."""
    black, wood = (dark.stray(dark.shape(SHED), r, 0.85).average for r in (0.05, 0.4))
    assert black < 1 / 60 < wood


def test_what_a_tray_sees_of_the_board_by_hand():
    """A small board, 2 m straight before a patch that faces it: E/M = A/(π r²) = 0.01/(π · 4)."""
    lit = dark._lit_board(replace(SHED, board_at_mm=2000.0, board_mm=(100.0, 100.0)))
    assert dark.seen((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), lit, 100.0 * 100.0 / len(lit)) == pytest.approx(0.01 / math.pi / 4, rel=2e-3)
    assert dark.seen((2500.0, 0.0, 0.0), (0.0, 0.0, 1.0), lit, 1.0) == 0  # behind the board


def test_areas_by_hand():
    """Walls of 2.4 × 2.0 × 2.1 m are 28.08 m²; the board's two faces 0.3575 each; a circle of 866 mm is 0.589 m², within the room."""
    s = dark.shape(SHED)
    assert s.walls + s.board == pytest.approx(28.08 + 2 * 0.3575)
    assert s.on_board + s.past_it == pytest.approx(0.5890, abs=2e-3)
    assert dark.shape(replace(SHED, circle_mm=9000.0)).past_it == pytest.approx(2.0 * 2.1 - 0.3575, rel=1e-3)


def test_a_veil_lifts_shadows_by_hand():
    """A quarter of the mid-tone's light over a tone two stops under it doubles it: one stop; over one two stops above, log2 1.0625."""
    assert dark.lifted_stops(0.25, -2) == pytest.approx(1)
    assert dark.lifted_stops(0.25, 2) == pytest.approx(math.log2(1.0625))


@given(st.floats(0.02, 0.85), st.floats(0.01, 0.09), st.floats(0.3, 0.9))
@settings(max_examples=60, deadline=None)
def test_brighter_walls_never_darken(walls, more, white):
    s = dark.shape(SHED)
    less, other = dark.stray(s, walls, white), dark.stray(s, walls + more, white)
    assert other.average > less.average
    assert other.tray > less.tray
    assert other.veil > less.veil


def test_a_further_tray_gets_less():
    shares = [dark.stray(dark.shape(HALL, away), 0.05, 0.85).tray for away in (1000.0, 1500.0, 2000.0)]
    assert shares == sorted(shares, reverse=True)


def test_a_white_sheet_by_hand():
    """ρE/π: 1 lx on a sheet of 0.85 is 0.2706 cd/m²."""
    assert dark.white_cdm2(1.0) == pytest.approx(0.2706, abs=1e-4)
