"""Colour reversal is set by its red-sensitive layer: redder light is faster light, the other way round from blue-seeing paper.

By hand from Planck's law against a 5500 K body, equal luminance taken at 555 nm, band 600–700 nm at its middle, 650 nm, where
c₂ = 1.4388e-2 m·K: the warmer body sends more red per lux, the cooler less. Only direction is asserted: real daylight is no black body.
"""

from __future__ import annotations

import math

import pytest

from tests.acts.evening import Evening

KELVIN = {"tungsten": 3000.0, "low_sun": 4000.0, "overcast": 6700.0, "open_shade": 12000.0}


def red_per_lux(kelvin: float) -> float:
    def body(nm: float) -> float:
        return nm**-5 / (math.exp(1.4388e7 / (nm * kelvin)) - 1)

    return body(650) / body(555)


@pytest.mark.parametrize("light", list(KELVIN))
def test_the_redder_the_light_the_shorter_the_exposure(light: str) -> None:
    e = Evening()
    e.camera(), e.box(paper="ra4"), e.developer("set", "ra4"), e.meter()
    said = {"subject": "3 m", "reading": "EV 12", "aperture": "16"}
    faster = red_per_lux(KELVIN[light]) > red_per_lux(5500)
    assert (e.plan(light=light, **said).wanted_s < e.plan(light="sun", **said).wanted_s) is faster


def test_what_colour_learns_of_a_light_is_not_told_to_black_and_white() -> None:
    e = Evening()
    e.camera(), e.box(), e.box("C", paper="ra4"), e.developer(), e.developer("set", "ra4"), e.meter()
    said = {"subject": "3 m", "reading": "EV 12", "aperture": "16", "light": "open shade"}
    keys = [{s.key for s in e.plan(**said, **own).shared if s.key.startswith("light:")}
            for own in ({"box": "A", "developer": "tray one"}, {"box": "C", "developer": "set"})]  # fmt: skip
    assert keys[0]
    assert keys[1]
    assert not keys[0] & keys[1]
