"""The plan to scale: walls, board and rays against the answer; on paper at its scale."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet.camera.lens import Lens
from firstsheet.camera.room import Room, look
from firstsheet.drawing.room_plan import paper_mm, printed, room_plan
from firstsheet.drawing.room_section import room_section
from firstsheet.refusal import Refusal

LENS = Lens("six hundred", 600, 8)
SHED = Room(620, 1200, 2600, 2100, 2300)
SHEET = (406.4, 508.0)


def drawn(subject_mm: float = 3000, sheet: tuple[float, float] = SHEET) -> tuple[ET.Element, float]:
    svg = ET.fromstring(room_plan(LENS, SHED, look(LENS, SHED, sheet, subject_mm=subject_mm), sheet))
    return svg, float(svg.get("data-units-per-mm") or 0)


def of(svg: ET.Element, name: str) -> list[ET.Element]:
    return [e for e in svg.iter() if name in (e.get("class") or "").split()]


def test_walls_board_and_sitter_are_where_they_are():
    svg, per = drawn()
    lens = of(svg, "lens")[0]
    right = float(lens.get("cx"))
    assert (right - float(re.findall(r"H([\d.]+)", of(svg, "wall")[0].get("d"))[0])) / per == pytest.approx(2600, abs=5)
    walls = [float(n) for n in re.findall(r"V([\d.]+)", of(svg, "wall")[0].get("d"))]
    assert (walls[1] - walls[0]) / per == pytest.approx(2100, abs=5)
    sheet = of(svg, "sheet")[0]
    assert (right - float(sheet.get("x1"))) / per == pytest.approx(750, abs=3)
    assert abs(float(sheet.get("y1")) - float(sheet.get("y2"))) / per == pytest.approx(406.4, abs=3)
    head = of(svg, "head")
    picture = next(e for e in head if e.tag.endswith("line"))
    assert abs(float(picture.get("y1")) - float(picture.get("y2"))) / per == pytest.approx(160 / 4, abs=3)
    assert len(of(svg, "tray")) == 3
    assert of(svg, "way-out")


@given(st.floats(1250, 18_000))
def test_every_distance_can_be_drawn_and_nothing_leaves_it(u):
    svg, _ = drawn(u)
    wide, high = (float(n) for n in svg.get("viewBox").split()[2:])
    for e in svg.iter():
        for key, most in (("x", wide), ("x1", wide), ("x2", wide), ("cx", wide), ("y", high), ("y1", high), ("y2", high), ("cy", high)):
            if e.get(key) is not None:
                assert -1 <= float(e.get(key)) <= most + 1


def test_rays_cross_in_the_lens():
    """A straight line from ear to picture through the lens's middle: the two rays of an ear lie evenly about it."""
    svg, per = drawn()
    rays = [[float(n) for n in re.findall(r"-?[\d.]+", e.get("d"))] for e in of(svg, "ray")]
    axis = float(of(svg, "lens")[0].get("cy"))
    for a, b in (rays[:2], rays[2:]):
        assert a[1] == b[1]
        assert (a[3] + b[3]) / 2 == pytest.approx(axis, abs=0.02)
        assert (a[1] - axis) / (a[-1] - axis) == pytest.approx(-0.25, abs=0.01)
    assert per > 0


def test_on_paper_at_its_scale():
    """2600 mm at 1:25 are 104 mm: the drawing's width on paper over its units, by hand."""
    a = look(LENS, SHED, SHEET, subject_mm=3000)
    svgs = (room_section(LENS, SHED, a, SHEET), room_plan(LENS, SHED, a, SHEET))
    per = float(re.search(r'data-units-per-mm="([\d.]+)"', svgs[1])[1])
    page, scale = printed(svgs, 25, "shed")
    assert scale == 25
    widths = [float(w) for w in re.findall(r'<svg width="([\d.]+)mm" height="[\d.]+mm" xmlns', page)]
    assert widths == pytest.approx([360 / per / 25] * 2, abs=0.01)
    assert paper_mm(svgs[0], 50)[0] == pytest.approx(widths[0] / 2, abs=0.01)
    assert printed(svgs, None, "shed")[1] in (25, 50)
    with pytest.raises(Refusal, match="fits A3"):
        printed(svgs, 10, "shed")
