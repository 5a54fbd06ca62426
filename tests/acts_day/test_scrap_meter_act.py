"""A scrap as meter through a whole sitting: the tint set in sun, a cloud comes, the plan follows."""

from __future__ import annotations

import math

import pytest

from firstsheet.acts import plan, scrap_meter, wish
from firstsheet.refusal import Refusal

SET = {"seconds": "20 s", "reading": "60000 lx", "light": "sun"}


def test_a_cloud_comes_and_the_plan_follows(book):
    """Closed form: 2√2 times the seconds is 1.5 stops less light; the paper receives so much less, and the metered time is so much longer."""
    wish.say(book, {"subject": "3 m", "aperture": "f/8", "reading": "60000 lx", "light": "sun"})
    scrap_meter.set_tint(book, SET)
    same = scrap_meter.into_plan(book, {"seconds": "20 s"})
    assert same.change_stops == pytest.approx(0)
    sunny = plan.plan(book)
    less = scrap_meter.into_plan(book, {"seconds": f"{20 * 2**1.5:.4f}"})
    assert less.change_stops == pytest.approx(-1.5, abs=1e-4)
    assert less.lux_lx == pytest.approx(60_000 / 2**1.5, rel=1e-4)
    assert less.in_plan
    cloudy = plan.plan(book)
    assert cloudy.light == "sun"  # the scrap has turned this light into that one: no step for the cloud's colour
    more = math.log2(cloudy.wanted_s / sunny.wanted_s)
    assert 1.5 - 1e-3 <= more < 1.5 * 1.6  # exactly 1.5 under one second; beyond, long exposures ask for more
    assert "scrap of D" in cloudy.readings[0]


def test_the_scraps_reading_is_as_good_as_the_lux_it_was_set_beside(book):
    """The plan from a lux meter and from a scrap set beside it, in the same light: the same seconds, the scrap's with more doubt."""
    wish.say(book, {"subject": "3 m", "aperture": "f/8", "reading": "60000 lx", "light": "sun"})
    by_lux = plan.plan(book)
    scrap_meter.set_tint(book, SET)
    scrap_meter.into_plan(book, {"seconds": "20 s"})
    by_scrap = plan.plan(book)
    assert by_scrap.wanted_s == pytest.approx(by_lux.wanted_s, rel=1e-6)
    assert by_scrap.sd_stops > by_lux.sd_stops


def test_several_counts_are_worth_more_than_one(book):
    scrap_meter.set_tint(book, SET)
    one, three = (scrap_meter.read(book, {"seconds": t}) for t in ("40 s", "38 s; 40 s; 42 s"))
    assert three.sd_stops < one.sd_stops
    assert three.counts == 3


def test_without_a_tint_or_with_a_reading_of_the_scene_it_is_refused(book):
    with pytest.raises(Refusal) as refused:
        scrap_meter.read(book, {"seconds": "40 s"})
    assert refused.value.kind == "missing"
    with pytest.raises(Refusal) as refused:
        scrap_meter.set_tint(book, {"seconds": "now", "reading": "EV 11 on white_shirt"})
    assert {p.where for p in refused.value.problems} >= {"seconds", "reading", "light"}


def test_the_scrap_is_spent_and_the_tint_is_no_printers_patch(book):
    s = scrap_meter.set_tint(book, SET)
    assert "never goes back" in s.cautions[0]
    assert any("house paint" in n for n in s.notes)
    assert s.tints[0].lx_s == pytest.approx(1.2e6)
