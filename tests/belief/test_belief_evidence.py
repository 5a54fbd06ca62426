"""What a word and a keeper are worth, against closed forms of truncated and mixed normals."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet.belief import evidence, prior
from firstsheet.belief.effects import Effect
from firstsheet.belief.evidence import Look, error_after, right_after
from firstsheet.exposure.latitude import keeper_chance, normal_cdf, spread_s
from firstsheet.paper import reciprocity

NEVER = 1e-3  # an eye without doubt, as good as


def density(z: float) -> float:
    return math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)


@pytest.fixture
def no_slips(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(evidence, "SLIP", 0.0)


@pytest.mark.usefixtures("no_slips")
@pytest.mark.parametrize(
    ("mean", "sd", "low", "high"), [(0.0, 1.0, 0.6, 1.3), (0.2, 0.5, -0.175, 0.175), (0.0, 0.8, 1.3, math.inf)]
)
def test_a_sharp_eye_truncates_a_normal(mean: float, sd: float, low: float, high: float) -> None:
    # Mean and variance of a truncated normal, closed form: Johnson, Kotz and Balakrishnan, Continuous Univariate
    # Distributions 1, ch. 13 (from memory). A sharp edge is the worst case for 161 points; eyes are duller than that.
    a, b = (low - mean) / sd, (high - mean) / sd
    mass = normal_cdf(b) - normal_cdf(a)
    shift = (density(a) - density(b)) / mass
    expected = mean + sd * shift
    edge = (a * density(a)) - (b * density(b) if math.isfinite(b) else 0.0)
    variance = sd**2 * (1.0 + edge / mass - shift**2)
    found = error_after(Look(low, high, NEVER, None, 0.5), mean, sd)
    assert found is not None
    assert found[0] == pytest.approx(expected, abs=sd * 0.03)
    assert found[1] == pytest.approx(variance, rel=0.15)


@pytest.mark.usefixtures("no_slips")
def test_a_dull_eye_and_one_edge_is_the_skew_normal() -> None:
    # e ~ N(0, 1), seen e + N(0, s²) > 0: mean √(2/π)/√(1 + s²), variance 1 − that². Azzalini's skew normal, from memory.
    s = 0.75
    found = error_after(Look(0.0, math.inf, s, None, 0.5), 0.0, 1.0)
    assert found is not None
    expected = math.sqrt(2.0 / math.pi) / math.sqrt(1.0 + s * s)
    assert found[0] == pytest.approx(expected, abs=1e-5)
    assert found[1] == pytest.approx(1.0 - expected**2, abs=1e-4)


def test_an_eye_that_says_nothing_leaves_everything() -> None:
    found = error_after(Look(-math.inf, math.inf, 0.25, None, 0.5), 0.3, 0.7)
    assert found is not None
    assert found[0] == pytest.approx(0.3, abs=1e-9)
    assert found[1] == pytest.approx(0.49, abs=1e-4)


@pytest.mark.usefixtures("no_slips")
def test_narrow_words_about_a_wide_doubt_are_what_they_say() -> None:
    # A word of width w with an eye of sd s, against a doubt much wider than both: uniform noise of variance w²/12 beside s².
    # Its centre and sd are then independent of the doubt. (Sheppard's correction, from memory.)
    found = right_after(Look(0.175, 0.6, 0.25, None, 0.5), 0.0, 4.0, 0.0)
    assert found is not None
    assert found[0] == pytest.approx(-0.3875, abs=0.01)
    assert found[1] == pytest.approx(math.sqrt(0.25**2 + 0.425**2 / 12.0), rel=0.02)


@pytest.mark.usefixtures("no_slips")
@given(st.floats(0.05, 2.0), st.floats(0.01, 0.1), st.floats(-0.5, 0.5))
def test_evidence_put_back_gives_the_same_moments(variance: float, noise: float, off: float) -> None:
    # The defining law of assumed-density filtering: prior × evidence has the moments of prior × look. [MINKA-2001]
    look = Look(0.175, 0.6, 0.25, None, 0.5)
    found = right_after(look, off, variance, noise)
    assert found is not None
    stops, sd = found
    after = 1.0 / (1.0 / variance + sd**-2.0)
    moved = after * stops / sd**2
    whole = error_after(look, off, math.sqrt(variance + noise))
    assert whole is not None
    # E[right] from E[error]: the right exposure and the error are jointly normal, slope −v/(v + noise).
    assert moved == pytest.approx(-variance / (variance + noise) * (whole[0] - off), abs=1e-9)


def test_a_kept_sheet_narrows_and_a_rejected_one_moves_away() -> None:
    word = (0.175, 0.6, 0.25)  # a little too much light
    plain, kept, not_kept = (right_after(Look(*word, k, 0.5), 0.0, 0.5, 0.04) for k in (None, True, False))
    assert plain is not None
    assert kept is not None
    assert not_kept is not None
    assert kept[1] < plain[1]
    assert abs(kept[0]) < abs(plain[0]) < abs(not_kept[0])


def test_an_unlikely_word_moves_less_than_it_says() -> None:
    # Two in a hundred words are slips: a word four doubts away is sooner a slip than the paper.
    expected_word = right_after(Look(-0.175, 0.175, 0.25, None, 0.5), 0.0, 0.02, 0.02)
    far = right_after(Look(1.3, 2.375, 0.25, None, 0.5), 0.0, 0.02, 0.02)
    assert expected_word is not None
    assert far is None or far[1] > expected_word[1]


def test_chance_of_a_keeper_is_the_error_function() -> None:
    # P(|e| ≤ a) = erf(a / (σ√2)); one, two and three sd: 0.6827, 0.9545, 0.9973 (any table of the normal).
    for z, p in ((1, 0.6827), (2, 0.9545), (3, 0.9973)):
        assert keeper_chance(0.25, 0.25 * z) == pytest.approx(p, abs=5e-5)
    assert keeper_chance(0.0, 0.5) == 1.0
    assert keeper_chance(0.3, 0.5, off_stops=50.0) == pytest.approx(0.0, abs=1e-12)


def test_ranges_hold_half_and_nine_tenths() -> None:
    # Quartiles at 0.6745 sd, 5 % and 95 % at 1.6449 sd (any table of the normal); in seconds they multiply.
    ranges = spread_s(8.0, 1.0)
    assert ranges["range50_s"] == pytest.approx((8 / 2**0.6745, 8 * 2**0.6745), rel=1e-4)
    assert ranges["range90_s"] == pytest.approx((8 / 2**1.6449, 8 * 2**1.6449), rel=1e-4)


@given(st.floats(0.5, 7.0), st.floats(0.0, 0.25), st.floats(-0.2, 0.2), st.floats(-0.04, 0.04))
def test_reciprocity_as_felt_is_its_tangent(metered: float, r: float, d_metered: float, d_r: float) -> None:
    # log2 t = M(1 + r): the tangent at (M, r) misses by exactly dM·dr (the only second-order term of a product).
    if metered + d_metered <= 0 or r + d_r < 0:
        return
    felt = prior.through_reciprocity("paper_negative", [Effect("box:A", 1.0, 0.0, 0.4)], metered, r)
    at = {e.key.partition(":")[0]: e.coefficient for e in felt}
    tangent = at["box"] * d_metered + at["recip"] * d_r
    exact = math.log2(
        reciprocity.corrected_s(2.0 ** (metered + d_metered), r + d_r) / reciprocity.corrected_s(2.0**metered, r)
    )
    assert exact - tangent == pytest.approx(d_metered * d_r, abs=1e-9)


def test_below_a_second_reciprocity_is_not_felt() -> None:
    # Schwarzschild's law is applied above one second only and never shortens (common practice, no source).
    felt = prior.through_reciprocity("paper_negative", [Effect("box:A", 1.0, 0.0, 0.4)], 0.0, 0.1)
    assert [e.coefficient for e in felt] == [1.0, 0.0]
