"""The lens measured: what is said, kept, refused; and what a tapped hand and a timed shutter do to the plan."""

import math

import pytest

from firstsheet.acts import lens, own, plan, wish
from firstsheet.book.store import Book
from firstsheet.exposure import hand
from firstsheet.refusal import Refusal

CAMERA = {
    "name": "boathouse", "focal": "600 mm", "f_number": "f/8", "stops": "f/11 f/16", "board_min": "620 mm", "board_max": "1100 mm",
    "length": "2.4 m", "width": "2 m", "height": "2.1 m", "coverage": "60°",
}  # fmt: skip


@pytest.fixture
def book(tmp_path):
    with Book.open(tmp_path / "book.sqlite") as b:
        own.add_camera(b, CAMERA)
        yield b


def figures(found):
    return {f.key: f for f in found.figures}


def test_two_sizes_kept_and_then_counted(book):
    """Thin lens by hand: m 0.2 and 0.5 of a 200 mm stick, 186 mm of board between: f 620 mm."""
    asked = {"thing": "200 mm", "first": "40 mm", "second": "100 mm", "travel": "186 mm"}
    found = lens.focal(book, asked)
    assert figures(found)["focal_mm"].value == pytest.approx(620)
    assert "3 % longer" in found.notes[0]
    assert own.one(book, "camera", "boathouse").body["focal_mm"] == 600
    assert lens.keep(book, "focal", asked).kept
    assert own.one(book, "camera", None).body["focal_mm"] == 620
    assert "measured" in figures(lens.lens(book))["focal_mm"].aside


def test_every_problem_at_once(book):
    with pytest.raises(Refusal) as told:
        lens.focal(book, {"card": "600 mm", "thing": "200 mm", "what": "x"})
    assert {p.where for p in told.value.problems} == {"card", "what"}
    with pytest.raises(Refusal) as told:
        lens.hand(book, {"wanted": "2 s", "taps": "2 2.1"})
    assert "From 5 to 40" in str(told.value)
    with pytest.raises(Refusal):
        lens.focal(book, {"card": "1 m", "window": "1 m"})
    with pytest.raises(Refusal):
        lens.keep(book, "pinhole", {})
    for what, asked in (("pupil", {"front": "0 mm", "back": "3 mm"}), ("barrel", {"length": "0 mm"}), ("shutter", {"marked": "0 s"}), ("discs", {"holes": "0 mm"}), ("single", {"abbe": "5"})):
        with pytest.raises(Refusal):
            lens.WAYS[what](book, asked)


def test_pupil_barrel_and_stops_are_kept_until_the_lens_changes(book):
    lens.keep(book, "pupil", {"front": "80 mm", "back": "72 mm"})
    body = own.one(book, "camera", None).body
    assert body["f_number"] == 7.5
    assert body["pupil"] == 0.9
    lens.keep(book, "barrel", {"length": "120 mm", "front": "84 mm"})
    own.add_camera(book, CAMERA | {"f_number": "f/7.5"})
    assert own.one(book, "camera", None).body["barrel"]["front_mm"] == 84
    own.add_camera(book, CAMERA | {"focal": "500 mm"})
    assert "barrel" not in own.one(book, "camera", None).body


def test_a_hand_learned_from_ten_taps(book):
    """Mean and spread by hand: errors 0.1 … 0.3 s, mean 0.2."""
    taps = [2.1, 2.3] * 5
    learned = hand.hand_from(2.0, taps)
    assert learned.late_s == pytest.approx(0.2)
    assert learned.sd_s == pytest.approx(math.sqrt((2 * 0.15**2 + 10 * 0.01) / 11 * 1.1))
    own.add_box(book, {"name": "D", "paper": "direct_positive", "size": "12x16 in", "sheets": "25"})
    own.add_developer(book, {"name": "coffee", "kind": "coffee"})
    own.add_meter(book, {"name": "mine", "kind": "hand"})
    wish.say(book, {"light": "open_shade", "subject": "3 m", "reading": "EV 11"})
    assert not any("Counting" in n for n in plan.plan(book).notes)
    lens.keep(book, "hand", {"wanted": "2 s", "taps": " ".join(str(t) for t in taps)})
    assert "Counting, you leave the lens open 0.2 s too long: shut it that much sooner." in plan.plan(book).notes


def test_a_shutter_timed(book):
    own.add_camera(book, CAMERA | {"name": "van", "shutter": "shutter", "speeds": "1/2 1 2"})
    lens.keep(book, "shutter", {"camera": "van", "marked": "1 s", "measured": "1.4 1.4142 1.43"})
    body = own.one(book, "camera", "van").body
    assert body["speeds_s"] == pytest.approx([0.5, 1.4147, 2], abs=1e-3)
    found = lens.shutter(book, {"camera": "van", "marked": "1 s", "measured": "1.5"})
    assert found.keeps["speeds_s"] == pytest.approx([0.5, 1.5, 2])
    with pytest.raises(Refusal, match="mechanical shutter"):
        lens.shutter(book, {"camera": "boathouse", "marked": "1 s", "measured": "1.5"})


def test_blue_is_nearer(book):
    """Two Abbe numbers, one half the other: twice the way, and less than a fiftieth of the board's distance for crown."""
    crown = figures(lens.single(book, {"abbe": "60", "subject": "3 m"}))["move_mm"].value
    dense = figures(lens.single(book, {"abbe": "30", "subject": "3 m"}))["move_mm"].value
    assert dense == pytest.approx(2 * crown, rel=0.05)
    assert 10 < crown < 15
