"""What was said stays until said otherwise, and must not be charged where it no longer belongs."""

from __future__ import annotations

import pytest

from firstsheet.acts import own
from firstsheet.refusal import Refusal
from tests.acts.evening import Evening, begun


def scaled(before_s: float, factor: float) -> float:
    """Seconds after a further factor on the light, through Schwarzschild's law from the tables' start, t^1.10 above 1 s."""
    metered = (before_s ** (1 / 1.10) if before_s > 1 else before_s) * factor
    return metered**1.10 if metered > 1 else metered


@pytest.fixture
def on_board() -> Evening:
    e = Evening()
    own.add_camera(e.book, {"name": "boathouse", "focal": "600 mm", "f_number": "f/8", "stops": "f/16 f/32", "board_min": "610 mm",
                            "board_max": "1200 mm", "length": "2.4 m", "width": "2 m", "height": "2.2 m"})  # fmt: skip
    e.box(ei="4")
    e.developer()
    return e


def test_a_board_read_at_one_stop_and_exposed_at_another(on_board: Evening) -> None:
    """E ∝ 1/N² [ISO-2721]: from f/8 to f/16 four times the time, whether asked or said."""
    on_board.say(reading="0.8 lx on the board", light="sun", aperture="f/8")
    at_8 = on_board.plan()
    assert at_8.wanted_s == pytest.approx((8.125 / 4 / 0.8) ** 1.10, rel=1e-4)
    asked = on_board.plan(aperture="f/16")
    assert asked.wanted_s == pytest.approx(scaled(at_8.wanted_s, 4), rel=1e-4)
    assert next(link for link in asked.chain if link.key == "stop").stops == pytest.approx(2.0)
    on_board.say(aperture="f/16")
    assert on_board.plan().wanted_s == pytest.approx(asked.wanted_s)
    on_board.say(reading="0.8 lx on the board")  # read again, at f/16
    assert on_board.plan().wanted_s == pytest.approx(at_8.wanted_s)


def test_an_aperture_said_after_the_board_is_the_one_it_was_read_at(on_board: Evening) -> None:
    on_board.say(reading="0.8 lx on the board", light="sun")
    with pytest.raises(Refusal, match="aperture"):
        on_board.plan()
    on_board.say(aperture="f/16")
    at_16 = on_board.plan().wanted_s
    assert at_16 == pytest.approx((8.125 / 4 / 0.8) ** 1.10, rel=1e-4)
    on_board.say(aperture="f/8")
    assert on_board.plan().wanted_s == pytest.approx(scaled(at_16, 0.25), rel=1e-4)


def test_a_filter_is_charged_only_where_the_board_was_not_read_through_it(on_board: Evening) -> None:
    on_board.say(filter="0.9")
    on_board.say(reading="0.8 lx on the board", light="sun", aperture="f/8")
    through = on_board.plan()
    assert through.wanted_s == pytest.approx((8.125 / 4 / 0.8) ** 1.10, rel=1e-4)
    assert any("not charged again" in note for note in through.notes)
    on_board.say(filter="0")
    assert on_board.plan().wanted_s == pytest.approx(scaled(through.wanted_s, 10**-0.9), rel=1e-4)
    on_board.say(reading="0.8 lx on the board")
    on_board.say(filter="0.3")
    after = on_board.plan()
    assert after.wanted_s == pytest.approx(scaled(through.wanted_s, 10**0.3), rel=1e-4)
    assert any("is charged" in note for note in after.notes)


def test_the_density_of_the_last_negative_is_not_charged_in_the_camera(on_board: Evening) -> None:
    on_board.say(way="contact print", reading="6 lx on the board", light="tungsten", negative="0.7")
    on_board.plan()
    on_board.say(way="paper negative", reading="0.8 lx on the board", light="sun", aperture="f/8")
    plan = on_board.plan()
    assert plan.wanted_s == pytest.approx((8.125 / 4 / 0.8) ** 1.10, rel=1e-4)
    assert "negative" not in plan.assumed
    with pytest.raises(Refusal, match="negative"):
        on_board.plan(negative="0.7")


def test_iso_p_is_refused_where_light_does_not_darken(on_board: Evening) -> None:
    """ISO P is 1000/H at density 0.60 of a rising curve [ISO-6846]."""
    for paper in ("direct positive", "ra4"):
        with pytest.raises(Refusal, match="iso_p"):
            on_board.box("P", paper=paper, iso_p="500")


def test_the_ends_of_a_range_belong_to_it(on_board: Evening) -> None:
    on_board.box("slow", ei="0.01", ei_sd="0.02")


def test_by_a_window_the_light_is_window_light(on_board: Evening) -> None:
    assert on_board.plan(reading="window light", subject="3 m").light == "window"


def test_a_strip_teaches_the_time_of_its_step(on_board: Evening) -> None:
    """A strip has no one time to note; its step tells (common practice, no source)."""
    e = begun(ei="4")
    code = e.keep(strip=True)
    with pytest.raises(Refusal, match="given"):
        e.expose(code, given="20 s")


def test_colour_reversal_says_what_its_pack_does_not_cost() -> None:
    e = begun("ra4")
    assert any("pack" in note for note in e.plan(filter="0.9").notes)
    assert not any("pack" in note for note in e.plan().notes)
