"""The drawing of first appearance: to scale, with its words beside it."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet.drawing.first_appearance import first_appearance


def dots(svg: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in re.findall(r'<circle class="step" cx="([\d.]+)" cy="([\d.]+)"', svg)]


def test_a_person_can_measure_on_it() -> None:
    """Equal steps in hours and in times later are equal on the paper."""
    (x1, y1), (x2, y2), (x3, y3) = dots(first_appearance([(0, 1.0), (1, 1.25), (2, 1.5)], 1.5, 0.16))
    assert x2 - x1 == pytest.approx(x3 - x2, abs=0.15)
    assert y1 - y2 == pytest.approx(y2 - y3, abs=0.15)
    assert y1 > y3  # later is higher


def test_what_it_shows_is_said_and_names_are_escaped() -> None:
    svg = first_appearance([(0, 1.0), (1.5, 1.2)], 1.5, 0.16, "<tray>")
    assert "2 readings: 1 times after 0.0 h, 1.2 times after 1.5 h." in svg
    assert "<tray>" not in svg


@given(st.lists(st.tuples(st.floats(0, 500), st.floats(0.2, 30)), min_size=1, max_size=12))
def test_nothing_leaves_the_drawing(points: list[tuple[float, float]]) -> None:
    svg = first_appearance(sorted(points), 1.5, 0.16)
    width, height = (float(v) for v in re.search(r'viewBox="0 0 (\S+) (\S+)"', svg).groups())  # type: ignore[union-attr]
    assert len(dots(svg)) == len(points)
    assert all(0 <= x <= width and 0 <= y <= height for x, y in dots(svg))
