"""The drawing: what it holds, what it must not hold, and that its labels are in it and apart."""

from __future__ import annotations

import itertools
import re
from xml.etree import ElementTree

import numpy as np
import pytest
from curve_truths import SHAPES, Truth

from firstsheet.drawing.curve_plot import WIDTH, curve_plot
from firstsheet.paper.curve import StepSeen, fit
from firstsheet.paper.curve_scene import lay

SVG = "{http://www.w3.org/2000/svg}"


def drawn(sense: int = 1, absolute: bool = True) -> ElementTree.Element:
    truth = Truth(SHAPES["gompertz"], 0.07, 1.9, 0.4 * sense, 0.2, sense)
    x = np.arange(-0.6, 1.6, 0.15)
    steps = [StepSeen(float(a), float(d), 0.02, 0.01) for a, d in zip(x, truth.density(x), strict=True)]
    steps[-1] = StepSeen(steps[-1].log_h, 1.9 if sense > 0 else 0.1, 0.02, 0.0, "at_least" if sense > 0 else "at_most")
    curve = fit(steps, sense, absolute=absolute)
    text = curve_plot(curve, lay(curve, 0.4, {"coat & hat": -2.5, "face": 0.0, "cap": 1.0, "sky": 9.0}), "box <A>")
    assert "style=" not in text
    assert "<script" not in text
    return ElementTree.fromstring(text)


@pytest.mark.parametrize("sense", [1, -1])
@pytest.mark.parametrize("absolute", [True, False])
def test_it_is_whole_and_says_what_it_shows(sense: int, absolute: bool) -> None:
    root = drawn(sense, absolute)
    assert root.findtext(f"{SVG}title") == "Characteristic curve, box <A>"
    desc = root.findtext(f"{SVG}desc") or ""
    assert "15 steps" in desc
    assert "face: density" in desc
    classes = {e.get("class") for e in root.iter()}
    assert {"curve", "ninety", "step", "doubt", "tone", "axis"} <= classes
    texts = [e.text or "" for e in root.iter(f"{SVG}text")]
    assert "density by reflection" in texts
    assert any("lx·s" in t for t in texts) is absolute


@pytest.mark.parametrize("sense", [1, -1])
def test_letters_stay_on_the_paper_and_apart(sense: int) -> None:
    boxes = []
    for e in drawn(sense).iter(f"{SVG}text"):
        wide = 6.1 * len(e.text or "")
        x, y = float(e.get("x", 0)), float(e.get("y", 0))
        left = {"middle": x - wide / 2, "end": x - wide}.get(e.get("text-anchor", "start"), x)
        assert left >= -8
        assert left + wide <= WIDTH + 8
        boxes.append((left, left + wide, y, e.text))
    for i, a in enumerate(boxes):
        for b in boxes[i + 1 :]:
            assert a[1] < b[0] + 1 or b[1] < a[0] + 1 or abs(a[2] - b[2]) >= 11, (a, b)


def test_the_line_goes_the_way_the_paper_does() -> None:
    for sense in (1, -1):
        line = next(e for e in drawn(sense).iter(f"{SVG}polyline")).get("points") or ""
        y = [float(p.split(",")[1]) for p in re.findall(r"\S+", line)]
        assert all(sense * (b - a) <= 0 for a, b in itertools.pairwise(y))
