"""Whole evenings as they would be typed: plan, expose, run, judge, and a changed plan; and all that must not change it."""

from __future__ import annotations

import math

import pytest

from firstsheet.acts import judge, known, run, sheet
from firstsheet.answer import to_json
from firstsheet.refusal import Refusal
from tests.acts.evening import Evening, begun

# What the border looks like when no stray light reached it: white on negatives, black on positives (common practice).
CLEAN = {"negative": "white", "positive": "black", "colour": "black"}


def moved(e: Evening, before_s: float) -> float:
    """How the next plan differs [stop]."""
    return math.log2(e.plan().wanted_s / before_s)


def test_one_evening(negative: Evening) -> None:
    e = negative
    first = e.plan()
    code = e.keep()
    assert sheet.sheet(e.book, code).state == "planned"
    assert e.expose(code).given_s == first.time_s  # nothing said: as planned
    wall = round(e.now.timestamp() * 1000)
    marks = [{"id": f"m{i}", "kind": k, "step": s, "elapsed_s": t, "wall_ms": wall + i} for i, (k, s, t) in enumerate(
        [("begun", "", 0.0), ("lifted", "develop", 90.0), ("finished", "", 400.0)])]  # fmt: skip
    assert run.mark(e.book, code, marks).stored == ["m0", "m1", "m2"]
    assert run.mark(e.book, code, marks).stored == []  # handed in twice, kept once
    assert sheet.sheet(e.book, code).state == "processed"
    change = e.judge(code, border="white", seen="too_dark", kept="no")
    assert change.taught
    assert sheet.sheet(e.book, code).state == "judged"
    second = e.plan()
    assert second.wanted_s < first.wanted_s  # a negative too dark had too much light
    assert second.sd_stops < first.sd_stops
    assert second.keeper_chance > first.keeper_chance
    assert any("faster" in w for w in second.changed)
    assert second.sheets_left == 9
    assert known.known(e.book).sheets == 1


@pytest.mark.parametrize(("kind", "seen", "sign"), [
    ("negative", "too_dark", -1), ("negative", "too_pale", +1), ("negative", "black_all_over", -1), ("negative", "blank", +1),
    ("positive", "too_dark", +1), ("positive", "too_pale", -1), ("positive", "a_little_dark", +1),
    ("colour", "too_dark", +1), ("colour", "much_too_pale", -1),
])  # fmt: skip
def test_direction(kind: str, seen: str, sign: int, request: pytest.FixtureRequest) -> None:
    # A negative darkens with light; a direct positive and a reversal grow paler with it (common practice; [ISO-6846] curves).
    e: Evening = request.getfixturevalue(kind)
    before = e.plan().wanted_s
    assert e.sheet(seen, CLEAN[kind]).taught
    assert sign * moved(e, before) > 0.05


def test_the_size_of_the_step_is_that_of_conditioning(negative: Evening) -> None:
    # "too dark" lies between 0.60 and 1.30 stop, halfway to its neighbours; middle 0.95, doubt √(0.25² + 0.70²/12) = 0.32.
    # With retry 0.20, the step is v/(v + 0.32² + 0.20²) of it: normal conditioning, [BISHOP-PRML] eq. 2.81.
    e = negative
    p = e.plan()
    e.sheet("too_dark", "white")
    v = p.sd_stops**2
    off = math.log2(p.time_s / p.wanted_s)  # 5.5 s given for 5.72 s
    expected = v / (v + 0.32**2 + 0.20**2) * (-0.95 + off)
    assert moved(e, p.wanted_s) == pytest.approx(expected, abs=0.08)


@pytest.mark.parametrize("kind", ["negative", "positive"])
def test_a_judgement_taken_back_leaves_no_trace(kind: str, request: pytest.FixtureRequest) -> None:
    e: Evening = request.getfixturevalue(kind)
    e.sheet("a_little_pale", CLEAN[kind])
    code = e.keep()
    e.expose(code)
    before, standing = to_json(e.plan()), e.standing()
    e.judge(code, border=CLEAN[kind], seen="much_too_dark")
    assert to_json(e.plan()) != before
    judge.take_back(e.book, code)
    assert to_json(e.plan()) == before
    assert e.standing() == standing
    with pytest.raises(Refusal):
        judge.take_back(e.book, code)


def test_an_earlier_judgement_taken_back_is_as_if_never_made(negative: Evening) -> None:
    e = negative
    one, two = e.keep(), e.keep()
    e.expose(one)
    e.expose(two)
    e.judge(two, border="white", seen="a_little_dark")
    without = e.standing()
    e.judge(one, border="white", seen="much_too_pale")
    assert e.standing() != without
    judge.take_back(e.book, one)
    assert e.standing() == without


def test_judged_again_the_last_word_counts(negative: Evening) -> None:
    e = negative
    code = e.keep()
    e.expose(code)
    e.judge(code, border="white", seen="as_wanted")
    right = e.standing()
    e.judge(code, border="white", seen="too_dark")
    e.judge(code, border="white", seen="as_wanted")
    assert e.standing() == right


@pytest.mark.parametrize(
    ("kind", "border"), [("negative", "grey"), ("negative", "black"), ("positive", "grey"), ("positive", "white")]
)
def test_fog_is_not_exposure(kind: str, border: str, request: pytest.FixtureRequest) -> None:
    # Stray light greys a negative's white border and a positive's black one (common practice): no change of exposure follows.
    e: Evening = request.getfixturevalue(kind)
    before = e.plan().wanted_s
    change = e.sheet("too_dark", border)
    assert not change.taught
    assert moved(e, before) == 0.0
    assert any("Do not change the exposure" in n for n in change.next_time)
    assert e.plan().sheets_left == 9  # it is gone all the same


@pytest.mark.parametrize(
    ("fault", "teaches"),
    [("uneven", False), ("wrong_tray", False), ("light_changed", False), ("moved", True), ("unsharp", True)],
)
def test_a_fault_teaches_only_where_the_tone_still_tells(negative: Evening, fault: str, teaches: bool) -> None:
    before = negative.plan().wanted_s
    change = negative.sheet("too_dark", "white", faults=fault, kept="no")
    assert change.taught is teaches
    assert (moved(negative, before) != 0.0) is teaches
    assert change.next_time


def test_thrown_away_for_a_blink_says_nothing_of_exposure(negative: Evening) -> None:
    # The sitter moved, so it was not kept: the word counts, the not keeping does not.
    before = negative.plan().wanted_s
    negative.sheet("a_little_dark", "white", faults="moved", kept="no")
    with_fault = moved(negative, before)
    other = begun(ei="4")
    other.sheet("a_little_dark", "white")
    assert with_fault == moved(other, before)


def test_a_keeper_is_evidence(negative: Evening) -> None:
    negative.sheet("as_wanted", "white", kept="yes")
    other = begun(ei="4")
    other.sheet("as_wanted", "white")
    assert negative.plan().keeper_chance > other.plan().keeper_chance


@pytest.mark.parametrize(("kind", "sign"), [("negative", -1), ("positive", +1), ("colour", 0)])
def test_a_wet_sheet_dries_darker(kind: str, sign: int, request: pytest.FixtureRequest) -> None:
    # About a tenth darker, log2 1.1 = 0.14 stop (common practice): what looks right wet is too dark dry, so a negative wants
    # less light and a positive more. Colour reversal is judged dry; wet it looks darker than it will.
    e: Evening = request.getfixturevalue(kind)
    before = e.plan().wanted_s
    code = e.keep()
    e.expose(code)
    e.judge(code, border=CLEAN[kind], seen="as_wanted")
    dry = moved(e, before)
    e.judge(code, border=CLEAN[kind], seen="as_wanted", wet="yes")
    wet = moved(e, before)
    assert wet - dry == pytest.approx(sign * 0.12, abs=0.06)


def test_a_test_strip(negative: Evening) -> None:
    # Four steps; 2.5 is the middle, the plan itself; the last step is 1.5 paces up. Whole stops where much is in doubt.
    e = negative
    p = e.plan()
    times = p.strip.times_s
    pace = math.log2(times[1] / times[0])
    assert len(times) == 4
    assert math.sqrt(times[1] * times[2]) == pytest.approx(p.wanted_s)
    code = e.keep(strip=True)
    e.expose(code)
    e.judge(code, border="white", step="2.5")
    assert moved(e, p.wanted_s) == pytest.approx(0.0, abs=0.01)
    assert e.plan().sd_stops < p.sd_stops
    e.judge(code, border="white", step="4")
    v = p.sd_stops**2
    assert moved(e, p.wanted_s) == pytest.approx(
        1.5 * pace * v / (v + 0.30**2 + 0.20**2), abs=0.08
    )  # [BISHOP-PRML] eq. 2.81
    assert e.plan().sheets_left == 9.75  # a strip is a quarter of a sheet


def test_a_strip_needs_its_step(negative: Evening) -> None:
    code = negative.keep(strip=True)
    negative.expose(code)
    with pytest.raises(Refusal) as refused:
        negative.judge(code, border="white")
    assert [p.where for p in refused.value.problems] == ["step"]


def test_what_was_really_given_is_what_teaches(negative: Evening) -> None:
    # Twice the plan and right as wanted: the paper is a stop slower than the plan thought.
    e = negative
    p = e.plan()
    code = e.keep()
    e.expose(code, given=f"{2 * p.wanted_s:.3f} s")
    e.judge(code, border="white", seen="as_wanted")
    v = p.sd_stops**2
    assert moved(e, p.wanted_s) == pytest.approx(v / (v + 0.27**2 + 0.20**2), abs=0.1)
    assert e.plan().wanted_s > p.wanted_s


def test_given_at_another_stop_is_counted_in_light(negative: Evening) -> None:
    # Planned at f/16, given the same seconds at f/22.6: half the light. Too pale by a stop is then no news.
    e = negative
    p = e.plan()
    code = e.keep()
    e.expose(code, aperture="f/22.627417")
    e.judge(code, border="white", seen="too_pale")
    assert abs(moved(e, p.wanted_s)) < 0.12


def test_what_was_given_can_be_corrected_until_it_is_judged(negative: Evening) -> None:
    e = negative
    code = e.keep()
    e.expose(code)
    assert e.expose(code, given="9 s", remark="counted slowly").given_s == 9.0
    assert e.plan().sheets_left == 9  # one sheet, told twice
    e.judge(code, border="white", seen="as_wanted")
    with pytest.raises(Refusal):
        e.expose(code, given="4 s")
    judge.take_back(e.book, code)
    assert e.expose(code, given="4 s").given_s == 4.0


def test_a_sheet_is_judged_once_it_was_exposed(negative: Evening) -> None:
    code = negative.keep()
    with pytest.raises(Refusal) as refused:
        negative.judge(code, border="white", seen="as_wanted")
    assert refused.value.problems[0].where == "sheet"


def test_judging_asks_for_border_and_what_is_seen_at_once(negative: Evening) -> None:
    code = negative.keep()
    negative.expose(code)
    with pytest.raises(Refusal) as refused:
        negative.judge(code, faults="gremlins")
    assert {p.where for p in refused.value.problems} == {"border", "seen", "faults"}


def test_two_changes_at_once_are_said(negative: Evening) -> None:
    e = negative
    e.box("B", ei="4")
    e.developer("coffee", "coffee")
    e.say(box="A", developer="tray one")
    e.sheet("as_wanted", "white")
    one = e.plan(developer="coffee")
    assert not any("one at a time" in n for n in one.notes)
    two = e.plan(developer="coffee", box="B")
    assert any("one at a time" in n and "the box" in n and "the developer" in n for n in two.notes)


def test_another_box_of_the_kind_learns_half_the_way() -> None:
    # Unlabelled boxes share what their kind does (sd √(1.15² − 0.40²) = 1.08) and differ by 0.40 stop; so box B moves
    # 1.1625/1.3225 = 0.88 as far as box A does, were nothing else in doubt: common effects move both alike.
    e = begun()
    e.box("B")
    e.say(box="A")
    a, b = e.plan().wanted_s, e.plan(box="B").wanted_s
    assert a == b
    e.sheet("much_too_dark", "white")
    moved_a = math.log2(e.plan(box="A").wanted_s / a)
    moved_b = math.log2(e.plan(box="B").wanted_s / b)
    assert moved_a < moved_b < 0
    assert moved_b / moved_a == pytest.approx(0.88, abs=0.04)
    assert e.plan(box="B").sd_stops > e.plan(box="A").sd_stops


def test_an_empty_box_is_said() -> None:
    e = begun(ei="4", sheets="1")
    assert e.plan().sheets_left == 1
    e.keep()  # planned is not exposed
    assert e.plan().sheets_left == 1
    e.sheet("as_wanted", "white")
    p = e.plan()
    assert p.sheets_left == 0
    assert any("empty" in n for n in p.notes)


def test_three_sheets_of_one_truth_come_home(negative: Evening) -> None:
    # A box 1.2 stops slower than its owner thought. Each sheet is judged with the word nearest to what it would look like;
    # moves "of a stop, then half, then quarter" (common practice) bring it within a half by the third.
    e = negative
    right = e.plan().wanted_s * 2.0**1.2
    words = {0.0: "as_wanted", -0.35: "a_little_pale", -0.85: "too_pale", -1.75: "much_too_pale", 0.35: "a_little_dark"}
    for _ in range(3):
        off = math.log2(e.plan().time_s / right)
        e.sheet(words[min(words, key=lambda t: abs(t - off))], "white")
    assert abs(math.log2(e.plan().wanted_s / right)) < 0.35
    assert e.plan().ei_now < 4.0


def test_nothing_is_stored_by_planning(negative: Evening) -> None:
    negative.plan(reading="EV 5", subject="2 m")
    assert negative.plan().readings == ("EV 11",)
    assert negative.book.sheets() == []


def test_judged_again_before_is_what_was_known_without_this_sheet(negative: Evening) -> None:
    """The first judgement's own “before” is the definition: nothing else was learnt in between."""
    e = negative
    e.sheet("a_little_dark", "white")
    code = e.keep()
    e.expose(code)
    first = e.judge(code, border="white", seen="too_dark")
    again = e.judge(code, border="white", seen="much_too_dark")
    assert (again.before_stops, again.before_sd) == pytest.approx((first.before_stops, first.before_sd))
    assert again.before_stops != pytest.approx(first.after_stops)


def test_a_strip_is_told_by_its_step_or_by_what_is_seen(negative: Evening) -> None:
    code = negative.keep(strip=True)
    negative.expose(code)
    for form in ({"step": "2.5", "seen": "too_dark"}, {"step": "9"}):
        with pytest.raises(Refusal) as refused:
            negative.judge(code, border="white", **form)
        assert [p.where for p in refused.value.problems] == ["step"]
