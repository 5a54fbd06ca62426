"""Bodies come back as they went in, or are refused with the place. JSON has no NaN: RFC 8259, section 6."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from types import MappingProxyType
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet.book.store import Book
from firstsheet.refusal import Refusal

# With NUL and with lone halves of surrogate pairs, which JSON may hold as escapes (RFC 8259, section 8.2).
texts = st.text(st.one_of(st.characters(), st.characters(categories=["Cs"]), st.just("\x00")), max_size=12)
numbers = st.integers(-(2**63), 2**63) | st.floats(allow_nan=False, allow_infinity=False)
bodies = st.recursive(
    st.none() | st.booleans() | numbers | texts,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(texts, inner, max_size=4),
    max_leaves=20,
)


@pytest.fixture(scope="module")
def season() -> Iterator[Book]:
    with Book.open(memory=True) as opened:
        yield opened


@given(body=bodies.filter(lambda b: not isinstance(b, float)))
def test_a_body_comes_back_as_it_went_in(season: Book, body: Any) -> None:
    row = season.get_reading(season.add_reading(body))
    assert row["body"] == body
    assert repr(row["body"]) == repr(body)  # also True not 1, 1.0 not 1, and the order of names


@given(body=bodies, bad=st.sampled_from([float("nan"), float("inf"), -float("inf")]))
def test_a_number_that_is_none_is_refused_with_its_place(season: Book, body: Any, bad: float) -> None:
    before = len(season.last_readings(10**6))
    with pytest.raises(Refusal) as refusal:
        season.add_reading({"sound": body, "spots": [1.0, {"ev": bad}]})
    assert [p.where for p in refusal.value.problems] == ["body.spots.1.ev"]
    assert len(season.last_readings(10**6)) == before


@given(at=st.datetimes(timezones=st.timezones()))
def test_any_moment_comes_back_as_the_same_moment_in_utc(season: Book, at: datetime) -> None:
    """Zones with history, gaps and doubled hours included; those whose UTC is outside years 1 to 9999 are refused."""
    try:
        in_utc = at.astimezone(UTC)
    except OverflowError:
        with pytest.raises(Refusal):
            season.add_reading({}, wall=at)
        return
    for said in (at, in_utc.isoformat()):
        kept = season.get_reading(season.add_reading({}, wall=said))["wall"]  # type: ignore[arg-type]
        assert kept == in_utc
        assert kept.utcoffset() == timedelta(0)


def nested(depth: int) -> Any:
    inner: Any = 1
    for _ in range(depth):
        inner = [inner]
    return inner


@pytest.mark.parametrize(
    "body",
    [{1: 2}, {"a": {3}}, {"a": b"x"}, {"at": datetime(2026, 1, 1)}, 2**64, nested(65), nested(100_000)],
)
def test_what_json_cannot_keep_exactly_is_refused(season: Book, body: Any) -> None:
    with pytest.raises(Refusal):
        season.add_reading(body)


def test_tuples_and_read_only_mappings_are_kept_as_lists_and_named_values(season: Book) -> None:
    kept = season.get_reading(season.add_reading(MappingProxyType({"a": (1, (2,))})))
    assert kept["body"] == {"a": [1, [2]]}
    assert season.get_reading(season.add_reading(nested(64)))["body"] == nested(64)


@given(hands=st.lists(st.lists(st.integers(0, 9), max_size=6), max_size=5))
def test_however_marks_are_handed_in_each_is_kept_once(hands: list[list[int]]) -> None:
    """The law of delivery: the book after any deliveries holds the set of what was delivered."""
    with Book.open(memory=True) as book:
        sheet = book.add_sheet("4444", {})
        for hand in hands:
            marks = [{"client_id": f"m{n}", "kind": "k", "wall": "2026-11-25T09:00:00Z"} for n in hand]
            told = book.add_marks(sheet, marks)
            assert told.client_ids == [m["client_id"] for m in marks]
            assert told.differing == []
        kept = [row["client_id"] for row in book.marks(sheet)]
    assert len(kept) == len(set(kept))
    assert set(kept) == {f"m{n}" for hand in hands for n in hand}
