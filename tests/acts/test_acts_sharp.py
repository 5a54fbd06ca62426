"""How sharp, as asked for: from the plan, by pose, and refused."""

import xml.etree.ElementTree as ET

import pytest

from firstsheet.acts import own, sharp, wish
from firstsheet.refusal import Refusal
from tests.acts.test_acts_lens import book, figures  # noqa: F401


def test_from_the_plan_and_from_what_is_said(book):  # noqa: F811
    own.add_box(book, {"name": "D", "paper": "direct_positive", "size": "12x16 in", "sheets": "25"})
    own.add_developer(book, {"name": "coffee", "kind": "coffee"})
    own.add_meter(book, {"name": "mine", "kind": "hand"})
    with pytest.raises(Refusal) as told:
        sharp.sharpness(book, {"subject": "3 m"})
    assert {p.where for p in told.value.problems} == {"time"}
    wish.say(book, {"light": "open_shade", "subject": "3 m", "reading": "EV 11"})
    assert "at f/" in sharp.sharpness(book, {}).first
    standing = figures(sharp.sharpness(book, {"subject": "3 m", "time": "4 s", "pose": "standing", "aperture": "f/16"}))
    rested = figures(sharp.sharpness(book, {"subject": "3 m", "time": "4 s", "pose": "rested", "aperture": "f/16"}))
    assert standing["smear_mm"].value > 5 * rested["smear_mm"].value
    # published depth, close-up form, symmetrical: 2Nc(1 + m)/m² at f/16, m 1/4 is 320 mm; the exact halves are 154 and 167
    assert standing["near_mm"].value + standing["far_mm"].value == pytest.approx(320, abs=2)


def test_refused_all_at_once(book):  # noqa: F811
    with pytest.raises(Refusal) as told:
        sharp.sharpness(book, {"size": "12x16 in", "subject": "3 m", "time": "0 s", "bow": "1 m", "pose": "asleep", "what": "x"})
    assert {p.where for p in told.value.problems} == {"time", "bow", "pose", "what"}


def test_the_picture_is_at_true_size(book):  # noqa: F811
    found = sharp.sharpness(book, {"size": "12x16 in", "subject": "3 m", "time": "4 s"})
    svg = ET.fromstring(found.drawing)
    assert svg.get("width") == "88mm"
    assert svg.get("viewBox").startswith("0 0 88 ")
    spots = [e for e in svg.iter() if e.get("class") == "spot"]
    rows = found.tables[0].data
    assert len(spots) == len(rows) == 3
    for spot, row in zip(spots, rows, strict=True):
        blur = (row["sway_focus_mm"] ** 2 + row["paper_mm"] ** 2 + row["diffraction_mm"] ** 2) ** 0.5
        assert float(spot.get("width")) == pytest.approx(row["smear_mm"] + blur, abs=0.01)
        assert float(spot.get("height")) == pytest.approx(blur, abs=0.01)
