"""Laws of where a run stands. The expected times are added up by hand from the steps."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet.trays.process import process_for
from firstsheet.trays.progress import ENDS, KINDS, Mark, where

RUN = process_for("paper_negative", "paper", "blue", seconds={"developer": 120, "stop": 30, "fix": 120, "wash": 240})
KEYS = [s.key for s in RUN.steps]
BEGUN = Mark("begun", "", 0.0)
DRAIN = 10.0

anything = st.builds(
    Mark,
    st.sampled_from([*KINDS, "sneezed", ""]),
    st.sampled_from([*KEYS, "", "soup"]),
    st.floats(min_value=-1e9, max_value=1e9) | st.sampled_from([math.nan, math.inf, -math.inf]),
)
times = st.floats(min_value=-100, max_value=2000)
lifts = st.lists(st.builds(Mark, st.just("lifted"), st.sampled_from(KEYS), times), max_size=8)


def place(standing):
    """One order over states: later is larger."""
    if standing.state == "waiting":
        return (-1, 0, 0.0)
    if standing.step is None:
        return (99, 0, standing.elapsed_s)
    return (RUN.number_of(standing.step.key), standing.state == "draining", standing.elapsed_s)


def test_a_whole_evening_by_hand():
    marks = [BEGUN]
    assert where(RUN, [], 5.0).state == "waiting"
    s = where(RUN, marks, 30.0)
    assert (s.step.key, s.state, s.elapsed_s, s.left_s, s.overdue_s, s.window) == (
        "developer",
        "in",
        30,
        90,
        0,
        "early",
    )
    assert (s.next_cue.kind, s.next_cue.at_s) == ("ready", 110)
    s = where(RUN, marks, 125.0)
    assert (s.left_s, s.overdue_s, s.window, s.next_cue.kind) == (0, 5, "open", "late")
    marks.append(Mark("lifted", "developer", 125.0))
    s = where(RUN, marks, 131.0)
    assert (s.step.key, s.state, s.elapsed_s, s.left_s) == ("developer", "draining", 6, 4)
    s = where(RUN, marks, 145.0)  # 125 + 10 drain = 135
    assert (s.step.key, s.state, s.elapsed_s, s.left_s) == ("stop", "in", 10, 20)
    marks += [Mark("lifted", "stop", 165.0), Mark("lifted", "fix", 300.0), Mark("lifted", "wash", 560.0)]
    assert where(RUN, marks, 569.0).state == "draining"
    assert where(RUN, marks, 571.0).state == "done"
    marks.append(Mark("finished", "", 580.0))
    assert where(RUN, marks, 9999.0).state == "finished"


@given(st.lists(anything, max_size=12), st.floats(min_value=-1e6, max_value=1e6))
def test_no_mark_can_crash_it(marks, now_s):
    s = where(RUN, [BEGUN, *marks], now_s)
    assert s.state in ("waiting", "in", "paused", "aside", "draining", "done", *ENDS)
    assert s.left_s >= 0
    assert s.overdue_s >= 0


@given(lifts, times, times)
def test_time_never_takes_a_sheet_back(marks, one, two):
    early, late = sorted((one, two))
    assert place(where(RUN, [BEGUN, *marks], early)) <= place(where(RUN, [BEGUN, *marks], late))


@given(lifts, times)
def test_order_and_repetition_of_delivery_do_not_matter(marks, now_s):
    told = [BEGUN, *marks]
    assert where(RUN, told, now_s) == where(RUN, [*reversed(told), *told], now_s)


@given(
    st.integers(min_value=0, max_value=3),
    st.floats(min_value=0.1, max_value=9),
    st.floats(min_value=0, max_value=900),
)
def test_taken_back_restores_exactly(before, pause_s, later_s):
    marks = [BEGUN]
    at_s = 0.0
    for key in KEYS[:before]:
        at_s += 60.0
        marks.append(Mark("lifted", key, at_s))
    undone = [
        *marks,
        Mark("lifted", KEYS[before], at_s + 60),
        Mark("taken_back", KEYS[before], at_s + 60 + pause_s),
    ]
    now_s = at_s + 60 + pause_s + later_s
    assert where(RUN, undone, now_s) == where(RUN, marks, now_s)


def test_a_second_take_back_of_the_same_lift_undoes_nothing_more():
    marks = [
        BEGUN,
        Mark("lifted", "developer", 120),
        Mark("lifted", "stop", 160),
        Mark("taken_back", "stop", 163),
        Mark("taken_back", "stop", 164),
    ]
    assert where(RUN, marks, 165).step.key == "stop"
    again = [*marks, Mark("lifted", "stop", 166)]
    assert where(RUN, again, 167).state == "draining"


def test_a_lost_mark_that_comes_late():
    late = [BEGUN, Mark("lifted", "stop", 160)]
    assert where(RUN, late, 165).step.key == "stop"
    assert where(RUN, [*late, Mark("lifted", "developer", 120)], 165) == where(RUN, late, 165)


@pytest.mark.parametrize("kind", ENDS)
def test_the_three_ends_are_distinct_and_stand_still(kind):
    marks = [BEGUN, Mark(kind, "", 50.0), Mark("lifted", "developer", 60.0)]
    assert where(RUN, marks, 49.0).state == "in"
    assert where(RUN, marks, 51.0).state == kind
    assert where(RUN, marks, 1e6) == where(RUN, marks, 51.0)


def test_lights_on_is_kept_and_changes_nothing_else():
    plain, lit = where(RUN, [BEGUN], 70), where(RUN, [BEGUN, Mark("lights_on", "", 65)], 70)
    assert lit.lights_on_at_s == (65,)
    assert (plain.step, plain.left_s, plain.state) == (lit.step, lit.left_s, lit.state)
