"""Where the sun stands, against the published test case, an open library's table, and what must hold of it anywhere."""

from __future__ import annotations

import csv
import math
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstsheet.light import sun

TABLE = Path(__file__).parents[2] / "authorities" / "light" / "sun.csv"


def rows() -> list[dict[str, str]]:
    return list(csv.DictReader(line for line in TABLE.read_text(encoding="utf-8").splitlines() if line[0] != "#"))


def moment(*at: int) -> float:
    return datetime(*at, tzinfo=UTC).timestamp()  # type: ignore[misc]


def test_the_published_case() -> None:
    """NREL/TP-560-34302, table A5.1: 17 October 2003, 12:30:30 at UTC−7. [NREL-SPA]"""
    found = sun.position(moment(2003, 10, 17, 19, 30, 30), 39.742476, -105.1786, pressure=820.0, air_c=11.0)
    assert 90 - found.apparent_deg == pytest.approx(50.111622, abs=0.002)
    assert found.bearing_deg == pytest.approx(194.340241, abs=0.002)
    assert found.height_deg == pytest.approx(39.872046, abs=0.002)


def test_its_intermediate_values() -> None:
    """The same case: nutation −0.003998404°, +0.001666568°, obliquity 23.440465°, R 0.9965422974 au. [NREL-SPA]"""
    days = moment(2003, 10, 17, 19, 30, 30) / 86400 - 10957.5 + 67 / 86400
    along, tilt, whole = sun.nutation(days / 36525)
    assert along == pytest.approx(-0.003998404, abs=1e-4)
    assert tilt == pytest.approx(0.001666568, abs=1e-4)
    assert whole == pytest.approx(23.440465, abs=1e-4)
    longitude, far = sun.longitude_and_distance((days + 36525) / 36525)
    assert longitude == pytest.approx(24.01826 + 180, abs=0.002)
    assert far == pytest.approx(0.9965422974, abs=1e-5)


@pytest.mark.parametrize("row", rows(), ids=lambda r: f"{r['latitude_deg']},{r['longitude_deg']},{r['utc'][:16]}")
def test_against_the_table_of_twelve_places(row: dict[str, str]) -> None:
    when = datetime.fromisoformat(row["utc"]).timestamp()
    found = sun.position(when, float(row["latitude_deg"]), float(row["longitude_deg"]))
    assert found.height_deg == pytest.approx(float(row["height_deg"]), abs=0.003)
    if abs(found.height_deg - sun.SET_DEG) > 0.01:
        assert found.apparent_deg == pytest.approx(float(row["apparent_deg"]), abs=0.004)
    off = (found.bearing_deg - float(row["bearing_deg"]) + 180) % 360 - 180
    assert abs(off) * math.cos(math.radians(found.height_deg)) < 0.005


@given(st.integers(-631152000, 4102444800), st.floats(-90, 90), st.floats(-180, 180), st.floats(0, 26))
@settings(max_examples=200, deadline=None)
def test_the_parabola_of_a_day_is_the_sun(start: int, lat: float, lon: float, hours: float) -> None:
    """A closed limit: the sun worked out at the moment itself."""
    when = start + hours * 3600
    along, at_once = sun.Course.over(lat, lon, start).at(when), sun.position(when, lat, lon)
    assert along.height_deg == pytest.approx(at_once.height_deg, abs=2e-4)


@given(st.integers(0, 4102444800), st.floats(-90, 90), st.floats(-180, 180))
@settings(max_examples=100, deadline=None)
def test_opposite_places_see_opposite_heights(when: int, lat: float, lon: float) -> None:
    """A law: what is up here is as far down at the antipodes, but for parallax, 2 × 0.0024°."""
    here = sun.position(when, lat, lon).height_deg
    there = sun.position(when, -lat, lon + 180).height_deg
    assert here + there == pytest.approx(0, abs=0.006)


def test_refraction_at_the_horizon() -> None:
    """34′ for a body seen on the horizon, the almanacs' figure: true height −34′. [SAEMUNDSSON-1986]"""
    assert -34 / 60 + sun.refraction_deg(-34 / 60) == pytest.approx(0, abs=0.03)


def test_pressure_of_the_standard_atmosphere() -> None:
    """898.8 mbar at 1000 m, 795.0 at 2000 m. [ISO-2533]"""
    assert sun.pressure_mbar(0) == pytest.approx(1013.25)
    assert sun.pressure_mbar(1000) == pytest.approx(898.8, abs=0.2)
    assert sun.pressure_mbar(2000) == pytest.approx(795.0, abs=0.2)
