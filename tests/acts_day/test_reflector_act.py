"""A board beside the sitter, asked as a person asks: what it says, what is refused, and the laws of sun and shade."""

from __future__ import annotations

import pytest

from firstsheet.acts import reflector
from firstsheet.refusal import Refusal


def test_without_a_book_of_things_it_still_tells_the_ratio(bare):
    r = reflector.reflector(bare, {"sun": "40°", "board": "1 m x 1.5 m", "distance": "1 m"})
    assert r.ratio_after < r.ratio_before
    assert r.with_lx > r.fill_lx
    assert r.paper_stops is None
    assert r.shade is not None
    assert r.shade.sun_s is None
    assert any("clear sky" in a for a in r.assumed)


def test_with_a_sheet_it_weighs_the_paper_and_tells_seconds_in_shade(book):
    r = reflector.reflector(book, {"subject": "3 m", "range": "4.5", "want": "1.5"})
    assert r.paper_stops is not None
    assert r.scene_before == pytest.approx(4.5)
    assert r.scene_after == pytest.approx(4.5 - r.lift_stops)
    assert r.for_ratio_m is not None
    at = reflector.reflector(book, {"distance": f"{r.for_ratio_m * 1000:.1f} mm", "turn": f"{r.turn_deg:g}°"})
    assert at.ratio_after == pytest.approx(1.5, abs=0.02)
    assert r.shade is not None
    assert r.shade.shade_s > r.shade.sun_s > 0
    assert "the sun as high as now" in r.assumed[0]
    assert r.plan_svg.startswith("<svg")


@pytest.mark.parametrize("height", [5, 20, 45, 70])
@pytest.mark.parametrize("side", [60, 135, 180])
def test_shade_is_never_brighter_than_sun_at_the_same_minute(bare, height, side):
    r = reflector.reflector(bare, {"sun": f"{height}°", "side": f"{side}°"})
    assert r.shade is not None
    assert r.shade.cost_stops > 0


def test_farther_never_brightens_and_a_read_ratio_stands(bare):
    lit = [reflector.reflector(bare, {"sun": "40°", "turn": "20°", "distance": f"{m} m"}).with_lx for m in (0.5, 1, 2, 4, 8)]
    assert lit == sorted(lit, reverse=True)
    assert reflector.reflector(bare, {"sun": "40°", "ratio": "3 stops"}).ratio_before == pytest.approx(3.0)


def test_silver_warns_of_eyes_and_lens_first(bare):
    r = reflector.reflector(bare, {"sun": "30°", "kind": "silver"})
    assert r.mirrored_lx > 0
    assert "eye" in r.cautions[0]
    assert "lens" in r.cautions[1]
    cloud = reflector.reflector(bare, {"sun": "30°", "kind": "silver", "sky": "heavy_cloud"})
    assert cloud.mirrored_lx == 0
    assert cloud.shade is None


def test_everything_wrong_is_said_at_once(bare):
    with pytest.raises(Refusal) as refused:
        reflector.reflector(bare, {"kind": "gold", "board": "three", "sun": "high", "want": "x", "colour": "red"})
    assert {p.where for p in refused.value.problems} == {"kind", "board", "sun", "want", "colour"}
