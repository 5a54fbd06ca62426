"""What must hold for any strip: rising, moved with the exposure, narrowed by steps, told only where seen."""

from __future__ import annotations

import math

import numpy as np
import pytest
from curve_truths import SHAPES, Truth, paper, strip

from firstsheet.paper import curve_iso as iso
from firstsheet.paper import curve_points as points
from firstsheet.paper.curve import StepSeen, fit, same_kind
from firstsheet.refusal import Refusal

TRUTH = Truth(SHAPES["gompertz"], 0.07, 1.9, 0.4, 0.2, 1)


def clean(truth: Truth, start: float, stop: float, spacing: float = 0.15, sd: float = 0.015) -> list[StepSeen]:
    x = np.arange(start, stop + 1e-9, spacing)
    return [StepSeen(float(a), float(d), sd) for a, d in zip(x, truth.density(x), strict=True)]


def width(f: points.Figure) -> float:
    assert f.low is not None
    assert f.high is not None
    return f.high - f.low


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("sense", [1, -1])
def test_every_drawn_curve_is_monotone(shape: str, sense: int) -> None:
    rng = np.random.default_rng(3)
    curve = fit(strip(rng, paper(rng, SHAPES[shape], sense), 15, 0.15, 0.03), sense)
    x = np.linspace(curve.span[0] - 1, curve.span[1] + 1, 300)
    assert (np.diff(curve.draws.density(np.sort(curve.to_u(x))), axis=1) >= -1e-12).all()
    assert (sense * np.diff(curve.density(x)[0]) >= -1e-9).all()


@pytest.mark.parametrize("shift", [-1.7, 0.3, 2.0])
def test_a_shift_of_exposure_scales_the_speed_and_nothing_else(shift: float) -> None:
    steps = strip(np.random.default_rng(8), TRUTH, 17, 0.15, 0.015, whole=True)
    moved = [StepSeen(s.log_h + shift, s.density, s.density_sd) for s in steps]
    a, b = fit(steps, 1), fit(moved, 1)
    for f in ("value", "low", "high"):
        assert getattr(iso.iso_speed(b).exact, f) == pytest.approx(
            getattr(iso.iso_speed(a).exact, f) / 10**shift, rel=1e-5
        )
        assert getattr(iso.iso_range(b).exact, f) == pytest.approx(getattr(iso.iso_range(a).exact, f), abs=1e-3)


def test_a_positive_is_a_negative_seen_backwards() -> None:
    """The curve mirrored in log H, fitted the other way, has the same range and the same slope at the same density."""
    steps = strip(np.random.default_rng(8), TRUTH, 17, 0.15, 0.015, whole=True)
    back = [StepSeen(-s.log_h, s.density, s.density_sd) for s in steps]
    a, b = fit(steps, 1), fit(back, -1)
    assert iso.iso_range(b).exact.value == pytest.approx(iso.iso_range(a).exact.value, abs=1e-3)
    assert b.density([0.2])[0] == pytest.approx(a.density([-0.2])[0], abs=1e-4)


def test_more_steps_without_noise_narrow() -> None:
    few, many = fit(clean(TRUTH, -0.8, 1.9, 0.3), 1), fit(clean(TRUTH, -0.8, 1.9, 0.1), 1)
    assert width(iso.iso_speed(many).exact) < width(iso.iso_speed(few).exact)
    assert width(iso.iso_range(many).exact) < width(iso.iso_range(few).exact)
    assert width(points.threshold(many)) < width(points.threshold(few))


def test_a_doubt_of_all_exposures_widens_speed_and_leaves_range() -> None:
    steps = clean(TRUTH, -0.8, 1.9)
    a, b = fit(steps, 1), fit(steps, 1, common_log_h_sd=0.1)
    assert width(iso.iso_range(b).exact) == pytest.approx(width(iso.iso_range(a).exact))
    speed = iso.iso_speed(b).exact
    assert math.log10(speed.high / speed.low) > 2 * 1.645 * 0.1  # type: ignore[operator]


def test_nothing_is_told_past_the_steps() -> None:
    """A strip of the upper half: no base+fog, so no threshold, no speed; of the lower half: no Dmax, so no range."""
    upper = fit(clean(TRUTH, 0.42, 1.9), 1)
    assert points.level(upper, "base").value is None
    assert not points.threshold(upper).reached
    assert not iso.iso_range(upper).exact.reached
    speed = iso.iso_speed(upper)
    assert speed.rounded is None
    assert speed.words == "not reached"
    assert speed.exact.missing
    with pytest.raises(Refusal, match="threshold"):
        iso.preflash(upper)
    lower = fit(clean(TRUTH, -0.8, 0.55), 1)
    assert iso.iso_speed(lower).exact.value == pytest.approx(1000 / 10**TRUTH.mid, rel=0.05)
    span = iso.iso_range(lower).exact
    assert not span.reached
    assert span.low is not None
    assert span.high is None
    assert span.low <= TRUTH.range_r
    dmax = points.level(lower, "dmax")
    assert dmax.value is None
    assert dmax.low == pytest.approx(TRUTH.density(np.array([0.5]))[0], abs=0.15)


def test_too_pale_a_strip_bounds_the_speed_from_above() -> None:
    pale = fit(clean(TRUTH, -1.0, 0.26, 0.1), 1)
    speed = iso.iso_speed(pale).exact
    assert not speed.reached
    assert speed.low is None
    assert speed.high is not None
    assert speed.high >= 1000 / 10**TRUTH.mid


def test_the_masked_border_measures_base_and_fog() -> None:
    start = TRUTH.log_h(0.12)
    without = fit(clean(TRUTH, start, 1.9), 1)
    border = [StepSeen(-math.inf, TRUTH.base, 0.01)]
    with_it = fit(border + clean(TRUTH, start, 1.9), 1)
    assert points.level(with_it, "base").value == pytest.approx(TRUTH.base, abs=0.02)
    assert iso.iso_speed(with_it).exact.value == pytest.approx(1000 / 10**TRUTH.mid, rel=0.05)
    assert not points.threshold(with_it).reached  # base+fog is known, but the step that just shows was never made
    assert width(points.level(with_it, "base")) < 0.05
    assert without.known_level("base")[1] > with_it.known_level("base")[1]


def test_a_plateau_measures_and_words_only_bound() -> None:
    """Two steps that the instrument could not follow say no more than that Dmax is not below them."""
    steps = clean(TRUTH, -0.8, 1.9)
    cut = [s if s.density < 1.5 else StepSeen(s.log_h, 1.5, 0.02, 0.0, "at_least") for s in steps]
    curve = fit(cut, 1)
    assert points.level(fit(steps, 1), "dmax").value == pytest.approx(1.97, abs=0.02)
    assert points.level(curve, "dmax").value is None
    assert not iso.iso_range(curve).exact.reached
    assert iso.iso_speed(curve).exact.value == pytest.approx(1000 / 10**TRUTH.mid, rel=0.03)


def test_positive_working_paper() -> None:
    truth = Truth(SHAPES["two_emulsions"], 0.08, 1.7, -0.5, 0.15, -1)
    curve = fit(clean(truth, -0.8, 1.8), -1)
    ei = iso.exposure_index(curve, "falling")
    assert ei.value == pytest.approx(8.125 / 10 ** truth.log_h(0.5), rel=0.03)
    assert "midway" in ei.source
    f = points.threshold(curve)
    assert f.low is not None
    assert f.high is not None
    assert f.low < 10**truth.threshold < f.high
    with pytest.raises(Refusal, match="negative-working"):
        iso.iso_speed(curve)


def test_relative_exposures_give_range_and_no_speed() -> None:
    curve = fit(clean(TRUTH, -0.8, 1.9), 1, absolute=False)
    assert iso.iso_range(curve).exact.reached
    for ask in (iso.iso_speed, points.threshold, iso.preflash):
        with pytest.raises(Refusal, match="lx·s"):
            ask(curve)


def test_steps_that_scatter_more_than_said_widen_everything_and_are_named() -> None:
    steps = clean(TRUTH, -0.8, 1.9, sd=0.005)
    noise = np.random.default_rng(2).standard_normal(len(steps)) * 0.03
    rough = [StepSeen(s.log_h, s.density + float(e), 0.005) for s, e in zip(steps, noise, strict=True)]
    curve = fit(rough, 1)
    assert curve.scatter > 2
    assert width(iso.iso_speed(curve).exact) > 2 * width(iso.iso_speed(fit(steps, 1)).exact)
    dust = [StepSeen(s.log_h, s.density - (0.25 if i == 9 else 0), 0.015) for i, s in enumerate(steps)]
    assert 9 in fit(dust, 1).stand_off


def test_a_doubt_of_each_exposure_counts_where_the_curve_is_steep() -> None:
    steps = clean(TRUTH, -0.8, 1.9)
    loose = [StepSeen(s.log_h, s.density, s.density_sd, 0.04) for s in steps]
    assert width(iso.iso_speed(fit(loose, 1)).exact) > 1.5 * width(iso.iso_speed(fit(steps, 1)).exact)


def test_all_problems_of_a_strip_at_once() -> None:
    bad = [StepSeen(math.nan, 0.1, 0.01), StepSeen(0.0, 9.0, 0.01), StepSeen(0.3, 0.2, -1.0)]
    with pytest.raises(Refusal) as refused:
        fit(bad, 2)
    assert {p.where.rsplit(".", 1)[-1] for p in refused.value.problems} >= {
        "sense",
        "log_h",
        "density",
        "density_sd",
        "steps",
    }


def test_one_tone_and_the_wrong_way_are_refused() -> None:
    with pytest.raises(Refusal, match="one tone"):
        fit([StepSeen(0.15 * i, 0.06 + 0.005 * (i % 2), 0.02) for i in range(9)], 1)
    with pytest.raises(Refusal, match="positive-working"):
        fit(clean(TRUTH, -0.8, 1.9), -1)


def test_reflection_and_transmission_are_not_mixed() -> None:
    a, b = fit(clean(TRUTH, -0.8, 1.9), 1), fit(clean(TRUTH, -0.8, 1.9), 1, kind="transmission")
    with pytest.raises(Refusal, match="two scales"):
        same_kind(a, b)


def test_a_doubt_that_steps_share_does_not_shrink_with_their_number() -> None:
    """Steps on the shoulder, all ±0.04 by one flare, know Dmax to ±0.04; each by itself they would know it to ±0.04/√n, the mean of
    correlated and of independent readings [JCGM-100, 5.2]."""
    clear = clean(TRUTH, -0.8, 3.0, 0.15)
    many = sum(s.density > 1.9 for s in clear)

    def dmax_sd(own: float, shared: float) -> float:
        def grey(s: StepSeen) -> float:
            return float(10 ** (s.density - TRUTH.base - TRUTH.rise))  # a flare greys the darkest most

        steps = [
            StepSeen(s.log_h, s.density, math.hypot(0.004, own * grey(s)), 0.0, None, (shared * grey(s),))
            for s in clear
        ]
        return width(points.level(fit(steps, 1), "dmax")) / 3.29

    together, apart = dmax_sd(0.0, 0.04), dmax_sd(0.04, 0.0)
    assert many >= 8
    assert together == pytest.approx(0.04, rel=0.3)
    assert apart == pytest.approx(0.04 / math.sqrt(many), rel=0.5)
