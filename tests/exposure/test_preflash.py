"""Preflash against closed forms, laws of adding exposures, and the one report there is; contrast against its limits."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstsheet.exposure import contrast, preflash
from firstsheet.exposure.chain import Optics
from firstsheet.exposure.contrast import Range, Way
from firstsheet.paper.curve import Curve, StepSeen, fit
from firstsheet.refusal import Refusal

AUTHORITIES = Path(__file__).parents[2] / "authorities"
CASES = tomllib.loads((AUTHORITIES / "exposure" / "cases.toml").read_text())
FORM = tomllib.loads((AUTHORITIES / "sensitometry" / "cases.toml").read_text())["closed_form_curve"]


def density(x: float) -> float:
    return float(FORM["base"] + FORM["rise"] / (1 + math.exp(-FORM["k"] * (x - FORM["x0"]))))


def drawn(sense: int) -> Curve:
    """The closed-form curve, a step each third of a stop; mirrored at its middle for positive-working paper."""
    x0 = float(FORM["x0"])
    steps = []
    for i in range(30):
        x = -1.2 + 0.1 * i
        steps.append(StepSeen(x if sense > 0 else 2 * x0 - x, density(x), 0.01))
    return fit(steps, sense)


@pytest.fixture(scope="module")
def curves():
    return {1: drawn(1), -1: drawn(-1)}


@pytest.mark.parametrize("case", CASES["preflash"], ids=lambda c: f"sense {c['sense']}")
def test_a_flash_does_what_the_closed_form_says(curves, case):
    """The fit's own doubt of a toe is some hundredths of a density, so bought is held to 0.12 stop and to its own 90 % range."""
    for share, veil, bought, picture in case["rows"]:
        f = preflash.flashed(curves[case["sense"]], share)
        assert f.border.value == pytest.approx(veil, abs=0.006)
        assert f.bought.value == pytest.approx(bought, abs=0.12)
        assert f.bought.low <= bought <= f.bought.high
        assert f.picture_stops == pytest.approx(picture, abs=0.05)


@pytest.mark.parametrize("sense", [1, -1])
def test_direction_shadows_gain_and_the_border_pays(curves, sense):
    """Worked out from the curve: more light darkens a negative's border and lightens a positive's; the far end, the scene's lights, stays."""
    curve = curves[sense]
    f = preflash.flashed(curve, 0.7)
    assert f.bought.value > 0
    assert f.border.value * sense > 0
    far = math.log10(2.0) * 6
    before, _, _ = curve.density([far])
    after, _, _ = curve.density(preflash.with_flash(np.array([far]), f.flash_lx_s))
    assert after[0] == pytest.approx(before[0], abs=0.002)


def test_less_light_for_the_picture_agrees_with_the_report(curves):
    """“Up to 20 per cent less”: the usual share lies at or inside it on this paper, within its doubt of some per cent."""
    report = CASES["preflash_report"]
    f = preflash.flashed(curves[1], report["share"])
    assert 2.0**f.picture_stops == pytest.approx(report["picture_factor_least"], abs=0.04)


def test_a_strip_that_does_not_reach_the_threshold_is_refused():
    steps = [StepSeen(x, density(x), 0.01) for x in (0.3, 0.4, 0.5, 0.6, 0.7, 0.9, 1.2)]
    with pytest.raises(Refusal) as refused:
        preflash.flashed(fit(steps, 1), 0.7)
    assert {p.where for p in refused.value.problems} >= {"threshold"}


@settings(max_examples=60, deadline=None)
@given(st.floats(-6, 6), st.floats(0, 100), st.floats(0, 100))
def test_flashes_add(log_h, one, two):
    """Two flashes are one of their sum; none changes nothing; a flash never takes exposure away."""
    x = np.array([log_h])
    both = preflash.with_flash(preflash.with_flash(x, one), two)
    assert both[0] == pytest.approx(preflash.with_flash(x, one + two)[0], abs=1e-9)
    assert preflash.with_flash(x, 0.0)[0] == pytest.approx(log_h, abs=1e-12)
    assert both[0] >= log_h - 1e-12


def test_a_sheet_over_the_lens_by_hand():
    """EV 10 on a white sheet: L = 12.5·2^10/100 = 128 cd/m². Behind f/16 at infinity E = 0.65·128/256 = 0.325 lx; at life size, two stops
    less [ISO-2720, ISO-2721]. A flash of 0.4 lx·s is then 1.23 s and 4.92 s. ANSI/ISO K = 12.5, q = 0.65."""
    far, near = Optics(16.0), Optics(16.0, extension_stops=2.0)
    assert preflash.board_lx(10, far) == pytest.approx(0.325, abs=0.001)
    for optics, seconds in ((far, 1.23), (near, 4.92)):
        given_ = preflash.by_lux(0.4, 0.0, preflash.board_lx(10, optics), 0.0)
        assert given_.time_s == pytest.approx(seconds, abs=0.01)
        assert given_.low_s == pytest.approx(given_.high_s)


@settings(max_examples=60, deadline=None)
@given(st.floats(1e-4, 1e4), st.floats(1.4, 64), st.floats(0, 4))
def test_ev_for_is_the_inverse(lx, n, extension):
    optics = Optics(n, extension_stops=extension)
    assert preflash.board_lx(preflash.ev_for(lx, optics), optics) == pytest.approx(lx, rel=1e-9)


def test_the_threshold_by_count():
    """1 2 4 8 s, the third shows first: between 2 and 4 s, √8 = 2.83 s; a rectangle a stop wide has sd 1/√12 = 0.289 stop."""
    at, sd = preflash.counted_threshold([1, 2, 4, 8], 3)
    assert at == pytest.approx(2.83, abs=0.005)
    assert sd == pytest.approx(0.289, abs=0.001)
    assert preflash.by_count(at, sd, 0.7).time_s == pytest.approx(1.98, abs=0.005)


@pytest.mark.parametrize(("times", "shows"), [([1, 2, 4], 1), ([1, 2, 4], 4), ([2, 1], 2), ([1], 1), ([1, 1], 2), ([0, 1], 2)])
def test_a_strip_that_tells_no_threshold_is_refused(times, shows):
    with pytest.raises(Refusal):
        preflash.counted_threshold(times, shows)


@pytest.mark.parametrize("share", [0.0, 0.05, 2.0, math.nan, -1])
def test_a_share_from_which_nothing_good_comes_is_refused(share):
    with pytest.raises(Refusal):
        preflash.checked_share(share)


# ── contrast ──

AS_IS = Way("as_is", Range(0, 0), Range(0, 0), 0, 0)


def test_a_scene_as_wide_as_the_paper_is_the_plans_own_chance():
    """P(|e| ≤ ½) for sd ½ is the normal's 68.27 % within one standard deviation (any table of the normal)."""
    assert contrast.keeper(Range(0, 0), 0.5, 0.5) == pytest.approx(0.6827, abs=1e-4)
    assert contrast.keeper(Range(1.0, 0), 0.5, 0.5) == pytest.approx(0.9545, abs=1e-4)  # half a stop more each side: two sd
    assert contrast.keeper(Range(-1.0, 0), 0.5, 0.5) == 0.0  # both ends lose more than the latitude whatever is done


@settings(max_examples=80, deadline=None)
@given(st.floats(-3, 3), st.floats(0, 1), st.floats(0.05, 1.5), st.floats(0.2, 1), st.floats(0.01, 2))
def test_more_room_never_hurts(room, sd, e_sd, latitude, more):
    low = contrast.keeper(Range(room, sd), e_sd, latitude)
    high = contrast.keeper(Range(room + more, sd), e_sd, latitude)
    assert 0 <= low <= high + 1e-12 <= 1 + 1e-9


def test_the_cheaper_of_two_that_are_as_good():
    quick = Way("quick", Range(2, 0), Range(0, 0), 1, 0)
    slow = Way("slow", Range(2.05, 0), Range(0, 0), 30, 5)
    ways = [AS_IS, slow, quick]
    weighed = contrast.weigh(Range(5.6, 0), Range(3.6, 0), ways, exposure_sd=0.3, latitude=0.5, sheet_cost=12.0)
    assert contrast.best(weighed, ways) == "quick"
    assert weighed[0].lost_stops == pytest.approx(2.0)
    assert weighed[0].cost_per_keeper is None  # no keeper to be had so
    assert weighed[2].cost_per_keeper == pytest.approx(12.0 / weighed[2].keeper)


def test_nothing_is_done_where_the_scene_fits():
    ways = [Way("flash", Range(1, 0.2), Range(0, 0), 0, 2), AS_IS]
    weighed = contrast.weigh(Range(2.0, 0), Range(3.6, 0), ways, exposure_sd=0.3, latitude=0.5)
    assert contrast.best(weighed, ways) == "as_is"


def test_ranges_that_are_none_are_refused_together():
    with pytest.raises(Refusal) as refused:
        contrast.weigh(Range(0, 0), Range(math.nan, 0), [AS_IS], exposure_sd=0.3, latitude=0.5)
    assert {p.where for p in refused.value.problems} == {"scene", "paper"}
