"""Any two give the rest, marks and the ruler, as a person asks for them; thin-lens figures by hand."""

import pytest

from firstsheet.acts import distances, own
from firstsheet.refusal import Refusal
from tests.acts.test_acts_lens import book, figures  # noqa: F401

BOX = {"name": "D", "paper": "direct_positive", "size": "16x20 in", "sheets": "25"}


def asked(b, **said):
    return figures(distances.distances(b, said | {"size": "16x20 in"}))


def test_one_is_for_your_own_lens_and_two_for_any(book):  # noqa: F811
    """By hand: f 600 at half life-size: board 900, chair 1800; board 900 and chair 1800 alone want 600."""
    own_lens = asked(book, magnification="half")
    assert own_lens["board_mm"].value == pytest.approx(900)
    assert own_lens["subject_mm"].value == pytest.approx(1800)
    assert own_lens["field_width_mm"].value == pytest.approx(812.8)
    assert asked(book, board="900 mm", subject="1.8 m")["focal_mm"].value == pytest.approx(600)
    assert asked(book, head="115 mm", subject="1.8 m")["focal_mm"].value == pytest.approx(600)
    assert asked(book, across="812.8 mm", board="900 mm")["focal_mm"].value == pytest.approx(600)
    assert asked(book, across="812.8 mm", head="115 mm")["board_mm"].value == pytest.approx(900)
    assert asked(book, focal="1 m", subject="3 m")["board_mm"].value == pytest.approx(1500)


def test_how_much_deeper(book):  # noqa: F811
    """Life-size wants the board at twice the focal length, 1200 mm; it goes to 1100."""
    found = distances.distances(book, {"magnification": "1", "size": "16x20 in"})
    assert figures(found)["deeper_mm"].value == pytest.approx(100)
    assert "100 mm deeper" in found.notes[0]


def test_refused_all_at_once(book):  # noqa: F811
    for said, where in (
        ({}, {"subject"}), ({"subject": "2 m", "board": "900 mm", "focal": "600 mm"}, {"subject"}), ({"head": "50 mm", "across": "1 m"}, {"across"}),
        ({"subject": "much", "board": "0.5 m", "aperture": "x"}, {"subject", "aperture"}), ({"board": "500 mm"}, {"board"}),
    ):  # fmt: skip
        with pytest.raises(Refusal) as told:
            distances.distances(book, said | {"size": "16x20 in"})
        assert {p.where for p in told.value.problems} == where


def test_marks_with_their_zeros(book):  # noqa: F811
    """A chair 3 m from the lens is 2.88 m on a tape that begins 12 cm out; the board, 750 mm back, is 670 on one that begins 80 in."""
    found = distances.marks(book, {"floor": "2.88 m", "floor_zero": "12 cm", "board_zero": "80 mm"})
    assert figures(found)["board_mark_mm"].value == pytest.approx(670)
    back = distances.marks(book, {"board_mark": "670 mm", "floor_zero": "12 cm", "board_zero": "80 mm"})
    assert figures(back)["floor_mark_mm"].value == pytest.approx(2880)
    with pytest.raises(Refusal):
        distances.marks(book, {"floor": "3 m", "board_mark": "700 mm"})
    with pytest.raises(Refusal):
        distances.marks(book, {"floor": "0.3 m"})


def test_the_ruler(book):  # noqa: F811
    found, page = distances.ruler(book, {})
    assert found.first.startswith("A ruler in 2 pieces, 480 mm long")
    assert page.count("<svg") == 2
    own.add_camera(book, {"name": "short", "focal": "2 m", "f_number": "f/8", "board_min": "620 mm", "board_max": "1100 mm", "length": "2.4 m", "width": "2 m", "height": "2.1 m"})
    with pytest.raises(Refusal, match="further back"):
        distances.ruler(book, {"camera": "short"})
