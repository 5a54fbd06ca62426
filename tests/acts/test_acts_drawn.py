"""Section and plan as asked for, and refused."""

import pytest

from firstsheet.acts import room_drawn
from firstsheet.refusal import Refusal
from tests.acts.test_acts_lens import book  # noqa: F401

ASKED = {"size": "16x20 in", "subject": "3 m"}


def test_both_drawings(book):  # noqa: F811
    found, page = room_drawn.drawn(book, ASKED | {"scale": "1:50"})
    assert found.drawing.count("xmlns") == page.count("xmlns") == 2
    assert "1:50" in found.first
    assert "5000 mm in the room" in page


def test_refused_all_at_once(book):  # noqa: F811
    with pytest.raises(Refusal) as told:
        room_drawn.drawn(book, ASKED | {"scale": "large", "subject": "much", "what": "x"})
    assert {p.where for p in told.value.problems} == {"scale", "subject", "what"}
    with pytest.raises(Refusal, match="fits A3"):
        room_drawn.drawn(book, ASKED | {"scale": "1:2"})
