"""Laws of light that hold whatever the figures are: shade is never brighter than sun, light adds, a wall never brightens."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet.exposure.chain import Optics, paper_lx_from_scene
from firstsheet.light import horizon as hz
from firstsheet.light import sky
from firstsheet.light.sun import Sun, refraction_deg

AIR = sky.Air.over()
HEIGHTS, BEARINGS, SKIES = st.floats(-5, 85), st.floats(0, 360), st.sampled_from(sky.sky_keys())


def daylight(height: float, key: str) -> tuple[sky.Daylight, Sun]:
    sun = Sun(height, height + refraction_deg(height), 180.0)
    return sky.daylight(sun, 1.0, key, AIR), sun


@given(HEIGHTS, BEARINGS, SKIES)
def test_shade_is_never_brighter_than_sun_at_the_same_minute(height: float, bearing: float, key: str) -> None:
    """The same face at the same minute, trees before the sun or none: what they take of beam and sky they give nothing back for."""
    d, sun = daylight(height, key)
    shade = hz.Face(bearing, hz.horizon("trees from 150° to 210°, 89° high"), 0.5, 0.2).lit(d, sun)
    lit = hz.Face(bearing, hz.OPEN, 0.5, 0.2).lit(d, sun)
    assert sum(shade) <= sum(lit) * (1 + 1e-9)
    assert shade[0] <= 1e-9


@given(HEIGHTS, BEARINGS, st.floats(1, 60), st.floats(0.1, 25))
def test_a_higher_wall_never_brightens(height: float, bearing: float, high: float, more: float) -> None:
    d, sun = daylight(height, "clear_sun")
    low, tall = (hz.Face(bearing, hz.horizon(f"trees from 100° to 260°, {h:.2f}° high"), 0.5, 0.2).lit(d, sun) for h in (high, high + more))
    assert sum(tall) <= sum(low) * (1 + 1e-9)


@given(st.floats(0.1, 1e5), st.floats(0.1, 1e5), st.floats(2, 128), st.floats(0, 4))
def test_light_adds(one: float, other: float, n: float, extension: float) -> None:
    optics = Optics(n, extension)
    both = paper_lx_from_scene(one + other, optics)[0]
    assert both == pytest.approx(paper_lx_from_scene(one, optics)[0] + paper_lx_from_scene(other, optics)[0], rel=1e-12)
