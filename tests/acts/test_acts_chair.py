"""The chair moved on the plan: every place against the thin lens by hand, and kept only when said."""

import re
import xml.etree.ElementTree as ET

import pytest

from firstsheet.acts import chair, own, wish
from firstsheet.drawing.room_section import WIDTH
from tests.acts.test_acts_lens import CAMERA, book  # noqa: F401

ASKED = {"size": "16x20 in", "subject": "3 m"}


def test_every_place_by_hand(book):  # noqa: F811
    """1/v = 1/f − 1/u for a 600 mm lens; nothing nearer than the slide's end, 1100 mm: u = 1320 mm."""
    _, c = chair.on_page(book, ASKED)
    assert len(c.places) > 50
    assert c.places[0]["subject_mm"] >= 1320
    for p in c.places:
        assert 1 / p["board_mm"] == pytest.approx(1 / 600 - 1 / p["subject_mm"], rel=2e-4)
        assert 0 < p["left"] < 100
    assert c.places[c.at]["subject_mm"] == 3000
    assert c.places[c.at]["chair"] == c.places[c.at]["board"] == 0
    assert [p["board_mm"] for p in c.places] == sorted((p["board_mm"] for p in c.places), reverse=True)


def test_what_is_moved_is_to_scale(book):  # noqa: F811
    _, c = chair.on_page(book, ASKED)
    svg = ET.fromstring(c.plan)
    per = float(svg.get("data-units-per-mm"))
    lens = float(next(e for e in svg.iter() if e.get("class") == "lens").get("cx"))
    for p in (c.places[0], c.places[-1]):
        assert (p["left"] / 100 * WIDTH - lens) / per == pytest.approx(p["subject_mm"], abs=3)
        assert p["chair"] / per == pytest.approx(p["subject_mm"] - 3000, abs=3)
        assert p["board"] / per == pytest.approx(750 - p["board_mm"], abs=3)  # further back is to the left
    assert re.search(r'class="(chair|board)-moves"', c.plan)
    assert "break" not in c.plan


@pytest.mark.parametrize("subject", ["1.33 m", "8 m", "17.9 m"])
def test_any_sitter_can_be_drawn(book, subject):  # noqa: F811
    _, c = chair.on_page(book, ASKED | {"subject": subject})
    assert len(c.places) <= 102
    for name in ("cx", "x1", "x2"):
        assert all(0 <= float(e.get(name)) <= WIDTH for e in ET.fromstring(c.plan).iter() if e.get(name))


def test_a_board_that_only_reaches_the_horizon_leaves_the_chair_where_it_is(book):  # noqa: F811
    own.add_camera(book, CAMERA | {"board_min": "590 mm", "board_max": "600 mm"})
    _, c = chair.on_page(book, ASKED | {"subject": "1 km"})
    assert [p["subject_mm"] for p in c.places] == [1_000_000]


def test_nothing_is_kept_until_it_is_said(book):  # noqa: F811
    wish.say(book, {"subject": "2 m"})
    found, _ = chair.on_page(book, ASKED)
    assert found.keeps == {"subject": "3 m"}
    assert book.get_setting("phrase")["subject"] == 2000
    assert chair.keep(book, ASKED).kept
    assert book.get_setting("phrase")["subject"] == 3000
    assert not chair.on_page(book, ASKED)[0].keeps
