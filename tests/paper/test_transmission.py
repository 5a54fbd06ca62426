"""Reflection to transmission: the published layer, and a law of multiple reflections worked in closed form."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from firstsheet.paper.transmission import Pair, measure
from firstsheet.refusal import Refusal


def pairs(cases: dict[str, Any]) -> list[Pair]:
    layer = cases["layer"]
    return [Pair(r, t) for r, t in zip(layer["reflection"], layer["transmission"], strict=True)]


def test_the_published_layer(cases: dict[str, Any]) -> None:
    relation = measure(pairs(cases))
    for r, t in zip(cases["layer"]["reflection"], cases["layer"]["transmission"], strict=True):
        mid, low, high = relation.transmission(r)
        assert mid == pytest.approx(t, abs=0.015)
        assert low < t < high


def test_light_passes_the_layer_more_than_twice(cases: dict[str, Any]) -> None:
    layer = cases["layer"]
    assert all(r < 2 * t + 0.05 for r, t in zip(layer["reflection"], layer["transmission"], strict=True))
    assert measure(pairs(cases)).transmission(1.2)[0] > 1.2 / 2


def test_nothing_outside_the_limits(cases: dict[str, Any]) -> None:
    relation = measure(pairs(cases))
    assert relation.limits == (0.96, 1.9)
    for d in (0.5, 1.95, math.nan):
        with pytest.raises(Refusal, match=r"0\.96 to 1\.90"):
            relation.transmission(d)


def layer_reflection(d_t: float, base: float = 0.85, inner: float = 0.6) -> float:
    """Closed form: transmittance T twice through the layer over a base reflecting R_b, of which the share `inner` of what
    comes up is sent down again by the surface: R = (1 − inner)·R_b·T²/(1 − inner·R_b·T²), [Williams-1953] in its simplest form."""
    t2 = 10 ** (-2 * d_t)
    white = (1 - inner) * base / (1 - inner * base)
    return -math.log10((1 - inner) * base * t2 / (1 - inner * base * t2) / white)


def test_a_closed_form_is_followed_between_pairs_and_its_range_holds_it() -> None:
    rng = np.random.default_rng(4)
    good = []
    for _ in range(60):
        true = np.linspace(0.05, 1.1, 7)
        seen = [
            Pair(layer_reflection(t) + 0.02 * rng.standard_normal(), t + 0.02 * rng.standard_normal()) for t in true
        ]
        relation = measure(seen)
        for t in rng.uniform(0.15, 1.0, 4):
            _, low, high = relation.transmission(layer_reflection(float(t)))
            good.append(low <= t <= high)
    assert 0.82 <= np.mean(good) <= 0.99


def test_it_rises(cases: dict[str, Any]) -> None:
    relation = measure([*pairs(cases), Pair(0.1, 0.04), Pair(1.42, 0.74)])
    found = [relation.transmission(float(d))[0] for d in np.linspace(0.1, 1.9, 200)]
    assert (np.diff(found) >= -1e-9).all()


def test_pairs_that_cannot_be(cases: dict[str, Any]) -> None:
    with pytest.raises(Refusal, match="rises"):
        measure([*pairs(cases), Pair(1.6, 0.30)])
    with pytest.raises(Refusal) as refused:
        measure([Pair(0.3, math.inf), Pair(9.0, 0.2)])
    assert len(refused.value.problems) == 3
