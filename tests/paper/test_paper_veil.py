"""The least light that fogs: a straight line in closed form, a curve in closed form searched by brute force, and laws."""

from __future__ import annotations

import math

import numpy as np
import pytest

from firstsheet.paper import veil

X = np.linspace(-6, 5, 4001)
K, X0 = 5.5538614388767, 0.45866243698  # D = 0.06 + 2.04/(1 + exp(−k(x − x₀))): its ISO P is 500, its R 110, exactly


def logistic(x):
    return 0.06 + 2.04 / (1 + np.exp(-K * (x - X0)))


def test_a_straight_line_in_closed_form():
    """D = 2·(x − 0.3) from the corner at x 0.3: the corner changes first, by 2·log10(1 + ΔH/H₀): ΔH = H₀·(10^(0.04/2) − 1)."""
    d = np.clip(2 * (X - 0.3), 0, 2)
    assert veil.least_added(X, d) == pytest.approx(10**0.3 * (10**0.02 - 1), rel=0.01)
    assert veil.bare_added(X, d) == pytest.approx(10**0.32, rel=0.01)


def test_the_closed_form_curve_against_brute_force():
    """Point S of this curve is 0.568 lx·s by its closed form; the least added light is sought here over tones and amounts one by one."""
    assert veil.bare_added(X, logistic(X)) == pytest.approx(0.568, abs=0.003)
    tones = 10 ** np.linspace(-2, 1.5, 3000)
    brute = next(h for h in np.linspace(0.01, 0.2, 4000) if np.max(logistic(np.log10(tones + h)) - logistic(np.log10(tones))) >= 0.04)
    assert veil.least_added(X, logistic(X)) == pytest.approx(brute, rel=0.01)
    assert 6 < 0.568 / brute < 8  # flashed paper shows what bare paper hides [K-4]


def test_positive_paper_is_the_mirror():
    assert veil.least_added(X, 2.16 - logistic(X)) == pytest.approx(veil.least_added(X, logistic(X)), rel=1e-6)


def test_harder_paper_bears_less_and_a_coarser_eye_more():
    soft = veil.least_added(X, logistic((X - X0) * 0.7 + X0))
    assert veil.least_added(X, logistic(X)) < soft
    assert veil.least_added(X, logistic(X), 0.08) > veil.least_added(X, logistic(X))


def test_no_curve_no_fog():
    with pytest.raises(ValueError, match="no exposure"):
        veil.least_added(X, np.full_like(X, 0.1))
    assert math.isclose(veil.most_change(X, np.full_like(X, 0.1), 1.0), 0)
