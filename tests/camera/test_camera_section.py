"""The section can be measured, read at 360 pixels, and understood without being seen."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstsheet.camera.lens import Lens
from firstsheet.camera.room import Room, look
from firstsheet.drawing.room_section import room_section
from firstsheet.refusal import Refusal

SVG = "{http://www.w3.org/2000/svg}"
SHEET = (304.8, 406.4)
PORTRAIT = Lens("<six & a bit>", 600, 8, coverage_deg=60, stops=(8, 11, 16))
SHED = Room(550, 1100, 1800, 1500, 2000)


def drawn(subject_mm: float, lens: Lens = PORTRAIT, room: Room = SHED) -> ET.Element:
    return ET.fromstring(room_section(lens, room, look(lens, room, SHEET, subject_mm=subject_mm), SHEET))


def each(root: ET.Element, tag: str, name: str) -> list[ET.Element]:
    return [e for e in root.iter(SVG + tag) if e.get("class") == name]


def said(root: ET.Element) -> list[str]:
    return [e.text or "" for e in root.iter(SVG + "text")]


def test_it_is_to_scale() -> None:
    """A quarter life-size by hand: f 600, u 3000 → v 750; the drawing's ticks stand as 750 to 3000."""
    root = drawn(3000)
    board, lens, eyes = (float(e.get("x1", "nan")) for e in each(root, "line", "tick"))
    assert (eyes - lens) / (lens - board) == pytest.approx(4, rel=0.01)
    assert {"750 mm", "3000 mm", "600 mm, f/8", "12 × 16 in", "far window", "trays"} <= set(said(root))
    assert "closest sitter, 1.32 m" in said(root)  # 600·1100/500 = 1320
    assert len(each(root, "rect", "tray")) == 3


def test_the_picture_is_upside_down() -> None:
    """A ray from above the axis lands below it, and the other way round (y grows downward in the drawing)."""
    root = drawn(3000)
    axis = float(each(root, "ellipse", "lens")[0].get("cy", "nan"))
    for ray in each(root, "path", "ray"):
        ys = [float(y) for y in re.findall(r",([-\d.]+)", ray.get("d", ""))]
        assert (ys[0] - axis) * (ys[-1] - axis) < 0
        # a quarter life-size, to the drawing's tenth of a unit
        assert abs(ys[0] - axis) * 4 == pytest.approx(abs(ys[-1] - axis), abs=0.3)
    figure = next(e for e in each(root, "svg", "picture")[0].iter(SVG + "g"))
    across, down = re.search(r"scale\(([-\d.]+) ([-\d.]+)\)", figure.get("transform", "")).groups()  # type: ignore[union-attr]
    assert float(across) < 0 < float(down)  # the sitter has + and −: turned by half a turn


def test_a_far_sitter_is_drawn_nearer_and_it_is_said() -> None:
    root = drawn(20_000)
    assert len(each(root, "path", "break")) == 2
    assert "drawn shortened" in said(root)
    assert "drawn shortened" in (root.findtext(SVG + "desc") or "")
    assert "drawn shortened" not in said(drawn(3000))


def test_it_says_what_it_shows() -> None:
    root = drawn(3000)
    assert root.get("role") == "img"
    assert root[0].tag == SVG + "title"
    desc = root.findtext(SVG + "desc") or ""
    assert "750 mm" in desc
    assert "upside down" in desc
    assert "58 mm tall" in desc  # 230 / 4, rounded


def test_a_strict_content_policy_lets_it_through() -> None:
    for e in drawn(20_000).iter():
        assert e.tag not in (SVG + "style", SVG + "script")
        assert not {"style", "href", "id"} & set(e.keys())
        assert not [k for k in e.attrib if k.startswith("on")]
        assert {e.get("fill"), e.get("stroke")} <= {None, "none", "currentColor"}


@settings(max_examples=150, deadline=None)
@given(
    f=st.floats(150, 1200),
    far=st.floats(1.15, 30),
    slack=st.floats(1.02, 2),
    behind=st.floats(0, 3000),
    tall=st.floats(700, 3000),
)
def test_nothing_is_too_small_or_runs_off(f: float, far: float, slack: float, behind: float, tall: float) -> None:
    """Letters no smaller than 12 pixels on a telephone 360 wide with margins of 20 (the page’s), and every one on the drawing."""
    u = f * far
    board = f * far / (far - 1)
    room = Room(min(f, board), board * slack, board * slack + behind, 1500, tall)
    lens = Lens("x", f, 8)
    root = drawn(u, lens, room)
    _, _, width, height = (float(v) for v in root.get("viewBox", "").split())
    assert width == 360
    for e in root.iter(SVG + "text"):
        size, x, y = float(e.get("font-size", "0")), float(e.get("x", "nan")), float(e.get("y", "nan"))
        long = 0.56 * size * len(e.text or "")
        start = x - {"start": 0, "middle": long / 2, "end": long}[e.get("text-anchor", "start")]
        assert size * (360 - 2 * 20) / width >= 12
        assert start >= -2
        assert start + long <= width + 2
        assert 8 <= y <= height - 2


def test_another_language_is_refused_by_name() -> None:
    with pytest.raises(Refusal, match="worded in: en"):
        room_section(PORTRAIT, SHED, look(PORTRAIT, SHED, SHEET, subject_mm=3000), SHEET, lang="xx")
