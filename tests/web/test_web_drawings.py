"""The small drawings: lengths are stops, labels do not touch, nothing a strict content policy refuses."""

import itertools
import math
import re
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet.drawing.chain_bars import bar, reach_stops, share_bar
from firstsheet.drawing.known_box import known_box
from firstsheet.drawing.stop_scale import LETTER, WIDTH, stop_scale

S = "{http://www.w3.org/2000/svg}"


def parsed(svg):
    assert "style" not in svg
    assert "script" not in svg
    return ET.fromstring(svg)


def bands(root):
    return [(float(r.get("x")), float(r.get("x")) + float(r.get("width"))) for r in root.iter(f"{S}rect")]


@given(st.floats(0.01, 2000), st.floats(0.05, 2.5), st.floats(-0.3, 0.3))
def test_equal_lengths_are_equal_factors(middle, sd, off):
    ends = [tuple(middle * 2.0 ** (z * sd) for z in (-k, k)) for k in (1.6449, 0.6745)]
    root = parsed(stop_scale(ends[0], ends[1], middle * 2.0 ** (off * sd)))
    (a, b), (c, d) = bands(root)
    # the quantiles of a normal: 0.6745 ÷ 1.6449 = 0.41
    if 2 * 1.6449 * sd > 0.3:
        assert (d - c) / (b - a) == pytest.approx(0.41, abs=0.02)
    assert a <= c <= d <= b
    labels = sorted((float(t.get("x")), len(t.text) * LETTER / 2) for t in root.iter(f"{S}text"))
    assert labels
    for (x, half), (y, other) in itertools.pairwise(labels):
        assert x + half < y - other
    for x, half in labels:
        assert x - half >= -0.1
        assert x + half <= WIDTH + 0.1


@given(st.floats(-4, 4), st.floats(0, 2))
def test_a_bar_is_as_long_as_its_stops(stops, sd):
    reach = reach_stops([(stops, sd), (None, None)])
    assert reach >= 1
    root = parsed(bar(stops, sd, reach))
    ((a, b),) = bands(root)
    per = (WIDTH / 2 - 4) / reach
    assert b - a == pytest.approx(abs(stops) * per, abs=0.15)
    assert (a >= WIDTH / 2 - 0.1) if stops > 0 else (b <= WIDTH / 2 + 0.2)
    numbers = [float(x) for x in re.findall(r"[MH](-?[0-9.]+)", bar(stops, sd, reach))]
    assert all(0 <= x <= WIDTH for x in numbers)


def test_shares():
    assert 'width="180.0"' in share_bar(0.5)


@given(st.floats(0.05, 200), st.floats(0.1, 1.5), st.floats(0.05, 1.5), st.floats(-2, 2))
def test_two_bands_of_one_box(ei, sd, later, moved):
    def three(middle, s):
        return tuple(middle * 2.0 ** (k * s) for k in (-1.6449, 0, 1.6449))

    root = parsed(known_box(three(ei, sd), three(ei * 2.0**moved, later)))
    then, now = bands(root)
    assert (then[1] - then[0]) / (now[1] - now[0]) == pytest.approx(sd / later, rel=0.03)
    for t in root.iter(f"{S}text"):
        if t.get("text-anchor"):
            assert math.isfinite(float(t.text))
            assert 0 < float(t.get("x")) < WIDTH
