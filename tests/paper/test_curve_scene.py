"""Tones on the curve; two developers on one strip; the small tests of a paper."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from curve_truths import SHAPES, Truth

from firstsheet.paper import curve_iso, curve_points, reciprocity
from firstsheet.paper.curve import Curve, StepSeen, fit
from firstsheet.paper.curve_scene import compare, lay
from firstsheet.paper.curve_scraps import EqualExposure, Patch, box_fog
from firstsheet.paper.curve_scraps import reciprocity as measured_reciprocity
from firstsheet.refusal import Refusal


def made(truth: Truth, start: float = -0.9, stop: float = 1.81, noise: float = 0.0, seed: int = 1) -> Curve:
    x = np.arange(start, stop, 0.15)
    d = truth.density(x) + noise * np.random.default_rng(seed).standard_normal(len(x))
    return fit([StepSeen(float(a), float(b), 0.015) for a, b in zip(x, d, strict=True)], truth.sense)


def logistic_500(cases: dict[str, Any]) -> Truth:
    c = cases["closed_form_curve"]
    return Truth(SHAPES["logistic"], c["base"], c["rise"], c["x0"], 1 / c["k"], 1)


def test_worked_example_on_the_closed_form_curve(cases: dict[str, Any]) -> None:
    """An 18 % grey at 1.552 lx·s, white 0.90 and black 0.04 beside it: D 0.436, 1.929, 0.072 by the formula."""
    curve = made(logistic_500(cases))
    stops = {"grey": 0.0, "white card": math.log2(0.90 / 0.18), "black cloth": math.log2(0.04 / 0.18)}
    laid = {t.name: t for t in lay(curve, math.log10(1.552), stops)}
    for name, d in {"grey": 0.436, "white card": 1.929, "black cloth": 0.072}.items():
        density = laid[name].density
        assert density is not None
        assert density[1] - 0.01 <= d <= density[2] + 0.01
        assert density[0] == pytest.approx(d, abs=0.02)
    assert laid["grey"].fate == "holds"
    assert laid["white card"].fate == "black"  # on a negative the white card is past 90 % of the range
    assert laid["black cloth"].fate == "white"


def test_on_a_positive_the_ends_change_places() -> None:
    curve = made(Truth(SHAPES["logistic"], 0.06, 1.9, -0.45, 0.18, -1))
    laid = {t.name: t.fate for t in lay(curve, 0.45, {"light": 3.0, "mid": 0.0, "dark": -3.0})}
    assert laid == {"light": "white", "mid": "holds", "dark": "black"}


def test_past_the_steps_nothing_is_told_unless_the_end_was_already_flat() -> None:
    curve = made(Truth(SHAPES["logistic"], 0.06, 1.9, 0.45, 0.18, 1), stop=0.55)
    high, low = lay(curve, 0.0, {"far light": 5.0, "far dark": -6.0})
    assert high.density is None
    assert high.fate == "unknown"
    assert low.density is None
    assert low.fate == "white"


def test_two_developers_on_one_strip() -> None:
    """The second truth is 0.4 stop faster at the mid-tone and 1.25 times as steep everywhere."""
    a = Truth(SHAPES["logistic"], 0.06, 2.0, 0.5, 0.20, 1)
    b0 = Truth(SHAPES["logistic"], 0.06, 2.0, 0.0, 0.16, 1)
    b = Truth(SHAPES["logistic"], 0.06, 2.0, a.mid - 0.4 * math.log10(2) - b0.mid, 0.16, 1)
    held = []
    for seed in range(20):
        found = compare(made(a, noise=0.015, seed=seed), made(b, noise=0.015, seed=seed + 100))
        for figure, true in ((found.speed_stops, 0.4), (found.contrast, 1.25)):
            assert figure.low is not None
            assert figure.high is not None
            held.append(figure.low <= true <= figure.high)
    assert np.mean(held) >= 0.8
    alike = compare(made(a), made(a))
    assert alike.speed_stops.value == 0
    assert alike.contrast.value == 1


def test_unlike_curves_are_not_compared() -> None:
    a = made(Truth(SHAPES["logistic"], 0.06, 2.0, 0.5, 0.20, 1))
    b = made(Truth(SHAPES["logistic"], 0.06, 2.0, -0.5, 0.20, -1))
    with pytest.raises(Refusal, match="run the same way"):
        compare(a, b)


def test_reciprocity_from_equal_exposures_is_schwarzschilds() -> None:
    """Patches whose effective exposure goes as I·t^p, p = 0.86 (an example much printed for slow materials; from memory)."""
    p, slope = 0.86, 2.3
    series = [EqualExposure(t, 0.9 - slope * (1 - p) * math.log10(t), 0.015) for t in (1.0, 4.0, 16.0, 64.0)]
    found = measured_reciprocity(series, slope)
    assert found.r == pytest.approx(1 / p - 1)
    assert found.shown
    # given the corrected time, the same density returns: t^(1/p) is what the law of exposure gives
    assert reciprocity.corrected_s(7.119, found.r) == pytest.approx(9.80, abs=0.01)
    positive = [EqualExposure(s.time_s, 1.8 - s.density, s.density_sd) for s in series]
    assert measured_reciprocity(positive, -slope).r == pytest.approx(found.r)


def test_doubt_of_reciprocity_from_a_pair() -> None:
    """Two readings ± s, a decade apart, slope g: 1 − p is known to √2·s/g."""
    pair = [EqualExposure(1.0, 0.9, 0.02), EqualExposure(10.0, 0.9, 0.02)]
    found = measured_reciprocity(pair, 2.0)
    assert found.r == pytest.approx(0)
    assert found.sd == pytest.approx(math.sqrt(2) * 0.02 / 2.0)
    assert not found.shown
    with pytest.raises(Refusal, match="Times at least"):
        measured_reciprocity([EqualExposure(1.0, 0.9), EqualExposure(2.0, 0.9)], 2.0)
    with pytest.raises(Refusal) as refused:
        measured_reciprocity([EqualExposure(0.01, math.nan, 0.0)], 0.0)
    assert len(refused.value.problems) == 5


@pytest.mark.parametrize(
    ("fixed", "developed", "word"),
    [(0.05, 0.055, "none"), (0.05, 0.12, "slight"), (0.05, 0.25, "clear"), (0.05, 0.6, "heavy")],
)
def test_words_for_fog(fixed: float, developed: float, word: str) -> None:
    found = box_fog(Patch(fixed, 0.005), Patch(developed, 0.005))
    assert found.word == word
    assert found.fog == pytest.approx(developed - fixed)
    assert found.high - found.low == pytest.approx(2 * 1.645 * 0.005 * math.sqrt(2), rel=1e-3)


def test_a_fog_too_small_to_tell_is_not_called_none() -> None:
    found = box_fog(Patch(0.05, 0.03), Patch(0.07, 0.03))
    assert found.word == "not told apart"
    assert "0.09 D" in found.sentence


def test_pieces_taken_one_for_the_other() -> None:
    with pytest.raises(Refusal, match="one for the other"):
        box_fog(Patch(0.4), Patch(0.05))
    with pytest.raises(Refusal, match="two scales"):
        box_fog(Patch(0.05), Patch(0.1, kind="transmission"))


def test_figures_carry_what_belief_needs(cases: dict[str, Any]) -> None:
    speed = curve_iso.iso_speed(made(logistic_500(cases))).exact
    assert speed.log10_sd is not None
    assert 0 < speed.log10_sd < 0.03
    assert curve_points.gamma(made(logistic_500(cases))).unit == ""
