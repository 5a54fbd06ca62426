"""A route as a line: its lights and minutes added up by hand, its litres against a table, its drawing told apart without colour."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest

from firstsheet.drawing.way_line import way_line
from firstsheet.trays import wayline
from firstsheet.trays.process import process_for, ways

IN = 25.4
NEGATIVE = process_for("paper_negative", "paper", "ortho")
COLOUR = process_for("reversal_ra4", "ra4", "colour")
REVERSED = process_for("reversal_bw", "paper", "ortho")


@pytest.mark.parametrize(("inches", "litres"), [((8, 10), 0.7), ((11, 14), 1.3), ((12, 16), 1.5), ((16, 20), 2.4), ((20, 24), 3.6), ((24, 36), 6.2), ((30, 40), 8.5)])
def test_a_tray_ten_millimetres_deep(inches, litres):
    """Litres as practitioners reckon them for a tray of the sheet's size filled 10 mm deep: common practice, no source; to a tenth of them."""
    assert wayline.tray_l(inches[0] * IN, inches[1] * IN) == pytest.approx(litres, rel=0.10)


def test_minutes_of_a_paper_negative_by_hand():
    """120 + 120 s outside and composing, 240 + 10 s of wash: white. 40 + 10 + 15 s, then 120 + 30 + 120 s with 10 s of drain each: red."""
    legs = wayline.line(NEGATIVE, 10.0)
    assert wayline.seconds_by_light(legs) == {"red": 40 + 10 + 15 + 130 + 40 + 130, "white": 120 + 120 + 250}
    flashed = wayline.line(NEGATIVE, 10.0, flashed=True)
    assert sum(leg.seconds for leg in flashed) - sum(leg.seconds for leg in legs) == 30
    assert [leg.words for leg in flashed if "flash" in leg.words] == ["a sheet out of the box, flashed evenly"]


def test_lights_of_the_routes():
    """Colour paper bears no light until stop and rinse are done (SS0514 section 4); an ordinary one bears red until bleached and cleared."""
    assert set(wayline.seconds_by_light(wayline.line(COLOUR))) == {"none", "white"}
    legs = wayline.line(REVERSED)
    red = [leg.step for leg in legs if leg.light == "red" and leg.step]
    assert red == ["first_developer", "stop", "rinse", "bleach", "second_rinse", "clear"]
    assert {leg.step for leg in legs if leg.caution} == {"bleach", "clear"}


@pytest.mark.parametrize("way", list(ways()))
def test_every_route_begins_and_ends_in_white_light_and_its_paper_is_out_in_its_own(way):
    colour = way == "reversal_ra4"
    legs = wayline.line(process_for(way, "ra4" if colour else "paper", "colour" if colour else "ortho"))
    assert legs[0].light == legs[-1].light == "white"
    out = next(i for i, leg in enumerate(legs) if leg.light != "white")
    assert all(leg.light == ("none" if colour else "red") for leg in legs[out : out + 4])
    assert all(leg.place in ("board", "lamp") for leg in legs[out : out + 3])


def test_what_one_sheet_uses():
    """Half a gram of silver a litre ends a single fixer and a square metre brings about 0.85 g: 0.59 m² to the litre; developer and stop by
    count, 1.5 and 1.0 m² to the litre (the table of baths, with its sources). 16x20 in is 0.2065 m²: 0.138, 0.206 and 0.351 l."""
    used = {u.words: u for u in wayline.liquids(NEGATIVE, 16 * IN, 20 * IN)}
    assert used["developer"].sheet_l == pytest.approx(0.138, abs=0.001)
    assert used["stop"].sheet_l == pytest.approx(0.206, abs=0.001)
    assert used["fixer"].sheet_l == pytest.approx(0.351, abs=0.001)
    assert "wash" not in used
    bleach = next(u for u in wayline.liquids(REVERSED, 16 * IN, 20 * IN) if "bleach" in u.words)
    assert bleach.whole
    assert bleach.sheet_l == bleach.tray_l


@pytest.mark.parametrize("process", [NEGATIVE, COLOUR, REVERSED], ids=lambda p: p.way)
def test_the_drawing_tells_lights_apart_without_colour(process):
    """One bar a stretch: filled for no light, hatched for red, open for white; nothing but the ink of the page."""
    legs = wayline.line(process)
    svg = way_line(legs, ["1:00"] * len(legs), "a <route>")
    root = ET.fromstring(svg)
    text = "".join(root.itertext())
    assert "a <route>" in text
    for leg in legs:
        assert leg.words in text
    bars = [e.get("class") for e in root.iter() if e.tag.endswith("rect")]
    places = 1 + sum(a.place != b.place for a, b in pairwise(legs))
    lights = {leg.light for leg in legs}
    assert len(bars) == len(legs) + places + len(lights)
    assert {b for b in bars if b} == {f"light-{k}" for k in lights}
    assert "#" not in svg.replace("http://www.w3.org", "")
