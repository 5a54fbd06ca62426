"""A flash on its way from the wish to the judged sheet: asked for before the box opens, gone with its sheet, not counted where it was not given."""

from __future__ import annotations

import math

import pytest

from firstsheet.acts import expose, flash, judge, own, plan, wish
from firstsheet.acts.sheet import sheet


@pytest.fixture
def ready(book):
    own.add_box(book, {"name": "F", "paper": "enlarging", "size": "8x10 in", "sheets": "25"})
    wish.say(book, {"reading": "EV 11", "light": "sun", "subject": "3 m", "aperture": "f/8", "box": "F", "way": "paper_negative"})
    developer = plan.plan(book).developer
    flash.found(book, {"box": "F", "developer": developer, "under": "bulb at 2 m", "times": "1 2 4 8 s", "shows": "3"})
    return book


def test_it_is_asked_for_until_it_is_noted_and_ends_with_its_sheet(ready):
    wish.say(ready, {"flash": "70%"})
    code = expose.keep(ready, {"sun": "seen"}).code
    # by hand: 0.7 of √(2·4) s, half-way between the last step that did not show and the first that did
    assert flash.before_it(ready, sheet(ready, code)) == "To be flashed, 70 % of the threshold: 2.0 s under bulb at 2 m; then note it."
    flash.given(ready, code, {"seconds": "2 s"})
    assert flash.before_it(ready, sheet(ready, code)) == ""
    assert plan.plan(ready).flash_share == 0.0  # the next sheet is asked again


def test_another_box_is_not_stopped_by_it(ready):
    own.add_box(ready, {"name": "P", "paper": "direct_positive", "size": "8x10 in", "sheets": "25"})
    wish.say(ready, {"flash": "70%"})
    wish.say(ready, {"box": "P"})
    p = plan.plan(ready)
    assert (p.way, p.flash_share) == ("direct_positive", 0.0)  # it goes its own way, too


def test_a_box_comes_back_to_the_way_it_went(ready):
    own.add_box(ready, {"name": "P", "paper": "direct_positive", "size": "8x10 in", "sheets": "25"})
    wish.say(ready, {"way": "reversal_bw"})
    wish.say(ready, {"box": "P"})
    assert plan.plan(ready).way == "direct_positive"
    wish.say(ready, {"box": "F"})
    assert plan.plan(ready).way == "reversal_bw"


def test_a_flash_planned_and_not_given_is_not_taken_off(ready):
    """By hand: the chain took its stops off for the flash; where none was given the sheet needs them back, so judged right at the same seconds the
    paper is that much faster than with the flash."""
    wish.say(ready, {"flash": "70%"})
    spared = next(x.stops for x in plan.plan(ready).chain if x.key == "flash")
    taught = []
    for flashed in (True, False):
        wish.say(ready, {"flash": "70%"})
        code = expose.keep(ready, {"sun": "seen"}).code
        if flashed:
            flash.given(ready, code, {"seconds": "2 s"})
        expose.expose(ready, code, {"given": "4 s"})
        told = judge.judge(ready, code, {"border": "white", "seen": "as_wanted"})
        assert any("counts as not flashed" in w for w in told.words) is not flashed
        taught.append(sheet(ready, code).judgement["evidence"]["given"])
        judge.take_back(ready, code)
    assert spared < 0
    # 4 s lie above one second: by (1 + r), r 0.10 before anything was learned
    assert taught[1] - taught[0] == pytest.approx(1.10 * spared, abs=1e-6)
    assert math.isfinite(taught[0])


@pytest.mark.parametrize("share", [0.1, 0.7, 1.0, 1.5])
def test_what_a_flash_buys_and_spares_goes_by_its_share(share):
    """Closed forms: on a toe that goes as H² the tone at the threshold T comes at √(T² + (sT)²) − sT, asinh(s) lower in ln; exposures add, so the
    picture is spared 1 − k·s of the mid-tone's light, k from the usual 0.15 stop at 0.7."""
    from firstsheet.acts.contrast import usual_flash

    lower = -math.log2(math.sqrt(1 + share**2) - share)
    usual = -math.log2(math.sqrt(1 + 0.7**2) - 0.7)
    assert usual_flash(share).stops == pytest.approx(lower / usual)
    assert flash.usual_less(share) == pytest.approx(math.log2(1 - (1 - 2**-0.15) * share / 0.7))


def test_at_the_threshold_the_border_is_not_promised_white(ready):
    assert any("must still come" in n for n in flash.dose(ready, {"share": "70%"}).notes)
    strong = " ".join(flash.dose(ready, {"share": "150%"}).notes)
    assert "no longer comes white" in strong
    assert "must still" not in strong


def test_two_ways_out_are_found_where_no_one_is_enough(book):
    """At 7.5 stops on a paper of 3.3 no single way helps by more than 0.05, shade and a yellow filter together do by more than 0.10: both are said."""
    from firstsheet.acts import contrast

    own.add_box(book, {"name": "F", "paper": "enlarging", "size": "8x10 in", "sheets": "25"})
    asked = {"light": "sun", "box": "F"}
    at = {r: contrast.contrast(book, asked | {"range": r}) for r in ("7", "7.5", "9")}
    keeper = {o.key: o.keeper_chance for o in at["7.5"].options if o.open}
    assert max(keeper.values()) - keeper["as_is"] < 0.05
    assert at["7.5"].also
    assert at["7.5"].take == at["7"].take != "as_is"
    assert at["9"].take == "as_is"
