"""Light over the sheet: against a counted pupil, published cos⁴, and symmetry."""

from __future__ import annotations

import math

import pytest

from firstsheet.camera import even
from firstsheet.camera.barrel import Barrel
from firstsheet.camera.lens import Lens

LENS = Lens("x", 600, 8)


def counted_stops(height: float, distance: float, width: float, steps: int = 60) -> float:
    """Light of an evenly bright round pupil on a sheet, small piece by small piece, against the middle [stop]."""

    def light(h: float) -> float:
        total = 0.0
        for i in range(steps):
            for j in range(steps):
                x, y = (width * ((k + 0.5) / steps - 0.5) for k in (i, j))
                if math.hypot(x, y) <= width / 2:
                    r2 = (h - x) ** 2 + y * y + distance**2
                    total += distance**2 / r2**2  # cos · cos ÷ r²
        return total

    return math.log2(light(height) / light(0.0))


@pytest.mark.parametrize("corner", [(200.0, 250.0), (250.0, 380.0)])
def test_corners_against_a_counted_pupil(corner):
    """f 600 at f/8 and a quarter life-size: the pupil, 75 mm wide, is 750 mm from the sheet."""
    rows = even.places(LENS, 0.25, (2 * corner[0], 2 * corner[1]), 8)
    assert rows[0][0].stops == pytest.approx(counted_stops(math.hypot(*corner), 750, 75), abs=0.02)


def test_published_falloff():
    """cos⁴: 10° −0.088 stop, 20° −0.359, 30° −0.830 (table computed apart)."""
    for degrees, stops in ((10, -0.088), (20, -0.359), (30, -0.830)):
        side = 750 * math.tan(math.radians(degrees)) / math.sqrt(2)
        assert even.places(LENS, 0.25, (2 * side, 2 * side), 8)[0][0].stops == pytest.approx(stops, abs=5e-4)


def test_symmetry_and_shift():
    shaded = Lens("x", 600, 8, barrel=Barrel(120, 80, 80))
    rows = even.places(shaded, 0.25, (400, 500), 8)
    assert rows[3][3].stops == pytest.approx(0, abs=1e-6)
    for row in rows:
        assert [p.stops for p in row] == pytest.approx([p.stops for p in reversed(row)])
    assert [[p.stops for p in r] for r in rows] == [[pytest.approx(p.stops) for p in r] for r in reversed(rows)]
    right = even.places(shaded, 0.25, (400, 500), 8, (80, 0))
    assert even.darkest(right).right_mm > 0
    assert even.darkest(right).stops < even.darkest(rows).stops
    assert even.lightest(right).right_mm < 0
