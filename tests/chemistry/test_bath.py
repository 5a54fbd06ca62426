"""Baths against published counts; laws of counting; first appearance with the warmth taken out."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet.chemistry import bath

SHEET_8X10_M2 = 0.2032 * 0.254
K = bath.kinds()


def test_one_bath_for_prints_that_last_does_about_half_a_square_metre_in_a_litre() -> None:
    """0.5 g/l at 1.5 to 2 g/m² of which half stays in the picture: 0.5 to 0.7 m²; from memory."""
    left = bath.area_left(K["fixer_single"], 1.0, 0.0)
    assert left is not None
    assert 0.5 <= left[1] <= 0.7


def test_the_first_of_two_does_about_what_the_navy_counts() -> None:
    """[NAVEDTRA-14209]: about 50 sheets of 8x10 in a litre for the first of two, 2.6 m²; by 2 g/l some say 1.5 to 2 m², from memory."""
    left = bath.area_left(K["fixer_first"], 1.0, 0.0)
    assert left is not None
    assert left[0] < 2.0
    assert left[0] < 50 * SHEET_8X10_M2 < left[2]
    assert left[1] == pytest.approx(4 * bath.area_left(K["fixer_single"], 1.0, 0.0)[1])  # type: ignore[index]  # 2 g/l to 0.5 g/l


def test_the_two_limits_are_told_apart() -> None:
    assert (K["fixer_single"].silver_g_per_l, K["fixer_first"].silver_g_per_l) == (0.5, 2.0)


@given(
    st.sampled_from([k for k in K.values() if k.silver_g_per_l or k.m2_per_l]),
    st.floats(0.1, 100),
    st.floats(0, 50),
    st.floats(0.001, 5),
)
def test_more_paper_never_leaves_more_and_more_litres_never_less(
    kind: bath.Kind, litres: float, area: float, more: float
) -> None:
    at, after, larger = (
        bath.area_left(kind, litres, area),
        bath.area_left(kind, litres, area + more),
        bath.area_left(kind, litres + more, area),
    )
    assert at
    assert after
    assert larger
    for a, b, c in zip(at, after, larger, strict=True):
        assert b <= a + 1e-9
        assert c >= a - 1e-9
    assert at[0] <= at[1] <= at[2]


@given(st.floats(0.1, 20), st.floats(0, 5), st.floats(0, 5))
def test_silver_counts_on_from_a_reading(litres: float, before: float, after: float) -> None:
    kind = K["fixer_single"]
    counted = bath.silver(kind, litres, before + after)
    read = bath.silver(kind, litres, before + after, (bath.silver(kind, litres, before)[1], before))
    assert read[1] == pytest.approx(counted[1])
    assert read[2] - read[0] <= counted[2] - counted[0] + 1e-12  # a reading narrows it


def test_whole_sheets_only() -> None:
    assert bath.sheets_left((0.31, 0.62, 0.0), 0.31) == (1, 2, 0)
    with pytest.raises(ValueError, match="size"):
        bath.sheets_left((1, 1, 1), 0)


@pytest.mark.parametrize(("now_c", "factor"), [(15, 1.414), (18, 1.149), (24, 0.758), (30, 0.5)])
def test_cold_alone_is_not_age(now_c: float, factor: float) -> None:
    """Q10 of 2.0: times relative to 20 °C by 2^(−(T−20)/10), tabled from the definition of the temperature coefficient."""
    found = bath.slowed(20, 20 * factor, 20, now_c, 2.0)
    assert found.by_warmth == pytest.approx(factor, abs=0.001)
    assert found.tired == pytest.approx(1, abs=0.001)
    assert found.low < 1 < found.high


def test_without_temperatures_the_doubt_is_wider() -> None:
    known, unknown = bath.slowed(20, 30, 20, 18, 1.9), bath.slowed(20, 30, None, None, 1.9)
    assert unknown.high / unknown.low > known.high / known.low


@given(st.floats(1, 600), st.floats(1, 600))
def test_the_time_to_give_is_the_first_appearance_s(fresh: float, now: float) -> None:
    """Factorial development: total time over first appearance stays; common practice."""
    assert bath.slowed(fresh, now, None, None, 1.9).longer * fresh == pytest.approx(now)


@pytest.mark.parametrize("kind", K.values(), ids=lambda k: k.key)
def test_every_kind_says_from_where_and_where_to(kind: bath.Kind) -> None:
    assert kind.source
    assert kind.waste
    assert kind.collect == ("ollect" in kind.waste or "first wash" in kind.waste)
    if kind.silver_g_per_l or kind.key == "bleach_fix":
        assert "silver" in kind.waste
        assert kind.collect
