"""Tone and border together, turned into the right cause, in every combination and on every way; development faults among them.

What the trade says is common practice, no source: a border is fogged by light on either kind of paper; on a positive its black must also have been
developed to its end, so a grey border with pale blacks is fog, flash or development cut short; direction is worked out from the sense of the way.
"""

from __future__ import annotations

import itertools

import pytest
from bad_evening import BadEvening

from firstsheet import tables
from firstsheet.acts import flash, judge
from firstsheet.acts.judge_causes import causes, ranked
from firstsheet.acts.sheet import sheet

NEGATIVES, POSITIVES = ("paper_negative", "contact_print"), ("direct_positive", "reversal_ra4", "reversal_bw")
LIGHT = {"stray_light", "lamp", "white_light", "opened_box"}
BATHS = {"short_dev", "tired_bath", "dead_developer", "wrong_tray", "poor_bleach", "no_second_light", "long_dev"}
TONE = {"dark": 1.75, "right": 0.0, "pale": -1.75}


@pytest.mark.parametrize(("way", "tone", "border"), list(itertools.product((*NEGATIVES, *POSITIVES), TONE, ("white", "grey", "black"))))
def test_every_combination(way, tone, border):
    """Nothing is blamed where tone and border are right; a border as it should be never speaks of fog; a fogged one always names something."""
    found = causes(way, TONE[tone], border)
    assert set(found) <= set(tables.load("bad_day")["causes"])
    for key in found:
        cause = tables.load("bad_day")["causes"][key]
        assert way in cause.get("only", (way,)), key
        assert way not in cause.get("never", ()), key
    clean = border == ("white" if way in NEGATIVES else "black")
    if clean:
        assert not set(found) & {*LIGHT, "flash", "old_box"}
        assert (found == ()) is (tone == "right")
    else:
        assert set(found) & {*LIGHT, *BATHS}


@pytest.mark.parametrize(("way", "tone", "border", "first", "not_among"), [
    # the direct positive's table, by hand: dark and a full black border, too little light; pale with it, too much: speed, never fog
    ("direct_positive", "dark", "black", "speed", LIGHT | BATHS),
    ("direct_positive", "pale", "black", "speed", LIGHT | BATHS),
    # pale blacks and a grey border: light reached it before a bath is blamed; dark yet grey: no light makes a positive dark, so the bath
    ("direct_positive", "pale", "grey", "stray_light", {"speed"}),
    ("direct_positive", "dark", "grey", "short_dev", {"speed", *LIGHT}),
    ("direct_positive", "right", "grey", "short_dev", {"speed"}),
    ("direct_positive", "pale", "white", "white_light", {"speed"}),
    ("direct_positive", "dark", "white", "dead_developer", {"speed", *LIGHT}),
    # the same looks on a negative: dark and grey is fog, and no bath that was too short makes it dark
    ("paper_negative", "dark", "grey", "stray_light", {"short_dev", "tired_bath"}),
    ("paper_negative", "pale", "white", "speed", LIGHT),
])  # fmt: skip
def test_the_right_cause_by_hand(way, tone, border, first, not_among):
    found = causes(way, TONE[tone], border)
    assert found[0] == first
    assert not set(found) & set(not_among)


def evening(way="direct_positive"):
    e = BadEvening(way)
    return e, e.sheet()


def test_a_sheet_lifted_too_soon_is_put_first():
    """A developer window of 1½ to 4 min (SS0509 and courses): lifted after 40 s, the grey border is the developer's."""
    e, code = evening()
    e.marks(code, ("begun", "", 0.0), ("lifted", "developer", 40.0))
    assert ranked(e.book, sheet(e.book, code), -1.75, "grey")[0] == "short_dev"
    change = judge.judge(e.book, code, {"border": "grey", "seen": "much_too_pale"})
    assert not change.taught
    assert any("lifted from the developer too soon" in w for w in change.next_time)
    assert "not exposure" in change.words[0]


def test_in_time_at_the_developer_leaves_light():
    e, code = evening()
    e.marks(code, ("begun", "", 0.0), ("lifted", "developer", 130.0))
    found = ranked(e.book, sheet(e.book, code), -1.75, "grey")
    assert found[0] == "stray_light"


@pytest.mark.parametrize("way", ["direct_positive", "paper_negative"])
def test_a_flashed_sheet_with_a_grey_border_has_its_flash_looked_at(way):
    e, code = evening(way)
    tone = -1.75 if way == "direct_positive" else 1.75
    assert "flash" not in ranked(e.book, sheet(e.book, code), tone, "grey")  # never flashed, by the book
    flash.given(e.book, code, {"share": "1.2"})
    assert ranked(e.book, sheet(e.book, code), tone, "grey")[0] == "flash"
    found = e.ask(code, saw="grey_border", border="grey")
    assert found.causes[0].key == "flash"
    assert any("flashed" in w for w in found.causes[0].why)
    assert found.decider is not None
    assert "exactly as the sheet was" in found.decider.do


def test_old_direct_positive_paper():
    """Old paper: longer development, told where the border is grey and the box was opened long ago."""
    e = BadEvening("direct_positive", opened="2020-05-01")
    code = e.sheet()
    found = ranked(e.book, sheet(e.book, code), 0.0, "grey")
    assert found[0] == "old_box"


def test_a_keeper_is_told_nothing():
    e, code = evening()
    assert judge.judge(e.book, code, {"border": "black", "seen": "as_wanted"}).next_time == ()
