"""Cover steps and what they allow, held against the published test [K-4] and a published cover schedule of radiography."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet.refusal import Refusal
from firstsheet.trays import readiness, safelight
from firstsheet.trays.process import process_for

MIN = 60.0
times = st.lists(st.floats(1, 10_000), min_size=1, max_size=8, unique=True).map(lambda x: tuple(sorted(x)))


def test_the_published_steps() -> None:
    """[K-4]: steps of 1, 3 and 7 min."""
    assert safelight.totals(safelight.openings(3.5 * MIN)) == (1 * MIN, 3 * MIN, 7 * MIN)


def test_a_published_cover_schedule_sums() -> None:
    """Radiography (US T.O. 33B-1-1): covered after 6, 3, 1 min, 30 and 15 s the parts have had 15 s, 45 s, 1:45, 4:45, 10:45."""
    assert safelight.totals((15, 30, 60, 180, 360)) == (15, 45, 105, 285, 645)
    assert (
        safelight.limit_s((15, 45, 105, 285, 645), 285) == 105
    )  # “the section with least exposure that shows sets the limit”


def test_the_published_example() -> None:
    """[K-4] example C: nothing at 7 min before the flash, but after it only 3 min are clean: 3 min in all. Half is ours."""
    limit = safelight.both_limit_s((1 * MIN, 3 * MIN, 7 * MIN), None, 7 * MIN)
    assert limit == 3 * MIN
    assert safelight.safe_s(limit) == 90


@given(times, st.data())
def test_never_more_than_was_tested_clean(tested: tuple[float, ...], data: st.DataObject) -> None:
    halves = [data.draw(st.one_of(st.none(), st.sampled_from(tested))) for _ in "AB"]
    limit = safelight.both_limit_s(tested, *halves)
    assert safelight.safe_s(limit) <= limit <= tested[-1]
    for seen in halves:
        assert seen is None or limit < seen
    if tested[0] in halves:
        assert safelight.safe_s(limit) == 0


@given(st.floats(1, 3000))
def test_half_of_the_steps_covers_the_run(needed: float) -> None:
    each = safelight.openings(needed)
    assert all(b == 2 * a for a, b in pairwise(each))
    assert safelight.safe_s(safelight.totals(each)[-1]) >= needed


@given(st.floats(1, 7000))
def test_scraps_lie_twice_as_long_as_a_sheet(needed: float) -> None:
    lay = safelight.lay_s(needed)
    assert lay % 60 == 0
    assert safelight.safe_s(lay) >= needed - 1e-6


def test_what_cannot_be_tested_is_refused() -> None:
    with pytest.raises(Refusal, match="two hours"):
        safelight.lay_s(3 * 3600)
    with pytest.raises(ValueError, match="above 0"):
        safelight.openings(0)


def test_red_light_of_a_run_by_hand() -> None:
    """Loading 40 s and carrying 15 s as in the shipped table, 10 s of exposure, and every step up to the fixer, with its drain."""
    made = process_for("paper_negative")
    until = [s for s in made.steps if s.key in ("developer", "stop", "fix")]
    assert [s.light for s in made.steps] == ["red"] * 3 + ["white"] * (len(made.steps) - 3)
    by_hand = 40 + 15 + 10 + sum(s.seconds + s.drain_s for s in until)
    assert safelight.red_s(made, 10) == safelight.out_of_box_s(made, 10) == by_hand


def test_colour_paper_bears_no_lamp() -> None:
    made = process_for("reversal_ra4", "paper", "colour")
    assert safelight.red_s(made, 10) == 0
    assert safelight.out_of_box_s(made, 10) > 65


@pytest.mark.parametrize(
    ("made", "there", "not_there"),
    [
        (process_for("paper_negative"), {"phone", "lamp"}, {"lamp_off", "phone_dark", "drink", "skin", "white_later"}),
        (process_for("paper_negative", "coffee"), {"drink", "lamp"}, {"lamp_off", "skin"}),
        (process_for("reversal_ra4", "paper", "colour"), {"lamp_off", "phone_dark", "skin", "white_later"}, {"lamp", "phone", "drink"}),
    ],
)  # fmt: skip
def test_the_list_is_made_from_what_the_way_needs(made, there, not_there) -> None:
    """Common practice, no source: what a red lamp, total dark, coffee and colour each ask of the room."""
    keys = [i.key for i in readiness.items(made)]
    assert there <= set(keys)
    assert not not_there & set(keys)
    assert {"told", "way_out", "air", "gloves", "lens_capped", "sun", "trays", "warm", "paper_side", "box_shut"} <= set(
        keys
    )
    assert keys[0] == "told"
    assert len(keys) == len(set(keys))
