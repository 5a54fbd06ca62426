"""A lens in a room: one worked sitting, and refusals that help."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from firstsheet.camera.lens import Lens
from firstsheet.camera.remedy import for_head, for_subject
from firstsheet.camera.room import Room, RoomAnswer, look
from firstsheet.refusal import Refusal

SHEET = (304.8, 406.4)  # 12 × 16 inches, upright
BIG = Lens("a metre", 1000, 11, coverage_deg=46, stops=(11, 16, 22, 32))
SHED = Room(board_min_mm=600, board_max_mm=1500, length_mm=2000, width_mm=1500, height_mm=2100)
VAN = Room(board_min_mm=500, board_max_mm=1100, length_mm=1800, width_mm=1400, height_mm=1300)


def test_a_sitter_at_four_metres() -> None:
    """Thin-lens arithmetic by hand: f 1000, u 4000, f/11 → v 4000/3, m 1/3, N_eff 11·4/3, 2·log2(4/3)."""
    a = look(BIG, SHED, SHEET, subject_mm=4000)
    assert a.board_mm == pytest.approx(1333.33, abs=0.01)
    assert a.magnification == pytest.approx(0.33333, abs=1e-5)
    assert a.effective_f_number == pytest.approx(14.6667, abs=1e-4)
    assert a.extension_stops == pytest.approx(0.830, abs=5e-4)
    assert a.field_mm == pytest.approx((914.4, 1219.2))
    assert a.head_mm == pytest.approx(230 / 3)
    assert a.sheet_diagonal_mm == pytest.approx(508, abs=0.1)
    assert a.covered is True
    # exact near and far limits, H = f²/Nc + f, worked by hand: H = 182 818.2
    assert 4000 - a.near_mm == pytest.approx(4000 * 181_818.18 / (182_818.18 + 4000 - 2000), abs=0.01)
    assert a.far_mm is not None
    assert 4000 + a.far_mm == pytest.approx(4000 * 181_818.18 / (182_818.18 - 4000), abs=0.01)
    assert a.depth_of_focus_mm == pytest.approx(7.333, abs=1e-3)


def test_a_corner_at_twenty_degrees() -> None:
    """cos⁴ 20° is −0.359 stop; a sheet whose half diagonal is v·tan 20°."""
    side = 2 * 1333.3333 * 0.36397023 / 2**0.5
    wide = Room(600, 1500, 2000, 2000, 2100)
    a = look(BIG, wide, (side, side), subject_mm=4000)
    assert a.corner_falloff_stops == pytest.approx(-0.359, abs=5e-4)


@pytest.mark.parametrize("asked", [{"subject_mm": 4000.0}, {"head_mm": 230 / 3}, {"board_mm": 4000 / 3}])
def test_chair_head_and_board_are_one_question(asked: dict[str, float]) -> None:
    a = look(BIG, SHED, SHEET, **asked)
    assert (a.subject_mm, a.head_mm, a.board_mm) == pytest.approx((4000, 230 / 3, 4000 / 3))


def refused(**asked: float) -> str:
    with pytest.raises(Refusal) as told:
        look(BIG, VAN, SHEET, **asked)
    return str(told.value)


def test_too_close_for_this_room_says_what_would_do() -> None:
    """u = fv/(v − f) = 11.0 m; f = uv/(u + v) = 862.7 mm, by hand."""
    said = refused(subject_mm=4000)
    assert ("A sitter at 4.0 m needs the board at 1.33 m from this 1000 mm lens; "
            "the room gives 1.10 m.") in said
    assert "Move the chair to 11.0 m or further, or use a lens of 863 mm or shorter." in said


def test_other_refusals_help_too() -> None:
    assert "makes no picture at any board" in refused(subject_mm=900)
    assert "Ask for a head of 23 mm or less, or use a lens of 733 mm or shorter." in refused(head_mm=115)
    assert "slides from 500 to 1100 mm" in refused(board_mm=1200)
    assert "Move the board to between 1000 and 1100 mm." in refused(board_mm=800)
    near = Room(1200, 1500, 2000, 1500, 2100)
    with pytest.raises(Refusal, match=r"chair to 6\.0 m or nearer, or use a lens of 1072 mm or longer"):
        look(BIG, near, SHEET, subject_mm=10_000)  # v = 1111 < 1200; u = 6000; f = 10000·1200/11200 = 1071.4
    short = Room(300, 700, 1000, 1000, 1000)
    with pytest.raises(Refusal, match=r"gives 0\.70 m\. Use a lens of 596 mm or shorter\."):
        look(BIG, short, SHEET, subject_mm=4000)  # no chair helps; f = 4000·700/4700 = 595.7


def test_every_problem_is_told_at_once() -> None:
    with pytest.raises(Refusal) as told:
        look(BIG, VAN, (2000, 400), subject_mm=4000, aperture=9, confusion_mm=0)
    assert {p.where for p in told.value.problems} == {"sheet.width", "confusion_mm", "aperture", "subject"}


@pytest.mark.parametrize("asked", [{}, {"subject_mm": 4000.0, "head_mm": 50.0}])
def test_exactly_one_is_asked(asked: dict[str, float]) -> None:
    with pytest.raises(Refusal, match="Exactly one"):
        look(BIG, SHED, SHEET, **asked)


def test_a_room_longer_than_itself_is_refused() -> None:
    with pytest.raises(Refusal) as told:
        Room(1500, 1200, 1000, -1, 2000)
    assert [p.where for p in told.value.problems] == ["width_mm", "board_min_mm", "board_max_mm"]


def notes(a: RoomAnswer) -> str:
    return " ".join(a.notes)


def test_what_is_said_besides_the_figures() -> None:
    small = Lens("small circle", 600, 8, circle_mm=300, stops=(8, 16, 32, 64))
    a = look(small, SHED, SHEET, subject_mm=3000)
    assert a.covered is False
    assert a.ears_sharp is False
    assert "The corners are dark: the circle is 375 mm and this sheet needs 508 mm." in notes(a)
    assert "The ears, 85 mm behind the eyes, are soft; f/16 holds them." in notes(a)
    assert look(small, SHED, SHEET, subject_mm=3000, aperture=16).ears_sharp is True
    unknown = look(Lens("x", 600, 8), SHED, SHEET, subject_mm=3000)
    assert unknown.covered is None
    assert unknown.circle_mm is None
    assert "Nobody has said what circle" in notes(unknown)
    assert "it will be cut" in notes(look(small, SHED, (304.8, 100.0), head_mm=150))


def number_after(words: str, text: str) -> float | None:
    return float(text.split(words)[1].split(" ")[0]) if words in text else None


def refusal_of(ask: Callable[[], object]) -> str | None:
    try:
        ask()
    except Refusal as refusal:
        return refusal.problems[0].hint
    return None


focal, nearest, slide = st.floats(200, 1500), st.floats(300, 1500), st.floats(20, 500)


@given(focal, nearest, slide, st.floats(300, 20_000))
def test_a_remedy_followed_to_the_letter_is_accepted(f: float, low: float, travel: float, u: float) -> None:
    high = low + travel
    assume(high < 4 * f and high < 3 * u)  # beyond three times life-size a millimetre is too coarse
    hint = refusal_of(lambda: for_subject(f, low, high, u))
    assume(hint is not None)
    chair, lens = number_after("hair to ", hint or ""), number_after("lens of ", hint or "")
    assert chair or lens
    if chair:
        for_subject(f, low, high, 1000 * chair)
    if lens:
        for_subject(lens, low, high, u)


@given(focal, nearest, slide, st.floats(5, 600))
def test_a_head_that_fits_is_accepted(f: float, low: float, travel: float, tall: float) -> None:
    high = low + travel
    hint = refusal_of(lambda: for_head(f, low, high, tall))
    assume(hint is not None)
    head, lens = number_after("head of ", hint or ""), number_after("lens of ", hint or "")
    assert head or lens
    if head:
        for_head(f, low, high, head)
    if lens:
        for_head(lens, low, high, tall)
