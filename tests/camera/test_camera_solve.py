"""Any two give the rest: against the published table of conjugates, there and back; the ruler's marks; laws of light."""

from __future__ import annotations

import itertools
import math
import re

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from firstsheet.camera import coverage, focus, solve
from firstsheet.camera.barrel import Barrel
from firstsheet.camera.lens import Lens
from firstsheet.drawing import ruler
from firstsheet.refusal import Refusal

# Conjugates of a 1000 mm lens, computed apart from this project: u, v, m.
CONJUGATES = ((1500, 3000.00, 2.0), (2000, 2000.00, 1.0), (3000, 1500.00, 0.5), (4000, 1333.33, 0.3333), (5000, 1250.00, 0.25), (10000, 1111.11, 0.1111))


@pytest.mark.parametrize("row", CONJUGATES)
@pytest.mark.parametrize("pair", list(itertools.combinations(solve.NAMES, 2)))
def test_every_pair_against_the_table(row, pair):
    u, v, m = row
    true = {"focal": 1000.0, "board": v, "subject": u, "magnification": m}
    found = solve.solve({k: true[k] for k in pair})
    assert (found.focal_mm, found.board_mm, found.subject_mm, found.magnification) == pytest.approx((1000, v, u, m), rel=3e-4)


@given(st.floats(50, 3000), st.floats(0.02, 4))
def test_there_and_back(f, m):
    once = solve.solve({"focal": f, "magnification": m})
    for pair in itertools.combinations(solve.NAMES, 2):
        again = solve.solve({k: {"focal": f, "board": once.board_mm, "subject": once.subject_mm, "magnification": m}[k] for k in pair})
        assert (again.focal_mm, again.board_mm, again.subject_mm) == pytest.approx((f, once.board_mm, once.subject_mm), rel=1e-6)


@given(st.floats(300, 1200), st.floats(1300, 20_000), st.floats(-300, 300), st.floats(-300, 300))
def test_marks_there_and_back(f, floor, floor_zero, board_zero):
    assume(floor + floor_zero > f + 1)
    mark = solve.board_mark(f, floor, floor_zero, board_zero)
    assert solve.floor_mark(f, mark, floor_zero, board_zero) == pytest.approx(floor, rel=1e-6)


def test_refused():
    for given_ in ({"focal": 600.0}, {"focal": 600.0, "board": 600.0}, {"focal": 600.0, "subject": 500.0}, {"board": -1.0, "subject": 5.0}):
        with pytest.raises(Refusal):
            solve.solve(given_)


@given(st.floats(100, 2000), st.floats(0.05, 3), st.floats(0.3, 2), st.floats(1.001, 3))
def test_moving_away_never_brightens(f, m, p, further):
    """The board moved back gets less of the lens's light; a point moved off the axis gets no more than the middle."""
    near, far = focus.board_at(f, m), focus.board_at(f, m) * further
    n = [focus.effective_f_number(8, focus.magnification_at_board(f, v), p) for v in (near, far)]
    assert n[1] > n[0]
    lens = Lens("x", f, 8, pupil=p, barrel=Barrel(f / 5, f / 7, f / 7))
    stops = [coverage.shade_stops((f * r, 0.0), lens, m, 8) for r in (0.0, 0.1, 0.2, 0.3)]
    assert all(b <= a + 1e-6 or b == a for a, b in itertools.pairwise(stops))


def test_how_square():
    """By hand: f/8 at half life-size sees 12, ± 6 mm of 0.5 mm blur over half of 400 mm: arctan 0.03 = 1.718°."""
    assert solve.tilt_deg(12, 0.5, 400) == pytest.approx(1.718, abs=1e-3)


def test_the_ruler_is_true_to_scale():
    ticks = solve.ticks(600, 620, 1100)
    for t in ticks:
        assert t.board_mm == pytest.approx(600 * t.subject_mm / (t.subject_mm - 600), rel=1e-9)
    assert next(t for t in ticks if t.subject_mm == 3000).labelled
    labels = [t.board_mm for t in ticks if t.labelled]
    assert all(b - a >= 7 - 1e-9 for a, b in itertools.pairwise(labels))
    svgs = ruler.pieces(ticks, 620, 1100)
    assert len(svgs) == 2
    first = [float(x) for x in re.findall(r'class="tick" d="M([\d.]+),', svgs[0])]
    assert first[0] == pytest.approx(10 + ticks[0].board_mm - 620, abs=1e-3)
    assert 'width="265mm"' in svgs[0]
    assert 'viewBox="0 0 265 34"' in svgs[0]
    assert solve.ticks(600, 500, 590) == []
    assert math.isinf(solve.ticks(600, 500, 700)[0].subject_mm)
