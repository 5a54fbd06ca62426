"""The scene against the paper, before the sheet is spent: what is offered, what is not, and what is recommended."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firstsheet.acts import contrast, flash, wish
from firstsheet.refusal import Refusal
from tests.acts_contrast.conftest import drawn


def option(c, key):
    return next(o for o in c.options if o.key == key)


def test_a_scene_must_be_told(book):
    with pytest.raises(Refusal) as found:
        contrast.contrast(book, {"box": "D"})
    assert found.value.problems[0].where == "range"


@pytest.mark.parametrize(("text", "stops"), [("6", 6.0), ("6 stops", 6.0), ("1:64", 6.0), ("1:2", 1.0)])
def test_a_range_by_stops_or_by_ratio(text, stops):
    """A stop is a doubling."""
    assert contrast.range_of(text) == pytest.approx(stops)


@pytest.mark.parametrize("text", ["", "0", "40", "1:1", "wide", "nan", "1:0"])
def test_no_range(text):
    with pytest.raises(Refusal):
        contrast.range_of(text)


def test_two_spot_readings_tell_the_range(book):
    """EV 14 and EV 9 on two tones lie five stops apart."""
    wish.say(book, {"box": "D", "developer": "bought", "way": "paper_negative", "light": "sun", "subject": "3 m",
                    "reading": "EV 14 on grey_card; EV 9 on grey_card"})  # fmt: skip
    assert contrast.contrast(book).scene_stops == pytest.approx(5.0, abs=0.01)


def test_a_preflash_only_with_a_measured_threshold(book):
    before = contrast.contrast(book, {"range": "6", "box": "D", "light": "sun"})
    assert not option(before, "preflash").open
    assert any("scrap" in n for n in before.notes)
    flash.found(book, {"times": "1 2 4", "shows": "2", "under": "lamp", "box": "D"})
    after = contrast.contrast(book, {"range": "6", "box": "D", "light": "sun"})
    assert option(after, "preflash").open
    assert after.flash is None
    assert after.plot_svg == ""  # a count draws no curve


@pytest.mark.parametrize(("box", "way", "bought"), [("D", "paper_negative", 1.03), ("P", "direct_positive", 1.07)])
def test_the_flash_of_this_boxs_own_curve(book, box, way, bought):
    """1.03 and 1.07 stops by the closed form (authorities/exposure); the fitted toe is good to about 0.2."""
    drawn(book, box, way)
    c = contrast.contrast(book, {"range": "6", "box": box, "way": way, "light": "sun"})
    assert c.measured
    assert c.flash is not None
    assert c.flash.bought_stops == pytest.approx(bought, abs=0.25)
    assert (c.flash.border_d > 0) == (way == "paper_negative")
    assert c.plot_svg.startswith("<svg")
    assert "flashed" in c.plot_svg
    assert ("white border" if way == "paper_negative" else "black border") in c.flash.words


def test_what_does_not_serve_is_told_and_not_taken(book):
    shade = contrast.contrast(book, {"range": "6", "box": "D", "light": "open_shade"})
    assert "flat already" in option(shade, "shade").why_not
    graded = contrast.contrast(book, {"range": "6", "box": "G", "light": "sun"})
    assert not option(graded, "yellow_filter").open  # only on variable-contrast paper
    assert option(graded, "softer_grade").open
    for c in (shade, graded):
        assert option(c, c.take).open


def test_flat_scenes_want_nothing(book):
    c = contrast.contrast(book, {"range": "2", "box": "D", "light": "overcast"})
    assert c.take == "as_is"
    assert "it fits" in c.says


def test_sun_and_deep_shadow_want_the_shade_or_more(book):
    """Three accounts agree that shade helps most: common practice, no source."""
    c = contrast.contrast(book, {"range": "6", "box": "D", "light": "sun"})
    assert c.take == "shade"
    best = max(o.keeper_chance for o in c.options if o.open)
    assert option(c, c.take).keeper_chance >= best - 0.05


def test_costs_per_keeper_count_the_sheet(book):
    c = contrast.contrast(book, {"range": "4", "box": "D", "light": "sun"})
    for o in c.options:
        if o.cost_per_keeper is not None:
            assert o.cost_per_keeper == pytest.approx(6.0 / o.keeper_chance)


WORDS = st.sampled_from(["6", "1:64", "0", "-3", "nan", "1e999", "6 stops", "70 %", "yes", "no", "0.2 lx", "EV 8", "f/16", "1 2 4 8 s", "3", "", "ß", "x" * 500])


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.dictionaries(st.sampled_from(["range", "share", "light", "box", "way", "lux", "ev", "aperture", "board", "under", "times", "shows"]), WORDS, max_size=4))
def test_whatever_is_said_is_answered_or_refused(book, form):
    for act in (contrast.contrast, flash.dose, flash.standing, flash.found):
        try:
            act(book, form)
        except Refusal as refused:
            told = refused.to_json()["refused"]
            assert all(p["allowed"] for p in told)
