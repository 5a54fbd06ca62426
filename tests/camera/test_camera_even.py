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


def counted_through(rims: Barrel, height: float, far: tuple[float, float], width: float, steps: int = 240) -> float:
    """The same with the rims: a ray from the sitter's point by each piece of the pupil to the sheet must clear both."""
    out, image = far
    before, behind = rims.length_mm * rims.before, rims.length_mm * (1 - rims.before)
    total = 0.0
    for i in range(steps):
        for j in range(steps):
            x, y = (width * ((k + 0.5) / steps - 0.5) for k in (i, j))
            if math.hypot(x, y) > width / 2:
                continue
            s, t = behind / image, before / out
            side = height / image * out  # where the sitter's point is, on the other side
            back = math.hypot(x + (height - x) * s, y * (1 - s)) <= rims.back_mm / 2
            front = math.hypot(x + (-side - x) * t, y * (1 - t)) <= rims.front_mm / 2
            if back and front:
                total += image**2 / ((height - x) ** 2 + y * y + image**2) ** 2
    return total


@pytest.mark.parametrize(("rims", "n", "corner"), [(Barrel(120, 80, 78), 8, (160.0, 200.0)), (Barrel(120, 80, 78), 11, (203.2, 254.0)), (Barrel(90, 84, 80, 0.4), 8, (203.2, 254.0))])
def test_falloff_and_barrel_together_against_counted_rays(rims, n, corner):
    """f 600 a quarter life-size: pupil 750 mm from the sheet, 3 m from the sitter. Both shadings at once, within 0.02 stop."""
    shaded = Lens("x", 600, 8, barrel=rims)
    width = 600 / n
    height = math.hypot(*corner)
    there = counted_through(rims, height, (3000.0, 750.0), width) / counted_through(rims, 0.0, (3000.0, 750.0), width)
    assert even.places(shaded, 0.25, (2 * corner[0], 2 * corner[1]), n)[0][0].stops == pytest.approx(math.log2(there), abs=0.02)


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
