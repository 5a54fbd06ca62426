"""Spectra against the CIE's tables, an open library's clear sky, published filter figures, and the laws they must keep."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from firstsheet.light import filters
from firstsheet.light import spectrum as sp
from firstsheet.refusal import Refusal

FOLDER = Path(__file__).parents[2] / "authorities" / "light"


def rows(name):
    lines = [line for line in (FOLDER / name).read_text(encoding="utf-8").splitlines() if line[0] != "#"]
    return list(csv.DictReader(lines))


@pytest.mark.parametrize("row", rows("spectra_daylight.csv"), ids=lambda r: r["name"])
def test_cie_daylight(row):
    """The nominal kelvin of D50 to D75 are of the older scale of temperature: times 1.4388/1.4380 [CIE-15]."""
    kelvin = {"D50": 5000, "D55": 5500, "D65": 6500, "D75": 7500}[row["name"]] * 1.4388 / 1.4380
    found = sp.daylight(kelvin)
    x, y = sp.chromaticity(found)
    assert x == pytest.approx(float(row["x"]), abs=0.0005)
    assert y == pytest.approx(float(row["y"]), abs=0.0005)
    for nm, value in zip(sp.GRID_NM, found, strict=True):
        assert value == pytest.approx(float(row[str(nm)]), abs=0.25)


def test_illuminant_a():
    """2856 K on the later scale: x, y 0.44758, 0.40745 [CIE-15]."""
    x, y = sp.chromaticity(sp.planck(2855.5))
    assert (x, y) == (pytest.approx(0.44758, abs=0.0005), pytest.approx(0.40745, abs=0.0005))


@pytest.mark.parametrize("height", [60.0, 40.0, 20.0, 10.0, 5.0])
def test_the_clear_sky_of_the_open_library(height):
    """[PVLIB-2018], day 80: the earth is then a little nearer than its mean; taken out by its own eccentricity."""
    beam, sky = sp.clear_sky(height)
    for row in rows("spectra_clear.csv"):
        nm = float(row["wavelength_nm"])
        if float(row["height_deg"]) == height and nm in sp.GRID_NM:
            at = sp.GRID_NM.index(int(nm))
            assert beam[at] == pytest.approx(float(row["beam"]), rel=0.012), nm
            assert sky[at] == pytest.approx(float(row["sky"]), rel=0.012), nm


def test_low_sun_is_warmer_and_the_sky_is_bluer():
    """Sky alone 12 000 to 20 000 K and low sun about 3500 K: photographic tables. Here by the ratio of 450 to 650 nm."""

    def blue_over_red(s):
        return s[sp.GRID_NM.index(450)] / s[sp.GRID_NM.index(650)]

    k = sp.kinds()
    assert blue_over_red(sp.daylight(10_000)) < blue_over_red(k["open_shade"].spectrum) < blue_over_red(sp.daylight(25_000)) * 1.6
    assert blue_over_red(k["tungsten"].spectrum) < blue_over_red(k["low_sun"].spectrum) < blue_over_red(sp.daylight(4500))


@pytest.mark.parametrize(("warm", "cool", "mired"), [(3400, 5500, 112.3), (3200, 5500, 130.7), (5500, 7500, 48.5), (5500, 12_000, 98.5), (5500, 6500, 28.0)])
def test_mireds_of_published_pairs(warm, cool, mired):
    """Filter handbooks: 5500 → 3400 K is +112, 5500 → 3200 K +131, 7500 → 5500 K +48 mired."""
    assert sp.mired(warm) - sp.mired(cool) == pytest.approx(mired, abs=0.1)


def test_a_converter_turns_a_cool_glow_into_a_warm_one():
    """+112 mired on a body of 5500 K gives the light of one of 3400 K (Wien's form is within 2 % here)."""
    turned = sp.warmed(sp.planck(5500.0), 112.3)
    want = sp.planck(3400.0)
    for nm in (420, 480, 560, 640, 700):
        at = sp.GRID_NM.index(nm)
        assert turned[at] == pytest.approx(want[at], rel=0.03)


@pytest.mark.parametrize(("density", "factor"), [(0.05, 1.122), (0.10, 1.259), (0.20, 1.585), (0.30, 1.995), (0.60, 3.981), (0.90, 7.943)])
def test_factor_of_a_density(density, factor):
    """Factor = 10^D; published tables of neutral filters."""
    assert 1 / filters.grey(density)[0] == pytest.approx(factor, abs=0.001)


def test_yellow_and_magenta_make_red():
    """CC20Y and CC20M are CC20R: published pack arithmetic."""
    both = filters.stacked(filters.dye("Y", 0.2), filters.dye("M", 0.2))
    assert filters.read("20R") == pytest.approx(both)
    assert filters.read("20Y 20M") == pytest.approx(both)


@pytest.mark.parametrize("text", ["", "purple", "900Y", "+999 mired", "cuts at 200 nm", "ND 9", "yellow; drop", "80B", "85 B", "20M 82C", "30Y banana"])
def test_no_filter(text):
    with pytest.raises(Refusal):
        filters.read(text)


def test_every_transmittance_lies_between_nothing_and_all():
    for text in ("yellow", "orange", "red", "30Y 20M", "+112 mired", "-50 mired", "CC80B", "30CC M", "ND 0.3", "cuts at 520 nm"):
        assert all(0 <= v <= 1 for v in filters.read(text)), text


def test_light_outside_the_models_is_refused():
    for call in (lambda: sp.daylight(3000), lambda: sp.planck(100), lambda: sp.clear_sky(1.0), lambda: sp.lens_glass(900)):
        with pytest.raises(Refusal):
            call()


def test_glass_takes_the_violet():
    glass = sp.window_glass()
    assert glass[sp.GRID_NM.index(350)] < 0.8 * glass[sp.GRID_NM.index(550)]
    assert math.isclose(glass[sp.GRID_NM.index(550)], 0.88, rel_tol=0.01)
