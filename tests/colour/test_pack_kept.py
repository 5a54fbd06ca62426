"""A pack kept with its sheet: by its code however it is typed, never a strip's, seen again by the page ahead."""

from __future__ import annotations

import math

import pytest

from firstsheet import tables
from firstsheet.acts import ahead, expose, judge, own, pack, pack_known, plan, wish
from firstsheet.acts.sheet import sheet
from firstsheet.refusal import Refusal


def test_one_sheet_is_told_once_however_its_code_is_typed_and_a_strip_never(book):
    code = expose.keep(book, {"sun": "seen"}).code
    expose.expose(book, code)
    pack.told(book, {"sheet": code.lower(), "colour": "blue"})
    assert book.current(pack_known.THING, "C in sun")["body"]["sheets"][0]["sheet"] == code
    with pytest.raises(Refusal, match="was not told yet"):
        pack.told(book, {"sheet": code, "colour": "blue"})
    strip = expose.keep(book, {"sun": "seen"}, strip=True).code
    expose.expose(book, strip)
    with pytest.raises(Refusal, match="strip got several times"):
        pack.told(book, {"sheet": strip, "colour": "blue"})


def test_a_kept_plan_is_a_plan_again(book):
    code = expose.keep(book, {"sun": "seen"}).code
    again = ahead._planned(sheet(book, code))
    assert again is not None
    assert again.headline() == plan.plan(book).headline()
    assert again.pack.words in again.headline()


def _told(book, bright="right"):
    code = expose.keep(book, {"sun": "seen"}).code
    expose.expose(book, code)
    pack.told(book, {"sheet": code, "colour": "neutral", "bright": bright})
    return code


def test_a_told_brightness_narrows_the_plan_it_moves(book):
    """By hand: under one reading the next sheet shares everything with those told, so precisions add: 1/V + n/(0.06 D in stops² + retry² + the
    hand's 0.15 s at this time, log2(1 + 0.15/t))."""
    first = plan.plan(book)
    shared = [e for e in first.shared if not e.key.startswith("recip:")]
    whole = sum((e.coefficient * e.sd) ** 2 for e in shared)
    more = (first.sd_stops**2 - whole) / whole + 1.0  # what a time above one second makes of it; law and all
    one = (0.06 / math.log10(2)) ** 2 + float(tables.load("ways")["retry_sd"]) ** 2 + math.log2(1 + 0.15 / first.time_s) ** 2
    for n in (1, 2, 3):
        _told(book)
        now = plan.plan(book)
        assert now.sd_stops == pytest.approx(math.sqrt(more / (1 / whole + n / one)), rel=0.02)
    assert now.keeper_chance > first.keeper_chance
    assert now.advice.sd_strip_stops <= now.sd_stops + 1e-9


def test_what_told_sheets_did_not_see_stays_in_doubt(book):
    """A meter never used, another reading, a brightness nobody said: none of them is narrowed by sheets that knew nothing of it."""
    before = plan.plan(book).sd_stops
    code = expose.keep(book, {"sun": "seen"}).code
    expose.expose(book, code)
    pack.told(book, {"sheet": code, "colour": "blue"})
    assert plan.plan(book).sd_stops == pytest.approx(before, rel=1e-3)  # of its brightness nothing was said
    pack.told(book, {"colour": "neutral", "bright": "right"})  # no sheet of the book: whatever it was
    assert plan.plan(book).sd_stops == pytest.approx(before, rel=1e-3)
    for _ in range(3):
        _told(book)
    assert plan.plan(book).sd_stops < before / 3
    own.add_meter(book, {"name": "other", "kind": "phone"})
    wish.say(book, {"meter": "other", "reading": "EV 13"})
    other = plan.plan(book)
    meter = next(e for e in other.shared if e.key.startswith("meter:"))
    reading = next(e for e in other.shared if e.key.startswith("reading:"))
    assert other.sd_stops >= math.hypot(meter.sd, reading.sd)


def test_what_is_judged_as_well_narrows_once(book):
    code = _told(book)
    told = plan.plan(book).sd_stops
    judge.judge(book, code, {"border": "black", "seen": "as_wanted"})
    judged = plan.plan(book).sd_stops
    pack.take_back(book, {"light": "sun"})
    assert plan.plan(book).sd_stops == pytest.approx(judged, rel=1e-4)  # the telling added nothing to the judging
    judge.take_back(book, code)
    assert plan.plan(book).sd_stops > told
