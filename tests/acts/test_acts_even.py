"""Evenness as asked for: which way to shift, what the print can mend, and refused."""

import xml.etree.ElementTree as ET

import pytest

from firstsheet.acts import even, lens
from firstsheet.refusal import Refusal
from tests.acts.test_acts_lens import book, figures  # noqa: F401

ASKED = {"size": "16x20 in", "subject": "3 m"}


def test_centred_and_shifted(book):  # noqa: F811
    """Geometry by hand: pupil 750 mm away, corner 325.3 mm off: tan² 0.188, 2·log2 1.188 = 0.497 stop."""
    found = even.evenness(book, ASKED)
    assert figures(found)["spread_stops"].value == pytest.approx(0.497, abs=2e-3)
    assert "hold the light back" in " ".join(found.notes)
    assert "Nobody measured the barrel" in found.notes[-1]
    off = even.evenness(book, ASKED | {"right": "80 mm", "down": "50 mm"})
    assert "darkest at the bottom right" in off.first
    assert "Move the sheet 80 mm left and 50 mm up" in off.notes[0]
    assert figures(off)["centred_stops"].value == pytest.approx(-0.497, abs=2e-3)
    lens.keep(book, "barrel", {"length": "150 mm", "front": "78 mm"})
    shaded = even.evenness(book, ASKED)
    assert figures(shaded)["spread_stops"].value > 0.6
    assert any("barrel shades" in n for n in shaded.notes)


def test_the_map_is_to_scale(book):  # noqa: F811
    svg = ET.fromstring(even.evenness(book, ASKED).drawing)
    sheet = next(e for e in svg.iter() if e.get("class") == "sheet")
    assert float(sheet.get("height")) / float(sheet.get("width")) == pytest.approx(20 / 16, rel=1e-3)
    assert len([e for e in svg.iter() if e.get("class") == "place"]) == 49


def test_refused_all_at_once(book):  # noqa: F811
    with pytest.raises(Refusal) as told:
        even.evenness(book, ASKED | {"left": "1 m", "right": "1 m", "aperture": "f/1", "what": "x"})
    assert {p.where for p in told.value.problems} == {"left", "aperture", "what"}
    with pytest.raises(Refusal, match="No more than the room"):
        even.evenness(book, ASKED | {"up": "9 m"})
