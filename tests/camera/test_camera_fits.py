"""What fits, against a plain search of the same optics, published depths, and the lens to buy by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet.camera import coverage, fits, focus
from firstsheet.camera.barrel import Barrel
from firstsheet.camera.fits import Fit
from firstsheet.camera.lens import Lens
from firstsheet.camera.room import Room, look

SHED = Room(620, 1100, 2400, 2000, 2100)
LENS = Lens("six hundred", 600, 8, coverage_deg=48, stops=(8, 11, 16, 22, 32))
INCH = 25.4


def test_each_verdict_by_hand():
    """f 600: at 1.3 m the board would be at 1114 mm; at 20 m at 618.6; 48° cover 712 mm at 1/3 life-size, 16 × 20 in needs 651."""
    sheet = (16 * INCH, 20 * INCH)
    assert fits.cell(LENS, SHED, sheet, 1300).fit is Fit.CLOSE
    assert fits.cell(LENS, SHED, sheet, 20_000).fit is Fit.FAR
    assert fits.cell(LENS, SHED, (30 * INCH, 40 * INCH), 2400).fit is Fit.DARK
    assert fits.cell(LENS, SHED, (2100.0, 500.0), 2400).fit is Fit.BIG
    assert fits.cell(LENS, SHED, sheet, 590).fit is Fit.CLOSE
    c = fits.cell(LENS, SHED, sheet, 2400)
    assert c.fit is Fit.YES
    assert c.circle_mm == pytest.approx(712.4, abs=0.2)
    assert fits.cell(Lens("x", 600, 8, stops=(11,)), SHED, sheet, 1400).fit is Fit.THIN
    shaded = Lens("x", 600, 8, barrel=Barrel(400, 76, 76))
    assert fits.cell(shaded, SHED, (30 * INCH, 40 * INCH), 2400).fit is Fit.DARK


@given(st.floats(1250, 12_000), st.sampled_from(fits.SHEETS_IN))
def test_the_stop_is_the_widest_that_holds_the_ears(u, inches):
    """Against the answer for one sitting, stop by stop; it was written and is tested apart."""
    sheet = (inches[0] * INCH, inches[1] * INCH)
    c = fits.cell(LENS, SHED, sheet, u)
    if c.fit is Fit.YES:
        answers = {n: look(LENS, SHED, sheet, subject_mm=u, aperture=n) for n in LENS.stops}
        assert c.stop == min(n for n, a in answers.items() if a.ears_sharp)
        assert answers[c.stop].covered


def test_which_lens_to_buy_by_hand():
    """Half life-size, board to 1100 mm: f ≤ 733; 16 × 20 in at 46°: 325.3 ÷ (1.5 · tan 23°) = 511 mm; a chair at 1.2 m: 400 mm or longer."""
    span = fits.focal_span(SHED, 0.5, (16 * INCH, 20 * INCH))
    assert span.high_mm == pytest.approx(733.3, abs=0.1)
    assert span.low_covers_mm == pytest.approx(511.0, abs=0.5)
    assert span.low_mm == pytest.approx(620 / 1.5, abs=0.1)
    assert fits.focal_span(SHED, 0.5, (16 * INCH, 20 * INCH), outside_mm=1500).high_mm == pytest.approx(500)


@given(st.floats(0.1, 1.5), st.sampled_from(fits.SHEETS_IN))
def test_the_span_against_every_millimetre(m, inches):
    sheet = (inches[0] * INCH, inches[1] * INCH)
    span = fits.focal_span(SHED, m, sheet)
    good = [f for f in range(50, 1300, 7) if 620 <= f * (1 + m) <= 1100 and f * (1 + 1 / m) >= 1200]
    assert [f for f in range(50, 1300, 7) if span.low_mm <= f <= span.high_mm] == good
    for f in good:
        wide = Lens("x", f, 8, coverage_deg=46)
        assert (coverage.circle_mm(wide, m) >= coverage.needed_circle_mm(sheet)) == (f >= span.low_covers_mm or math.isclose(f, span.low_covers_mm))


def test_the_map_begins_where_the_board_ends():
    distances = fits.subjects_mm(600, SHED)
    assert len(distances) == 8
    assert distances[0] < focus.subject_for_board(600, 1100) < distances[2]
    assert distances[-1] >= 5000
