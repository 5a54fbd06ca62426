"""Time and temperature against the published figures named beside each check; and the laws that hold whatever the figures are."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet.refusal import Refusal
from firstsheet.trays import warmth
from firstsheet.trays.process import process_for
from firstsheet.trays.stretched import Change, learned, stretched

AGENTS = sorted(warmth.agents())


def test_fixing_takes_twice_as_long_for_ten_degrees():
    # TM 11-2323: twice the time for each 18 °F (10 °C) below 68 °F (20 °C)
    assert warmth.times_longer("fix", 10.0)[1] == pytest.approx(2.0)
    assert warmth.times_longer("fix", 15.0)[1] == pytest.approx(math.sqrt(2.0))


def test_washing_in_the_cold():
    # TM 11-2323: twice at 50 °F (10 °C), four times at 35 °F (1.7 °C)
    assert warmth.times_longer("wash", 10.0)[1] == pytest.approx(2.0)
    assert warmth.times_longer("wash", 1.7)[1] == pytest.approx(4.0)


def test_developers_lie_within_what_was_observed():
    # Ives 1920: twice for 10 °C, observed 1.5 to 4
    for agent in ("paper", "coffee", "ra4"):
        low, likely, high = warmth.agents()[agent].q10
        assert 1.5 <= low <= likely <= high <= 4


def test_paper_developer_at_the_army_course():
    # SS0509: 1.5 to 2 min at 21 to 23 °C
    step = process_for("paper_negative").steps[0]
    for warm in (21.0, 22.0, 23.0):
        assert 90 <= step.seconds * warmth.times_longer("paper", warm)[1] <= 120


def test_colour_developer_at_35_degrees():
    # from memory, the usual cycle: 45 s at 35 °C; an encyclopaedia's article: 45 s to 2 min
    step = next(s for s in process_for("reversal_ra4", "ra4", "colour").steps if s.key == "colour_developer")
    assert 40 <= step.seconds * warmth.times_longer("ra4", 35.0)[1] <= 60


def test_powers_by_hand():
    # 2 to the power of 1/2, and 1.9 to the power of 0.4 = e^(0.4 × 0.64185) = 1.2927
    assert warmth.times_longer("coffee", 15.0)[1] == pytest.approx(1.41421, abs=1e-4)
    assert warmth.times_longer("paper", 16.0)[1] == pytest.approx(1.2927, abs=1e-3)


@pytest.mark.parametrize("agent", AGENTS)
def test_at_twenty_degrees_nothing_changes(agent):
    assert warmth.times_longer(agent, 20.0) == (1.0, 1.0, 1.0)


@given(st.sampled_from(AGENTS), st.floats(0, 1), st.floats(0, 1))
def test_never_longer_when_warmer(agent, a, b):
    row = warmth.agents()[agent]
    cold, warm = sorted(row.least_c + x * (row.most_c - row.least_c) for x in (a, b))
    for one, other in zip(warmth.times_longer(agent, cold)[1:2], warmth.times_longer(agent, warm)[1:2], strict=True):
        assert one >= other - 1e-12
    low, likely, high = warmth.times_longer(agent, cold)
    assert 0 < low <= likely <= high


@pytest.mark.parametrize(("agent", "cold"), [("paper", 12.9), ("coffee", 9.0), ("ra4", 10.0), ("wash", 0.0)])
def test_where_it_stalls_nothing_is_pretended(agent, cold):
    # [TM-11-2323] and a manual of old: hydroquinone all but ceases at 13 °C (55 °F)
    with pytest.raises(Refusal) as refused:
        warmth.times_longer(agent, cold)
    assert "arm the" in refused.value.problems[0].hint


def test_too_warm_and_no_number_are_refused():
    for agent, temperature in (("paper", 31.0), ("fix", 60.0), ("paper", math.nan)):
        with pytest.raises(Refusal):
            warmth.times_longer(agent, temperature)


# ── first appearance ──


def test_fifteen_seconds_make_two_and_a_half_minutes():
    # one printer's account, from memory: 15 s × 10 = 150 s
    factor = warmth.usual_factor("paper")
    assert warmth.total_after_appearance(15.0, factor)[1] == pytest.approx(150.0)
    assert (15, 150.0, 90.0, 210.0) in process_for("paper_negative").steps[0].appears


def test_a_learned_factor_by_hand():
    # 120 s fresh, the image at 16 s: 7.5; the doubt e^(1.645 × 0.1 × √2) = 1.2619
    low, likely, high = warmth.learned_factor(120.0, (16.0,))
    assert likely == pytest.approx(7.5)
    assert high / likely == pytest.approx(1.2619, abs=1e-3)
    assert likely / low == pytest.approx(1.2619, abs=1e-3)
    # geometric mean of 8 and 32 is 16
    assert warmth.learned_factor(120.0, (8.0, 32.0))[1] == pytest.approx(7.5)


@given(st.floats(5, 2000), st.floats(2, 20))
def test_rows_rise_and_hold_the_planned_time(seconds, factor):
    rows = warmth.appears(seconds, (factor * 0.8, factor, factor * 1.2))
    assert [r[0] for r in rows] == list(range(rows[0][0], rows[-1][0] + 1)) if rows else True
    for at, total, low, high in rows:
        assert low <= total <= high
        assert seconds / 4 - 1 <= total <= seconds * 4 + 1
        assert total == pytest.approx(at * factor, abs=0.06)


def test_no_factor_where_nothing_is_seen_or_known():
    assert all(s.appears == () for s in process_for("reversal_ra4", "ra4", "colour").steps)
    assert process_for("paper_negative", "coffee").steps[0].appears == ()
    dark = learned(process_for("reversal_ra4", "ra4", "colour"), "first_developer", (5.0, 6.0, 7.0))
    assert dark.steps[0].appearance_factor is None


@pytest.mark.parametrize(("appeared", "factor"), [(0.0, (1.0, 2.0, 3.0)), (5.0, (3.0, 2.0, 1.0)), (math.nan, (1.0, 2.0, 3.0))])  # fmt: skip
def test_times_that_are_none(appeared, factor):
    with pytest.raises(ValueError, match="first appearance"):
        warmth.total_after_appearance(appeared, factor)


# ── stretched ──


@given(st.floats(13, 30), st.sampled_from(["rc", "fibre"]))
def test_the_window_still_holds_the_seconds(temperature, base):
    process = process_for("paper_negative", base=base)
    changes = {
        s.key: Change(warmth.times_longer(s.agent, temperature), f"at {temperature:g} °C") for s in process.steps
    }
    for before, after in zip(process.steps, stretched(process, changes).steps, strict=True):
        assert after.low_s <= after.seconds <= after.high_s
        assert after.spread_s[0] <= after.seconds <= after.spread_s[1]
        assert after.high_s / after.low_s == pytest.approx(before.high_s / before.low_s)
        assert after.changed


def test_what_was_changed_is_said_and_never_changed_twice():
    once = stretched(process_for("paper_negative"), {"developer": Change((1.2, 1.3, 1.4), "at 16 °C")})
    assert once.steps[0].changed == "20 °C: 2:00; at 16 °C: 2:36, likely 2:24 to 2:48"
    assert once.steps[0].doubt_s == (144.0, 168.0)
    assert once.steps[1].changed == ""
    with pytest.raises(ValueError, match="already"):
        stretched(once, {"developer": Change((1.2, 1.3, 1.4), "at 16 °C")})


def test_own_times_are_stretched_the_same():
    process = process_for("paper_negative", seconds={"developer": 200.0})
    assert stretched(process, {"developer": Change((2.0, 2.0, 2.0), "at 10 °C")}).steps[0].seconds == 400.0


# ── today's bath ──

SHOWN = warmth.Shown


def test_colder_and_tired_by_hand():
    # Fresh at 20 °C the image shows at 15 s. At 16 °C warmth alone makes 15 × 1.9^0.4 = 15 × 1.2927 = 19.39 s; it shows at 23.27 s: 1.2
    # times that is age. Still at 16 °C the whole is 23.27/15 = 1.551; warmed to 20 °C only the age stays, 1.2.
    fresh, last = SHOWN(15.0, 20.0), SHOWN(23.27, 16.0)
    assert warmth.today("paper", 16.0, fresh, last).times[1] == pytest.approx(23.27 / 15.0)
    assert warmth.today("paper", 20.0, fresh, last).times[1] == pytest.approx(1.2, abs=1e-3)


def test_warmth_is_never_counted_twice():
    for cold in (14.0, 18.0, 24.0):
        fresh = SHOWN(15.0, 20.0)
        last = SHOWN(15.0 * warmth.times_longer("paper", cold)[1], cold)  # as new, only colder or warmer
        for now in (14.0, 20.0, 26.0):
            found = warmth.today("paper", now, fresh, last)
            assert found.times[1] == pytest.approx(warmth.times_longer("paper", now)[1], rel=1e-9)


def test_without_temperatures_first_appearance_alone_speaks():
    assert warmth.today("paper", None, SHOWN(15.0, None), SHOWN(21.0, None)).times[1] == pytest.approx(1.4)
    # how warm it is now says nothing about a reading taken without its warmth
    assert warmth.today("paper", 16.0, SHOWN(15.0, None), SHOWN(21.0, None)).times[1] == pytest.approx(1.4)
    # fresh at 16 °C, and still so: 1.2927; read without its warmth later at 1.4 times that
    assert warmth.today("paper", None, SHOWN(15.0, 16.0), SHOWN(21.0, None)).times[1] == pytest.approx(1.2927 * 1.4, abs=2e-3)  # fmt: skip


def test_nothing_known_changes_nothing_and_no_bath_grows_younger():
    assert warmth.today("paper", None) is None
    assert warmth.today("paper", None, SHOWN(15.0, 20.0)) is None
    assert warmth.today("paper", 20.0, SHOWN(15.0, 20.0), SHOWN(13.0, 20.0)).times == (1.0, 1.0, 1.0)


@given(st.floats(13, 30), st.floats(13, 30), st.floats(13, 30), st.floats(5, 60), st.floats(5, 60))
def test_the_doubt_holds_the_likely_and_cold_is_never_quicker(now, begun, then, fresh, last):
    a = warmth.today("paper", now, SHOWN(fresh, begun), SHOWN(last, then))
    b = warmth.today("paper", min(30.0, now + 1), SHOWN(fresh, begun), SHOWN(last, then))
    assert a.times[0] <= a.times[1] <= a.times[2]
    assert b.times[1] <= a.times[1] + 1e-12
