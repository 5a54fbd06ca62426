"""The table of steps against the published texts that it names, and what must be refused."""

import pytest

from firstsheet.refusal import Refusal
from firstsheet.trays.process import process_for, ways

DEVELOPER = {"reversal_ra4": "ra4"}
PAPER = {"reversal_ra4": "colour"}


def usual(way, **more):
    return process_for(way, DEVELOPER.get(way, "paper"), PAPER.get(way, "blue"), **more)


def step(process, key):
    return next(s for s in process.steps if s.key == key)


def test_five_ways_of_working():
    assert set(ways()) == {"paper_negative", "contact_print", "direct_positive", "reversal_ra4", "reversal_bw"}


@pytest.mark.parametrize("way", ["paper_negative", "contact_print", "direct_positive", "reversal_ra4", "reversal_bw"])
@pytest.mark.parametrize("base", ["rc", "fibre"])
def test_every_number_has_a_window_a_spread_and_a_source(way, base):
    process = usual(way, base=base)
    assert len({s.key for s in process.steps}) == len(process.steps)
    for s in process.steps:
        assert s.low_s <= s.seconds <= s.high_s
        assert s.spread_s[0] <= s.seconds <= s.spread_s[1]
        assert s.source
        assert s.doing
        assert s.light in ("none", "red", "white")
        assert 5 <= s.drain_s <= 25  # common practice, no source


def test_developer_time_is_inside_the_army_course():
    # SS0509: paper developer 1.5 to 2 min at 21 to 23 °C
    assert 90 <= step(usual("paper_negative"), "developer").seconds <= 120


def test_stop_time_is_inside_the_army_course():
    # SS0509: stop bath 15 to 30 s; TM 11-2323: 1 min does no harm
    stop = step(usual("paper_negative"), "stop")
    assert 15 <= stop.seconds <= 30
    assert stop.low_s <= 15
    assert stop.high_s >= 60


def test_coffee_is_slower_than_ordinary_developer():
    # common practice, no source: 2 to 6 min and more
    coffee = step(process_for("direct_positive", "coffee", "blue"), "developer")
    assert coffee.seconds == 390
    assert coffee.seconds > step(usual("direct_positive"), "developer").seconds


def test_fibre_is_fixed_and_washed_longer():
    # common practice, no source: resin-coated at most 2 min of fixer, fibre 5 to 10; wash 30 to 60 min
    rc, fibre = usual("paper_negative"), usual("paper_negative", base="fibre")
    assert step(rc, "fix").seconds <= 120
    assert 300 <= step(fibre, "fix").seconds <= 600
    assert 1800 <= step(fibre, "wash").seconds <= 3600
    assert step(rc, "stop") == step(fibre, "stop")


@pytest.mark.parametrize("sensitivity", ["blue", "ortho"])
def test_red_until_fixed_then_white(sensitivity):
    # common practice, no source
    lights = [s.light for s in process_for("direct_positive", "paper", sensitivity).steps]
    assert lights == ["red", "red", "red", "white"]


def test_reversal_is_dark_through_first_stop_and_rinse_then_wants_light():
    # SS0514 section 4 (the logic of reversal): light is wanted once the first developer is rinsed out
    process = usual("reversal_ra4")
    assert [(s.key, s.light) for s in process.steps] == [
        ("first_developer", "none"),
        ("stop", "none"),
        ("rinse", "none"),
        ("white_light", "white"),
        ("colour_developer", "white"),
        ("second_stop", "white"),
        ("bleach_fix", "white"),
        ("wash", "white"),
    ]
    assert "wanted" in process.steps[3].light_words


def test_reversal_of_an_ordinary_paper_is_red_until_bleached_and_cleared_and_never_fixed_before_it_is_developed_again():
    """The published order: developed, washed, bleached and not fixed, lit, developed again [MOVIE-REVERSAL]; red until cleared: common practice."""
    process = usual("reversal_bw")
    assert [(s.key, s.light) for s in process.steps] == [
        ("first_developer", "red"), ("stop", "red"), ("rinse", "red"), ("bleach", "red"), ("second_rinse", "red"), ("clear", "red"),
        ("third_rinse", "white"), ("white_light", "white"), ("second_developer", "white"), ("second_stop", "white"), ("fix", "white"), ("wash", "white"),
    ]  # fmt: skip
    assert "bleached and cleared" in process.steps[0].light_words
    assert "until it is fixed" in usual("paper_negative").steps[0].light_words
    assert [s.key for s in process.steps if s.wants == "white"] == ["white_light"]
    # what can hurt is said where it stands (supplier's sheets first; from memory)
    assert "chlorine" in step(process, "bleach").caution
    assert "sulphur dioxide" in step(process, "clear").caution
    assert any("hydrochloric" in c for c in process.cautions)


def test_total_darkness_lasts_about_five_minutes():
    # common practice, no source: 5 to 8 min from box open to the end of stop and rinse, handling included
    dark_s = sum(s.seconds + s.drain_s for s in usual("reversal_ra4").steps if s.light == "none")
    assert 240 <= dark_s <= 480


def test_own_seconds_stretch_the_window():
    own = step(process_for("paper_negative", seconds={"developer": 240}), "developer")
    plain = step(process_for("paper_negative"), "developer")
    assert own.seconds == 240
    assert own.low_s == pytest.approx(2 * plain.low_s)
    assert own.high_s == pytest.approx(2 * plain.high_s)
    assert own.source == "your own time"


def test_everything_wrong_is_said_at_once():
    with pytest.raises(Refusal) as refused:
        process_for("paper_negative", "paper", "blue", seconds={"devloper": 60, "stop": 1, "fix": float("nan")})
    assert [p.where for p in refused.value.problems] == ["seconds.devloper", "seconds.stop", "seconds.fix"]
    with pytest.raises(Refusal) as refused:
        process_for("nothing", "tea", "infra", "stone")
    assert [p.where for p in refused.value.problems] == ["way", "developer", "sensitivity", "base"]


@pytest.mark.parametrize(
    ("way", "developer", "sensitivity", "where"),
    [
        ("paper_negative", "paper", "colour", "sensitivity"),
        ("reversal_ra4", "ra4", "blue", "sensitivity"),
        ("reversal_ra4", "coffee", "colour", "developer"),
    ],
)
def test_paper_and_developer_must_fit_the_way(way, developer, sensitivity, where):
    with pytest.raises(Refusal) as refused:
        process_for(way, developer, sensitivity)
    assert [p.where for p in refused.value.problems] == [where]


def test_an_own_time_opens_an_untried_developer():
    process = process_for("reversal_ra4", "coffee", "colour", seconds={"first_developer": 400})
    assert process.steps[0].seconds == 400


def test_what_permanganate_asks_of_the_room_is_asked_before_the_box_and_of_no_other_way():
    """Goggles, and nothing near that makes chlorine of it: the supplier's sheets, from memory."""
    from firstsheet.trays import readiness

    asked = {way: {i.key for i in readiness.items(usual(way))} for way in ("reversal_bw", "direct_positive", "reversal_ra4")}
    assert "permanganate" in asked["reversal_bw"]
    assert not any("permanganate" in asked[w] for w in ("direct_positive", "reversal_ra4"))
