"""Interrupted runs: what may wait, wrong trays, white light, the image shows. Common practice, no source; times added up by hand."""

import pytest

from firstsheet import tables
from firstsheet.trays import interrupt
from firstsheet.trays.process import process_for, ways
from firstsheet.trays.progress import Mark, timed, where

RUN = process_for("paper_negative", "paper", "blue", seconds={"developer": 120, "stop": 30, "fix": 120, "wash": 240})
COLOUR = process_for("reversal_ra4", "ra4", "colour")
EVERY = [
    process_for(w, "ra4" if w == "reversal_ra4" else "paper", "colour" if w == "reversal_ra4" else "ortho")
    for w in ways()
]
BEGUN = Mark("begun", "", 0.0)


def step(process, key):
    return process.steps[process.number_of(key) - 1]


# ── what may wait ──


@pytest.mark.parametrize(
    ("process", "key", "kind"),
    [
        (RUN, "developer", "no"), (RUN, "stop", "goes_on"), (RUN, "fix", "goes_on"), (RUN, "wash", "waits"),
        (COLOUR, "first_developer", "no"), (COLOUR, "stop", "goes_on"), (COLOUR, "rinse", "waits"),
        (COLOUR, "white_light", "waits"), (COLOUR, "colour_developer", "no"), (COLOUR, "bleach_fix", "goes_on"),
    ],
)  # fmt: skip
def test_what_may_wait(process, key, kind):
    wait = interrupt.wait(process, step(process, key))
    assert wait.kind == kind
    assert "{" not in wait.words
    assert (wait.most_s > 0) == (kind != "no")


def test_fixer_waits_only_within_its_window():
    for process, key in ((RUN, "fix"), (COLOUR, "bleach_fix")):
        assert interrupt.wait(process, step(process, key)).most_s == step(process, key).high_s


def test_time_stands_still_in_the_wash_and_not_in_the_stop():
    at_stop = [BEGUN, Mark("lifted", "developer", 120)]  # in the stop from 130
    s = where(RUN, [*at_stop, Mark("paused", "stop", 140)], 190)
    assert (s.state, s.elapsed_s, s.broken_s, s.next_cue) == ("paused", 60, 50, None)
    s = where(RUN, [*at_stop, Mark("paused", "stop", 140), Mark("resumed", "stop", 200)], 210)
    assert (s.state, s.elapsed_s, s.overdue_s) == ("in", 80, 50)
    at_wash = [BEGUN, Mark("lifted", "fix", 290)]  # in the wash from 300
    s = where(RUN, [*at_wash, Mark("paused", "wash", 360)], 660)
    assert (s.state, s.elapsed_s, s.left_s, s.broken_s) == ("paused", 60, 180, 300)
    s = where(RUN, [*at_wash, Mark("paused", "wash", 360), Mark("resumed", "wash", 660)], 700)
    assert (s.state, s.elapsed_s, s.left_s) == ("in", 100, 140)


def test_a_developer_does_not_wait():
    plain = where(RUN, [BEGUN], 100)
    assert where(RUN, [BEGUN, Mark("paused", "developer", 50)], 100) == plain
    assert where(RUN, [BEGUN, Mark("paused", "", 50), Mark("resumed", "", 90)], 100) == plain


def test_a_lift_taken_back_brings_the_pause_back():
    marks = [BEGUN, Mark("lifted", "fix", 290), Mark("paused", "wash", 360)]
    lifted = [*marks, Mark("lifted", "wash", 400)]
    assert where(RUN, lifted, 405).state == "draining"
    assert where(RUN, [*lifted, Mark("taken_back", "wash", 406)], 420) == where(RUN, marks, 420)


# ── the wrong tray ──


@pytest.mark.parametrize("process", EVERY, ids=lambda p: p.way)
def test_every_wrong_tray_has_an_answer_of_its_own(process):
    """Each pair of trays is in the table: none falls back to “not known”, and each goes on at a step that is there."""
    unknown = tables.load("interruptions")["wrong"]["unknown"]["means"]
    for due in process.steps:
        for into in process.steps:
            if due.key == into.key:
                continue
            answer = interrupt.wrong(process, due, into)
            assert answer.means != unknown, (due.key, into.key)
            assert "{" not in answer.do + answer.means
            assert answer.on == "" or process.number_of(answer.on)
            assert answer.stays == (answer.on == into.key) or answer.on == due.key


@pytest.mark.parametrize(
    ("process", "due", "into", "on"),
    [  # by what the liquids do: fixer dissolves what is undeveloped; water and acid do not harm it
        (RUN, "developer", "fix", ""),
        (RUN, "developer", "stop", "developer"),
        (RUN, "developer", "wash", "developer"),
        (RUN, "stop", "fix", "fix"),
        (RUN, "stop", "developer", "stop"),
        (RUN, "fix", "developer", "stop"),
        (RUN, "wash", "fix", "wash"),
        (COLOUR, "first_developer", "bleach_fix", ""),
        (COLOUR, "rinse", "first_developer", "stop"),
        (COLOUR, "colour_developer", "bleach_fix", ""),
        (COLOUR, "second_stop", "bleach_fix", "bleach_fix"),
        (COLOUR, "wash", "bleach_fix", "wash"),
    ],
)
def test_where_it_goes_on(process, due, into, on):
    assert interrupt.wrong(process, step(process, due), step(process, into)).on == on


def test_the_run_goes_on_from_when_it_is_put_right():
    marks = [BEGUN, Mark("lifted", "developer", 120), Mark("lifted", "stop", 160), Mark("wrong_tray", "developer", 175)]
    s = where(RUN, marks, 180)
    assert (s.state, s.step.key, s.aside.key, s.broken_s) == ("aside", "fix", "developer", 5)
    s = where(RUN, [*marks, Mark("resumed", "stop", 185)], 195)  # back one step, its whole time
    assert (s.state, s.step.key, s.elapsed_s, s.left_s) == ("in", "stop", 10, 20)
    s = where(RUN, [*marks, Mark("resumed", "stop", 185), Mark("lifted", "stop", 215)], 230)
    assert (s.state, s.step.key, s.elapsed_s) == ("in", "fix", 5)
    assert where(RUN, [*marks, Mark("taken_back", "developer", 178)], 180) == where(RUN, marks[:-1], 180)


def test_it_stays_where_it_lies():
    """The stop was skipped: in the fixer from the moment it went in, both marks of one moment in either order."""
    put = [Mark("resumed", "fix", 132), Mark("wrong_tray", "fix", 132)]
    for pair in (put, put[::-1]):
        s = where(RUN, [BEGUN, Mark("lifted", "developer", 120), *pair], 142)
        assert (s.state, s.step.key, s.elapsed_s, s.left_s) == ("in", "fix", 10, 110)


# ── white light ──


def test_white_light_means_what_the_stage_makes_of_it():
    assert "darker" in interrupt.lit(RUN, step(RUN, "developer")).means  # a negative works so
    positive = process_for("direct_positive", "paper", "ortho")
    assert "paler" in interrupt.lit(positive, positive.steps[0]).means
    assert interrupt.lit(RUN, step(RUN, "wash")) == interrupt.Lit("", "")
    assert interrupt.lit(COLOUR, step(COLOUR, "white_light")) == interrupt.Lit("", "")
    for process in EVERY:
        for one in process.steps:
            assert bool(interrupt.lit(process, one).means) == (one.light != "white")


def test_how_long_the_light_is_on():
    marks = [BEGUN, Mark("lights_on", "", 30), Mark("lights_on", "", 32)]
    assert where(RUN, marks, 40).lit_s == 10
    assert where(RUN, [*marks, Mark("lights_off", "", 41)], 50).lit_s is None
    assert where(RUN, marks, 40).lights_on_at_s == (30, 32)


# ── the image shows ──


def test_the_whole_time_follows_the_first_appearance():
    first = RUN.steps[0]
    appeared_s, total_s, low_s, high_s = first.appears[len(first.appears) // 2]
    s = where(RUN, [BEGUN, Mark("appeared", "developer", appeared_s + 0.4)], appeared_s + 1.0)
    assert (s.step.seconds, s.step.low_s, s.step.high_s) == (total_s, low_s, high_s)
    assert s.left_s == pytest.approx(total_s - appeared_s - 1.0)
    assert s.shown_s == appeared_s + 0.4
    again = where(
        RUN, [BEGUN, Mark("appeared", "developer", appeared_s), Mark("taken_back", "developer", appeared_s + 2)], 60
    )
    assert again == where(RUN, [BEGUN], 60)


def test_a_mark_without_a_row_changes_nothing():
    assert timed(RUN.steps[0], 1.0) == RUN.steps[0]
    assert timed(RUN.steps[1], 10.0) == RUN.steps[1]
    assert where(RUN, [BEGUN, Mark("appeared", "stop", 20)], 30) == where(RUN, [BEGUN], 30)


def test_it_is_asked_only_where_it_can_be_seen():
    assert [s.key for s in RUN.steps if interrupt.seen(s)] == ["developer"]
    assert not any(interrupt.seen(s) for s in COLOUR.steps)


# ── ends ──


def test_an_end_before_the_end_says_what_the_sheet_is():
    assert "not fixed" in interrupt.ended(RUN, step(RUN, "developer"), "stopped")
    assert "is fixed" in interrupt.ended(RUN, step(RUN, "wash"), "stopped")
    assert "gloves" in interrupt.ended(RUN, step(RUN, "wash"), "abandoned")
