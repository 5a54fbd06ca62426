"""Speed, range and exposure index against a curve in closed form and against the standards' own constants."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from firstsheet.paper import curve_iso as iso
from firstsheet.paper import curve_points as points
from firstsheet.paper.curve import Curve, StepSeen, fit
from firstsheet.refusal import Refusal


def closed(c: dict[str, Any], x: float) -> float:
    return float(c["base"] + c["rise"] / (1 + math.exp(-c["k"] * (x - c["x0"]))))


@pytest.fixture(scope="module")
def curve(cases: dict[str, Any]) -> Curve:
    c = cases["closed_form_curve"]
    return fit([StepSeen(float(x), closed(c, float(x)), 0.002) for x in np.arange(-0.9, 1.66, 0.15)], 1)


def test_the_table_is_the_formula(cases: dict[str, Any]) -> None:
    c = cases["closed_form_curve"]
    for x, d in c["table"]:
        assert closed(c, x) == pytest.approx(d, abs=6e-5)


def test_printed_table_gives_speed_500_and_range_110(cases: dict[str, Any]) -> None:
    c = cases["closed_form_curve"]
    curve = fit([StepSeen(x, d, 0.002) for x, d in c["table"]], 1)
    speed, span = iso.iso_speed(curve), iso.iso_range(curve)
    assert speed.exact.value == pytest.approx(c["speed_p"], rel=c["speed_tolerance"])
    assert (speed.rounded, span.rounded) == (500, 110)
    assert span.exact.value == pytest.approx(c["range_r"], abs=c["range_tolerance"])


def test_evenly_spaced_strip_gives_speed_500_and_range_110(curve: Curve, cases: dict[str, Any]) -> None:
    c = cases["closed_form_curve"]
    speed, span = iso.iso_speed(curve), iso.iso_range(curve)
    assert speed.exact.value == pytest.approx(500, rel=c["speed_tolerance"])
    assert speed.rounded == 500
    assert speed.sure
    assert span.exact.value == pytest.approx(110, abs=c["range_tolerance"])
    foot = points.place(curve, above_base=0.04)
    assert points.summary(foot.log_h, curve.draws.weight)[1] == pytest.approx(c["log_h_s"], abs=0.01)
    printing = points.log_range(curve)
    assert printing.value == pytest.approx(c["log_h_t_net"] - c["log_h_s"], abs=0.01)


def test_ends_and_slope_are_those_of_the_formula(curve: Curve, cases: dict[str, Any]) -> None:
    c = cases["closed_form_curve"]
    base, dmax, gamma = points.level(curve, "base"), points.level(curve, "dmax"), points.gamma(curve)
    assert base.value == pytest.approx(0.06, abs=0.005)
    assert dmax.value == pytest.approx(2.10, abs=0.01)
    f = 0.60 / c["rise"]  # dD/dx of a logistic: k·A·f·(1 − f)
    assert gamma.value == pytest.approx(c["k"] * c["rise"] * f * (1 - f), rel=0.02)


def test_two_anchors_two_exposure_indices(curve: Curve, cases: dict[str, Any]) -> None:
    c = cases["closed_form_curve"]
    assert iso.exposure_index(curve, "mid").value == pytest.approx(c["ei_mid"], rel=0.02)
    assert iso.exposure_index(curve, "shadow").value == pytest.approx(c["ei_shadow"], rel=0.03)
    assert "0.60" in iso.exposure_index(curve, "mid").source
    with pytest.raises(Refusal, match="mid"):
        iso.exposure_index(curve, "falling")


def test_speed_to_exposure_index(cases: dict[str, Any]) -> None:
    for case in cases["ei"]:
        assert round(iso.ei_from_speed(case["speed_p"]), 2) == pytest.approx(case["ei"], abs=0.05)
    film = cases["film"]
    assert iso.SHADOW_LXS / film["h_m_lxs"] == pytest.approx(film["speed"])


@pytest.mark.parametrize(
    ("exact", "stated"),
    [(500, 500), (487, 500), (441, 400), (455, 500), (96, 100), (7.0, 6.4), (1010, 1000), (142, 160), (0.9, 1.0)],
)
def test_standard_series(exact: float, stated: float) -> None:
    """Third-stop speeds as they are printed on boxes: 100, 125, 160, 200, 250, 320, 400, 500, 640, 800 (ISO 6, from memory)."""
    assert iso.standard_speed(exact) == stated


def test_preflash_is_seven_tenths_of_the_threshold(curve: Curve, cases: dict[str, Any]) -> None:
    c = cases["closed_form_curve"]
    flash = iso.preflash(curve)
    assert flash.value == pytest.approx(0.7 * 10 ** c["log_h_s"], rel=0.02)
    assert flash.low is not None
    assert flash.value is not None
    assert math.log2(flash.value / flash.low) >= 0.3 * 1.6  # the trade's ±0.3 stop is never less
    threshold = points.threshold(curve)
    assert threshold.low is not None
    assert math.log2(flash.value / flash.low) > math.log2(threshold.value / threshold.low)  # type: ignore[operator]
