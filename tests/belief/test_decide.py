"""Expected sheets to a keeper against the same game solved by quadrature: error seen, kept or not, judged, believed anew.

The reference is a dynamic programme of the test's own [Bertsekas-2005, chapter 1]: it knows what the tool leaves out, that a miss
itself says the error was large.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from firstsheet.acts import advice
from firstsheet.belief.decide import Stakes, bracket, options, sheets_to_keeper
from firstsheet.belief.effects import Effect
from firstsheet.belief.posterior import Posterior

S = np.concatenate([[0.0], np.geomspace(0.03, 2.0, 28)])
E = np.linspace(-7.0, 7.0, 561)
Y = np.linspace(-7.5, 7.5, 151)


def solved(latitude: float, retry: float, judge: float) -> np.ndarray:
    """Sheets to a keeper at each doubt S: belief after a miss that was judged y is taken as normal with its own sd."""
    seen = np.exp(-0.5 * ((Y[:, None] - E) / judge) ** 2) / (judge * math.sqrt(2 * math.pi)) * (Y[1] - Y[0])
    missed = np.abs(E) > latitude
    ways = []
    for s in S:
        total = s * s + retry * retry
        lasting, rest = s * s / total, s * s * retry * retry / total
        density = np.exp(-0.5 * E * E / total)
        density = density / density.sum() * missed
        weight = seen * density
        mass = weight.sum(axis=1) + 1e-300
        mean = (weight * E).sum(axis=1) / mass
        spread = np.maximum((weight * E * E).sum(axis=1) / mass - mean**2, 0.0)
        ways.append((mass, np.sqrt(lasting**2 * spread + rest)))
    value = np.ones_like(S)
    for _ in range(60):
        value = np.array([1 + (mass * np.interp(after, S, value)).sum() for mass, after in ways])
    return value


@pytest.mark.parametrize(("latitude", "retry"), [(0.5, 0.2), (0.5, 0.12), (0.33, 0.15), (0.75, 0.25)])
def test_sheets_to_a_keeper_against_the_game_solved(latitude: float, retry: float) -> None:
    stakes = Stakes(latitude, retry, 0.25, 1.0)
    told = np.array([sheets_to_keeper(float(s), stakes) for s in S])
    use = S <= 1.3
    assert np.max(np.abs(told - solved(latitude, retry, 0.25))[use]) < 0.06
    assert np.all(np.diff(told) >= -1e-9)


def test_a_bracket_against_a_million_throws() -> None:
    stakes = Stakes(0.5, 0.2, 0.25, 1.0)
    gap, either, _ = bracket(0.6, stakes)
    rng = np.random.default_rng(1)
    shared = 0.6 * rng.standard_normal(1_000_000)
    kept = [np.abs(shared + side * gap + 0.2 * rng.standard_normal(1_000_000)) <= 0.5 for side in (-0.5, 0.5)]
    assert either == pytest.approx(float(np.mean(kept[0] | kept[1])), abs=0.002)


def test_a_strip_that_tells_nothing_is_never_advised() -> None:
    for sd in (0.1, 0.4, 0.9):
        ways = options(sd, sd, sd, Stakes(0.5, 0.2, 0.25, 1.0))
        assert ways[0].key in ("expose", "bracket")


def test_what_wins_next_to_nothing_is_not_advised() -> None:
    """Somewhere on the way from a strip that helps to one that does not, exposing now is named first though a strip is cheaper by a hair."""
    stakes = Stakes(0.5, 0.2, 0.25, 1.0)
    named = []
    for k in range(60):
        ways = options(0.6, 0.3 + 0.005 * k, 0.6, stakes)
        cost = {o.key: o.cost for o in ways}
        named.append((ways[0].key, cost["expose"] - cost["strip"]))
    assert named[0][0] == "strip"
    assert any(key == "expose" and wins > 0 for key, wins in named)
    assert all(wins > 0.03 for key, wins in named if key == "strip")


def test_a_wedge_is_worth_more_once_its_meter_is_known() -> None:
    """By hand: a box of ±0.4, read through a lux meter of ±0.25 by a wedge of ±0.1414: 0.16 − 0.16²/(0.16 + 0.0625 + 0.02) = 0.0544;
    the meter compared to ±0.01 first: 0.16 − 0.16²/(0.16 + 0.0001 + 0.02) = 0.0179 stop²."""
    box, meter = Effect("box:D", 1.0, 0.0, 0.4, "", ""), Effect("meter:lux meter", 1.0, 0.0, 0.25, "", "")
    plain = advice.variance_after_wedge(Posterior(), [box], meter)
    compared = replace(meter, sd=0.01)
    assert plain == pytest.approx(0.0544, abs=0.0002)
    assert advice.variance_after_wedge(Posterior(), [box], compared) == pytest.approx(0.0179, abs=0.0002)
    # neither the reading nor the lens is told: their doubt stays
    reading = Effect("reading:3", 1.0, 0.0, 0.15, "", "")
    assert advice.variance_after_wedge(Posterior(), [box, reading], meter) == pytest.approx(0.0544 + 0.0225, abs=0.0002)
